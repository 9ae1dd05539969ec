//! The command line: a thin face of the library. Each command is a file.

mod ask;
mod compare;
mod error;
mod estimate;
mod explain;
mod eye;
mod library;
mod lines;
mod manual;
mod menu;
mod reply;
mod review;
mod save;
mod settings;
mod tally;

use crate::library::{Library, Overlay};
use crate::report::{CAUTIONS, EnergyUnit, Look};
use clap::{Args, Parser, Subcommand, ValueEnum};
pub use error::CliError;
pub use settings::{MEASURES, Settings};
use std::io::{IsTerminal, Read, Write};
use std::path::PathBuf;
use std::process::ExitCode;

/// From a menu's words to a plate: the components, how much of each, and what energy and macros that means, with an
/// honest range and every figure's source.
#[derive(Debug, Parser)]
#[command(name = "platespan", version, max_term_width = 100, after_help = CAUTIONS)]
pub struct Cli {
    #[command(flatten)]
    common: Common,
    #[command(subcommand)]
    command: Command,
}

/// Options of every command.
#[derive(Debug, Clone, Args)]
pub struct Common {
    /// Lay a TOML file, or every TOML file of a folder, over the library; may be given several times
    #[arg(long = "library", value_name = "PATH", global = true)]
    libraries: Vec<PathBuf>,
    /// Unit of energy
    #[arg(long, value_enum, global = true)]
    energy: Option<Energy>,
    /// Kind of place or occasion: main, starter, side, kids, lunch, tasting, buffet, cafe, casual, fine, pub
    #[arg(long, value_name = "SETTING", global = true)]
    setting: Option<String>,
    /// Columns of the output; the terminal's own by default
    #[arg(long, value_name = "COLUMNS", global = true)]
    width: Option<usize>,
    /// Where the setting was said, for an error: empty for the command line.
    #[arg(skip)]
    setting_place: String,
}

/// Unit of energy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Energy {
    /// Kilocalories
    Kcal,
    /// Kilojoules
    Kj,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// The few questions whose answers narrow the range most, asked one at a time
    Ask(ask::AskArgs),
    /// Meals side by side, and which is likely to be more
    Compare(compare::CompareArgs),
    /// The plate behind a menu line: components, range, what was assumed
    Estimate(estimate::EstimateArgs),
    /// From the words to the figure of one component, step by step
    Explain(explain::ExplainArgs),
    /// Your guesses of weight against the scales, and what they say of your eye
    Eye(eye::EyeArgs),
    /// A menu, from text, CSV, schema.org data or a saved page
    Menu(menu::MenuArgs),
    /// What is in force, and where each value came from
    Settings(settings::SettingsArgs),
    /// Completions for a shell, on standard output
    Completions(manual::CompletionsArgs),
    /// Manual pages, one a command
    Man(manual::ManArgs),
    /// Adds a diary's meals to days and weeks
    Tally(tally::TallyArgs),
    /// The plate as a handful of lines for a food record
    Lines(lines::LinesArgs),
    /// A draft reply to a client's message: lines, ballpark, one question
    Reply(reply::ReplyArgs),
    /// What was written down against what the menu's words imply, with a question for each difference
    Review(review::ReviewArgs),
    /// Look into the component library, check it, or start your own
    #[command(subcommand)]
    Library(library::LibraryCommand),
}

/// What a command needs of the world.
pub struct Context {
    /// The library with the user's files laid over it.
    pub library: Library,
    /// How to lay out.
    pub look: Look,
    /// The setting's id, where one was given.
    pub setting: Option<String>,
    /// The settings file's values, for what has no flag of every command.
    pub settings: Settings,
}

/// Runs the command line; the exit status is 0, 1 for a failure of the system, 2 for misuse or bad data.
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            let code = if error.use_stderr() { 2 } else { 0 };
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    match dispatch(cli) {
        Ok(code) => code,
        // A reader that has gone away (`| head`) is no failure.
        Err(CliError::Output(error)) if error.kind() == std::io::ErrorKind::BrokenPipe => {
            ExitCode::SUCCESS
        }
        Err(error) => {
            let _ = writeln!(anstream::stderr(), "platespan: {error}");
            ExitCode::from(error.exit_code())
        }
    }
}

fn dispatch(cli: Cli) -> Result<ExitCode, CliError> {
    let Cli {
        mut common,
        command,
    } = cli;
    // These two need nothing of the user's files, and must work where those are broken.
    match &command {
        Command::Completions(args) => return manual::completions(args),
        Command::Man(args) => return manual::man(args),
        _ => {}
    }
    let settings = Settings::read()?;
    if let Command::Settings(_) = command {
        return settings::run(&common, &settings);
    }
    settings.fill(&mut common);
    if let Command::Library(command) = command {
        return library::run(command, &common);
    }
    let context = Context {
        settings,
        ..common.context()?
    };
    match command {
        Command::Ask(args) => ask::run(args, &context),
        Command::Compare(args) => compare::run(args, &context),
        Command::Estimate(args) => estimate::run(args, &context),
        Command::Explain(args) => explain::run(args, &context),
        Command::Eye(args) => eye::run(args, &context),
        Command::Menu(args) => menu::run(args, &context),
        Command::Library(_) | Command::Settings(_) | Command::Completions(_) | Command::Man(_) => {
            Ok(ExitCode::SUCCESS)
        }
        Command::Tally(args) => tally::run(args, &context),
        Command::Lines(args) => lines::run(args, &context),
        Command::Reply(args) => reply::run(args, &context),
        Command::Review(args) => review::run(args, &context),
    }
}

impl Common {
    /// The user's library files: the configuration folder's first, then those of the command line, in their order.
    fn overlays(&self) -> Result<Vec<Overlay>, CliError> {
        let mut overlays = Vec::new();
        if let Some(folder) = config_folder()
            .map(|folder| folder.join("library"))
            .filter(|folder| folder.is_dir())
        {
            overlays.extend(Overlay::read(&folder)?);
        }
        for path in &self.libraries {
            overlays.extend(Overlay::read(path)?);
        }
        Ok(overlays)
    }

    fn context(&self) -> Result<Context, CliError> {
        let library = Library::with_overlays(&self.overlays()?)?;
        if let Some(said) = &self.setting
            && !library
                .rules
                .settings
                .iter()
                .any(|setting| setting.id == *said)
        {
            let known: Vec<&str> = library
                .rules
                .settings
                .iter()
                .map(|setting| setting.id.as_str())
                .collect();
            return Err(CliError::Usage(format!(
                "{}there is no setting `{said}`; choose one of {}",
                self.setting_place,
                known.join(", ")
            )));
        }
        Ok(Context {
            library,
            look: self.look(),
            setting: self.setting.clone(),
            settings: Settings::default(),
        })
    }

    fn look(&self) -> Look {
        let out = std::io::stdout();
        let colour = anstream::AutoStream::choice(&out) != anstream::ColorChoice::Never;
        let terminal = terminal_size::terminal_size()
            .map(|(terminal_size::Width(columns), _)| usize::from(columns));
        let stated = std::env::var("COLUMNS")
            .ok()
            .and_then(|columns| columns.parse().ok());
        let width = self
            .width
            .or(if out.is_terminal() { terminal } else { None })
            .or(stated)
            .unwrap_or(80);
        let energy = match self.energy {
            Some(Energy::Kj) => EnergyUnit::Kj,
            _ => EnergyUnit::Kcal,
        };
        Look {
            energy,
            width: width.clamp(24, 160),
            colour,
        }
    }
}

/// `$XDG_CONFIG_HOME/platespan`.
pub(crate) fn config_folder() -> Option<PathBuf> {
    use etcetera::BaseStrategy;
    etcetera::choose_base_strategy()
        .ok()
        .map(|base| base.config_dir().join("platespan"))
}

/// The text of the arguments, or of standard input where there are none and it is no terminal.
pub(crate) fn text_of(words: &[String]) -> Result<String, CliError> {
    if !words.is_empty() && words != ["-"] {
        return Ok(words.join(" "));
    }
    let mut input = std::io::stdin();
    if words.is_empty() && input.is_terminal() {
        return Err(CliError::Usage(
            "say what was on the plate, or give a text on standard input".to_owned(),
        ));
    }
    let mut bytes = Vec::new();
    input.read_to_end(&mut bytes).map_err(CliError::Input)?;
    String::from_utf8(bytes).map_err(|error| {
        let place = error.utf8_error().valid_up_to();
        CliError::Usage(format!("the text on standard input is not UTF-8: the first bad byte is number {}; save it as UTF-8", place + 1))
    })
}

/// Prints to standard output, colours kept only where they can be shown.
pub(crate) fn print(text: &str) -> Result<(), CliError> {
    let mut out = anstream::stdout().lock();
    out.write_all(text.as_bytes())
        .and_then(|()| out.flush())
        .map_err(CliError::Output)
}

/// One line of JSON.
pub(crate) fn to_json<T: serde::Serialize>(value: &T) -> Result<String, CliError> {
    serde_json::to_string(value).map_err(|error| CliError::Output(error.into()))
}

/// CSV with a heading.
pub(crate) fn to_csv<T: serde::Serialize>(
    rows: impl IntoIterator<Item = T>,
) -> Result<String, CliError> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    for row in rows {
        writer
            .serialize(row)
            .map_err(|error| CliError::Output(std::io::Error::other(error)))?;
    }
    let bytes = writer
        .into_inner()
        .map_err(|error| CliError::Output(std::io::Error::other(error.to_string())))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}
