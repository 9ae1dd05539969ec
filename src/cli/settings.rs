//! The settings file and `platespan settings`: what is in force, and where each value came from.
//!
//! Later wins: what the program brings along, then the settings file, then the flags of a command. Libraries add up in
//! that order instead, each laid over those before it.

use super::{CliError, Common, Energy, config_folder, print};
use clap::{Args, ValueEnum};
use serde::Deserialize;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use toml::Spanned;

/// Arguments of `platespan settings`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan settings
  platespan settings --energy kj

The settings file is $XDG_CONFIG_HOME/platespan/settings.toml (~/.config/platespan/settings.toml where that variable is
not set). All of it may be left out:

  energy    = \"kj\"                 # kcal or kj
  measure   = \"cups\"               # what you measure with: scale, cups or hand
  setting   = \"lunch\"              # kind of place or occasion
  width     = 72                   # columns of the output
  libraries = [\"my-region.toml\"]   # laid over the library; paths from the settings file's folder
  eye       = \"eye.csv\"            # how your own eye for portions errs; a path likewise

A flag of a command wins over the file, the file over the defaults.")]
pub struct SettingsArgs {}

/// What people measure their food with.
pub const MEASURES: [&str; 3] = ["scale", "cups", "hand"];

/// The keys of the file.
const KEYS: [&str; 6] = ["energy", "measure", "setting", "width", "libraries", "eye"];

/// The settings file's values; none for what it does not say.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Settings {
    /// Where the file is or would be; none where there is no home.
    pub path: Option<PathBuf>,
    /// Whether it is there.
    pub found: bool,
    energy: Option<Valued<Energy>>,
    /// What the diner measures with, one of [`MEASURES`].
    pub measure: Option<Valued<String>>,
    setting: Option<Valued<String>>,
    width: Option<Valued<usize>>,
    libraries: Option<Valued<Vec<PathBuf>>>,
    /// The file that says how the diner's eye for portions errs.
    pub eye: Option<Valued<PathBuf>>,
}

/// A value with its line in the file, from 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Valued<T> {
    /// The value.
    pub value: T,
    /// Its line.
    pub line: usize,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    energy: Option<Spanned<String>>,
    measure: Option<Spanned<String>>,
    setting: Option<Spanned<String>>,
    width: Option<Spanned<usize>>,
    libraries: Option<Spanned<Vec<PathBuf>>>,
    eye: Option<Spanned<PathBuf>>,
}

impl Settings {
    /// Reads the user's settings file; none of the values where there is no such file.
    ///
    /// # Errors
    /// Where it cannot be read, or says what no setting is, with the line and what is known.
    pub fn read() -> Result<Settings, CliError> {
        let Some(path) = config_folder().map(|folder| folder.join("settings.toml")) else {
            return Ok(Settings::default());
        };
        match std::fs::read_to_string(&path) {
            Ok(text) => Settings::parse(&text, &path),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(Settings {
                path: Some(path),
                ..Settings::default()
            }),
            Err(source) => Err(CliError::File { path, source }),
        }
    }

    /// The settings of a file's text.
    ///
    /// # Errors
    /// What no setting is, with the line and what is known.
    pub fn parse(text: &str, path: &Path) -> Result<Settings, CliError> {
        let line_of = |offset: usize| {
            let before = text.as_bytes().get(..offset).unwrap_or_default();
            before.iter().filter(|byte| **byte == b'\n').count() + 1
        };
        let fault = |line: usize, message: String| CliError::Table {
            path: path.to_owned(),
            message: format!("line {line}: {message}"),
        };
        let file: File = toml::from_str(text).map_err(|error| {
            let line = line_of(error.span().map_or(0, |span| span.start));
            fault(line, told(error.message()))
        })?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let energy = match file.energy {
            Some(said) => {
                let line = line_of(said.span().start);
                let value = Energy::from_str(said.get_ref(), true).map_err(|_| {
                    fault(
                        line,
                        format!(
                            "energy = \"{}\" is no unit; choose kcal or kj",
                            said.get_ref()
                        ),
                    )
                })?;
                Some(Valued { value, line })
            }
            None => None,
        };
        let measure = file.measure.map(|said| valued(said, &line_of));
        if let Some(Valued { value, line }) = &measure
            && !MEASURES.contains(&value.as_str())
        {
            let known = "choose scale, cups or hand";
            return Err(fault(
                *line,
                format!("measure = \"{value}\" is not known; {known}"),
            ));
        }
        Ok(Settings {
            path: Some(path.to_owned()),
            found: true,
            energy,
            measure,
            setting: file.setting.map(|said| valued(said, &line_of)),
            width: file.width.map(|said| valued(said, &line_of)),
            libraries: file.libraries.map(|said| {
                let said = valued(said, &line_of);
                Valued {
                    value: said.value.iter().map(|path| beside(folder, path)).collect(),
                    line: said.line,
                }
            }),
            eye: file.eye.map(|said| {
                let said = valued(said, &line_of);
                Valued {
                    value: beside(folder, &said.value),
                    line: said.line,
                }
            }),
        })
    }

    /// Gives the options of a command what the file says, where no flag says otherwise.
    pub fn fill(&self, common: &mut Common) {
        fill(&mut common.energy, &self.energy);
        if let (None, Some(said), Some(path)) = (&common.setting, &self.setting, &self.path) {
            common.setting_place = format!("{}: line {}: ", path.display(), said.line);
        }
        fill(&mut common.setting, &self.setting);
        fill(&mut common.width, &self.width);
        if let Some(libraries) = &self.libraries {
            // The file's first: a library of the command line is laid over them.
            common
                .libraries
                .splice(0..0, libraries.value.iter().cloned());
        }
    }
}

fn fill<T: Clone>(flag: &mut Option<T>, file: &Option<Valued<T>>) {
    if flag.is_none() {
        *flag = file.as_ref().map(|said| said.value.clone());
    }
}

fn valued<T>(said: Spanned<T>, line_of: &dyn Fn(usize) -> usize) -> Valued<T> {
    let line = line_of(said.span().start);
    Valued {
        value: said.into_inner(),
        line,
    }
}

/// A path as seen from a folder; `~/` is the home folder.
fn beside(folder: &Path, path: &Path) -> PathBuf {
    match (path.strip_prefix("~"), etcetera::home_dir()) {
        (Ok(rest), Ok(home)) => home.join(rest),
        _ => folder.join(path),
    }
}

/// A path as people write it: `~/` for the home folder.
fn short(path: &Path) -> String {
    let in_home = etcetera::home_dir()
        .ok()
        .and_then(|home| path.strip_prefix(home).ok().map(Path::to_owned));
    match in_home {
        Some(rest) => Path::new("~").join(rest).display().to_string(),
        None => path.display().to_string(),
    }
}

/// The parser's message, an unknown key with the nearest that is known.
fn told(message: &str) -> String {
    let message = message
        .trim()
        .replace('\n', " ")
        .replace("usize", "a whole number");
    let Some(key) = message
        .strip_prefix("unknown field `")
        .and_then(|rest| rest.split('`').next())
    else {
        return message;
    };
    let nearest = KEYS
        .iter()
        .max_by(|a, b| strsim::jaro_winkler(key, a).total_cmp(&strsim::jaro_winkler(key, b)))
        .filter(|known| strsim::jaro_winkler(key, known) > 0.75)
        .map_or(String::new(), |known| format!(", did you mean `{known}`?"));
    format!(
        "`{key}` is no setting{nearest}; known are {}",
        KEYS.join(", ")
    )
}

/// Shows what is in force, and where each value came from. `flags` are the options of the command line alone.
pub fn run(flags: &Common, settings: &Settings) -> Result<ExitCode, CliError> {
    let mut in_force = flags.clone();
    settings.fill(&mut in_force);
    // The same faults that any other command would report.
    let context = in_force.context()?;
    let mut rows: Vec<[String; 3]> = Vec::new();
    let mut row = |name: &str, value: String, flag: bool, line: Option<usize>, otherwise: &str| {
        let from = match (flag, line) {
            (true, _) => format!("--{name}"),
            (false, Some(line)) => format!("settings file, line {line}"),
            (false, None) => otherwise.to_owned(),
        };
        rows.push([name.to_owned(), value, from]);
    };
    row(
        "energy",
        context.look.energy.symbol().to_owned(),
        flags.energy.is_some(),
        settings.energy.as_ref().map(|said| said.line),
        "default",
    );
    row(
        "measure",
        settings
            .measure
            .as_ref()
            .map_or(MEASURES[0].to_owned(), |said| said.value.clone()),
        false,
        settings.measure.as_ref().map(|said| said.line),
        "default",
    );
    row(
        "setting",
        context
            .setting
            .clone()
            .unwrap_or_else(|| "as the menu's section says".to_owned()),
        flags.setting.is_some(),
        settings.setting.as_ref().map(|said| said.line),
        "default",
    );
    row(
        "width",
        context.look.width.to_string(),
        flags.width.is_some(),
        settings.width.as_ref().map(|said| said.line),
        "the terminal, else $COLUMNS, else 80",
    );
    row(
        "eye",
        settings
            .eye
            .as_ref()
            .map_or("none".to_owned(), |said| short(&said.value)),
        false,
        settings.eye.as_ref().map(|said| said.line),
        "default",
    );
    let own = config_folder().map(|folder| folder.join("library"));
    if let Some(folder) = own.filter(|folder| folder.is_dir()) {
        let from = "the settings file's folder".to_owned();
        rows.push(["library".to_owned(), short(&folder), from]);
    }
    if let Some(said) = &settings.libraries {
        for path in &said.value {
            let from = format!("settings file, line {}", said.line);
            rows.push(["library".to_owned(), short(path), from]);
        }
    }
    for path in &flags.libraries {
        let from = "--library".to_owned();
        rows.push(["library".to_owned(), short(path), from]);
    }
    print(&shown(&rows, settings, context.look.width))?;
    Ok(ExitCode::SUCCESS)
}

fn shown(rows: &[[String; 3]], settings: &Settings, width: usize) -> String {
    let mut out = String::new();
    let file = match (&settings.path, settings.found) {
        (Some(path), true) => format!("settings file: {}", short(path)),
        (Some(path), false) => format!("settings file: {} (not there)", short(path)),
        (None, _) => "settings file: none, as there is no home folder".to_owned(),
    };
    let _ = writeln!(out, "{file}\n");
    let values = rows
        .iter()
        .map(|[_, value, _]| value.chars().count())
        .max()
        .unwrap_or(0);
    let wide = 9 + values + 3 + 26 <= width;
    for [name, value, from] in rows {
        if wide {
            let _ = writeln!(out, "{name:<8} {value:<values$}   {from}");
        } else {
            let _ = writeln!(out, "{name:<8} {value}\n{:9}{from}", "");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Settings, String> {
        Settings::parse(text, Path::new("/home/ana/platespan/settings.toml"))
            .map_err(|error| error.to_string())
    }

    #[test]
    fn an_unknown_key_is_told_with_its_line_and_what_is_known() {
        insta::assert_snapshot!(read("energy = \"kj\"\nlibrarys = []\n").unwrap_err(), @"/home/ana/platespan/settings.toml: line 2: `librarys` is no setting, did you mean `libraries`?; known are energy, measure, setting, width, libraries, eye");
        insta::assert_snapshot!(read("\n\ncolour = true").unwrap_err(), @"/home/ana/platespan/settings.toml: line 3: `colour` is no setting; known are energy, measure, setting, width, libraries, eye");
    }

    #[test]
    fn a_value_that_cannot_be_is_told_with_its_line() {
        insta::assert_snapshot!(read("\nenergy = \"cal\"").unwrap_err(), @r#"/home/ana/platespan/settings.toml: line 2: energy = "cal" is no unit; choose kcal or kj"#);
        insta::assert_snapshot!(read("measure = \"bucket\"").unwrap_err(), @r#"/home/ana/platespan/settings.toml: line 1: measure = "bucket" is not known; choose scale, cups or hand"#);
        insta::assert_snapshot!(read("width = \"wide\"").unwrap_err(), @r#"/home/ana/platespan/settings.toml: line 1: invalid type: string "wide", expected a whole number"#);
        insta::assert_snapshot!(read("width = -3").unwrap_err(), @"/home/ana/platespan/settings.toml: line 1: invalid value: integer `-3`, expected a whole number");
        insta::assert_snapshot!(read("energy = kj").unwrap_err(), @"/home/ana/platespan/settings.toml: line 1: string values must be quoted, expected literal string");
    }

    #[test]
    fn paths_are_seen_from_the_files_folder() {
        let settings = read("libraries = [\"a.toml\", \"/srv/b\"]\neye = \"eye.toml\"").unwrap();
        let libraries = settings.libraries.unwrap();
        assert_eq!(
            libraries.value,
            [
                PathBuf::from("/home/ana/platespan/a.toml"),
                PathBuf::from("/srv/b")
            ]
        );
        assert_eq!(libraries.line, 1);
        let eye = settings.eye.unwrap();
        assert_eq!(eye.value, PathBuf::from("/home/ana/platespan/eye.toml"));
        assert_eq!(eye.line, 2);
    }

    #[test]
    fn a_flag_wins_over_the_file_and_libraries_add_up() {
        let settings = read("energy = \"kJ\"\nwidth = 60\nlibraries = [\"/a\"]").unwrap();
        let mut common = Common {
            libraries: vec![PathBuf::from("/b")],
            energy: None,
            setting: None,
            width: Some(100),
            setting_place: String::new(),
        };
        settings.fill(&mut common);
        assert_eq!(common.energy, Some(Energy::Kj));
        assert_eq!(common.width, Some(100));
        assert_eq!(common.libraries, [PathBuf::from("/a"), PathBuf::from("/b")]);
    }
}
