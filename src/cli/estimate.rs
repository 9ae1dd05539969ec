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
    };
    let estimate = crate::estimate_text(&context.library, &text, &options)?;
    match args.format {
        Format::Table => {
            let lines = entries::lines(&context.library, &estimate, LineOptions::default());
            let look = &context.look;
            print(&report::table_with_lines(&estimate, &lines, look))?;
        }
        Format::Json => {
            let meal = report::json_meal(&context.library, &estimate, None);
            print(&format!("{}\n", super::to_json(&meal)?))?;
        }
        Format::Csv => print(&super::to_csv(report::csv_rows(&estimate, "", true))?)?,
    }
    Ok(ExitCode::SUCCESS)
}
