//! How good the estimates are: `cargo run --release --example evaluate -- FILE.csv [--worst N] [--all] [--library FILE]`.
//!
//! FILE has the columns `id, place, section, text, kcal, protein, fat, carb, kind`: menu lines with the energy (kcal) and
//! macros (g) that their places publish. Printed are, in all and by section and kind, the errors of the likely energy, how
//! often the truth lies inside low–high, how wide the ranges are, the same for each macro, a reliability table, the share
//! of words not understood, and the worst rows.

mod scoring;

use platespan::library::Overlay;
use platespan::{Estimate, Library, Nutrient, PlateOptions, estimate_text};
use scoring::{Line, Prediction};
use std::collections::BTreeMap;
use std::error::Error;
use std::path::Path;

/// A line with its estimate, and what that predicts.
struct Estimated {
    line: Line,
    estimate: Estimate,
    prediction: Prediction,
}

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let mut file = None;
    let (mut worst, mut all) = (20, false);
    let mut overlays = Vec::new();
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--worst" => worst = arguments.next().ok_or("--worst needs a number")?.parse()?,
            "--all" => all = true,
            "--library" => overlays.extend(Overlay::read(Path::new(
                &arguments.next().ok_or("--library needs a file or folder")?,
            ))?),
            _ => file = Some(argument),
        }
    }
    let file =
        file.ok_or("give a CSV file: id, place, section, text, kcal, protein, fat, carb, kind")?;
    let library = Library::with_overlays(&overlays)?;
    let mut lines = Vec::new();
    let mut unread = Vec::new();
    for line in scoring::read_lines(&file)? {
        let options = PlateOptions {
            section: Some(line.section.clone()).filter(|section| !section.is_empty()),
            ..PlateOptions::default()
        };
        match estimate_text(&library, &line.text, &options) {
            Ok(estimate) => lines.push(Estimated {
                prediction: Prediction::of(&estimate, &line),
                estimate,
                line,
            }),
            Err(error) => unread.push(format!("{}: {error}", line.id)),
        }
    }
    let mut places: Vec<&str> = lines.iter().map(|one| one.line.place.as_str()).collect();
    places.sort_unstable();
    places.dedup();
    println!(
        "{} lines of {} places read, {} not read",
        lines.len(),
        places.len(),
        unread.len()
    );
    for line in &unread {
        println!("  {line}");
    }
    let judged: Vec<scoring::Judged> = lines
        .iter()
        .map(|one| (&one.line, &one.prediction))
        .collect();
    scoring::report(&judged);
    words(&lines);
    show_worst(&lines, if all { usize::MAX } else { worst }, all);
    Ok(())
}

fn words(lines: &[Estimated]) {
    let mut unknown: BTreeMap<String, usize> = BTreeMap::new();
    let mut count = 0;
    let mut total = 0;
    for line in lines {
        total += line.line.text.split_whitespace().count();
        for word in &line.estimate.plate.not_understood {
            *unknown.entry(word.text.to_lowercase()).or_default() += 1;
            count += 1;
        }
    }
    let share = 100.0 * count as f64 / total.max(1) as f64;
    println!("words not understood: {count} of {total} ({share:.2} %)");
    let mut unknown: Vec<(String, usize)> = unknown.into_iter().collect();
    unknown.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    let shown: Vec<String> = unknown
        .iter()
        .take(40)
        .map(|(word, count)| format!("{word} ({count})"))
        .collect();
    println!("  {}\n", shown.join(", "));
}

fn show_worst(lines: &[Estimated], most: usize, parts: bool) {
    let error = |line: &Estimated| {
        let truth = line.line.truth[0].unwrap_or(1.0).max(1.0);
        (line.estimate.total(Nutrient::Energy).likely.max(1.0) / truth).ln()
    };
    let mut order: Vec<&Estimated> = lines
        .iter()
        .filter(|line| line.line.truth[0].is_some())
        .collect();
    order.sort_by(|a, b| error(b).abs().total_cmp(&error(a).abs()));
    println!("the worst rows: log error, published, low–likely–high");
    for line in order.into_iter().take(most) {
        let range = line.estimate.total(Nutrient::Energy);
        println!(
            "  {} {:+.2}  {:.0}  {:.0}–{:.0}–{:.0}  {}: {}",
            line.line.id,
            error(line),
            line.line.truth[0].unwrap_or(0.0),
            range.low,
            range.likely,
            range.high,
            line.line.section,
            line.line.text
        );
        if parts {
            for row in &line.estimate.rows {
                println!(
                    "        {:>5.0} kcal {:>5.0} g  {} [{} {}{}] ×{:.2}",
                    row.nutrients[0].likely,
                    row.grams.likely,
                    row.component.name,
                    row.component.role.name(),
                    row.component.origin.name(),
                    row.component
                        .slot
                        .as_ref()
                        .map_or(String::new(), |slot| format!(" {slot}")),
                    row.component.chance
                );
            }
        }
    }
}
