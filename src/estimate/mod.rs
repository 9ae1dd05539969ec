//! From a plate to distributions of energy and macros, in closed form.
//!
//! - A portion triple is the 10th, 50th and 90th percentile of a lognormal: median = likely, σ = ln(high / low) / (2 · [`Z90`]).
//! - Energy density is a lognormal round the library's figure; its coefficient of variation is the food's `spread`.
//! - Three factors of mean 1 are shared and make the parts rise and fall together: the house's portion size (inside each
//!   portion's own σ, not on top of it), the kitchen's hand with fat, and one for the plate as a whole.
//! - A total's mean and variance follow from these exactly; its shape is a lognormal of that mean and variance, and where
//!   choices or parts are open, a mixture of lognormals over them.
//! - **Likely is the expected value**, so that components add up to the plate, plates to the day.

mod distribution;
mod scenario;

pub use distribution::{Distribution, Z90, standard_normal};

use crate::library::{Library, Per100g, Triple};
use crate::plate::{Component, Plate};
use scenario::{Scenario, scenarios};

/// kJ in one kcal, exactly (thermochemical calorie).
pub const KJ_PER_KCAL: f64 = 4.184;

/// The share of plates that lie between low and high.
pub const INTERVAL: f64 = 0.8;

/// Low, likely, high: the 10th percentile, the expected value, the 90th percentile.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Range {
    /// 10th percentile.
    pub low: f64,
    /// Expected value.
    pub likely: f64,
    /// 90th percentile.
    pub high: f64,
}

impl Range {
    /// The range of a distribution.
    pub fn of(distribution: &Distribution) -> Range {
        Range {
            low: distribution.quantile((1.0 - INTERVAL) / 2.0),
            likely: distribution.mean(),
            high: distribution.quantile((1.0 + INTERVAL) / 2.0),
        }
    }

    /// ln(high / low): how wide it is, whatever its middle. A low end below 3 % of the high one counts as that, and one of
    /// nothing at all is 0 wide.
    pub fn width(self) -> f64 {
        const LEAST_SHARE: f64 = 0.03;
        if self.high <= 0.0 {
            return 0.0;
        }
        (self.high / self.low.max(LEAST_SHARE * self.high)).ln()
    }

    /// The range times a number.
    pub fn times(self, by: f64) -> Range {
        Range {
            low: self.low * by,
            likely: self.likely * by,
            high: self.high * by,
        }
    }
}

/// What is estimated of a component or a plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Nutrient {
    /// Energy, kcal.
    Energy,
    /// Protein, g.
    Protein,
    /// Fat, g.
    Fat,
    /// Total carbohydrate with fibre, g.
    Carbohydrate,
    /// Dietary fibre, g.
    Fibre,
    /// Ethanol, g.
    Alcohol,
}

impl Nutrient {
    /// All six, in the order of reports.
    pub const ALL: [Nutrient; 6] = [
        Nutrient::Energy,
        Nutrient::Protein,
        Nutrient::Fat,
        Nutrient::Carbohydrate,
        Nutrient::Fibre,
        Nutrient::Alcohol,
    ];

    /// Of figures per 100 g, this one.
    pub fn of(self, figures: &Per100g) -> f64 {
        match self {
            Nutrient::Energy => figures.kcal,
            Nutrient::Protein => figures.protein,
            Nutrient::Fat => figures.fat,
            Nutrient::Carbohydrate => figures.carbohydrate,
            Nutrient::Fibre => figures.fibre,
            Nutrient::Alcohol => figures.alcohol,
        }
    }

    /// Plain name.
    pub fn name(self) -> &'static str {
        match self {
            Nutrient::Energy => "energy",
            Nutrient::Protein => "protein",
            Nutrient::Fat => "fat",
            Nutrient::Carbohydrate => "carbohydrate",
            Nutrient::Fibre => "fibre",
            Nutrient::Alcohol => "alcohol",
        }
    }
}

/// A component with its ranges.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The component.
    pub component: Component,
    /// g eaten, where it is there.
    pub grams: Range,
    /// By [`Nutrient::ALL`]; likely is the expected value, so that rows add up.
    pub nutrients: [Range; 6],
    /// σ it shares with all that the same house serves: its portion size, and its kitchen's hand with fat.
    pub shared: [f64; 2],
}

/// Where the width of a range comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// How much of it there was.
    Portions,
    /// What it was made of.
    Composition,
    /// Which of several it was.
    Choices,
    /// Whether a part was there at all.
    ImpliedParts,
    /// How much was eaten.
    Eaten,
}

impl Cause {
    /// In plain words.
    pub fn name(self) -> &'static str {
        match self {
            Cause::Portions => "portion sizes",
            Cause::Composition => "how it was made",
            Cause::Choices => "open choices",
            Cause::ImpliedParts => "parts that may or may not be there",
            Cause::Eaten => "how much was eaten",
        }
    }
}

/// A meal's estimate.
#[derive(Debug, Clone, PartialEq)]
pub struct Estimate {
    /// The text.
    pub text: String,
    /// The plate.
    pub plate: Plate,
    /// Its components with ranges, in the plate's order.
    pub rows: Vec<Row>,
    /// Totals by [`Nutrient::ALL`].
    pub total: [Range; 6],
    /// Distributions of the totals by [`Nutrient::ALL`].
    pub distributions: Vec<Distribution>,
    /// Where the width of the energy range comes from: shares of its variance, largest first, summing to 1.
    pub causes: Vec<(Cause, f64)>,
    /// The component that widens the range most, with its share of the energy's variance.
    pub widest: Widest,
}

impl Estimate {
    /// The total of one nutrient.
    pub fn total(&self, nutrient: Nutrient) -> Range {
        self.total[nutrient as usize]
    }

    /// The distribution of one nutrient's total.
    pub fn distribution(&self, nutrient: Nutrient) -> &Distribution {
        &self.distributions[nutrient as usize]
    }
}

/// What of a component's logarithm varies, and what it shares with others.
#[derive(Debug, Clone, Copy)]
struct Loading {
    /// Mean share of a component that is there: grams × eaten / 100.
    hundreds: f64,
    /// σ² of all that varies where it is there.
    variance: f64,
    /// Loading on the house's portion size.
    house: f64,
    /// Loading on the kitchen's hand with fat.
    fat: f64,
    /// Loading on the plate as a whole.
    plate: f64,
    /// σ of what it shares with no other part: its own portion and density.
    own: f64,
    /// Coefficient of variation of the share eaten, squared.
    eaten: f64,
    /// The remark that says how much was eaten, where one does.
    remark: Option<usize>,
    chance: f64,
}

/// Which causes of variation are switched on; all of them for the estimate itself.
#[derive(Debug, Clone, Copy)]
struct Switches {
    portions: bool,
    composition: bool,
    eaten: bool,
}

const ALL_ON: Switches = Switches {
    portions: true,
    composition: true,
    eaten: true,
};

fn log_sigma(portion: Triple) -> f64 {
    if portion[0] > 0.0 && portion[2] > portion[0] {
        (portion[2] / portion[0]).ln() / (2.0 * Z90)
    } else {
        0.0
    }
}

fn portion_sigma(library: &Library, component: &Component) -> f64 {
    let own = log_sigma(component.grams);
    if component.stated {
        own
    } else {
        own * library.rules.model.portion_widening
    }
}

/// g of a component on average where it is there, before anything is left: above the median, as portions lean upwards.
pub fn mean_grams(library: &Library, component: &Component) -> f64 {
    let sigma = portion_sigma(library, component);
    component.grams[1] * (sigma * sigma / 2.0).exp()
}

fn loading(library: &Library, plate: &Plate, component: &Component, on: Switches) -> Loading {
    let model = &library.rules.model;
    let own = log_sigma(component.grams);
    let sigma = portion_sigma(library, component);
    let exact = own == 0.0 && component.spread == 0.0;
    let on_portions = f64::from(u8::from(on.portions));
    let on_composition = f64::from(u8::from(on.composition));
    // The house's size is a part of the portion's own σ: what all kitchens vary by holds what this kitchen varies by.
    let house = if component.stated {
        0.0
    } else {
        sigma.min(model.house_sigma)
    } * on_portions;
    let course = plate.dishes.get(component.dish);
    let plate = if exact {
        0.0
    } else {
        library.plate_sigma(course.map_or("", |dish| &dish.course))
    } * on_portions;
    let fat = if component.fatty {
        model.fat_sigma
    } else {
        0.0
    } * on_composition;
    let density = component.spread.powi(2).ln_1p() * on_composition;
    let [low, likely, high] = component.eaten;
    let spread_eaten = if likely > 0.0 {
        (high - low).max(0.0) / (2.0 * Z90) / likely
    } else {
        0.0
    };
    Loading {
        hundreds: mean_grams(library, component) * likely / 100.0,
        variance: sigma * sigma * on_portions + plate * plate + fat * fat + density,
        house,
        fat,
        plate,
        own: ((sigma * sigma * on_portions - house * house).max(0.0) + density).sqrt(),
        remark: component.remark,
        eaten: if on.eaten {
            spread_eaten * spread_eaten
        } else {
            0.0
        },
        chance: component.chance,
    }
}

/// Mean and variance of a component of mean `mean` where it is there, by its own chance of being there.
fn moments_of(loading: &Loading, mean: f64, chance: f64) -> (f64, f64) {
    let second = second_moment(loading, mean);
    (chance * mean, chance * second - (chance * mean).powi(2))
}

fn second_moment(loading: &Loading, mean: f64) -> f64 {
    mean * mean * loading.variance.exp() * (1.0 + loading.eaten)
}

fn covariance_factor(a: &Loading, b: &Loading) -> f64 {
    let shared = (a.house * b.house + a.fat * b.fat + a.plate * b.plate).exp();
    let together = a.remark.is_some() && a.remark == b.remark;
    let eaten = if together {
        (a.eaten * b.eaten).sqrt()
    } else {
        0.0
    };
    shared * (1.0 + eaten) - 1.0
}

/// Mean and variance of a nutrient's total in one scenario.
fn moments(
    plate: &Plate,
    loadings: &[Loading],
    means: &[f64],
    shared: &[f64],
    scenario: &Scenario,
) -> (f64, f64) {
    let n = loadings.len();
    let there = |at: usize| {
        let state = &scenario.states[at];
        (state.chance > 0.0 && means[at] > 0.0)
            .then_some((state, state.chance * state.mean * means[at]))
    };
    let mut mean = 0.0;
    let mut variance = 0.0;
    for i in 0..n {
        let Some((state, own)) = there(i) else {
            continue;
        };
        let second = state.second * second_moment(&loadings[i], means[i]);
        mean += own;
        variance += state.chance * second - own * own;
        for j in 0..i {
            let Some((_, other)) = there(j) else { continue };
            let exclusive = match (plate.components[i].option, plate.components[j].option) {
                (Some((a, x)), Some((b, y))) => a == b && x != y,
                _ => false,
            };
            let factor = if exclusive { -1.0 } else { shared[i * n + j] };
            variance += 2.0 * own * other * factor;
        }
    }
    (mean, variance.max(0.0))
}

fn distribution(
    plate: &Plate,
    loadings: &[Loading],
    scenarios: &[Scenario],
    shared: &[f64],
    nutrient: Nutrient,
    macro_sigma: f64,
) -> Distribution {
    let means: Vec<f64> = loadings
        .iter()
        .zip(&plate.components)
        .map(|(loading, part)| loading.hundreds * nutrient.of(&part.per_100g))
        .collect();
    // What a plate's energy is made up of varies beyond the energy itself.
    let exact = loadings.iter().all(|loading| loading.variance == 0.0);
    let split = if nutrient == Nutrient::Energy || exact {
        0.0
    } else {
        macro_sigma * macro_sigma
    };
    Distribution::mixture(scenarios.iter().map(|scenario| {
        let (mean, variance) = moments(plate, loadings, &means, shared, scenario);
        let second = (variance + mean * mean) * split.exp();
        (scenario.probability, mean, (second - mean * mean).max(0.0))
    }))
}

fn shared_factors(loadings: &[Loading]) -> Vec<f64> {
    let n = loadings.len();
    let mut shared = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..i {
            shared[i * n + j] = covariance_factor(&loadings[i], &loadings[j]);
        }
    }
    shared
}

/// Estimates a plate.
pub fn estimate(library: &Library, text: &str, plate: Plate) -> Estimate {
    let loadings: Vec<Loading> = plate
        .components
        .iter()
        .map(|component| loading(library, &plate, component, ALL_ON))
        .collect();
    let mut within = loadings.clone();
    let open = scenarios(&plate, &mut within);
    let shared = shared_factors(&within);
    let distributions: Vec<Distribution> = Nutrient::ALL
        .iter()
        .map(|nutrient| {
            distribution(
                &plate,
                &within,
                &open,
                &shared,
                *nutrient,
                library.rules.model.macro_sigma,
            )
        })
        .collect();
    let total: Vec<Range> = distributions.iter().map(Range::of).collect();
    let rows = plate
        .components
        .iter()
        .zip(&loadings)
        .map(|(component, loading)| row(&plate, component, loading))
        .collect();
    let (causes, widest) = causes(library, &plate, &loadings);
    Estimate {
        text: text.to_owned(),
        rows,
        total: [total[0], total[1], total[2], total[3], total[4], total[5]],
        distributions,
        causes,
        widest,
        plate,
    }
}

/// Energy of some of a plate's components together, given by their places; likely adds up, low and high do not.
pub fn energy_of(library: &Library, plate: &Plate, at: &[usize]) -> Range {
    let some = Plate {
        components: at
            .iter()
            .filter_map(|at| plate.components.get(*at).cloned())
            .collect(),
        choices: plate.choices.clone(),
        ..Plate::default()
    };
    let loadings: Vec<Loading> = some
        .components
        .iter()
        .map(|component| loading(library, plate, component, ALL_ON))
        .collect();
    let mut within = loadings;
    let open = scenarios(&some, &mut within);
    let shared = shared_factors(&within);
    Range::of(&distribution(
        &some,
        &within,
        &open,
        &shared,
        Nutrient::Energy,
        library.rules.model.macro_sigma,
    ))
}

fn row(plate: &Plate, component: &Component, loading: &Loading) -> Row {
    let chance = component.chance * plate.option_share(component);
    let part = |per_100g: f64| {
        let mean = loading.hundreds * per_100g;
        let (_, variance) = moments_of(loading, mean, 1.0);
        Range::of(&Distribution::mixture([
            (chance, mean, variance),
            (1.0 - chance, 0.0, 0.0),
        ]))
    };
    let mut nutrients = [Range::default(); 6];
    for nutrient in Nutrient::ALL {
        nutrients[nutrient as usize] = part(nutrient.of(&component.per_100g));
    }
    let [low, likely, high] = component.grams;
    let eaten = component.eaten;
    Row {
        component: component.clone(),
        grams: Range {
            low: low * eaten[1],
            likely: likely * eaten[1],
            high: high * eaten[1],
        },
        nutrients,
        shared: [loading.house, loading.fat],
    }
}

/// A component by its place among the rows, with its share of the energy's variance.
type Widest = Option<(usize, f64)>;

/// Shares of the energy's variance by cause, and the component with the largest share.
fn causes(library: &Library, plate: &Plate, loadings: &[Loading]) -> (Vec<(Cause, f64)>, Widest) {
    let energy = |loadings: &[Loading]| -> Vec<f64> {
        loadings
            .iter()
            .zip(&plate.components)
            .map(|(loading, part)| loading.hundreds * part.per_100g.kcal)
            .collect()
    };
    // Every part with its chance and every choice open, in one scenario: the variance of all there is.
    let with_chances = |loadings: &[Loading], fixed_choices: bool, fixed_parts: bool| {
        let chances: Vec<f64> = loadings
            .iter()
            .zip(&plate.components)
            .map(|(loading, part)| loading.chance * plate.option_share(part))
            .collect();
        let shared = shared_factors(loadings);
        let means = energy(loadings);
        let n = means.len();
        let mut variance = 0.0;
        for i in 0..n {
            let part = &plate.components[i];
            let fixed = fixed_choices && part.option.is_some() || fixed_parts && part.chance < 1.0;
            variance += if fixed {
                // There for certain, in its expected amount.
                moments_of(&loadings[i], means[i] * chances[i], 1.0).1
            } else {
                moments_of(&loadings[i], means[i], chances[i]).1
            };
            for j in 0..i {
                let exclusive = match (part.option, plate.components[j].option) {
                    (Some((a, x)), Some((b, y))) => a == b && x != y && !fixed_choices,
                    _ => false,
                };
                let factor = if exclusive { -1.0 } else { shared[i * n + j] };
                variance += 2.0 * means[i] * chances[i] * means[j] * chances[j] * factor;
            }
        }
        variance.max(0.0)
    };
    let whole = with_chances(loadings, false, false);
    if whole <= 0.0 {
        return (Vec::new(), None);
    }
    let without = |on: Switches| {
        let loadings: Vec<Loading> = plate
            .components
            .iter()
            .map(|component| loading(library, plate, component, on))
            .collect();
        (whole - with_chances(&loadings, false, false)).max(0.0)
    };
    let mut causes = vec![
        (
            Cause::Portions,
            without(Switches {
                portions: false,
                ..ALL_ON
            }),
        ),
        (
            Cause::Composition,
            without(Switches {
                composition: false,
                ..ALL_ON
            }),
        ),
        (
            Cause::Eaten,
            without(Switches {
                eaten: false,
                ..ALL_ON
            }),
        ),
        (
            Cause::Choices,
            (whole - with_chances(loadings, true, false)).max(0.0),
        ),
        (
            Cause::ImpliedParts,
            (whole - with_chances(loadings, false, true)).max(0.0),
        ),
    ];
    let sum: f64 = causes.iter().map(|(_, share)| share).sum();
    for (_, share) in &mut causes {
        *share /= sum.max(f64::MIN_POSITIVE);
    }
    causes.retain(|(_, share)| *share > 0.005);
    causes.sort_by(|a, b| b.1.total_cmp(&a.1));
    let means = energy(loadings);
    let widest = (0..means.len())
        .map(|at| {
            let share = plate.option_share(&plate.components[at]);
            (
                at,
                moments_of(&loadings[at], means[at], loadings[at].chance * share).1 / whole,
            )
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(at, share)| (at, share.min(1.0)));
    (causes, widest)
}
