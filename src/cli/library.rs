//! `platespan library`: find, show, check, report, gaps, and a file to start your own.

use super::{CliError, Common, print};
use crate::library::{Entry, FoodId, Library, Origin, check, evidence};
use crate::plate::PlateOptions;
use clap::{Args, Subcommand};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use tabled::builder::Builder;
use tabled::settings::Style;

/// `platespan library …`.
#[derive(Debug, Subcommand)]
pub enum LibraryCommand {
    /// Foods and dishes by name
    #[command(after_help = "\
Examples:
  platespan library find potato
  platespan library find lentil soup --most 3")]
    Find {
        /// Words of a name
        #[arg(required = true)]
        words: Vec<String>,
        /// How many to show
        #[arg(long, default_value_t = 12)]
        most: usize,
    },
    /// One entry: figures, portions, measures, source and file
    #[command(after_help = "\
Examples:
  platespan library show goat cheese
  platespan library show trout")]
    Show {
        /// Its id, or a name
        #[arg(required = true)]
        id: Vec<String>,
    },
    /// Every fault of every entry, exit status 2 where there is one
    Check(CheckArgs),
    /// Words of a menu file that nothing knows, most frequent first
    #[command(after_help = "\
Examples:
  platespan library gaps dinner.txt
  platespan library gaps saved-page.html")]
    Gaps {
        /// A menu file as `platespan menu` reads it
        file: PathBuf,
    },
    /// Write a commented file to start your own library from
    #[command(after_help = "\
Examples:
  platespan library new my-library.toml")]
    New {
        /// Where to write it; it must not exist
        #[arg(default_value = "my-library.toml")]
        file: PathBuf,
    },
}

/// Arguments of `platespan library check`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan library check
  platespan library check --report")]
pub struct CheckArgs {
    /// Files or folders of your own to check, laid over the library
    paths: Vec<PathBuf>,
    /// Show warnings too
    #[arg(long)]
    warnings: bool,
    /// Count foods and portions by kind of evidence instead
    #[arg(long)]
    report: bool,
}

/// Runs it.
pub fn run(command: LibraryCommand, common: &Common) -> Result<ExitCode, CliError> {
    match command {
        LibraryCommand::Find { words, most } => {
            let library = common.context()?.library;
            find(&library, &words.join(" "), most)
        }
        LibraryCommand::Show { id } => {
            let library = common.context()?.library;
            show(&library, &id.join(" "))
        }
        LibraryCommand::Check(args) => run_check(args, common),
        LibraryCommand::Gaps { file } => {
            let library = common.context()?.library;
            gaps(&library, &file)
        }
        LibraryCommand::New { file } => new(&file),
    }
}

fn run_check(args: CheckArgs, common: &Common) -> Result<ExitCode, CliError> {
    let mut overlays = common.overlays()?;
    for path in &args.paths {
        overlays.extend(crate::library::Overlay::read(path)?);
    }
    let library = Library::with_overlays(&overlays)?;
    if args.report {
        print(&report(&library))?;
        return Ok(ExitCode::SUCCESS);
    }
    let found = check::check(&library);
    let (faults, warnings): (Vec<_>, Vec<_>) =
        found.into_iter().partition(|finding| finding.is_fault);
    let mut out = String::new();
    for finding in faults.iter().chain(if args.warnings {
        warnings.as_slice()
    } else {
        &[]
    }) {
        let _ = writeln!(out, "{finding}");
    }
    let _ = writeln!(
        out,
        "{} and {} checked: {}, {}{}",
        count(library.foods.len(), "food"),
        count(library.dishes.len(), "dish pattern"),
        count(faults.len(), "fault"),
        count(warnings.len(), "warning"),
        if warnings.is_empty() || args.warnings {
            ""
        } else {
            " (see --warnings)"
        }
    );
    print(&out)?;
    Ok(ExitCode::from(if faults.is_empty() { 0 } else { 2 }))
}

fn count(number: usize, thing: &str) -> String {
    format!("{number} {thing}{}", if number == 1 { "" } else { "s" })
}

/// The table of `--report`, as the README shows it.
pub fn report(library: &Library) -> String {
    let tally = evidence::tally(library);
    let mut builder = Builder::default();
    builder.push_record(["what", "count", "share"]);
    let mut row = |name: &str, number: usize, of: usize| {
        let share = if of == 0 {
            String::new()
        } else {
            format!("{:.0} %", 100.0 * number as f64 / of as f64)
        };
        builder.push_record([name.to_owned(), number.to_string(), share]);
    };
    let [foods, dishes, names] = tally.sizes;
    row("foods", foods, 0);
    row("  from a published table or label", tally.origins[0], foods);
    row("  blends of such foods", tally.origins[1], foods);
    row("dish patterns", dishes, 0);
    row("names and aliases", names, 0);
    let by_kind: [usize; 6] = std::array::from_fn(|at| {
        let of = |whose: &[usize; 6]| whose[at];
        tally.portions.iter().map(of).sum()
    });
    let portions: usize = by_kind.iter().sum();
    row("portions stated by foods, dishes, categories", portions, 0);
    for (kind, number) in evidence::KINDS.iter().zip(by_kind) {
        row(&format!("  {kind}"), number, portions);
    }
    let slots: usize = tally.served.iter().sum();
    row("slots of dishes, by what they are served by", slots, 0);
    for (kind, number) in evidence::KINDS.iter().zip(tally.served) {
        row(&format!("  {kind}"), number, slots);
    }
    row("  of them by their food's portion", tally.by_food, slots);
    row(
        "foods with their category's portions",
        tally.by_category,
        foods,
    );
    let measures: usize = tally.measures.iter().sum();
    row("measures of foods (slice, cup ...)", measures, 0);
    for (kind, number) in ["weighed", "from a table", "judgement"]
        .iter()
        .zip(tally.measures)
    {
        row(&format!("  {kind}"), number, measures);
    }
    format!("{}\n", builder.build().with(Style::markdown()))
}

fn name_and_aliases(library: &Library, entry: Entry) -> (String, String, Vec<String>, String) {
    match entry {
        Entry::Food(id) => {
            let food = library.food(id);
            (
                food.id.clone(),
                food.name.clone(),
                library.aliases(entry),
                food.file.clone(),
            )
        }
        Entry::Dish(id) => {
            let dish = library.dish(id);
            (
                dish.id.clone(),
                dish.name.clone(),
                library.aliases(entry),
                dish.file.clone(),
            )
        }
    }
}

fn find(library: &Library, words: &str, most: usize) -> Result<ExitCode, CliError> {
    let foods = (0..library.foods.len()).map(|index| Entry::Food(FoodId(index)));
    let dishes = (0..library.dishes.len()).map(|index| Entry::Dish(crate::library::DishId(index)));
    let wanted = crate::library::stems(words);
    let mut hits: Vec<(usize, String, String, String)> = foods
        .chain(dishes)
        .filter_map(|entry| {
            let (id, name, aliases, file) = name_and_aliases(library, entry);
            let best = std::iter::once(&name)
                .chain(&aliases)
                .filter_map(|name| {
                    let stems = crate::library::stems(name);
                    wanted
                        .iter()
                        .all(|word| stems.contains(word))
                        .then_some(stems.len())
                })
                .min()?;
            Some((best, id, name, file))
        })
        .collect();
    hits.sort();
    if hits.is_empty() {
        let nearest = library.nearest(words, 5);
        let hint = if nearest.is_empty() {
            String::new()
        } else {
            format!("; nearest names: {}", nearest.join(", "))
        };
        return Err(CliError::Usage(format!(
            "nothing is called \"{words}\"{hint}"
        )));
    }
    let mut out = String::new();
    for (_, id, name, file) in hits.iter().take(most) {
        let _ = writeln!(out, "{id:<34} {name}  [{file}]");
    }
    if hits.len() > most {
        let _ = writeln!(
            out,
            "… and {} more: add words, or --most {}",
            hits.len() - most,
            hits.len()
        );
    }
    print(&out)?;
    Ok(ExitCode::SUCCESS)
}

fn entry_of(library: &Library, said: &str) -> Option<Entry> {
    library.find(said).or_else(|| {
        let key = crate::library::stems(said).concat();
        library
            .vocabulary()
            .find(&key)
            .iter()
            .find_map(|term| match term {
                crate::library::Term::Food(id) => Some(Entry::Food(*id)),
                crate::library::Term::Dish(id) => Some(Entry::Dish(*id)),
                _ => None,
            })
    })
}

fn show(library: &Library, said: &str) -> Result<ExitCode, CliError> {
    let Some(entry) = entry_of(library, said) else {
        let nearest = library.nearest(said, 5);
        return Err(CliError::Usage(format!(
            "there is no `{said}`; nearest names: {}",
            nearest.join(", ")
        )));
    };
    let mut out = String::new();
    match entry {
        Entry::Food(id) => show_food(library, id, &mut out),
        Entry::Dish(id) => {
            let dish = library.dish(id);
            let _ = writeln!(
                out,
                "{} ({})\n  names: {}\n  kitchen: {}, course: {}",
                dish.name,
                dish.id,
                library.aliases(entry).join(", "),
                dish.kitchen,
                dish.course
            );
            if let Some([low, likely, high]) = dish.served {
                let _ = writeln!(out, "  an order: {likely} ({low}–{high}) of the following");
            }
            for slot in &dish.slots {
                let [low, likely, high] = library.slot_portion(slot);
                let chance = if slot.chance < 1.0 {
                    format!(", there in {:.0} % of cases", slot.chance * 100.0)
                } else {
                    String::new()
                };
                let _ = writeln!(
                    out,
                    "  {}: {} {likely:.0} g ({low:.0}–{high:.0}){chance}; {}",
                    slot.name,
                    library.food(slot.food).name,
                    library.slot_evidence(dish, slot).line
                );
            }
            let _ = writeln!(out, "  file: {}", dish.file);
        }
    }
    print(&out)?;
    Ok(ExitCode::SUCCESS)
}

fn show_food(library: &Library, id: FoodId, out: &mut String) {
    let food = library.food(id);
    let figures = &food.per_100g;
    let _ = writeln!(
        out,
        "{} ({})\n  names: {}",
        food.name,
        food.id,
        library.aliases(Entry::Food(id)).join(", ")
    );
    let _ = writeln!(out, "  category: {}", library.category(id).name);
    let _ = writeln!(
        out,
        "  100 g: {:.0} kcal, protein {:.1} g, fat {:.1} g, carbohydrate {:.1} g, fibre {:.1} g, alcohol {:.1} g; spread {:.0} %",
        figures.kcal,
        figures.protein,
        figures.fat,
        figures.carbohydrate,
        figures.fibre,
        figures.alcohol,
        food.spread * 100.0
    );
    match &food.origin {
        Origin::Table(source) => {
            let _ = writeln!(out, "  source: {source}");
        }
        Origin::Blend(parts, finished) => {
            let parts: Vec<String> = parts
                .iter()
                .map(|(part, grams)| {
                    format!("{grams} g {}", library.food(*part).name.to_lowercase())
                })
                .collect();
            let _ = writeln!(out, "  blend: {}; yield {finished}", parts.join(", "));
        }
    }
    for (role, portion) in &food.portions {
        let [low, likely, high] = portion.grams;
        let _ = writeln!(
            out,
            "  as {}: {likely:.0} g ({low:.0}–{high:.0}); {}",
            role.name(),
            library.evidence(id, *role).line
        );
    }
    if food.portions.is_empty() {
        let [low, likely, high] = library.portion(id, food.served_as);
        let _ = writeln!(
            out,
            "  as {}: {likely:.0} g ({low:.0}–{high:.0}), its category's portion; {}",
            food.served_as.name(),
            library.evidence(id, food.served_as).line
        );
    }
    if !food.measures.is_empty() {
        let measures: Vec<String> = food
            .measures
            .iter()
            .map(|(measure, grams)| format!("{} {grams:.0} g", measure.replace('_', " ")))
            .collect();
        let _ = writeln!(out, "  measures: {}", measures.join(", "));
    }
    for (what, text) in [("evidence", &food.evidence), ("note", &food.note)] {
        if let Some(text) = text {
            let _ = writeln!(out, "  {what}: {text}");
        }
    }
    let _ = writeln!(out, "  file: {}", food.file);
}

fn gaps(library: &Library, file: &Path) -> Result<ExitCode, CliError> {
    let mut unknown: BTreeMap<String, usize> = BTreeMap::new();
    let (mut lines, mut words) = (0, 0);
    for line in crate::menu::lines_of(file)? {
        let line = line?;
        lines += 1;
        words += line.text.split_whitespace().count();
        let options = PlateOptions {
            setting: None,
            section: line.section,
            ..PlateOptions::default()
        };
        match crate::estimate_text(library, &line.text, &options) {
            Ok(estimate) => {
                for word in &estimate.plate.not_understood {
                    *unknown.entry(word.text.to_lowercase()).or_default() += 1;
                }
            }
            Err(_) => *unknown.entry(line.text.trim().to_lowercase()).or_default() += 1,
        }
    }
    let total: usize = unknown.values().sum();
    let mut order: Vec<(String, usize)> = unknown.into_iter().collect();
    order.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    let mut out = format!(
        "{}, {}: {} not understood\n",
        count(lines, "line"),
        count(words, "word"),
        total
    );
    for (word, times) in order {
        let nearest = library.nearest(&word, 2);
        let hint = if nearest.is_empty() {
            String::new()
        } else {
            format!("   nearest: {}", nearest.join(", "))
        };
        let _ = writeln!(out, "{times:>5}  {word}{hint}");
    }
    print(&out)?;
    Ok(ExitCode::SUCCESS)
}

const STARTER: &str = include_str!("new-library.toml");

fn new(file: &Path) -> Result<ExitCode, CliError> {
    let written = std::fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(file)
        .and_then(|mut out| {
            use std::io::Write as _;
            out.write_all(STARTER.as_bytes())
                .and_then(|()| out.sync_all())
        });
    match written {
        Ok(()) => {
            print(&format!(
                "wrote {}; edit it, then try `platespan library check {0}` and `platespan estimate \"…\" --library {0}`\n",
                file.display()
            ))?;
            Ok(ExitCode::SUCCESS)
        }
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => {
            Err(CliError::Usage(format!(
                "`{}` is there already and was left as it is; give another name",
                file.display()
            )))
        }
        Err(source) => Err(CliError::Write {
            path: file.to_owned(),
            source,
        }),
    }
}
