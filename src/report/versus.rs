//! A meal against a limit, and meals against each other.

use super::{CAUTION, EnergyUnit, Look, grouped, range_bar, round_to, wrapped};
use crate::estimate::{Estimate, Nutrient};
use std::fmt::Write;
use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Modify, Style};
use unicode_width::UnicodeWidthStr;

/// "82 %": never 0 or 100, for a model knows no such certainty.
pub fn per_cent(chance: f64) -> String {
    match chance {
        chance if chance < 0.01 => "less than 1 %".to_owned(),
        chance if chance > 0.99 => "more than 99 %".to_owned(),
        chance => format!("{:.0} %", chance * 100.0),
    }
}

/// How likely something is, in a plain word.
pub fn chance_in_words(chance: f64) -> &'static str {
    match chance {
        chance if chance >= 0.9 => "very likely",
        chance if chance >= 0.65 => "likely",
        chance if chance > 0.35 => "as likely as not",
        chance if chance > 0.1 => "unlikely",
        _ => "very unlikely",
    }
}

/// "This meal is likely to stay within 700 kcal: 71 %." `kcal` is the limit, whatever the unit it is shown in.
pub fn within_words(estimate: &Estimate, kcal: f64, energy: EnergyUnit) -> String {
    let chance = estimate.distribution(Nutrient::Energy).below(kcal);
    format!(
        "This meal is {} to stay within {} {}: {}.",
        chance_in_words(chance),
        grouped(kcal * energy.factor()),
        energy.symbol(),
        per_cent(chance)
    )
}

/// Two meals, independent of each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Index of the one that is expected to have more energy.
    pub more: usize,
    /// Index of the other.
    pub less: usize,
    /// How likely the first has more than the second: 0 to 1.
    pub chance: f64,
}

/// Meals by expected energy, most first, and every pair of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Indices of the meals, most energy first.
    pub order: Vec<usize>,
    /// Every pair, in that order.
    pub pairs: Vec<Pair>,
}

/// Compares meals by energy.
pub fn compare(meals: &[Estimate]) -> Comparison {
    let energy = |at: usize| meals[at].distribution(Nutrient::Energy);
    let mut order: Vec<usize> = (0..meals.len()).collect();
    order.sort_by(|a, b| {
        let (a, b) = (meals[*a].total[0].likely, meals[*b].total[0].likely);
        b.total_cmp(&a)
    });
    let mut pairs = Vec::new();
    for (at, &more) in order.iter().enumerate() {
        for &less in &order[at + 1..] {
            pairs.push(Pair {
                more,
                less,
                chance: energy(more).above(energy(less)),
            });
        }
    }
    Comparison { order, pairs }
}

/// Meals side by side, and what may be said of each two.
pub fn comparison_table(meals: &[Estimate], look: &Look) -> String {
    let comparison = compare(meals);
    let (factor, step) = (look.energy.factor(), look.energy.step());
    let scale = meals
        .iter()
        .map(|meal| meal.total[0].high)
        .fold(0.0, f64::max);
    let wide = look.width >= 72;
    let names: Vec<String> = (0..meals.len())
        .map(|at| short(&meals[at].text, (look.width / 3).clamp(10, 32)))
        .collect();
    let mut builder = Builder::default();
    let mut heading = vec![
        String::new(),
        look.energy.symbol().to_owned(),
        "low–high".to_owned(),
    ];
    if wide {
        heading.extend(["protein", "fat", "carb"].map(str::to_owned));
    }
    builder.push_record(heading);
    for (meal, name) in meals.iter().zip(&names) {
        let range = meal.total[0].times(factor);
        let mut record = vec![
            name.clone(),
            grouped(round_to(range.likely, step)),
            format!(
                "{}–{}",
                grouped(round_to(range.low, 2.0 * step)),
                grouped(round_to(range.high, 2.0 * step))
            ),
        ];
        if wide {
            record.extend(
                [Nutrient::Protein, Nutrient::Fat, Nutrient::Carbohydrate]
                    .map(|nutrient| grouped(meal.total(nutrient).likely)),
            );
        }
        builder.push_record(record);
    }
    let mut table = builder.build();
    table
        .with(Style::empty())
        .with(Modify::new(Columns::new(1..)).with(Alignment::right()));
    let mut out = String::new();
    for line in table.to_string().lines() {
        let _ = writeln!(out, "{}", line.trim_end());
    }
    out.push('\n');
    let widest = names.iter().map(|name| name.width()).max().unwrap_or(0);
    let room = look.width.saturating_sub(widest + 2).clamp(10, 60);
    for (meal, name) in meals.iter().zip(&names) {
        let range = meal.total[0];
        let pad = " ".repeat(widest - name.width());
        let bar = range_bar(range.low, range.likely, range.high, scale * 1.05, room);
        let _ = writeln!(out, "{name}{pad}  {bar}");
    }
    out.push('\n');
    for pair in &comparison.pairs {
        let (more, less) = (&names[pair.more], &names[pair.less]);
        let odds = per_cent(pair.chance);
        let sentence = if pair.chance >= 0.65 {
            format!(
                "\"{more}\" is {} more than \"{less}\": {odds}",
                chance_in_words(pair.chance)
            )
        } else {
            format!(
                "Either of \"{more}\" and \"{less}\" may be more; the first is in {odds} of cases"
            )
        };
        for line in wrapped(&sentence, look.width) {
            let _ = writeln!(out, "{line}");
        }
    }
    out.push('\n');
    for line in wrapped(CAUTION, look.width) {
        let _ = writeln!(out, "{}", line.trim_start());
    }
    out
}

/// A meal's text in at most `columns` columns.
fn short(text: &str, columns: usize) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    super::table::cut(&text, columns)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_chance_is_told_as_certain() {
        assert_eq!(per_cent(0.0), "less than 1 %");
        assert_eq!(per_cent(1.0), "more than 99 %");
        assert_eq!(per_cent(0.824), "82 %");
        assert_eq!(chance_in_words(0.5), "as likely as not");
    }

    #[test]
    fn nothing_to_compare_is_no_panic() {
        assert!(compare(&[]).pairs.is_empty());
        assert!(!comparison_table(&[], &Look::default()).is_empty());
    }
}
