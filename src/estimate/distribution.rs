//! Lognormals and mixtures of them: densities in closed form, quantiles by bisection.

/// Standard normal quantile of 0.9: how far the 90th percentile lies from the median, in σ.
pub const Z90: f64 = 1.281_551_565_544_600_4;

/// A mixture of lognormals with a point mass at zero: the total of a plate whose parts may or may not be there.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Distribution {
    parts: Vec<Lognormal>,
    zero: f64,
}

/// A lognormal of a weight.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Lognormal {
    weight: f64,
    mu: f64,
    sigma: f64,
}

/// Φ, the standard normal distribution function.
pub fn standard_normal(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

impl Distribution {
    /// A mixture of (weight, mean, variance), each a lognormal of that mean and variance; weights are taken relative to
    /// their sum, and a part whose mean is not above 0 is a point mass at 0.
    pub fn mixture(parts: impl IntoIterator<Item = (f64, f64, f64)>) -> Distribution {
        let mut mixture = Distribution::default();
        for (weight, mean, variance) in parts {
            if weight <= 0.0 || weight.is_nan() {
                continue;
            }
            if mean <= 1e-12 || mean.is_nan() {
                mixture.zero += weight;
                continue;
            }
            let squared = (variance.max(0.0) / (mean * mean)).ln_1p();
            mixture.parts.push(Lognormal {
                weight,
                mu: mean.ln() - squared / 2.0,
                sigma: squared.sqrt(),
            });
        }
        let sum = mixture.zero + mixture.parts.iter().map(|part| part.weight).sum::<f64>();
        if sum > 0.0 {
            mixture.zero /= sum;
            for part in &mut mixture.parts {
                part.weight /= sum;
            }
        }
        mixture
    }

    /// Several distributions of which one holds, each with its weight; weights are taken relative to their sum.
    pub fn blend<'a>(of: impl IntoIterator<Item = (f64, &'a Distribution)>) -> Distribution {
        let mut blend = Distribution::default();
        let mut sum = 0.0;
        for (weight, one) in of {
            if weight.is_nan() || weight <= 0.0 {
                continue;
            }
            sum += weight;
            blend.zero += weight * one.zero;
            blend.parts.extend(one.parts.iter().map(|part| Lognormal {
                weight: part.weight * weight,
                ..*part
            }));
        }
        if sum > 0.0 {
            blend.zero /= sum;
            for part in &mut blend.parts {
                part.weight /= sum;
            }
        }
        blend
    }

    /// Probability of at most `x`.
    pub fn below(&self, x: f64) -> f64 {
        if x < 0.0 {
            return 0.0;
        }
        let within: f64 = self
            .parts
            .iter()
            .map(|part| {
                part.weight
                    * match (x > 0.0, part.sigma > 1e-9) {
                        (false, _) => 0.0,
                        (true, true) => standard_normal((x.ln() - part.mu) / part.sigma),
                        (true, false) => f64::from(u8::from(x.ln() >= part.mu)),
                    }
            })
            .sum();
        (self.zero + within).min(1.0)
    }

    /// The value that a share `q` (0 to 1) of plates does not exceed.
    pub fn quantile(&self, q: f64) -> f64 {
        if self.parts.is_empty() || q <= self.zero {
            return 0.0;
        }
        let reach = |part: &Lognormal| 9.0 * part.sigma + 1e-9;
        let mut low = self
            .parts
            .iter()
            .map(|part| part.mu - reach(part))
            .fold(f64::INFINITY, f64::min);
        let mut high = self
            .parts
            .iter()
            .map(|part| part.mu + reach(part))
            .fold(f64::NEG_INFINITY, f64::max);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if self.below(middle.exp()) < q {
                low = middle;
            } else {
                high = middle;
            }
        }
        ((low + high) / 2.0).exp()
    }

    /// The expected value.
    pub fn mean(&self) -> f64 {
        self.parts
            .iter()
            .map(|part| part.weight * (part.mu + part.sigma * part.sigma / 2.0).exp())
            // Not `sum`: of nothing that is -0, which then stands in a table.
            .fold(0.0, |sum, part| sum + part)
    }

    /// The variance.
    pub fn variance(&self) -> f64 {
        let second: f64 = self
            .parts
            .iter()
            .map(|part| part.weight * (2.0 * part.mu + 2.0 * part.sigma * part.sigma).exp())
            .sum();
        (second - self.mean().powi(2)).max(0.0)
    }

    /// Probability that a draw from this lies above an independent draw from the other; a tie counts half.
    ///
    /// By quantile grids of both, so that `a.above(b) + b.above(a)` is 1.
    pub fn above(&self, other: &Distribution) -> f64 {
        const POINTS: usize = 400;
        let reach = |one: &Distribution, two: &Distribution| {
            let below: f64 = one.grid(POINTS).iter().map(|x| two.below(*x)).sum();
            below / POINTS as f64
        };
        ((reach(self, other) + 1.0 - reach(other, self)) / 2.0).clamp(0.0, 1.0)
    }

    /// (probability, value) pairs at evenly spread quantiles, for comparing two meals.
    pub fn grid(&self, points: usize) -> Vec<f64> {
        (0..points)
            .map(|index| self.quantile((index as f64 + 0.5) / points as f64))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lognormal_has_its_mean_and_quantiles() {
        let one = Distribution::mixture([(1.0, 500.0, 100.0 * 100.0)]);
        assert!((one.mean() - 500.0).abs() < 1e-6);
        let (low, high) = (one.quantile(0.1), one.quantile(0.9));
        let sigma = (high / low).ln() / (2.0 * Z90);
        assert!((sigma - (1.0f64 + 0.04).ln().sqrt()).abs() < 1e-6);
        assert!((one.below(high) - 0.9).abs() < 1e-9);
    }

    #[test]
    fn a_point_mass_at_zero_is_kept() {
        let maybe = Distribution::mixture([(0.3, 0.0, 0.0), (0.7, 100.0, 1.0)]);
        assert_eq!(maybe.quantile(0.2), 0.0);
        assert!(maybe.quantile(0.5) > 95.0);
        assert!((maybe.mean() - 70.0).abs() < 1e-6);
    }

    #[test]
    fn of_two_independent_meals_the_likelier_to_be_more_is_known() {
        // ln A - ln B is normal: P(A > B) = Φ((μA - μB) / √(σA² + σB²)).
        let (a, b) = (
            Distribution::mixture([(1.0, 800.0, 200.0 * 200.0)]),
            Distribution::mixture([(1.0, 600.0, 120.0 * 120.0)]),
        );
        let (va, vb) = ((1.0f64 / 16.0).ln_1p(), 0.04f64.ln_1p());
        let exact = standard_normal(
            ((800.0f64).ln() - va / 2.0 - (600.0f64).ln() + vb / 2.0) / (va + vb).sqrt(),
        );
        assert!(
            (a.above(&b) - exact).abs() < 0.002,
            "{} {exact}",
            a.above(&b)
        );
        assert!((a.above(&b) + b.above(&a) - 1.0).abs() < 1e-12);
        assert!((a.above(&a) - 0.5).abs() < 1e-12);
        let exact = Distribution::mixture([(1.0, 500.0, 0.0)]);
        assert!((exact.above(&exact) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_blend_has_the_mean_and_variance_of_its_parts() {
        let (a, b) = (
            Distribution::mixture([(1.0, 100.0, 25.0)]),
            Distribution::mixture([(0.5, 300.0, 100.0), (0.5, 0.0, 0.0)]),
        );
        let blend = Distribution::blend([(3.0, &a), (1.0, &b)]);
        assert!((blend.mean() - (0.75 * 100.0 + 0.25 * 150.0)).abs() < 1e-9);
        let second = 0.75 * (1e4 + 25.0) + 0.125 * (9e4 + 100.0);
        assert!((blend.variance() - (second - 112.5f64.powi(2))).abs() < 1e-6);
        assert_eq!(blend.quantile(0.1), 0.0);
    }

    #[test]
    fn nothing_at_all_is_zero() {
        let none = Distribution::mixture([]);
        assert_eq!(
            (none.quantile(0.9), none.mean(), none.below(1.0)),
            (0.0, 0.0, 0.0)
        );
        assert!(none.mean().is_sign_positive());
    }

    #[test]
    fn an_exact_amount_has_no_width() {
        let exact = Distribution::mixture([(1.0, 250.0, 0.0)]);
        assert!(
            (exact.quantile(0.1) - 250.0).abs() < 1e-3
                && (exact.quantile(0.9) - 250.0).abs() < 1e-3
        );
    }
}
