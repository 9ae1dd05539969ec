//! Numbers as people read them: units, grouping, and rounding that keeps sums.

use crate::estimate::KJ_PER_KCAL;
use rust_decimal::Decimal;
use rust_decimal::prelude::{FromPrimitive, ToPrimitive};

/// The unit of energy in a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum EnergyUnit {
    /// Kilocalories.
    #[default]
    Kcal,
    /// Kilojoules: 4.184 kJ to the kcal.
    Kj,
}

impl EnergyUnit {
    /// What a figure in kcal is multiplied by.
    pub fn factor(self) -> f64 {
        match self {
            EnergyUnit::Kcal => 1.0,
            EnergyUnit::Kj => KJ_PER_KCAL,
        }
    }

    /// Its symbol.
    pub fn symbol(self) -> &'static str {
        match self {
            EnergyUnit::Kcal => "kcal",
            EnergyUnit::Kj => "kJ",
        }
    }

    /// The step that figures are rounded to: finer would claim more than is known.
    pub fn step(self) -> f64 {
        match self {
            EnergyUnit::Kcal => 5.0,
            EnergyUnit::Kj => 10.0,
        }
    }
}

/// Rounds to the nearest multiple of `step`, halves away from zero.
pub fn round_to(value: f64, step: f64) -> f64 {
    if !value.is_finite() || step <= 0.0 {
        return value;
    }
    let exact = |value: f64| Decimal::from_f64(value);
    match (exact(value / step), exact(step)) {
        (Some(units), Some(step)) => {
            let units = units
                .round_dp_with_strategy(0, rust_decimal::RoundingStrategy::MidpointAwayFromZero);
            (units * step).to_f64().unwrap_or(value)
        }
        _ => (value / step).round() * step,
    }
}

/// Rounds parts to multiples of `step` so that they sum to the rounded total: what is left over goes to the parts with the
/// largest remainders.
///
/// ```
/// # use platespan::report::shares_of_total;
/// assert_eq!(shares_of_total(&[333.4, 333.4, 333.2], 5.0), [335.0, 335.0, 330.0]);
/// ```
pub fn shares_of_total(parts: &[f64], step: f64) -> Vec<f64> {
    let total = round_to(parts.iter().sum(), step);
    let step = Decimal::from_f64(step)
        .filter(|step| !step.is_zero())
        .unwrap_or(Decimal::ONE);
    let Some(total) = Decimal::from_f64(total) else {
        return parts.to_vec();
    };
    let exact: Vec<Decimal> = parts
        .iter()
        .map(|part| Decimal::from_f64(*part).unwrap_or_default() / step)
        .collect();
    let mut units: Vec<Decimal> = exact.iter().map(Decimal::floor).collect();
    let wanted = (total / step).round();
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|a, b| {
        (exact[*b] - units[*b])
            .cmp(&(exact[*a] - units[*a]))
            .then(a.cmp(b))
    });
    let mut missing = wanted - units.iter().sum::<Decimal>();
    for at in order {
        if missing < Decimal::ONE {
            break;
        }
        units[at] += Decimal::ONE;
        missing -= Decimal::ONE;
    }
    units
        .into_iter()
        .map(|units| (units * step).to_f64().unwrap_or(0.0))
        .collect()
}

/// A whole number with its thousands grouped: `1,234`.
pub fn grouped(value: f64) -> String {
    let digits = format!("{:.0}", value.abs());
    let mut grouped = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index) % 3 == 0 {
            grouped.push(',');
        }
        grouped.push(digit);
    }
    if value <= -0.5 {
        format!("-{grouped}")
    } else {
        grouped
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounded_parts_sum_to_the_rounded_total() {
        for parts in [
            vec![12.4, 7.4, 3.4],
            vec![0.0, 0.0],
            vec![],
            vec![2.5, 2.5, 2.5, 2.5],
            vec![1e6, 0.3],
        ] {
            let rounded = shares_of_total(&parts, 5.0);
            let total = round_to(parts.iter().sum(), 5.0);
            assert!(
                (rounded.iter().sum::<f64>() - total).abs() < 1e-9,
                "{parts:?}"
            );
        }
    }

    #[test]
    fn thousands_are_grouped() {
        assert_eq!(grouped(1_234_567.4), "1,234,567");
        assert_eq!(grouped(12.0), "12");
        assert_eq!(grouped(-1500.0), "-1,500");
    }
}
