//! `platespan ask`.

use super::{CliError, Context, print, text_of};
use crate::estimate::Range;
use crate::plate::PlateOptions;
use crate::questions::{Question, Round, interview, questions};
use crate::report::{self, JsonQuestion, JsonRange, Look, grouped, per_cent, round_to, wrapped};
use clap::{Args, ValueEnum};
use serde::Serialize;
use std::fmt::Write;
use std::io::IsTerminal;
use std::process::ExitCode;

/// Arguments of `platespan ask`.
#[derive(Debug, Args)]
#[command(after_help = "\
Each answer is a piece of text behind the meal's own: the text that is printed at the end gives the same estimate by itself.
Where standard input is no terminal, the questions are printed and nothing is asked.

Examples:
  platespan ask \"burger\"
  platespan ask \"cod with fries or salad\" --most 1
  platespan ask \"shared the nachos\" --format json")]
pub struct AskArgs {
    /// What the menu says and what is remembered; from standard input where it is left out or `-`
    words: Vec<String>,
    /// Ask at most this many questions [default: 3]
    #[arg(long, value_name = "N")]
    most: Option<usize>,
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
    /// One versioned object; nothing is asked
    Json,
}

/// The JSON of `ask`.
#[derive(Debug, Serialize)]
struct JsonAsk<'a> {
    format: u32,
    text: &'a str,
    kcal: JsonRange,
    questions: Vec<JsonQuestion>,
    cautions: Vec<String>,
}

/// Runs it.
pub fn run(args: AskArgs, context: &Context) -> Result<ExitCode, CliError> {
    let text = text_of(&args.words)?;
    let text = text.trim();
    let library = &context.library;
    let options = PlateOptions {
        setting: context.setting.clone(),
        section: args.section,
        ..PlateOptions::default()
    };
    let most = args.most.unwrap_or(library.rules.asking.most);
    let talks = std::io::stdin().is_terminal() && std::io::stdout().is_terminal();
    if talks && args.format == Format::Table {
        return talk(text, &options, most, context);
    }
    let estimate = crate::estimate_text(library, text, &options)?;
    let found = questions(library, text, &options, most);
    match args.format {
        Format::Json => {
            let answer = JsonAsk {
                format: report::FORMAT,
                text,
                kcal: estimate.total[0].into(),
                questions: found.iter().map(JsonQuestion::from).collect(),
                cautions: report::cautions(),
            };
            print(&format!("{}\n", super::to_json(&answer)?))?;
        }
        Format::Table => print(&printed(&found, estimate.total[0], &context.look))?,
    }
    Ok(ExitCode::SUCCESS)
}

/// Asks in the terminal, one question after the other.
fn talk(
    text: &str,
    options: &PlateOptions,
    most: usize,
    context: &Context,
) -> Result<ExitCode, CliError> {
    let look = &context.look;
    let start = crate::estimate_text(&context.library, text, options)?;
    print(&format!("{}\n\n", in_words(start.total[0], look)))?;
    let ask = |question: &Question| -> Result<Option<usize>, CliError> {
        let mut answers: Vec<String> = question
            .answers
            .iter()
            .map(|answer| answer.wording.clone())
            .collect();
        answers.push(NOT_SURE.to_owned());
        // What follows the question mark is a help to judge by.
        let (wording, help) = match question.wording.split_once("? ") {
            Some((wording, help)) => (format!("{wording}?"), help),
            None => (question.wording.clone(), ""),
        };
        let mut prompt = inquire::Select::new(&wording, answers).with_page_size(MOST_ANSWERS);
        if !help.is_empty() {
            prompt = prompt.with_help_message(help);
        }
        match prompt.raw_prompt_skippable() {
            Ok(chosen) => Ok(chosen.map(|chosen| chosen.index)),
            Err(error) => Err(CliError::Input(std::io::Error::other(error.to_string()))),
        }
    };
    let told = |round: &Round| print(&format!("{}\n\n", shrunk(round, look)));
    let done = interview(&context.library, text, options, most, ask, told)?;
    if done.rounds.is_empty() {
        print("There is nothing to ask that would narrow this range much.\n\n")?;
    }
    print(&format!("As text: {}\n\n", done.text))?;
    print(&report::table(&done.estimate, look))?;
    Ok(ExitCode::SUCCESS)
}

/// Answers shown at once, "not sure" among them.
const MOST_ANSWERS: usize = 12;

const NOT_SURE: &str = "not sure";

fn span(range: Range, look: &Look) -> String {
    let (range, step) = (range.times(look.energy.factor()), look.energy.step());
    format!(
        "{} to {} {}",
        grouped(round_to(range.low, 2.0 * step)),
        grouped(round_to(range.high, 2.0 * step)),
        look.energy.symbol()
    )
}

fn in_words(range: Range, look: &Look) -> String {
    let likely = range.likely * look.energy.factor();
    format!(
        "about {} {}; 8 plates in 10 lie between {}",
        grouped(round_to(likely, look.energy.step())),
        look.energy.symbol(),
        span(range, look).replacen(" to ", " and ", 1)
    )
}

/// What an answer did to the range.
fn shrunk(round: &Round, look: &Look) -> String {
    if round.answer.is_none() {
        return format!("The range stays as it is: {}.", span(round.after, look));
    }
    let by = 1.0 - round.after.width() / round.before.width().max(f64::MIN_POSITIVE);
    let (before, after) = (span(round.before, look), span(round.after, look));
    if by >= 0.01 {
        format!("{before} is now {after}: narrower by {:.0} %.", by * 100.0)
    } else {
        format!("{before} is now {after}.")
    }
}

/// The questions on paper.
fn printed(found: &[Question], before: Range, look: &Look) -> String {
    let mut out = format!("{}\n", in_words(before, look));
    if found.is_empty() {
        out.push_str("\nThere is nothing to ask that would narrow this range much.\n");
    }
    for (at, question) in found.iter().enumerate() {
        let heading = format!("{}. {}", at + 1, question.wording);
        out.push('\n');
        for line in wrapped(&heading, look.width) {
            let _ = writeln!(out, "{line}");
        }
        let _ = writeln!(
            out,
            "   An answer narrows the range by about {}.",
            per_cent(question.narrowing)
        );
        let said = |answer: &crate::questions::Answer| answer.wording.chars().count();
        let names = question.answers.iter().map(said).max().unwrap_or(0).min(44);
        for answer in &question.answers {
            let _ = writeln!(
                out,
                "   - {:names$}  {}",
                answer.wording,
                span(answer.range, look)
            );
            let _ = writeln!(out, "     add \"{}\"", answer.text);
        }
    }
    out.push('\n');
    for line in wrapped(report::CAUTION, look.width) {
        let _ = writeln!(out, "{}", line.trim_start());
    }
    out
}
