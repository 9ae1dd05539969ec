//! The ways things may be, of which a total's mixture is made: which option of a choice, which uncertain parts are there,
//! how much was eaten, and roughly how much there was of the widest part.
//!
//! A sum of parts of like width is close to a lognormal; what makes it another shape is split off here, the most weighty
//! first, until there are [`MOST`] scenarios. What is not split keeps its chance and variance in every scenario.

use super::distribution::{Z90, standard_normal};
use super::{Loading, Nutrient, moments_of};
use crate::library::Triple;
use crate::plate::{Component, Plate};

/// The most scenarios that a mixture is made of: each costs a few microseconds.
const MOST: usize = 192;

/// Pairs of parts that all scenarios together may take: a plate of hundreds of parts gets by with few scenarios.
const MOST_PAIRS: usize = 2_000_000;

fn most(parts: usize) -> usize {
    (MOST_PAIRS / (parts * parts).max(1)).clamp(1, MOST)
}

/// A part whose own σ is below this leaves a sum's shape alone.
const NARROW: f64 = 0.45;

/// A split is worth its scenarios from this weight; see [`splits`].
const WORTH_A_SPLIT: f64 = 0.1;

/// Where a wide part is cut, in its own σ: at about the 7th, 31st, 69th and 93rd percentile, and once more far out, where
/// the weight of a long tail lies.
const CUTS: [f64; 5] = [-1.5, -0.5, 0.5, 1.5, 2.5];

/// What is so of one component in one scenario.
#[derive(Debug, Clone, Copy)]
pub struct State {
    /// Chance of being there.
    pub chance: f64,
    /// What its mean is multiplied by.
    pub mean: f64,
    /// What its second moment is multiplied by.
    pub second: f64,
}

/// One way things may be.
#[derive(Debug, Clone)]
pub struct Scenario {
    /// How likely it is.
    pub probability: f64,
    /// By component.
    pub states: Vec<State>,
}

/// A way to split every scenario.
enum Split {
    /// The parts with this remark, or the one part at this index, were eaten to a low, middle or high share.
    Eaten(Vec<usize>),
    /// The part is there, or not.
    There(usize),
    /// The part is small, middling or large.
    Width(usize),
}

/// Splits a plate into scenarios. A share eaten that is split no longer varies within one, so its loading is set to 0.
pub fn scenarios(plate: &Plate, loadings: &mut [Loading]) -> Vec<Scenario> {
    let states = loadings
        .iter()
        .map(|loading| State {
            chance: loading.chance,
            mean: 1.0,
            second: 1.0,
        })
        .collect();
    let mut all = vec![Scenario {
        probability: 1.0,
        states,
    }];
    for index in 0..plate.choices.len() {
        all = choose(plate, index, all);
    }
    let mut splits = splits(plate, loadings);
    splits.sort_by(|a, b| b.0.total_cmp(&a.0));
    for (_, split) in splits {
        let branches = match &split {
            Split::Eaten(parts) => eaten_branches(parts, plate),
            Split::There(_) => vec![(0.5, 1.0, 1.0); 2],
            Split::Width(at) => width_branches(loadings[*at].own),
        };
        if all.len() * branches.len() > most(loadings.len()) {
            continue;
        }
        all = match &split {
            Split::There(at) => there_or_not(*at, all),
            Split::Width(at) => branch(&[*at], &branches, all),
            Split::Eaten(parts) => branch(parts, &branches, all),
        };
        if let Split::Eaten(parts) = split {
            for at in parts {
                loadings[at].eaten = 0.0;
            }
        }
    }
    all
}

fn choose(plate: &Plate, index: usize, mut all: Vec<Scenario>) -> Vec<Scenario> {
    let options = plate.choices[index].options.len().max(1);
    let option_of = |component: &Component| {
        component
            .option
            .filter(|(choice, _)| *choice == index)
            .map(|(_, option)| option)
    };
    if all.len() * options > most(plate.components.len()) {
        // Too many: the options of this choice stay uncertain, each with its share.
        for scenario in &mut all {
            for (state, component) in scenario.states.iter_mut().zip(&plate.components) {
                if option_of(component).is_some() {
                    state.chance *= plate.option_share(component);
                }
            }
        }
        return all;
    }
    let with_option = |scenario: &Scenario, chosen: usize| {
        let mut scenario = scenario.clone();
        scenario.probability *= plate.choices[index].share(chosen);
        for (state, component) in scenario.states.iter_mut().zip(&plate.components) {
            if option_of(component).is_some_and(|option| option != chosen) {
                state.chance = 0.0;
            }
        }
        scenario
    };
    all.iter()
        .flat_map(|scenario| (0..options).map(move |chosen| with_option(scenario, chosen)))
        .collect()
}

/// What each nutrient counts in the order of splits: energy first, fibre and alcohol follow.
const COUNTS: [(Nutrient, f64); 4] = [
    (Nutrient::Energy, 2.0),
    (Nutrient::Protein, 1.0),
    (Nutrient::Fat, 1.0),
    (Nutrient::Carbohydrate, 1.0),
];

/// Whether a part is there leaves gaps between totals, which width alone does not: it goes first.
const GAPS_FIRST: f64 = 40.0;

/// Every split worth making, with its weight: the share of variance that it takes out of the scenarios.
fn splits(plate: &Plate, loadings: &[Loading]) -> Vec<(f64, Split)> {
    let there: Vec<f64> = loadings
        .iter()
        .zip(&plate.components)
        .map(|(loading, part)| loading.chance * plate.option_share(part))
        .collect();
    let means = |nutrient: Nutrient| -> Vec<f64> {
        loadings
            .iter()
            .zip(&plate.components)
            .map(|(loading, part)| loading.hundreds * nutrient.of(&part.per_100g))
            .collect()
    };
    // By part: its squared mean as a share of the whole variance, over the nutrients that count.
    let mut squared = vec![0.0; loadings.len()];
    for (nutrient, counts) in COUNTS {
        let means = means(nutrient);
        let total: f64 = (0..means.len())
            .map(|at| moments_of(&loadings[at], means[at], there[at]).1)
            .sum();
        if total > 0.0 {
            for (sum, mean) in squared.iter_mut().zip(&means) {
                *sum += counts * mean * mean / total;
            }
        }
    }
    let mut found = Vec::new();
    let mut remarks: Vec<(Option<usize>, Vec<usize>)> = Vec::new();
    for (at, loading) in loadings.iter().enumerate() {
        if there[at] <= 0.0 {
            continue;
        }
        if loading.chance < 1.0 {
            let variance = loading.chance * (1.0 - loading.chance) * squared[at];
            found.push((GAPS_FIRST * variance, Split::There(at)));
        }
        if loading.own > NARROW {
            let variance = there[at] * squared[at] * (loading.own * loading.own).exp_m1();
            found.push((variance, Split::Width(at)));
        }
        if loading.eaten > 0.0 {
            let remark = plate.components[at].remark;
            match remarks
                .iter_mut()
                .find(|(known, _)| remark.is_some() && *known == remark)
            {
                Some((_, parts)) => parts.push(at),
                None => remarks.push((remark, vec![at])),
            }
        }
    }
    for (_, parts) in remarks {
        let sd: f64 = parts
            .iter()
            .map(|at| there[*at] * (squared[*at] * loadings[*at].eaten).sqrt())
            .sum();
        found.push((sd * sd, Split::Eaten(parts)));
    }
    found.retain(|(weight, split)| *weight > WORTH_A_SPLIT || matches!(split, Split::There(_)));
    found
}

fn there_or_not(at: usize, all: Vec<Scenario>) -> Vec<Scenario> {
    all.into_iter()
        .flat_map(|scenario| {
            let share = scenario.states[at].chance;
            if share <= 0.0 || share >= 1.0 {
                return vec![scenario];
            }
            let with_chance = |chance: f64, probability: f64| {
                let mut scenario = scenario.clone();
                scenario.probability *= probability;
                scenario.states[at].chance = chance;
                scenario
            };
            vec![with_chance(1.0, share), with_chance(0.0, 1.0 - share)]
        })
        .collect()
}

/// Splits scenarios in which at least one of the parts is there by (probability, factor of the mean, of the second moment).
fn branch(parts: &[usize], branches: &[(f64, f64, f64)], all: Vec<Scenario>) -> Vec<Scenario> {
    all.into_iter()
        .flat_map(|scenario| {
            if parts.iter().all(|at| scenario.states[*at].chance <= 0.0) {
                return vec![scenario];
            }
            branches
                .iter()
                .map(|(probability, mean, second)| {
                    let mut scenario = scenario.clone();
                    scenario.probability *= probability;
                    for at in parts {
                        scenario.states[*at].mean *= mean;
                        scenario.states[*at].second *= second;
                    }
                    scenario
                })
                .collect()
        })
        .collect()
}

/// A lognormal of mean 1 and this σ, cut at [`CUTS`]: between z = a and b lies Φ(b) − Φ(a) of it, and of its kth moment
/// Φ(b − kσ) − Φ(a − kσ).
fn width_branches(sigma: f64) -> Vec<(f64, f64, f64)> {
    let mut edges = vec![f64::NEG_INFINITY];
    edges.extend(CUTS);
    edges.push(f64::INFINITY);
    edges
        .windows(2)
        .map(|edge| {
            let within =
                |shift: f64| standard_normal(edge[1] - shift) - standard_normal(edge[0] - shift);
            let probability = within(0.0);
            (
                probability,
                within(sigma) / probability,
                within(2.0 * sigma) / probability,
            )
        })
        .collect()
}

/// Three shares, of the same mean and variance as the share eaten and never outside 0 to 1.
fn eaten_branches(parts: &[usize], plate: &Plate) -> Vec<(f64, f64, f64)> {
    let [low, likely, high]: Triple = plate.components[parts[0]].eaten;
    let sd = (high - low).max(0.0) / (2.0 * Z90);
    // Where √3 sd is in reach, the three points match a normal's kurtosis too.
    let step = (3.0f64.sqrt() * sd).min(likely).min(1.0 - likely).max(sd);
    let weight = (sd * sd / (2.0 * step * step)).min(0.5);
    [
        (weight, likely - step),
        (1.0 - 2.0 * weight, likely),
        (weight, likely + step),
    ]
    .map(|(probability, share)| {
        let factor = (share / likely).max(0.0);
        (probability, factor, factor * factor)
    })
    .to_vec()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Mean and second moment of branches, which splitting must not change.
    fn moments(branches: &[(f64, f64, f64)]) -> [f64; 3] {
        branches
            .iter()
            .fold([0.0; 3], |[p, m, s], (probability, mean, second)| {
                [
                    p + probability,
                    m + probability * mean,
                    s + probability * second,
                ]
            })
    }

    #[test]
    fn cutting_a_wide_part_keeps_its_mean_and_second_moment() {
        for sigma in [0.3, 0.7, 1.2] {
            for moment in moments(&width_branches(sigma)) {
                assert!((moment - 1.0).abs() < 1e-9, "σ {sigma}: {moment}");
            }
        }
    }
}
