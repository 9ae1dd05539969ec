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
            if !(weight > 0.0) {
                continue;
            }
            if !(mean > 1e-12) {
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
            // Not `sum`: the sum of nothing is -0.0, which would be printed so.
            .fold(0.0, |sum, mean| sum + mean)
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
    fn nothing_at_all_is_zero() {
        let none = Distribution::mixture([]);
        assert_eq!(
            (none.quantile(0.9), none.mean(), none.below(1.0)),
            (0.0, 0.0, 0.0)
        );
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
