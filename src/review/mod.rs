//! What was written down against what a menu's words imply.
//!
//! Nothing here is a verdict. A [`Finding`] says what was seen, how sure that is, and a kindly worded question; thresholds
//! and wordings are data, `component-library/rules/review.toml`.
//!
//! - **energy**: what the macros can give by the Atwater factors, general and specific; missing and zero macros; where the
//!   written figures stand in the estimate's own distribution.
//! - **parts**: components that the menu's words name or imply and the record's words do not.
//! - **slips**: units that changed places, where undoing the slip brings the record near to the estimate.

mod energy;
mod figures;
mod layout;
mod parts;
mod slips;
mod table;
mod wording;

pub use figures::{Figures, read_figures};
pub(crate) use layout::caution_lines;
pub use layout::{JsonReview, ReviewRow, json_review, review_rows, review_table};
pub use table::{RecordFault, RecordsError, read_records};

use crate::estimate::{Estimate, Nutrient};
use crate::library::Library;
use crate::plate::PlateOptions;
use crate::read::ReadError;
use crate::report::EnergyUnit;

/// What was written down of one meal.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Record {
    /// Its id, or its line; empty for a single one.
    pub id: String,
    /// The day, as it was written.
    pub date: Option<String>,
    /// The menu's words.
    pub text: String,
    /// The record's own words, without its figures.
    pub words: Option<String>,
    /// Its figures.
    pub figures: Figures,
}

/// How sure a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sureness {
    /// Worth a question.
    Possible,
    /// More likely than not.
    Likely,
    /// Arithmetic, or there to be seen.
    Certain,
}

impl Sureness {
    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Sureness::Possible => "possible",
            Sureness::Likely => "likely",
            Sureness::Certain => "certain",
        }
    }
}

/// Something to ask about.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Its kind, as in the wordings of `rules/review.toml`, or the id of a slip.
    pub kind: String,
    /// A heading.
    pub title: String,
    /// What was seen.
    pub seen: String,
    /// How sure it is.
    pub sure: Sureness,
    /// What to ask the client.
    pub question: String,
}

/// A record with what there is to ask about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Review {
    /// The record.
    pub record: Record,
    /// What the menu's words imply.
    pub estimate: Estimate,
    /// Share of such plates with at most the energy written down, 0 to 1.
    pub standing: Option<f64>,
    /// What to ask about, the surest first.
    pub findings: Vec<Finding>,
    /// What could not be compared, and why.
    pub notes: Vec<String>,
}

/// Holds a record against the menu's words. Energy in the texts is given in `unit`.
///
/// # Errors
/// [`ReadError`] where the menu's words name no food. Record words that name none become a note.
pub fn review(
    library: &Library,
    record: Record,
    options: &PlateOptions,
    unit: EnergyUnit,
) -> Result<Review, ReadError> {
    let estimate = crate::estimate_text(library, &record.text, options)?;
    let mut notes = not_understood(&estimate, "the menu");
    let written = record.words.as_deref().and_then(|words| {
        let written = crate::estimate_text(library, words, options).ok();
        notes.extend(match &written {
            Some(written) => not_understood(written, "the record"),
            None => vec![format!(
                "the record's words \"{words}\" name no food that is known, so its parts were not compared"
            )],
        });
        written
    });
    let case = Case {
        library,
        figures: record.figures,
        estimate: &estimate,
        written: written.as_ref(),
        unit,
    };
    let slip = slips::slip(&case);
    // A slip that is likely explains the figures: to ask about both would only confuse.
    let is_explained = slip
        .as_ref()
        .is_some_and(|slip| slip.sure >= Sureness::Likely);
    let mut findings: Vec<Finding> = slip.into_iter().collect();
    findings.extend(energy::missing(&case));
    if !is_explained {
        findings.extend(energy::against_macros(&case));
    }
    // Parts first: they may be why the energy stands where it does.
    findings.extend(parts::parts(&case));
    if !is_explained {
        findings.extend(energy::standing(&case));
    }
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.sure));
    let standing = record
        .figures
        .kcal
        .map(|kcal| estimate.distribution(Nutrient::Energy).below(kcal));
    Ok(Review {
        record,
        standing,
        findings,
        notes,
        estimate,
    })
}

fn not_understood(estimate: &Estimate, whose: &str) -> Vec<String> {
    estimate
        .plate
        .not_understood
        .iter()
        .map(|word| format!("\"{}\" in {whose}'s words was not understood", word.text))
        .collect()
}

/// What every check looks at.
struct Case<'a> {
    library: &'a Library,
    figures: Figures,
    /// Of the menu's words.
    estimate: &'a Estimate,
    /// Of the record's own words.
    written: Option<&'a Estimate>,
    unit: EnergyUnit,
}

impl Case<'_> {
    fn macros(&self) -> [(Nutrient, Option<f64>); 3] {
        [
            (Nutrient::Protein, self.figures.protein),
            (Nutrient::Fat, self.figures.fat),
            (Nutrient::Carbohydrate, self.figures.carbohydrate),
        ]
    }

    fn are_macros_zero(&self) -> bool {
        self.macros().iter().all(|(_, grams)| *grams == Some(0.0))
    }
}
