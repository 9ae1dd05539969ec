//! `platespan lines`.

use super::{CliError, Context, print, text_of};
use crate::entries::{self, LineOptions};
use crate::plate::PlateOptions;
use crate::report;
use clap::{Args, ValueEnum};
use std::num::NonZeroUsize;
use std::process::ExitCode;

/// Arguments of `platespan lines`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan lines \"roast pork loin, apple sauce, creamed leeks, roast potatoes\"
  platespan lines \"smoked salmon omelette, rye toast, black coffee\" --measure cups
  platespan lines \"lentil soup, garlic bread; left half the bread\" --measure hand --at-most 3
  platespan lines \"mushroom risotto, green salad, glass of white wine\" --format csv")]
pub struct LinesArgs {
    /// What the menu says and what is remembered; from standard input where it is left out or `-`
    words: Vec<String>,
    /// The most lines; small parts are gathered so that they fit
    #[arg(long, value_name = "N", default_value = "6")]
    at_most: NonZeroUsize,
    /// What there is to measure with; the settings file's, else a scale
    #[arg(long, value_enum)]
    measure: Option<Measure>,
    /// Shape of the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
    /// The menu's section heading, which may set the portion ("Starters")
    #[arg(long, value_name = "HEADING")]
    section: Option<String>,
}

/// What there is to measure with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Measure {
    /// A kitchen scale: ounces for meat and drinks, grams for the rest
    Scale,
    /// Cups, spoons, pieces, slices
    Cups,
    /// Palms, fists, cupped hands, thumbs
    Hand,
}

impl Measure {
    /// The flag's, else that of the settings file, else a scale.
    pub(super) fn wanted(flag: Option<Measure>, context: &Context) -> Measure {
        let of_file = || {
            let said = context.settings.measure.as_ref()?;
            Measure::from_str(&said.value, true).ok()
        };
        flag.or_else(of_file).unwrap_or(Measure::Scale)
    }
}

impl From<Measure> for entries::Measure {
    fn from(measure: Measure) -> Self {
        match measure {
            Measure::Scale => entries::Measure::Scale,
            Measure::Cups => entries::Measure::Cups,
            Measure::Hand => entries::Measure::Hand,
        }
    }
}

/// Shape of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Table,
    /// The meal's object, its `entries` as asked for
    Json,
    /// A row a line
    Csv,
}

/// Runs it.
pub fn run(args: LinesArgs, context: &Context) -> Result<ExitCode, CliError> {
    let text = text_of(&args.words)?;
    let options = PlateOptions {
        setting: context.setting.clone(),
        section: args.section,
        ..PlateOptions::default()
    };
    let estimate = crate::estimate_text(&context.library, &text, &options)?;
    let wanted = LineOptions {
        at_most: args.at_most.get(),
        measure: Measure::wanted(args.measure, context).into(),
    };
    let lines = entries::lines(&context.library, &estimate, wanted);
    match args.format {
        Format::Table => print(&report::lines_table(&lines, &estimate, &context.look))?,
        Format::Json => {
            let mut meal = report::json_meal(&context.library, &estimate, None);
            meal.entries = report::json_entries(&lines);
            print(&format!("{}\n", super::to_json(&meal)?))?;
        }
        Format::Csv => print(&super::to_csv(report::lines_csv(&lines, &estimate))?)?,
    }
    Ok(ExitCode::SUCCESS)
}
