//! `platespan tally`: a diary's days and weeks.

use super::{CliError, Context, print};
use crate::estimate::{Nutrient, Range};
use crate::report::{self, JsonRange, Look, grouped, range_bar, round_to, wrapped};
use crate::tally::{Diary, Stretch, Tally, Totals, read_diary, tally};
use clap::{Args, ValueEnum};
use serde::Serialize;
use std::fmt::Write as _;
use std::fs::File;
use std::io::{BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::{Alignment, Modify, Style};

/// Arguments of `platespan tally`.
#[derive(Debug, Args)]
#[command(after_help = "\
The diary is CSV with these columns, in any order:
  date      2026-03-02 (ISO 8601)
  text      what was eaten, to be estimated; `section` may set the portion (\"Starters\")
  kcal      instead of text: a recorded figure, with protein, fat, carbohydrate, fibre, alcohol where known; taken as it is
  place     meals of the same place share that house's portion size and hand with fat; all others are independent

Likely values add up; low and high do not, since not every meal is at its low end at once: variances add, and the range is
that of a lognormal with the summed mean and variance. Weeks run from Monday to Sunday (ISO 8601). A day without a record is
shown as not recorded and counts in no mean. A row that cannot be used is reported and the rest goes on; the exit status is 2 then.

Examples:
  platespan tally diary.csv
  platespan tally diary.csv --energy kj
  platespan tally diary.csv --format csv > days.csv")]
pub struct TallyArgs {
    /// The diary; `-` for standard input
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
    /// A row a day and a row a week
    Csv,
    /// One versioned object
    Json,
}

/// Runs it.
pub fn run(args: TallyArgs, context: &Context) -> Result<ExitCode, CliError> {
    let input: Box<dyn Read> = if args.file == Path::new("-") {
        Box::new(std::io::stdin())
    } else {
        Box::new(BufReader::new(File::open(&args.file).map_err(
            |source| CliError::File {
                path: args.file.clone(),
                source,
            },
        )?))
    };
    let diary =
        read_diary(&context.library, input, context.setting.as_deref()).map_err(|error| {
            CliError::Table {
                path: args.file.clone(),
                message: error.to_string(),
            }
        })?;
    for fault in &diary.faults {
        let place = args.file.display();
        let _ = writeln!(
            anstream::stderr(),
            "platespan: {place}: line {}: {}",
            fault.line,
            fault.message
        );
    }
    let added = tally(&diary.meals);
    match args.format {
        Format::Table => print(&table(&added, &context.look))?,
        Format::Csv => print(&super::to_csv(csv_rows(&added))?)?,
        Format::Json => print(&format!("{}\n", super::to_json(&json(&added, &diary))?))?,
    }
    Ok(ExitCode::from(if diary.faults.is_empty() { 0 } else { 2 }))
}

/// The macros that the table shows beside energy.
const SHOWN: [Nutrient; 3] = [Nutrient::Protein, Nutrient::Fat, Nutrient::Carbohydrate];

fn cells(totals: &Totals, look: &Look) -> Vec<String> {
    let (factor, step) = (look.energy.factor(), look.energy.step());
    let Some(energy) = totals[0].map(|range| range.times(factor)) else {
        return vec![String::new(); 5];
    };
    let ends = [energy.low, energy.high].map(|end| grouped(round_to(end, 2.0 * step)));
    let mut cells = vec![
        grouped(round_to(energy.likely, step)),
        if energy.high - energy.low < 0.5 {
            "recorded".to_owned()
        } else {
            format!("{}–{}", ends[0], ends[1])
        },
    ];
    if look.width >= WIDE {
        cells.extend(SHOWN.map(|nutrient| {
            totals[nutrient as usize].map_or(String::new(), |range| grouped(range.likely))
        }));
    }
    cells
}

/// Columns from which on the macros are shown.
const WIDE: usize = 64;

fn grid(heading: [&str; 2], rows: Vec<Vec<String>>, look: &Look) -> String {
    let mut builder = Builder::default();
    let mut first = heading.map(str::to_owned).to_vec();
    first.extend([look.energy.symbol().to_owned(), "low–high".to_owned()]);
    if look.width >= WIDE {
        first.extend(["protein", "fat", "carb"].map(str::to_owned));
    }
    builder.push_record(first);
    for row in rows {
        builder.push_record(row);
    }
    let mut table = builder.build();
    table
        .with(Style::empty())
        .with(Modify::new(Columns::new(1..)).with(Alignment::right()));
    let lines = table.to_string();
    lines
        .lines()
        .map(|line| format!("{}\n", line.trim_end()))
        .collect()
}

fn table(tally: &Tally, look: &Look) -> String {
    let mut out = String::new();
    if tally.days.is_empty() {
        out.push_str("No day is recorded.\n");
        return out;
    }
    let mut days = Vec::new();
    for stretch in &tally.days {
        match stretch {
            Stretch::Day(day) => {
                let mut row = vec![day.date.to_string(), day.meals.to_string()];
                row.extend(cells(&day.total, look));
                days.push(row);
            }
            Stretch::NotRecorded(from, to) => {
                days.push(vec![spell(*from, *to), "not recorded".to_owned()]);
            }
        }
    }
    out.push_str(&grid(["day", "meals"], days, look));
    out.push('\n');
    picture(&mut out, tally, look);
    let weeks = tally.weeks.iter().map(|week| {
        let name = if look.width >= WIDE {
            format!("{} ({} to {})", week.name, week.from, week.to)
        } else {
            week.name.clone()
        };
        let mut row = vec![name, format!("{} of 7", week.recorded)];
        row.extend(cells(&week.total, look));
        row
    });
    out.push('\n');
    out.push_str(&grid(["week in all", "days"], weeks.collect(), look));
    out.push('\n');
    let means = tally.weeks.iter().map(|week| {
        let mut row = vec![week.name.clone(), format!("{} of 7", week.recorded)];
        row.extend(cells(&week.per_day, look));
        row
    });
    out.push_str(&grid(["mean day", "days"], means.collect(), look));
    out.push('\n');
    let note = "Likely values add up; low and high do not, since not every meal is at its low or high end at once.";
    for line in wrapped(note, look.width)
        .into_iter()
        .chain(wrapped(report::CAUTION, look.width))
    {
        let _ = writeln!(out, "{}", line.trim_start());
    }
    out
}

fn spell(from: jiff::civil::Date, to: jiff::civil::Date) -> String {
    if from == to {
        from.to_string()
    } else {
        format!("{from} to {to}")
    }
}

/// A range a day on one scale.
fn picture(out: &mut String, tally: &Tally, look: &Look) {
    let energy = |stretch: &Stretch| match stretch {
        Stretch::Day(day) => day.total[0],
        Stretch::NotRecorded(..) => None,
    };
    let end = tally
        .days
        .iter()
        .filter_map(energy)
        .map(|range| range.high)
        .fold(0.0, f64::max)
        * 1.05;
    let room = look.width.saturating_sub(14).clamp(10, 60);
    for stretch in &tally.days {
        match (stretch, energy(stretch)) {
            (Stretch::Day(day), Some(range)) => {
                let bar = range_bar(range.low, range.likely, range.high, end, room);
                let _ = writeln!(out, "{}  {bar}", day.date);
            }
            (Stretch::NotRecorded(from, to), _) => {
                let days = from.until(*to).map_or(0, |span| span.get_days()) + 1;
                let _ = writeln!(
                    out,
                    "{:10}  not recorded",
                    match days {
                        1 => from.to_string(),
                        days => format!("{days} days"),
                    }
                );
            }
            (Stretch::Day(_), None) => {}
        }
    }
    let scale = format!(
        "{} {}",
        grouped(round_to(end * look.energy.factor(), look.energy.step())),
        look.energy.symbol()
    );
    let _ = writeln!(out, "{:12}0{scale:>rest$}", "", rest = room - 1);
}

#[derive(Debug, Serialize)]
struct CsvRow {
    period: &'static str,
    name: String,
    start: String,
    end: String,
    recorded_days: usize,
    meals: usize,
    kcal_low: Option<f64>,
    kcal: Option<f64>,
    kcal_high: Option<f64>,
    protein_g: Option<f64>,
    fat_g: Option<f64>,
    carbohydrate_g: Option<f64>,
    fibre_g: Option<f64>,
    alcohol_g: Option<f64>,
}

fn csv_row(
    period: &'static str,
    name: String,
    ends: (jiff::civil::Date, jiff::civil::Date),
    counts: (usize, usize),
    totals: &Totals,
) -> CsvRow {
    let range = |nutrient: Nutrient| totals[nutrient as usize].map(JsonRange::from);
    let likely = |nutrient: Nutrient| range(nutrient).map(|range| range.likely);
    let energy = range(Nutrient::Energy);
    CsvRow {
        period,
        name,
        start: ends.0.to_string(),
        end: ends.1.to_string(),
        recorded_days: counts.0,
        meals: counts.1,
        kcal_low: energy.map(|range| range.low),
        kcal: energy.map(|range| range.likely),
        kcal_high: energy.map(|range| range.high),
        protein_g: likely(Nutrient::Protein),
        fat_g: likely(Nutrient::Fat),
        carbohydrate_g: likely(Nutrient::Carbohydrate),
        fibre_g: likely(Nutrient::Fibre),
        alcohol_g: likely(Nutrient::Alcohol),
    }
}

fn csv_rows(tally: &Tally) -> Vec<CsvRow> {
    let days = tally.days.iter().map(|stretch| match stretch {
        Stretch::Day(day) => csv_row(
            "day",
            day.date.to_string(),
            (day.date, day.date),
            (1, day.meals),
            &day.total,
        ),
        Stretch::NotRecorded(from, to) => csv_row(
            "not recorded",
            spell(*from, *to),
            (*from, *to),
            (0, 0),
            &[None; 6],
        ),
    });
    let weeks = tally.weeks.iter().map(|week| {
        csv_row(
            "week",
            week.name.clone(),
            (week.from, week.to),
            (week.recorded, week.meals),
            &week.total,
        )
    });
    days.chain(weeks).collect()
}

#[derive(Debug, Serialize)]
struct JsonTally<'a> {
    format: u32,
    interval: f64,
    days: Vec<JsonDay>,
    not_recorded: Vec<JsonGap>,
    weeks: Vec<JsonWeek<'a>>,
    faults: Vec<JsonFault<'a>>,
    cautions: Vec<String>,
}

#[derive(Debug, Serialize)]
struct JsonDay {
    date: String,
    meals: usize,
    total: JsonTotals,
}

#[derive(Debug, Serialize)]
struct JsonGap {
    from: String,
    to: String,
}

#[derive(Debug, Serialize)]
struct JsonWeek<'a> {
    week: &'a str,
    from: String,
    to: String,
    recorded_days: usize,
    meals: usize,
    total: JsonTotals,
    per_recorded_day: JsonTotals,
}

#[derive(Debug, Serialize)]
struct JsonFault<'a> {
    line: u64,
    message: &'a str,
}

/// `null` where a meal does not state it.
#[derive(Debug, Serialize)]
struct JsonTotals {
    kcal: Option<JsonRange>,
    protein_g: Option<JsonRange>,
    fat_g: Option<JsonRange>,
    carbohydrate_g: Option<JsonRange>,
    fibre_g: Option<JsonRange>,
    alcohol_g: Option<JsonRange>,
}

impl From<&Totals> for JsonTotals {
    fn from(totals: &Totals) -> Self {
        let get = |nutrient: Nutrient| totals[nutrient as usize].map(|range: Range| range.into());
        JsonTotals {
            kcal: get(Nutrient::Energy),
            protein_g: get(Nutrient::Protein),
            fat_g: get(Nutrient::Fat),
            carbohydrate_g: get(Nutrient::Carbohydrate),
            fibre_g: get(Nutrient::Fibre),
            alcohol_g: get(Nutrient::Alcohol),
        }
    }
}

fn json<'a>(tally: &'a Tally, diary: &'a Diary) -> JsonTally<'a> {
    let (mut days, mut not_recorded) = (Vec::new(), Vec::new());
    for stretch in &tally.days {
        match stretch {
            Stretch::Day(day) => days.push(JsonDay {
                date: day.date.to_string(),
                meals: day.meals,
                total: (&day.total).into(),
            }),
            Stretch::NotRecorded(from, to) => not_recorded.push(JsonGap {
                from: from.to_string(),
                to: to.to_string(),
            }),
        }
    }
    let weeks = tally.weeks.iter().map(|week| JsonWeek {
        week: &week.name,
        from: week.from.to_string(),
        to: week.to.to_string(),
        recorded_days: week.recorded,
        meals: week.meals,
        total: (&week.total).into(),
        per_recorded_day: (&week.per_day).into(),
    });
    let faults = diary.faults.iter().map(|fault| JsonFault {
        line: fault.line,
        message: &fault.message,
    });
    JsonTally {
        format: report::FORMAT,
        interval: crate::estimate::INTERVAL,
        days,
        not_recorded,
        weeks: weeks.collect(),
        faults: faults.collect(),
        cautions: report::cautions(),
    }
}
