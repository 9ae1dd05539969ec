//! `platespan menu`: a file of dishes, streamed; a bad line is reported and the rest goes on.

use super::{CliError, Context, print};
use crate::estimate::{Estimate, Nutrient};
use crate::plate::PlateOptions;
use crate::report::{self, grouped, round_to};
use clap::{Args, ValueEnum};
use std::fs::File;
use std::io::{BufRead, BufReader, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::width::Wrap;
use tabled::settings::{Alignment, Modify, Style};

/// Arguments of `platespan menu`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan menu dinner.txt
  platespan menu week.csv --format csv > week-estimated.csv
  platespan menu week.csv --format ndjson | head -1")]
pub struct MenuArgs {
    /// A text file, a line a dish, or CSV with a `text` column (and `id`, `section` if there); `-` for standard input
    file: PathBuf,
    /// Shape of the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
}

/// Shape of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Table,
    /// A row a dish
    Csv,
    /// One object a line
    Ndjson,
}

/// A line of a menu.
#[derive(Debug, Clone, PartialEq)]
pub struct MenuLine {
    /// Its id, or its line number.
    pub id: String,
    /// Its section heading.
    pub section: Option<String>,
    /// Its words.
    pub text: String,
}

type Lines = Box<dyn Iterator<Item = Result<MenuLine, CliError>>>;

/// The lines of a text file or of a CSV file with a `text` column, read as they are asked for.
///
/// # Errors
/// Where the file cannot be opened, or a CSV file has no `text` column.
pub fn lines_of(path: &Path) -> Result<Lines, CliError> {
    let is_csv = path
        .extension()
        .is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
    let input: Box<dyn std::io::Read> = if path == Path::new("-") {
        Box::new(std::io::stdin())
    } else {
        Box::new(File::open(path).map_err(|source| CliError::File {
            path: path.to_owned(),
            source,
        })?)
    };
    if is_csv {
        csv_lines(path, input)
    } else {
        Ok(Box::new(text_lines(path.to_owned(), input)))
    }
}

fn text_lines(
    path: PathBuf,
    input: Box<dyn std::io::Read>,
) -> impl Iterator<Item = Result<MenuLine, CliError>> {
    let mut reader = BufReader::new(input);
    let mut number = 0;
    std::iter::from_fn(move || {
        loop {
            let mut bytes = Vec::new();
            number += 1;
            match reader.read_until(b'\n', &mut bytes) {
                Ok(0) => return None,
                Ok(_) => {}
                Err(source) => {
                    return Some(Err(CliError::File {
                        path: path.clone(),
                        source,
                    }));
                }
            }
            match String::from_utf8(bytes) {
                Ok(text) if text.trim().is_empty() => {}
                Ok(text) => {
                    let text = text.trim().trim_start_matches('\u{feff}').to_owned();
                    return Some(Ok(MenuLine {
                        id: number.to_string(),
                        section: None,
                        text,
                    }));
                }
                Err(_) => {
                    let message = format!("line {number} is not UTF-8; save the file as UTF-8");
                    return Some(Err(CliError::Table {
                        path: path.clone(),
                        message,
                    }));
                }
            }
        }
    })
}

fn csv_lines(path: &Path, input: Box<dyn std::io::Read>) -> Result<Lines, CliError> {
    let path = path.to_owned();
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .from_reader(BufReader::new(input));
    let bad = |error: csv::Error| {
        let line = error
            .position()
            .map_or(String::new(), |place| format!("line {}: ", place.line()));
        format!("{line}{error}")
    };
    let headings = reader
        .headers()
        .map_err(|error| CliError::Table {
            path: path.clone(),
            message: bad(error),
        })?
        .clone();
    let column = |name: &str| {
        headings.iter().position(|heading| {
            heading
                .trim()
                .trim_start_matches('\u{feff}')
                .eq_ignore_ascii_case(name)
        })
    };
    let Some(text_at) = column("text") else {
        let found = headings.iter().collect::<Vec<_>>().join(", ");
        return Err(CliError::Table {
            path,
            message: format!("line 1: there is no `text` column; it has: {found}"),
        });
    };
    let (id_at, section_at) = (column("id"), column("section"));
    Ok(Box::new(reader.into_records().map(move |record| {
        let record = record.map_err(|error| CliError::Table {
            path: path.clone(),
            message: bad(error),
        })?;
        let line = record.position().map_or(0, csv::Position::line);
        let field = |at: Option<usize>| {
            at.and_then(|at| record.get(at))
                .map(str::trim)
                .filter(|field| !field.is_empty())
        };
        Ok(MenuLine {
            id: field(id_at).map_or_else(|| line.to_string(), str::to_owned),
            section: field(section_at).map(str::to_owned),
            text: record.get(text_at).unwrap_or_default().trim().to_owned(),
        })
    })))
}

/// Runs it.
pub fn run(args: MenuArgs, context: &Context) -> Result<ExitCode, CliError> {
    let progress = if std::io::stderr().is_terminal() && !matches!(args.format, Format::Table) {
        indicatif::ProgressBar::new_spinner().with_message("dishes")
    } else {
        indicatif::ProgressBar::hidden()
    };
    let mut bad = 0;
    let mut rows: Vec<(MenuLine, Estimate)> = Vec::new();
    let mut csv_out = csv::Writer::from_writer(std::io::stdout());
    for line in lines_of(&args.file)? {
        progress.inc(1);
        let answer = line.map_err(|error| error.to_string()).and_then(|line| {
            let options = PlateOptions {
                setting: context.setting.clone(),
                section: line.section.clone(),
            };
            crate::estimate_text(&context.library, &line.text, &options)
                .map(|estimate| (line.clone(), estimate))
                .map_err(|error| format!("{}: {error}", line.id))
        });
        let (line, estimate) = match answer {
            Ok(answer) => answer,
            Err(message) => {
                bad += 1;
                progress.suspend(|| {
                    let _ = writeln!(anstream::stderr(), "platespan: {message}");
                });
                continue;
            }
        };
        match args.format {
            Format::Ndjson => {
                let meal = report::json_meal(&context.library, &estimate, Some(line.id));
                print(&format!("{}\n", super::to_json(&meal)?))?;
            }
            Format::Csv => {
                for row in report::csv_rows(&estimate, &line.id, false) {
                    csv_out
                        .serialize(row)
                        .map_err(|error| CliError::Output(std::io::Error::other(error)))?;
                }
            }
            Format::Table => rows.push((line, estimate)),
        }
    }
    progress.finish_and_clear();
    csv_out.flush().map_err(CliError::Output)?;
    if matches!(args.format, Format::Table) {
        print(&table(&rows, context))?;
    }
    Ok(ExitCode::from(if bad > 0 { 2 } else { 0 }))
}

fn table(rows: &[(MenuLine, Estimate)], context: &Context) -> String {
    let look = &context.look;
    let (factor, step) = (look.energy.factor(), look.energy.step());
    let wide = look.width >= 64;
    let mut builder = Builder::default();
    let mut heading = vec![
        "".to_owned(),
        look.energy.symbol().to_owned(),
        "low–high".to_owned(),
    ];
    if wide {
        heading.extend(["protein", "fat", "carb"].map(str::to_owned));
    }
    builder.push_record(heading);
    for (line, estimate) in rows {
        let energy = estimate.total(Nutrient::Energy).times(factor);
        let mut record = vec![
            line.text.clone(),
            grouped(round_to(energy.likely, step)),
            format!(
                "{}–{}",
                grouped(round_to(energy.low, step)),
                grouped(round_to(energy.high, step))
            ),
        ];
        if wide {
            record.extend(
                [Nutrient::Protein, Nutrient::Fat, Nutrient::Carbohydrate]
                    .map(|nutrient| grouped(estimate.total(nutrient).likely)),
            );
        }
        builder.push_record(record);
    }
    let names = if wide {
        look.width.saturating_sub(46)
    } else {
        look.width.saturating_sub(24)
    }
    .max(12);
    let mut table = builder.build();
    table
        .with(Style::blank())
        .with(Modify::new(Columns::first()).with(Wrap::new(names).keep_words(true)))
        .with(Modify::new(Columns::new(1..)).with(Alignment::right()));
    let mut out: String = table
        .to_string()
        .lines()
        .map(|line| format!("{}\n", line.trim_end()))
        .collect();
    out.push('\n');
    for line in crate::report::wrapped(report::CAUTION, look.width) {
        out.push_str(&line);
        out.push('\n');
    }
    out
}
