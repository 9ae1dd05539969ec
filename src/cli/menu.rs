//! `platespan menu`: a file of dishes; a bad line is reported and the rest goes on.

use super::{CliError, Context, print};
use crate::estimate::{Estimate, KJ_PER_KCAL, Nutrient};
use crate::menu::{MenuLine, lines_of};
use crate::plate::PlateOptions;
use crate::report::{self, EnergyUnit, grouped, round_to, share_within};
use clap::{Args, ValueEnum};
use serde::Serialize;
use std::io::{IsTerminal, Write};
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
  platespan menu dinner.txt --sort energy
  platespan menu week.csv --format csv > week-estimated.csv
  platespan menu week.csv --format ndjson | head -1
  platespan menu menu.jsonld --within 700
  platespan menu saved-page.html --format html --title \"The Blue Ladle\" > menu-estimated.html
  platespan menu dinner.txt --format jsonld")]
pub struct MenuArgs {
    /// Text, a line a dish; CSV with a `text` column (and `id`, `section` if there); schema.org data in a `.json` or
    /// `.jsonld` file or in a saved `.html` page; `-` for standard input
    file: PathBuf,
    /// Shape of the answer
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
    /// Order of the dishes: names from A to Z, figures from the largest; the file's own order by default
    #[arg(long, value_enum, value_name = "BY")]
    sort: Option<Order>,
    /// Say what share of plates likely lies within this energy: a number, or with its unit (`700kcal`, `2900kJ`)
    #[arg(long, value_name = "ENERGY")]
    within: Option<String>,
    /// Heading of the page; the file's name by default
    #[arg(long, value_name = "TEXT")]
    title: Option<String>,
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
    /// One page for a browser, or to print
    Html,
    /// A schema.org `Menu` with `NutritionInformation`
    Jsonld,
}

/// Order of the dishes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Order {
    /// Likely energy
    Energy,
    /// Likely protein
    Protein,
    /// Name
    Name,
    /// Width of the energy's range
    Range,
}

type Dish = (MenuLine, Estimate);

/// Runs it.
pub fn run(args: MenuArgs, context: &Context) -> Result<ExitCode, CliError> {
    let within = args
        .within
        .as_deref()
        .map(|said| kcal_of(said, context.look.energy))
        .transpose()?;
    let progress = if std::io::stderr().is_terminal() && !matches!(args.format, Format::Table) {
        indicatif::ProgressBar::new_spinner().with_message("dishes")
    } else {
        indicatif::ProgressBar::hidden()
    };
    // Rows and lines of JSON go out as they come, as long as nothing is to be put in order first.
    let streams = args.sort.is_none() && matches!(args.format, Format::Csv | Format::Ndjson);
    let mut out = Stream::new(args.format, within, context);
    let mut bad = 0;
    let mut dishes: Vec<Dish> = Vec::new();
    for line in lines_of(&args.file)? {
        progress.inc(1);
        let answer = line
            .map_err(|error| error.to_string())
            .and_then(|line| estimated(line, context));
        match answer {
            Ok(dish) if streams => out.dish(&dish)?,
            Ok(dish) => dishes.push(dish),
            Err(message) => {
                bad += 1;
                progress.suspend(|| {
                    let _ = writeln!(anstream::stderr(), "platespan: {message}");
                });
            }
        }
    }
    progress.finish_and_clear();
    if let Some(order) = args.sort {
        put_in_order(&mut dishes, order);
    }
    match args.format {
        Format::Csv | Format::Ndjson => {
            for dish in &dishes {
                out.dish(dish)?;
            }
            out.finish()?;
        }
        Format::Table => print(&table(&dishes, within, context))?,
        Format::Html => {
            let title = args.title.unwrap_or_else(|| title_of(&args.file));
            let page = report::html(&title, &dishes, &context.look, within)
                .map_err(|error| CliError::Output(std::io::Error::other(error)))?;
            print(&page)?;
        }
        Format::Jsonld => {
            let menu = report::linked_menu(&dishes, &context.look);
            let json = menu
                .to_json()
                .map_err(|error| CliError::Output(error.into()))?;
            print(&format!("{json}\n"))?;
        }
    }
    Ok(ExitCode::from(if bad > 0 { 2 } else { 0 }))
}

fn estimated(line: MenuLine, context: &Context) -> Result<Dish, String> {
    let options = PlateOptions {
        setting: context.setting.clone(),
        section: line.section.clone(),
        ..PlateOptions::default()
    };
    match crate::estimate_text(&context.library, &line.text, &options) {
        Ok(estimate) => Ok((line, estimate)),
        Err(error) => Err(format!("{}: {error}", line.id)),
    }
}

/// Stable: dishes alike stay in the file's order.
fn put_in_order(dishes: &mut [Dish], order: Order) {
    let largest_first = |dishes: &mut [Dish], figure: fn(&Estimate) -> f64| {
        dishes.sort_by(|(_, a), (_, b)| figure(b).total_cmp(&figure(a)));
    };
    match order {
        Order::Energy => {
            largest_first(dishes, |estimate| estimate.total(Nutrient::Energy).likely);
        }
        Order::Protein => {
            largest_first(dishes, |estimate| estimate.total(Nutrient::Protein).likely);
        }
        Order::Range => largest_first(dishes, |estimate| {
            let energy = estimate.total(Nutrient::Energy);
            energy.high - energy.low
        }),
        Order::Name => dishes.sort_by_cached_key(|(line, _)| line.title().to_lowercase()),
    }
}

/// kcal of `700`, `700 kcal` or `2900kJ`; a number alone is in the unit of the answer.
fn kcal_of(said: &str, unit: EnergyUnit) -> Result<f64, CliError> {
    let said = said.trim();
    let letters = said
        .find(|letter: char| letter.is_alphabetic())
        .unwrap_or(said.len());
    let (number, unit_said) = said.split_at(letters);
    let factor = match unit_said.to_lowercase().as_str() {
        "" => unit.factor(),
        "kcal" => 1.0,
        "kj" => KJ_PER_KCAL,
        _ => f64::NAN,
    };
    match number.trim().parse::<f64>() {
        Ok(number) if number.is_finite() && number >= 0.0 && factor.is_finite() => {
            Ok(number / factor)
        }
        _ => Err(CliError::Usage(format!(
            "`--within {said}` is no energy; give a number such as 700, 700kcal or 2900kJ"
        ))),
    }
}

/// The page's title: the file's name without its ending.
fn title_of(file: &Path) -> String {
    match file.file_stem() {
        Some(stem) if file != Path::new("-") => stem.to_string_lossy().into_owned(),
        _ => "Menu".to_owned(),
    }
}

/// The share of plates within a limit, as rows and objects carry it.
#[derive(Serialize)]
struct Within {
    within_kcal: f64,
    share_within: f64,
}

impl Within {
    fn of(estimate: &Estimate, kcal: f64) -> Within {
        let thousandth = |value: f64| (value * 1000.0).round() / 1000.0;
        Within {
            within_kcal: thousandth(kcal),
            share_within: thousandth(estimate.distribution(Nutrient::Energy).below(kcal)),
        }
    }
}

#[derive(Serialize)]
struct LineOfJson {
    #[serde(flatten)]
    meal: report::JsonMeal,
    #[serde(flatten)]
    within: Option<Within>,
}

/// CSV and lines of JSON, a dish at a time.
struct Stream<'a> {
    format: Format,
    within: Option<f64>,
    context: &'a Context,
    csv: csv::Writer<std::io::Stdout>,
}

impl<'a> Stream<'a> {
    fn new(format: Format, within: Option<f64>, context: &'a Context) -> Self {
        Stream {
            format,
            within,
            context,
            csv: csv::Writer::from_writer(std::io::stdout()),
        }
    }

    fn dish(&mut self, (line, estimate): &Dish) -> Result<(), CliError> {
        let within = self.within.map(|kcal| Within::of(estimate, kcal));
        if self.format == Format::Ndjson {
            let id = Some(line.id.clone());
            let meal = report::json_meal(&self.context.library, estimate, id);
            return print(&format!(
                "{}\n",
                super::to_json(&LineOfJson { meal, within })?
            ));
        }
        for row in report::csv_rows(estimate, &line.id, false) {
            let written = match &within {
                Some(within) => self.csv.serialize((row, within)),
                None => self.csv.serialize(row),
            };
            written.map_err(csv_error)?;
        }
        Ok(())
    }

    fn finish(mut self) -> Result<(), CliError> {
        self.csv.flush().map_err(CliError::Output)
    }
}

/// A reader that has gone away must stay recognisable as one.
fn csv_error(error: csv::Error) -> CliError {
    CliError::Output(match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => std::io::Error::other(format!("{other:?}")),
    })
}

fn table(dishes: &[Dish], within: Option<f64>, context: &Context) -> String {
    let look = &context.look;
    let (factor, step) = (look.energy.factor(), look.energy.step());
    let wide = look.width >= 64;
    let mut builder = Builder::default();
    let mut heading = vec![
        "".to_owned(),
        look.energy.symbol().to_owned(),
        "low–high".to_owned(),
    ];
    if within.is_some() {
        heading.push("within".to_owned());
    }
    if wide {
        heading.extend(["protein", "fat", "carb"].map(str::to_owned));
    }
    builder.push_record(heading);
    for (line, estimate) in dishes {
        let energy = estimate.total(Nutrient::Energy).times(factor);
        let mut record = vec![
            line.text.clone(),
            grouped(round_to(energy.likely, step)),
            format!(
                "{}–{}",
                grouped(round_to(energy.low, 2.0 * step)),
                grouped(round_to(energy.high, 2.0 * step))
            ),
        ];
        if let Some(kcal) = within {
            let share = estimate.distribution(Nutrient::Energy).below(kcal);
            record.push(share_within(share));
        }
        if wide {
            record.extend(
                [Nutrient::Protein, Nutrient::Fat, Nutrient::Carbohydrate]
                    .map(|nutrient| grouped(estimate.total(nutrient).likely)),
            );
        }
        builder.push_record(record);
    }
    let taken = if wide { 46 } else { 24 } + if within.is_some() { 12 } else { 0 };
    let names = look.width.saturating_sub(taken).max(10);
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
    let mut notes = Vec::new();
    if let Some(kcal) = within {
        notes.push(format!(
            "within: the share of plates that likely lie within {} {}",
            grouped(kcal * factor),
            look.energy.symbol()
        ));
    }
    notes.push(report::CAUTION.to_owned());
    for line in notes
        .iter()
        .flat_map(|note| crate::report::wrapped(note, look.width))
    {
        out.push_str(&line);
        out.push('\n');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_energy_is_read_with_and_without_its_unit() {
        let read = |said| kcal_of(said, EnergyUnit::Kcal).ok();
        assert_eq!(read("700"), Some(700.0));
        assert_eq!(read(" 650 kcal"), Some(650.0));
        let kcal = |said, unit| kcal_of(said, unit).unwrap();
        assert!((kcal("4184kJ", EnergyUnit::Kcal) - 1000.0).abs() < 1e-9);
        assert!((kcal("418.4", EnergyUnit::Kj) - 100.0).abs() < 1e-9);
        for bad in ["", "many", "-5", "NaN", "inf", "700 g"] {
            assert_eq!(read(bad), None, "{bad}");
        }
    }
}
