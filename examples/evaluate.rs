//! How good the estimates are: `cargo run --release --example evaluate -- FILE.csv [--worst N] [--all]`.
//!
//! FILE has the columns `id, place, section, text, kcal, protein, fat, carb, kind`: menu lines with the energy (kcal) and
//! macros (g) that their places publish. Printed are, in all and by section and kind, the errors of the likely energy, how
//! often the truth lies inside low–high, how wide the ranges are, the same for each macro, a reliability table, the share
//! of words not understood, and the worst rows.

use platespan::{Estimate, Library, Nutrient, PlateOptions, estimate_text};
use std::collections::BTreeMap;
use std::error::Error;
use tabled::builder::Builder;
use tabled::settings::Style;

/// A line with what its place publishes, and our estimate.
struct Line {
    id: String,
    section: String,
    kind: String,
    text: String,
    truth: [Option<f64>; 4],
    estimate: Estimate,
}

const JUDGED: [Nutrient; 4] = [
    Nutrient::Energy,
    Nutrient::Protein,
    Nutrient::Fat,
    Nutrient::Carbohydrate,
];

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let mut file = None;
    let (mut worst, mut all) = (20, false);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--worst" => worst = arguments.next().ok_or("--worst needs a number")?.parse()?,
            "--all" => all = true,
            _ => file = Some(argument),
        }
    }
    let file =
        file.ok_or("give a CSV file: id, place, section, text, kcal, protein, fat, carb, kind")?;
    let library = Library::embedded();
    let mut lines = Vec::new();
    let mut unread = Vec::new();
    for record in csv::Reader::from_path(&file)?.deserialize() {
        let record: BTreeMap<String, String> = record?;
        let field = |name: &str| record.get(name).cloned().unwrap_or_default();
        let options = PlateOptions {
            setting: None,
            section: Some(field("section")).filter(|section| !section.is_empty()),
            ..PlateOptions::default()
        };
        let text = field("text");
        match estimate_text(&library, &text, &options) {
            Ok(estimate) => lines.push(Line {
                id: field("id"),
                section: field("section"),
                kind: field("kind"),
                truth: ["kcal", "protein", "fat", "carb"].map(|name| field(name).parse().ok()),
                text,
                estimate,
            }),
            Err(error) => unread.push(format!("{}: {error}", field("id"))),
        }
    }
    println!("{} lines read, {} not read", lines.len(), unread.len());
    for line in &unread {
        println!("  {line}");
    }
    groups(&lines);
    macros(&lines);
    reliability(&lines);
    words(&lines);
    show_worst(&lines, if all { usize::MAX } else { worst }, all);
    Ok(())
}

/// Errors, coverage and width of one nutrient over some lines.
#[derive(Default)]
struct Score {
    errors: Vec<f64>,
    logs: Vec<f64>,
    inside: usize,
    below: usize,
    widths: Vec<f64>,
    winkler: Vec<f64>,
    scale: Vec<f64>,
    count: usize,
}

impl Score {
    fn of<'a>(lines: impl Iterator<Item = &'a Line>, nutrient: Nutrient) -> Score {
        let mut score = Score::default();
        let at = JUDGED
            .iter()
            .position(|judged| *judged == nutrient)
            .unwrap_or(0);
        for line in lines {
            let Some(truth) = line.truth[at] else {
                continue;
            };
            let range = line.estimate.total(nutrient);
            score.count += 1;
            score.inside += usize::from(range.low <= truth && truth <= range.high);
            score.below += usize::from(truth < range.low);
            // Published figures are rounded: half a gram or 5 kcal of the edge is inside.
            let miss = (range.low - truth).max(truth - range.high).max(0.0);
            score
                .winkler
                .push(range.high - range.low + 2.0 / 0.2 * miss);
            score.scale.push(truth);
            let least = if nutrient == Nutrient::Energy {
                1.0
            } else {
                2.0
            };
            if truth >= least && range.likely > 0.0 {
                score.errors.push((range.likely / truth - 1.0).abs());
                score.logs.push((range.likely / truth).ln());
                if range.low > 0.0 {
                    score.widths.push((range.high / range.low).ln());
                }
            }
        }
        score
    }

    fn row(&self, name: &str) -> Vec<String> {
        let share = |hit: usize| {
            if self.count == 0 {
                String::new()
            } else {
                format!("{:.0}", 100.0 * hit as f64 / self.count as f64)
            }
        };
        let within = |limit: f64| self.errors.iter().filter(|error| **error <= limit).count();
        vec![
            name.to_owned(),
            self.count.to_string(),
            format!("{:.1}", 100.0 * median(&self.errors)),
            format!(
                "{:.3}",
                mean(&self.logs.iter().map(|log| log.abs()).collect::<Vec<_>>())
            ),
            format!("{:+.3}", mean(&self.logs)),
            share(within(0.2)),
            share(within(0.3)),
            share(self.inside),
            share(self.below),
            format!("{:.2}", mean(&self.widths)),
            format!("{:.2}", mean(&self.winkler) / mean(&self.scale).max(1e-9)),
        ]
    }
}

const HEADINGS: [&str; 11] = [
    "",
    "n",
    "median %",
    "|log|",
    "bias",
    "in 20%",
    "in 30%",
    "inside %",
    "below %",
    "width",
    "Winkler/mean",
];

fn table(rows: Vec<Vec<String>>) {
    let mut builder = Builder::default();
    builder.push_record(HEADINGS);
    for row in rows {
        builder.push_record(row);
    }
    println!("{}\n", builder.build().with(Style::blank()));
}

fn groups(lines: &[Line]) {
    println!(
        "\nenergy: error of likely against published; inside = truth within low–high; width = ln(high / low)"
    );
    let mut rows = vec![Score::of(lines.iter(), Nutrient::Energy).row("all")];
    let mut names: Vec<&String> = lines.iter().map(|line| &line.section).collect();
    names.sort();
    names.dedup();
    for name in names {
        rows.push(
            Score::of(
                lines.iter().filter(|line| line.section == *name),
                Nutrient::Energy,
            )
            .row(name),
        );
    }
    for kind in ["described", "named"] {
        rows.push(
            Score::of(
                lines.iter().filter(|line| line.kind == kind),
                Nutrient::Energy,
            )
            .row(kind),
        );
    }
    table(rows);
}

fn macros(lines: &[Line]) {
    println!("macros (errors over lines with 2 g or more published)");
    table(
        JUDGED
            .iter()
            .skip(1)
            .map(|nutrient| Score::of(lines.iter(), *nutrient).row(nutrient.name()))
            .collect(),
    );
}

fn reliability(lines: &[Line]) {
    println!("reliability: share of published figures below the estimate's quantile");
    let quantiles = [0.1, 0.25, 0.5, 0.75, 0.9];
    let mut builder = Builder::default();
    builder.push_record(
        std::iter::once(String::new())
            .chain(quantiles.iter().map(|q| format!("{:.0} %", q * 100.0))),
    );
    for (at, nutrient) in JUDGED.iter().enumerate() {
        let known: Vec<f64> = lines
            .iter()
            .filter_map(|line| {
                line.truth[at].map(|truth| line.estimate.distribution(*nutrient).below(truth))
            })
            .collect();
        let below = |q: f64| {
            known.iter().filter(|place| **place <= q).count() as f64 / known.len().max(1) as f64
        };
        builder.push_record(
            std::iter::once(nutrient.name().to_owned()).chain(
                quantiles
                    .iter()
                    .map(|q| format!("{:.0}", 100.0 * below(*q))),
            ),
        );
    }
    println!("{}\n", builder.build().with(Style::blank()));
}

fn words(lines: &[Line]) {
    let mut unknown: BTreeMap<String, usize> = BTreeMap::new();
    let mut count = 0;
    let mut total = 0;
    for line in lines {
        total += line.text.split_whitespace().count();
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

fn show_worst(lines: &[Line], most: usize, parts: bool) {
    let error = |line: &Line| {
        let truth = line.truth[0].unwrap_or(1.0).max(1.0);
        (line.estimate.total(Nutrient::Energy).likely.max(1.0) / truth).ln()
    };
    let mut order: Vec<&Line> = lines
        .iter()
        .filter(|line| line.truth[0].is_some())
        .collect();
    order.sort_by(|a, b| error(b).abs().total_cmp(&error(a).abs()));
    println!("the worst rows: log error, published, low–likely–high");
    for line in order.into_iter().take(most) {
        let range = line.estimate.total(Nutrient::Energy);
        println!(
            "  {} {:+.2}  {:.0}  {:.0}–{:.0}–{:.0}  {}: {}",
            line.id,
            error(line),
            line.truth[0].unwrap_or(0.0),
            range.low,
            range.likely,
            range.high,
            line.section,
            line.text
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

fn mean(values: &[f64]) -> f64 {
    if values.is_empty() {
        0.0
    } else {
        values.iter().sum::<f64>() / values.len() as f64
    }
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    match sorted.len() {
        0 => 0.0,
        n if n % 2 == 1 => sorted[n / 2],
        n => (sorted[n / 2 - 1] + sorted[n / 2]) / 2.0,
    }
}
