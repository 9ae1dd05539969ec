//! The plate as a handful of lines to record: what a coach or client would write into a food record.
//!
//! - A whole dish is one precisely named line, with what was added to it.
//! - An open choice is one line with the average of its options.
//! - Small parts, and parts by custom that are seldom there, are gathered into one line that keeps their energy and macros.
//!
//! The lines' likely figures add up to the plate's exactly; low and high do not, as those of components do not.

mod amount;
mod gather;
mod name;

pub use amount::Amount;
pub use name::short_name;

use crate::estimate::Estimate;
use crate::estimate::Range;
use crate::library::Library;

/// What the diner can measure with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Measure {
    /// A kitchen scale: ounces for meat and for what is poured, grams for the rest.
    #[default]
    Scale,
    /// Cups, spoons, pieces and slices.
    Cups,
    /// Palms, fists, cupped hands and thumbs.
    Hand,
}

impl Measure {
    /// Its name in the data and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Measure::Scale => "scale",
            Measure::Cups => "cups",
            Measure::Hand => "hand",
        }
    }
}

/// How the lines are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LineOptions {
    /// The most lines, at least 1; 0 is taken as 1.
    pub at_most: usize,
    /// What the diner can measure with.
    pub measure: Measure,
}

impl Default for LineOptions {
    fn default() -> Self {
        LineOptions {
            at_most: 6,
            measure: Measure::Scale,
        }
    }
}

/// A part of a line.
#[derive(Debug, Clone, PartialEq)]
pub struct LinePart {
    /// Plain name.
    pub name: String,
    /// g expected, by its chance of being there.
    pub grams: f64,
    /// How often it is there: 0 to 1.
    pub chance: f64,
}

/// A line to record.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// A plain name that one could search for.
    pub name: String,
    /// The dish it belongs to; none where it is gathered from several.
    pub dish: Option<String>,
    /// How much, as a person writes it.
    pub amount: Amount,
    /// g expected, before the amount was rounded.
    pub grams: f64,
    /// kcal; likely is the expected value.
    pub energy: Range,
    /// Expected values by [`crate::Nutrient::ALL`].
    pub likely: [f64; 6],
    /// What it is made of, largest energy first.
    pub parts: Vec<LinePart>,
    /// What the person who writes it down should know.
    pub note: Option<String>,
}

/// The lines of a meal, in the plate's order, a gathered one last.
///
/// ```
/// use platespan::entries::{LineOptions, lines};
/// use platespan::{Library, Nutrient, PlateOptions, estimate_text};
///
/// let library = Library::embedded();
/// let estimate = estimate_text(&library, "baked trout, boiled potatoes, spinach, lemon butter", &PlateOptions::default())?;
/// let lines = lines(&library, &estimate, LineOptions::default());
/// let sum: f64 = lines.iter().map(|line| line.energy.likely).sum();
/// assert!((sum - estimate.total(Nutrient::Energy).likely).abs() < 1.0);
/// # Ok::<(), platespan::ReadError>(())
/// ```
pub fn lines(library: &Library, estimate: &Estimate, options: LineOptions) -> Vec<Line> {
    gather::drafts(library, estimate, options.at_most.max(1))
        .into_iter()
        .map(|draft| line(library, estimate, draft, options.measure))
        .collect()
}

fn line(library: &Library, estimate: &Estimate, draft: gather::Draft, measure: Measure) -> Line {
    let rows = &estimate.rows;
    let mut likely = [0.0; 6];
    for at in &draft.rows {
        for (sum, range) in likely.iter_mut().zip(rows[*at].nutrients) {
            *sum += range.likely;
        }
    }
    let energy = match draft.rows.as_slice() {
        [one] => rows[*one].nutrients[0],
        many => crate::estimate::energy_of(library, &estimate.plate, many),
    };
    let mut by_energy = draft.rows.clone();
    by_energy.sort_by(|a, b| {
        let energy = |at: usize| rows[at].nutrients[0].likely;
        energy(*b).total_cmp(&energy(*a)).then(a.cmp(b))
    });
    let grams = draft
        .rows
        .iter()
        .map(|at| gather::expected_grams(estimate, *at))
        .sum();
    let amount = amount::of(library, estimate, &draft, &by_energy, measure);
    Line {
        name: name::of(library, estimate, &draft, &by_energy),
        dish: name::dish_of(estimate, &draft),
        note: name::note(estimate, &draft, &amount),
        amount,
        grams,
        energy,
        likely,
        parts: by_energy
            .iter()
            .map(|at| LinePart {
                name: rows[*at].component.name.clone(),
                grams: gather::expected_grams(estimate, *at),
                chance: rows[*at].component.chance,
            })
            .collect(),
    }
}
