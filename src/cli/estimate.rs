//! `platespan estimate`.

use super::{CliError, Context, print, text_of};
use crate::entries::{self, LineOptions};
use crate::plate::PlateOptions;
use crate::report;
use clap::{Args, ValueEnum};
use std::process::ExitCode;

/// Arguments of `platespan estimate`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan estimate \"miso-glazed black cod, sesame rice, charred broccolini, yuzu butter\"
  platespan estimate \"lamb kofta wrap, no onion, extra yoghurt; ate half\" --energy kj
  platespan estimate \"prawn linguine, side salad\" --within 700
  platespan estimate \"about 6 oz salmon, a fist of rice\" --eye
  echo \"mushroom risotto, glass of white wine\" | platespan estimate --format json")]
pub struct EstimateArgs {
    /// What the menu says and what is remembered; from standard input where it is left out or `-`
    words: Vec<String>,
    /// Shape of the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
    /// The menu's section heading, which may set the portion ("Starters")
    #[arg(long, value_name = "HEADING")]
    section: Option<String>,
    /// Say how likely the meal is to stay within this energy (in the unit of `--energy`)
    #[arg(long, value_name = "ENERGY", value_parser = energy_limit)]
    within: Option<f64>,
    /// Correct amounts taken by eye or hand ("about 6 oz", "a fist of") by your own weighings; see `platespan eye`
    #[arg(long)]
    eye: bool,
    #[command(flatten)]
    eye_file: super::eye::EyeFile,
}

/// An energy above 0.
fn energy_limit(said: &str) -> Result<f64, String> {
    match said.replace(',', "").parse::<f64>() {
        Ok(energy) if energy > 0.0 && energy.is_finite() => Ok(energy),
        _ => Err("give an energy above 0, such as 700".to_owned()),
    }
}

/// Shape of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Table,
    /// One versioned object
    Json,
    /// A row a component
    Csv,
}

/// Runs it.
pub fn run(args: EstimateArgs, context: &Context) -> Result<ExitCode, CliError> {
    let text = text_of(&args.words)?;
    let options = PlateOptions {
        setting: context.setting.clone(),
        section: args.section,
        eye: args.eye.then(|| args.eye_file.model(context)).transpose()?,
    };
    let estimate = crate::estimate_text(&context.library, &text, &options)?;
    let energy = context.look.energy;
    let within = args.within.map(|limit| limit / energy.factor());
    match args.format {
        Format::Table => {
            let lines = entries::lines(&context.library, &estimate, LineOptions::default());
            let look = &context.look;
            print(&report::table_with_lines(&estimate, &lines, look))?;
            if let Some(kcal) = within {
                let words = report::within_words(&estimate, kcal, energy);
                print(&format!("\n{words}\n"))?;
            }
        }
        Format::Json => {
            let most = context.library.rules.asking.most;
            let asked = crate::questions::questions(&context.library, &text, &options, most);
            let mut meal = report::json_meal(&context.library, &estimate, None);
            meal.questions = asked.iter().map(report::JsonQuestion::from).collect();
            meal.within = within.map(|kcal| report::JsonWithin::of(&estimate, kcal));
            print(&format!("{}\n", super::to_json(&meal)?))?;
        }
        Format::Csv => print(&super::to_csv(report::csv_rows(&estimate, "", true))?)?,
    }
    Ok(ExitCode::SUCCESS)
}
