//! `platespan reply`.

use super::lines::Measure;
use super::{CliError, Context, print, text_of};
use crate::entries::LineOptions;
use crate::plate::PlateOptions;
use crate::reply::{self, ReplyError, ReplyOptions, VARIABLES};
use clap::{Args, ValueEnum};
use std::path::PathBuf;
use std::process::ExitCode;

/// Arguments of `platespan reply`.
#[derive(Debug, Args)]
#[command(after_help = help())]
pub struct ReplyArgs {
    /// The client's message, as it came; from standard input where it is left out or `-`
    message: Vec<String>,
    /// How much the reply says
    #[arg(long, value_enum, default_value_t = Tone::Brief)]
    tone: Tone,
    /// Name for the greeting
    #[arg(long, value_name = "NAME")]
    name: Option<String>,
    /// A template of your own, in place of the tone's
    #[arg(long, value_name = "FILE")]
    template: Option<PathBuf>,
    /// What the client has to measure with; the settings file's, else a scale
    #[arg(long, value_enum)]
    measure: Option<Measure>,
}

/// How much the reply says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Tone {
    /// Lines, ballpark, one question
    Brief,
    /// With macros and what was taken for granted
    Full,
}

impl From<Tone> for reply::Tone {
    fn from(tone: Tone) -> Self {
        match tone {
            Tone::Brief => reply::Tone::Brief,
            Tone::Full => reply::Tone::Full,
        }
    }
}

fn help() -> String {
    let mut help = "\
Examples:
  platespan reply \"Hi! I had the mushroom risotto and a side salad, left about half the risotto\"
  platespan reply --name Rosa --measure hand \"beef stew, two slices of bread with butter, an apple\"
  platespan reply --tone full < message.txt
  platespan reply --template mine.txt \"falafel wrap, no sauce\"

A template is plain text with these in {{ }}, for example
  {% for line in lines %}{{ line.name }}: {{ line.amount }}, {% endfor %}about {{ energy.likely }} {{ energy.unit }}
"
    .to_owned();
    for (name, what) in VARIABLES {
        help.push_str(&format!("\n  {name:<15} {what}"));
    }
    help
}

/// Runs it.
pub fn run(args: ReplyArgs, context: &Context) -> Result<ExitCode, CliError> {
    let template = match args.template {
        None => None,
        Some(path) => {
            let source = std::fs::read_to_string(&path).map_err(|source| CliError::File {
                path: path.clone(),
                source,
            })?;
            Some((path.display().to_string(), source))
        }
    };
    let message = text_of(&args.message)?;
    let options = ReplyOptions {
        tone: args.tone.into(),
        name: args
            .name
            .map(|name| name.split_whitespace().collect::<Vec<_>>().join(" "))
            .filter(|name| !name.is_empty()),
        lines: LineOptions {
            measure: Measure::wanted(args.measure, context).into(),
            ..LineOptions::default()
        },
        energy: context.look.energy,
        plate: PlateOptions {
            setting: context.setting.clone(),
            section: None,
            ..PlateOptions::default()
        },
        template,
    };
    let reply =
        reply::reply(&context.library, &message, &options).map_err(|error| match error {
            ReplyError::Read(error) => CliError::Read(error),
            ReplyError::Template(error) => CliError::Usage(error.to_string()),
        })?;
    print(&reply.text)?;
    Ok(ExitCode::SUCCESS)
}
