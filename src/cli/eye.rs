//! `platespan eye`: a person's guesses and weighings, in a plain CSV file of their own.

use super::save::{hold, save};
use super::{CliError, Context, print};
use crate::eye::{EyeModel, Log, Weighing, weighings};
use crate::library::{FoodId, Library};
use crate::plate::{PlateOptions, grams_as_said};
use crate::read::Head;
use crate::report;
use clap::{Args, Subcommand, ValueEnum};
use std::io::{ErrorKind, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Arguments of `platespan eye`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan eye add --food chicken --guess \"5 oz\" --weighed \"4.5 oz\"
  platespan eye show
  platespan eye export eye-copy.csv
  platespan estimate \"about 6 oz salmon, a fist of rice\" --eye

The file is platespan/eye.csv in the XDG data folder ($XDG_DATA_HOME, else ~/.local/share), or the `eye` of the settings
file. It is plain CSV, yours, and on this machine only. An empty eye.csv.lock beside it lets two commands take turns.")]
pub struct EyeArgs {
    #[command(flatten)]
    file: EyeFile,
    #[command(subcommand)]
    command: EyeCommand,
}

/// Where the weighings are.
#[derive(Debug, Clone, Args)]
pub struct EyeFile {
    /// Another file of guesses and weighings than your own
    #[arg(long, value_name = "PATH", global = true)]
    eye_file: Option<PathBuf>,
}

#[derive(Debug, Subcommand)]
enum EyeCommand {
    /// Write a guess and its weighing down
    Add(AddArgs),
    /// Your guesses over time, and each group's bias and scatter
    #[command(after_help = "\
Examples:
  platespan eye show
  platespan eye show --format csv")]
    Show {
        /// Shape of the answer
        #[arg(long, value_enum, default_value_t = Format::Table)]
        format: Format,
    },
    /// Copy the weighings to a new CSV file
    #[command(after_help = "\
Examples:
  platespan eye export eye-copy.csv")]
    Export {
        /// The file to write; it must not be there yet
        file: PathBuf,
    },
    /// Take in the weighings of such a CSV file; those that are here already are left out
    #[command(after_help = "\
Examples:
  platespan eye import weighings.csv")]
    Import {
        /// The file to read
        file: PathBuf,
    },
    /// Take weighings out: the last one, those of a food, or all of them
    Forget(ForgetArgs),
}

/// Arguments of `platespan eye add`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan eye add --food chicken --guess \"5 oz\" --weighed \"4.5 oz\"
  platespan eye add --food rice --guess \"1 fist\" --weighed 180g --date 2026-03-31")]
struct AddArgs {
    /// What was weighed, as a menu would call it
    #[arg(long)]
    food: String,
    /// The guess, in any measure: "5 oz", "150 g", "1 cup", "1 palm"
    #[arg(long, value_name = "AMOUNT")]
    guess: String,
    /// What the scales said: "4.5 oz", "128 g"
    #[arg(long, value_name = "WEIGHT")]
    weighed: String,
    /// The day, as 2026-03-31; today where it is left out
    #[arg(long, value_name = "DAY")]
    date: Option<String>,
}

/// Arguments of `platespan eye forget`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan eye forget --last
  platespan eye forget --food rice
  platespan eye forget --yes")]
struct ForgetArgs {
    /// Only the weighing that was written last
    #[arg(long, conflicts_with = "food")]
    last: bool,
    /// Only the weighings of this food
    #[arg(long)]
    food: Option<String>,
    /// Do not ask
    #[arg(long)]
    yes: bool,
}

/// Shape of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// For people
    Table,
    /// One object
    Json,
    /// A row a group
    Csv,
}

/// A group's eye, for programs.
#[derive(Debug, serde::Serialize)]
struct GroupRow<'a> {
    group: &'a str,
    name: &'a str,
    weighings: usize,
    /// As a share of the weight: 0.08 is 8 % high.
    bias: f64,
    /// σ of ln(guess / weighed) round the bias.
    scatter: f64,
    /// σ of the next guess once the bias is taken off.
    sigma: f64,
}

impl EyeFile {
    /// The flag's, else the settings file's, else the one in the data folder.
    fn path(&self, context: &Context) -> Result<PathBuf, CliError> {
        use etcetera::BaseStrategy;
        let said = self.eye_file.as_ref();
        if let Some(path) = said.or(context.settings.eye.as_ref().map(|eye| &eye.value)) {
            return Ok(path.clone());
        }
        etcetera::choose_base_strategy()
            .map(|base| base.data_dir().join("platespan").join("eye.csv"))
            .map_err(|_| {
                let message =
                    "there is no home folder to keep weighings in; name a file with --eye-file";
                CliError::Usage(message.to_owned())
            })
    }

    /// The person's eye, for estimates. Lines that cannot be read are reported on standard error.
    pub(super) fn model(&self, context: &Context) -> Result<EyeModel, CliError> {
        let path = self.path(context)?;
        let log = read_log(&path)?;
        report_unread(&path, &log);
        Ok(model_of(&context.library, &log))
    }
}

fn model_of(library: &Library, log: &Log) -> EyeModel {
    let weighings = log.weighings();
    EyeModel::new(
        &library.rules.eye,
        weighings
            .into_iter()
            .map(|weighing| (weighing.group.as_str(), weighing.log_error())),
    )
}

/// The weighings of a file; none where there is no such file.
fn read_log(path: &Path) -> Result<Log, CliError> {
    match std::fs::read(path) {
        Ok(bytes) => parse_log(path, &bytes),
        Err(error) if error.kind() == ErrorKind::NotFound => Ok(Log::default()),
        Err(source) => Err(CliError::File {
            path: path.to_owned(),
            source,
        }),
    }
}

fn parse_log(path: &Path, bytes: &[u8]) -> Result<Log, CliError> {
    Log::read(bytes).map_err(|error| CliError::Table {
        path: path.to_owned(),
        message: error.to_string(),
    })
}

/// Says which lines could not be read; how many.
fn report_unread(path: &Path, log: &Log) -> usize {
    let unread = log.unread();
    for (line, why) in &unread {
        let _ = writeln!(
            anstream::stderr(),
            "platespan: {}: line {line} was left as it is and not used: {why}",
            path.display()
        );
    }
    unread.len()
}

/// Runs it.
pub fn run(args: EyeArgs, context: &Context) -> Result<ExitCode, CliError> {
    let path = args.file.path(context)?;
    match args.command {
        EyeCommand::Add(wanted) => add(&path, &wanted, &context.library)?,
        EyeCommand::Show { format } => show(&told_log(&path)?.0, format, context)?,
        EyeCommand::Export { file } => export(&told_log(&path)?.0, &file)?,
        EyeCommand::Import { file } => return import(&path, &file),
        EyeCommand::Forget(wanted) => forget(&path, &wanted)?,
    }
    Ok(ExitCode::SUCCESS)
}

/// The weighings of a file, and how many of its lines could not be read, which is said on standard error.
fn told_log(path: &Path) -> Result<(Log, usize), CliError> {
    let log = read_log(path)?;
    let unread = report_unread(path, &log);
    Ok((log, unread))
}

fn add(path: &Path, wanted: &AddArgs, library: &Library) -> Result<(), CliError> {
    let weighing = weighing_of(library, wanted)?;
    let _held = hold(path)?;
    let (mut log, _) = told_log(path)?;
    let error = 100.0 * weighing.error();
    let how_near = if error.abs() < 0.5 {
        "right on the scales".to_owned()
    } else {
        let side = if error > 0.0 { "above" } else { "below" };
        format!("{:.0} % {side} the scales", error.abs())
    };
    let is_good = error.abs() <= 100.0 * library.rules.eye.good_eye;
    let praise = if is_good { ": a good eye" } else { "" };
    let group = weighing.group.clone();
    log.add(weighing);
    save(path, &log.bytes())?;
    let model = model_of(library, &log);
    let number = weighings(model.of(&group).number);
    let name = model.name(&group);
    print(&format!(
        "Written down: {how_near}{praise} ({number} of {name} now)\n"
    ))
}

fn show(log: &Log, format: Format, context: &Context) -> Result<(), CliError> {
    let model = model_of(&context.library, log);
    let rows = || {
        model.groups().map(|(group, eye)| GroupRow {
            group,
            name: model.name(group),
            weighings: eye.number,
            bias: eye.share(),
            scatter: eye.scatter,
            sigma: eye.sigma,
        })
    };
    match format {
        Format::Table => {
            let rules = &context.library.rules.eye;
            let table = report::eye_table(rules, &model, &log.weighings(), &context.look);
            print(&table)
        }
        Format::Json => {
            let groups: Vec<GroupRow> = rows().collect();
            let whole = serde_json::json!({ "format": report::FORMAT, "groups": groups });
            print(&format!("{}\n", super::to_json(&whole)?))
        }
        Format::Csv => print(&super::to_csv(rows())?),
    }
}

fn export(log: &Log, file: &Path) -> Result<(), CliError> {
    if file.exists() {
        return Err(CliError::Usage(format!(
            "`{}` is there already; name a new file, so that nothing is lost",
            file.display()
        )));
    }
    save(file, &log.bytes())?;
    let number = weighings(log.weighings().len());
    print(&format!("{number} copied to {}\n", file.display()))
}

/// Exit status 2 where lines of the other file could not be read: they are still there, and nowhere else.
fn import(path: &Path, file: &Path) -> Result<ExitCode, CliError> {
    let bytes = std::fs::read(file).map_err(|source| CliError::File {
        path: file.to_owned(),
        source,
    })?;
    let other = parse_log(file, &bytes)?;
    let unread = report_unread(file, &other);
    let _held = hold(path)?;
    let (mut log, _) = told_log(path)?;
    let (new, old) = log.take_in(&other);
    if new > 0 {
        save(path, &log.bytes())?;
    }
    print(&format!(
        "{} taken in, {old} here already\n",
        weighings(new)
    ))?;
    Ok(ExitCode::from(if unread > 0 { 2 } else { 0 }))
}

fn forget(path: &Path, wanted: &ForgetArgs) -> Result<(), CliError> {
    let (mut log, unread) = told_log(path)?;
    let is_wanted = |weighing: &Weighing| {
        wanted
            .food
            .as_ref()
            .is_none_or(|food| crate::library::stems(&weighing.food) == crate::library::stems(food))
    };
    let is_all = !wanted.last && wanted.food.is_none();
    let all = log.weighings();
    let number = if wanted.last {
        all.len().min(1)
    } else {
        all.iter().filter(|weighing| is_wanted(weighing)).count()
    };
    if number == 0 && !(is_all && unread > 0) {
        return print("There is nothing to forget\n");
    }
    let also = match unread {
        0 => String::new(),
        1 if is_all => " and 1 line that cannot be read".to_owned(),
        lines if is_all => format!(" and {lines} lines that cannot be read"),
        _ => String::new(),
    };
    let what = format!("{}{also} in {}", weighings(number), path.display());
    if !wanted.yes {
        if !std::io::stdin().is_terminal() {
            return Err(CliError::Usage(format!(
                "to forget {what}, add --yes; `platespan eye export FILE.csv` keeps a copy"
            )));
        }
        let is_sure = inquire::Confirm::new(&format!("Forget {what}?"))
            .with_default(false)
            .prompt()
            .unwrap_or(false);
        if !is_sure {
            return print("Nothing was changed\n");
        }
    }
    // Not while the question stands: whoever adds a weighing would wait for the answer.
    let _held = hold(path)?;
    if read_log(path)? != log {
        return Err(CliError::Usage(format!(
            "{} was written to just now, so nothing was forgotten; try again",
            path.display()
        )));
    }
    if is_all {
        std::fs::remove_file(path).map_err(|source| CliError::Write {
            path: path.to_owned(),
            source,
        })?;
    } else {
        if wanted.last {
            log.take_out_last();
        } else {
            log.take_out(is_wanted);
        }
        save(path, &log.bytes())?;
    }
    print(&format!("{}{also} forgotten\n", weighings(number)))
}

fn weighing_of(library: &Library, wanted: &AddArgs) -> Result<Weighing, CliError> {
    let date = match &wanted.date {
        None => jiff::ZonedDateTime::now().date(),
        Some(said) => said
            .parse()
            .map_err(|_| CliError::Usage(format!("`{said}` is no day; write it as 2026-03-31")))?,
    };
    let food = tidy(&wanted.food);
    let id = food_of(library, &food)?;
    let number = |said: &str, on_scales: bool| {
        amount_of(library, id, &food, said, on_scales).ok_or_else(|| {
            let example = if on_scales {
                "weight, such as \"4.5 oz\" or \"128 g\""
            } else {
                "amount of it, such as \"5 oz\", \"150 g\" or \"1 palm\""
            };
            CliError::Usage(format!("\"{said}\" is no {example}"))
        })
    };
    Ok(Weighing {
        date,
        group: library.category(id).group.clone(),
        guess: number(&wanted.guess, false)?,
        weighed: number(&wanted.weighed, true)?,
        said: [tidy(&wanted.guess), tidy(&wanted.weighed)],
        food,
    })
}

fn tidy(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The food that these words name; of a dish, its first part.
fn food_of(library: &Library, words: &str) -> Result<FoodId, CliError> {
    let meal = crate::read::read(library, words)?;
    let plate = crate::plate::plate(library, words, &meal, &PlateOptions::default());
    let named = plate.components.iter().filter(|part| part.said.is_some());
    named
        .chain(&plate.components)
        .find_map(|part| part.food)
        .ok_or_else(|| {
            CliError::Usage(format!(
                "no food was found in \"{words}\"; `platespan library find WORDS` shows what is known"
            ))
        })
}

/// Grams of an amount in words; none where they are no amount, or on the scales no weight.
fn amount_of(
    library: &Library,
    food: FoodId,
    name: &str,
    said: &str,
    on_scales: bool,
) -> Option<f64> {
    let amount = crate::read::read(library, &format!("{said} {name}"))
        .ok()?
        .items
        .iter()
        .find(|item| matches!(item.head, Some(Head::Food(_) | Head::Dish(_))))?
        .amount?;
    let unit = &library.rules.units[amount.unit?];
    let is_weight = unit.kind == "mass" && unit.loose.is_none();
    if on_scales && !is_weight {
        return None;
    }
    grams_as_said(library, food, &amount).filter(|grams| (0.5..=10_000.0).contains(grams))
}
