//! `platespan compare`.

use super::{CliError, Context, print};
use crate::estimate::Estimate;
use crate::plate::PlateOptions;
use crate::report::{self, JsonMeal};
use clap::{Args, ValueEnum};
use serde::Serialize;
use std::process::ExitCode;

/// Arguments of `platespan compare`.
#[derive(Debug, Args)]
#[command(after_help = "\
The meals are taken as independent of each other, as those of two kitchens are.

Examples:
  platespan compare \"mushroom risotto\" \"cod, mashed potatoes, peas\"
  platespan compare \"burger, fries\" \"burger, side salad\" \"steak dinner\" --format json")]
pub struct CompareArgs {
    /// Two meals or more, each in quotation marks
    #[arg(required = true, num_args = 2.., value_name = "MEAL")]
    meals: Vec<String>,
    /// Shape of the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
}

/// Shape of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Table,
    /// One versioned object
    Json,
}

#[derive(Debug, Serialize)]
struct JsonComparison {
    format: u32,
    meals: Vec<JsonMeal>,
    /// Every two meals, by index: how likely `more` has more energy than `less`.
    pairs: Vec<JsonPair>,
}

#[derive(Debug, Serialize)]
struct JsonPair {
    more: usize,
    less: usize,
    chance: f64,
}

/// Runs it.
pub fn run(args: CompareArgs, context: &Context) -> Result<ExitCode, CliError> {
    let options = PlateOptions {
        setting: context.setting.clone(),
        section: None,
        ..PlateOptions::default()
    };
    let mut meals: Vec<Estimate> = Vec::new();
    for (at, text) in args.meals.iter().enumerate() {
        let estimate = crate::estimate_text(&context.library, text, &options)
            .map_err(|error| CliError::Usage(format!("meal {}: {error}", at + 1)))?;
        meals.push(estimate);
    }
    match args.format {
        Format::Table => print(&report::comparison_table(&meals, &context.look))?,
        Format::Json => {
            let pairs = report::compare(&meals).pairs.into_iter();
            let answer = JsonComparison {
                format: report::FORMAT,
                meals: meals
                    .iter()
                    .map(|meal| report::json_meal(&context.library, meal, None))
                    .collect(),
                pairs: pairs
                    .map(|pair| JsonPair {
                        more: pair.more,
                        less: pair.less,
                        chance: (pair.chance * 1000.0).round() / 1000.0,
                    })
                    .collect(),
            };
            print(&format!("{}\n", super::to_json(&answer)?))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}
