//! `platespan review`: one record, or a CSV file of them. Findings are no failure; rows that cannot be used are.

use super::{CliError, Context, print};
use crate::plate::PlateOptions;
use crate::review::{
    Record, Review, caution_lines, json_review, read_figures, read_records, review, review_rows,
    review_table,
};
use clap::{Args, ValueEnum};
use std::fs::File;
use std::io::{BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Arguments of `platespan review`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan review \"roast cod, new potatoes, peas, glass of white wine\" --recorded \"620 kcal, 40 g protein, 12 g fat, 50 g carb\"
  platespan review \"8 oz ribeye, chips, side salad\" --recorded \"ribeye 8 oz, 540 kcal\"
  platespan review week.csv
  platespan review week.csv --format csv > questions.csv

The columns of a file are text (the menu's words), kcal, protein, fat, carb, and where wanted recorded (the words that
were written down), alcohol, id, date. The exit status is 0 with findings too, and 2 where a row cannot be used.")]
pub struct ReviewArgs {
    /// The menu's words; or a CSV file of records, `-` for one on standard input
    #[arg(required = true, value_name = "WORDS|FILE")]
    words: Vec<String>,
    /// What was written down: its figures, and its words where there are any
    #[arg(long, value_name = "TEXT")]
    recorded: Option<String>,
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
    /// One versioned object a record, each on its line
    Json,
    /// A row a finding
    Csv,
}

/// Runs it.
pub fn run(args: ReviewArgs, context: &Context) -> Result<ExitCode, CliError> {
    let options = PlateOptions {
        setting: context.setting.clone(),
        section: args.section,
        ..PlateOptions::default()
    };
    let text = args.words.join(" ");
    let Some(recorded) = args.recorded else {
        let is_file = text == "-" || text.to_lowercase().ends_with(".csv");
        if !is_file {
            return Err(CliError::Usage(
                "say what was written down, such as --recorded \"620 kcal, 40 g protein, 12 g fat, 50 g carb\"; or give a file that ends in .csv"
                    .to_owned(),
            ));
        }
        return many(Path::new(&text), &options, args.format, context);
    };
    let library = &context.library;
    let (figures, words) = read_figures(&library.rules.review, &recorded);
    if figures.is_empty() && words.is_empty() {
        return Err(CliError::Usage(format!(
            "nothing was found in --recorded \"{recorded}\"; write figures such as \"620 kcal, 40 g protein\", or what was eaten"
        )));
    }
    let record = Record {
        id: String::new(),
        date: None,
        text,
        words: Some(words).filter(|words| !words.is_empty()),
        figures,
    };
    let one = review(library, record, &options, context.look.energy)?;
    match args.format {
        Format::Table => print(&format!(
            "{}\n{}",
            review_table(&one, &context.look),
            caution_lines(&context.look)
        ))?,
        Format::Json => print(&format!("{}\n", super::to_json(&json_review(&one))?))?,
        Format::Csv => print(&super::to_csv(review_rows(&one))?)?,
    }
    Ok(ExitCode::SUCCESS)
}

fn many(
    path: &Path,
    options: &PlateOptions,
    format: Format,
    context: &Context,
) -> Result<ExitCode, CliError> {
    let library = &context.library;
    let input: Box<dyn Read> = if path == Path::new("-") {
        Box::new(std::io::stdin())
    } else {
        Box::new(File::open(path).map_err(|source| CliError::File {
            path: path.to_owned(),
            source,
        })?)
    };
    let rows = read_records(&library.rules.review, BufReader::new(input)).map_err(|error| {
        CliError::Table {
            path: path.to_owned(),
            message: error.to_string(),
        }
    })?;
    let mut reviews: Vec<Review> = Vec::new();
    let mut bad = 0;
    for row in rows {
        let reviewed = match row {
            Ok(record) => {
                let id = record.id.clone();
                review(library, record, options, context.look.energy)
                    .map_err(|error| format!("record {id}: {error}"))
            }
            Err(fault) => Err(format!("line {}: {}", fault.line, fault.message)),
        };
        match reviewed {
            Ok(reviewed) if format == Format::Json => {
                print(&format!("{}\n", super::to_json(&json_review(&reviewed))?))?;
            }
            Ok(reviewed) => reviews.push(reviewed),
            Err(message) => {
                bad += 1;
                let place = PathBuf::from(path);
                let _ = writeln!(
                    anstream::stderr(),
                    "platespan: {}: {message}",
                    place.display()
                );
            }
        }
    }
    match format {
        Format::Table => print(&table(&reviews, context))?,
        Format::Csv => print(&super::to_csv(reviews.iter().flat_map(review_rows))?)?,
        Format::Json => {}
    }
    Ok(ExitCode::from(if bad > 0 { 2 } else { 0 }))
}

fn table(reviews: &[Review], context: &Context) -> String {
    let mut out = String::new();
    for one in reviews {
        out.push_str(&review_table(one, &context.look));
        out.push('\n');
    }
    let asked = reviews
        .iter()
        .filter(|review| !review.findings.is_empty())
        .count();
    let records = match reviews.len() {
        1 => "1 record".to_owned(),
        number => format!("{number} records"),
    };
    out.push_str(&format!("{records}, {asked} with something to ask\n\n"));
    out.push_str(&caution_lines(&context.look));
    out
}
