//! A person's eye: how far their guesses of weight lie from the scales, by group of food.
//!
//! Each weighing is y = ln(guess / weighed): 0 is a perfect guess, and guessing double is as far off as guessing half.
//! Within a group the y of a person are taken as normal with a bias β and a scatter σ:
//!
//! ```text
//! σ   before anything is known: s₀ = √ln(1 + cv²) of the published cv, worth ν₀ weighings
//! β ~ Normal(0, τ²)             people's biases lie round nothing at all
//!
//! σ̂² = (ν₀ s₀² + Σ (yᵢ - ȳ)²) / (ν₀ + n - 1)       n ≥ 1; s₀² for n = 0
//! β̂  = ȳ · n / (n + σ̂² / τ²)                        shrunk towards 0
//! v  = 1 / (n / σ̂² + 1 / τ²)                         what is not known of β
//! ```
//!
//! σ̂² pools the published variance with the person's own, as an inverse-gamma prior of ν₀ degrees of freedom would, and
//! is put into the normal-normal posterior of β (empirical Bayes). The next guess g of the group then stands for the
//! weight g · exp(-β̂), a lognormal whose σ is √(σ̂² + v). Without any weighing that is g itself with √(s₀² + τ²): the eye
//! of a stranger.
//!
//! cv, ν₀ and τ are data: `component-library/rules/eye.toml`.

mod log;

pub use log::{HEADING, Log, LogError, Weighing};

use crate::library::schema::EyeEntry;
use std::collections::BTreeMap;

/// What is known of one person's eye.
#[derive(Debug, Clone, PartialEq)]
pub struct EyeModel {
    rules: EyeEntry,
    groups: BTreeMap<String, GroupEye>,
}

/// What is known of one person's eye for a group of food.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroupEye {
    /// Weighings.
    pub number: usize,
    /// Bias of ln(guess / weighed), shrunk.
    pub bias: f64,
    /// Scatter of ln(guess / weighed) round the bias, σ.
    pub scatter: f64,
    /// σ of the next guess once the bias is taken off: the scatter, and what is not known of the bias.
    pub sigma: f64,
}

impl GroupEye {
    /// The bias as a share of the weight: 0.08 is 8 % high.
    pub fn share(&self) -> f64 {
        self.bias.exp_m1()
    }
}

impl EyeModel {
    /// From weighings: each the group of its food, and ln(guess / weighed).
    pub fn new<'a>(
        rules: &EyeEntry,
        weighings: impl IntoIterator<Item = (&'a str, f64)>,
    ) -> EyeModel {
        let mut logs: BTreeMap<String, Vec<f64>> = BTreeMap::new();
        for (group, log_error) in weighings {
            logs.entry(group.to_owned()).or_default().push(log_error);
        }
        EyeModel {
            groups: logs
                .into_iter()
                .map(|(group, logs)| (group, group_eye(rules, &logs)))
                .collect(),
            rules: rules.clone(),
        }
    }

    /// The eye for a group; a stranger's where nothing of it was weighed.
    pub fn of(&self, group: &str) -> GroupEye {
        self.groups
            .get(group)
            .copied()
            .unwrap_or_else(|| group_eye(&self.rules, &[]))
    }

    /// Every group with weighings, by name.
    pub fn groups(&self) -> impl Iterator<Item = (&str, &GroupEye)> {
        self.groups.iter().map(|(group, eye)| (group.as_str(), eye))
    }

    /// Whether an amount in this measure is taken by eye: a hand measure, or a weight that the words are not sure of.
    pub fn is_guess(&self, unit: &str, is_weight: bool, vague: bool) -> bool {
        is_weight && vague || self.rules.units.iter().any(|known| known == unit)
    }

    /// Categories and groups in which a hand or household measure is the menu's own.
    pub fn not_on(&self) -> &[String] {
        &self.rules.not_on
    }

    /// How the bias for a group reads in a sentence: `you guess starches 12 % low`.
    pub fn sentence(&self, group: &str) -> String {
        let eye = self.of(group);
        let name = self.name(group);
        if eye.number < self.rules.enough {
            return format!(
                "{} of {name} so far: too few to tell a habit",
                weighings(eye.number)
            );
        }
        let share = eye.share();
        if share.abs() < self.rules.level {
            format!("your guesses of {name} are level")
        } else {
            let side = if share > 0.0 { "high" } else { "low" };
            format!("you guess {name} {:.0} % {side}", 100.0 * share.abs())
        }
    }

    /// The plain name of a group.
    pub fn name<'a>(&'a self, group: &'a str) -> &'a str {
        self.rules.names.get(group).map_or(group, String::as_str)
    }
}

/// "1 weighing", "2 weighings".
pub fn weighings(number: usize) -> String {
    match number {
        0 => "no weighings".to_owned(),
        1 => "1 weighing".to_owned(),
        number => format!("{number} weighings"),
    }
}

fn group_eye(rules: &EyeEntry, logs: &[f64]) -> GroupEye {
    let n = logs.len() as f64;
    // σ² of the lognormal with the published coefficient of variation.
    let published = rules.published_cv.powi(2).ln_1p();
    let prior = rules.bias_sigma.powi(2);
    if logs.is_empty() {
        return GroupEye {
            number: 0,
            bias: 0.0,
            scatter: published.sqrt(),
            sigma: (published + prior).sqrt(),
        };
    }
    let mean = logs.iter().sum::<f64>() / n;
    let squares: f64 = logs.iter().map(|log| (log - mean).powi(2)).sum();
    let scatter =
        (rules.scatter_strength * published + squares) / (rules.scatter_strength + n - 1.0);
    let unknown = 1.0 / (n / scatter + 1.0 / prior);
    GroupEye {
        number: logs.len(),
        bias: mean * n / (n + scatter / prior),
        scatter: scatter.sqrt(),
        sigma: (scatter + unknown).sqrt(),
    }
}

/// The median of each value with up to `window - 1` before it.
pub fn moving_median(values: &[f64], window: usize) -> Vec<f64> {
    (0..values.len())
        .map(|end| {
            let mut last = values[(end + 1).saturating_sub(window.max(1))..=end].to_vec();
            last.sort_by(f64::total_cmp);
            let middle = last.len() / 2;
            if last.len() % 2 == 1 {
                last[middle]
            } else {
                (last[middle - 1] + last[middle]) / 2.0
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rules() -> EyeEntry {
        EyeEntry {
            published_cv: 0.5,
            scatter_strength: 4.0,
            bias_sigma: 0.3,
            enough: 3,
            level: 0.03,
            units: vec!["palm".to_owned()],
            ..EyeEntry::default()
        }
    }

    #[track_caller]
    fn near(a: f64, b: f64) {
        assert!((a - b).abs() < 5e-5, "{a} is not {b}");
    }

    #[test]
    fn without_weighings_the_published_scatter_stands() {
        // CV 50 % (Bingham & Nelson 1991): √ln(1.25) = √0.223144 = 0.47238; √(0.223144 + 0.09) = 0.55959.
        let eye = EyeModel::new(&rules(), []).of("protein");
        near(eye.scatter, 0.47238);
        near(eye.sigma, 0.55959);
        assert_eq!((eye.number, eye.bias), (0, 0.0));
    }

    #[test]
    fn one_weighing_moves_the_bias_a_little() {
        // 5 oz that weighs 4.5 oz: ln(10/9) = 0.105361. σ̂² = 4·0.223144/4 = 0.223144;
        // β̂ = 0.105361 / (1 + 0.223144/0.09) = 0.105361 / 3.479373 = 0.03028.
        let eye = EyeModel::new(&rules(), [("protein", (5.0f64 / 4.5).ln())]).of("protein");
        near(eye.bias, 0.03028);
        near(eye.scatter, 0.47238);
        // v = 1 / (1/0.223144 + 1/0.09) = 0.064133; √(0.223144 + 0.064133) = 0.53598.
        near(eye.sigma, 0.53598);
    }

    #[test]
    fn many_weighings_speak_for_themselves() {
        // ȳ = 0.2; Σ(y-ȳ)² = 20·0.01 = 0.2; σ̂² = (4·0.223144 + 0.2) / 23 = 0.0475032;
        // β̂ = 0.2·20 / (20 + 0.0475032/0.09) = 4 / 20.527813 = 0.19486.
        let logs = (0..20).map(|at| ("starch", if at % 2 == 0 { 0.1 } else { 0.3 }));
        let model = EyeModel::new(&rules(), logs);
        let eye = model.of("starch");
        near(eye.bias, 0.19486);
        near(eye.scatter, 0.21795);
        // v = 1 / (20/0.0475032 + 1/0.09) = 0.0023141; √(0.0475032 + 0.0023141) = 0.22320.
        near(eye.sigma, 0.22320);
        assert_eq!(model.sentence("starch"), "you guess starch 22 % high");
        // Another group knows nothing of it.
        assert_eq!(model.of("protein").number, 0);
    }

    #[test]
    fn a_weight_is_a_guess_only_where_the_words_are_not_sure() {
        let model = EyeModel::new(&rules(), []);
        assert!(model.is_guess("oz", true, true));
        assert!(!model.is_guess("oz", true, false));
        assert!(model.is_guess("palm", true, false));
        assert!(!model.is_guess("glass", false, true));
    }

    #[test]
    fn a_moving_median_takes_what_there_is() {
        assert_eq!(
            moving_median(&[4.0, 0.0, 2.0, 9.0], 3),
            [4.0, 2.0, 2.0, 2.0]
        );
        assert!(moving_median(&[], 3).is_empty());
        assert_eq!(moving_median(&[1.0, 5.0], 0), [1.0, 5.0]);
    }
}
