//! What `evaluate` and `calibrate` share: lines with published figures, and how predictions are scored against them.

use platespan::{Estimate, Nutrient, Range};
use std::collections::BTreeMap;
use std::error::Error;
use tabled::builder::Builder;
use tabled::settings::Style;

/// The nutrients that places publish, in the order of the columns `kcal, protein, fat, carb`.
pub const JUDGED: [Nutrient; 4] = [
    Nutrient::Energy,
    Nutrient::Protein,
    Nutrient::Fat,
    Nutrient::Carbohydrate,
];

/// The quantiles of the reliability table.
pub const QUANTILES: [f64; 5] = [0.1, 0.25, 0.5, 0.75, 0.9];

/// A line of a menu with what its place publishes: kcal and g.
#[derive(Debug, Clone, Default)]
pub struct Line {
    pub id: String,
    pub place: String,
    pub section: String,
    pub kind: String,
    pub text: String,
    pub truth: [Option<f64>; 4],
}

/// Reads a CSV file with the columns `id, place, section, text, kcal, protein, fat, carb, kind`.
pub fn read_lines(file: &str) -> Result<Vec<Line>, Box<dyn Error>> {
    let mut lines = Vec::new();
    for record in csv::Reader::from_path(file)?.deserialize() {
        let record: BTreeMap<String, String> = record?;
        let field = |name: &str| record.get(name).cloned().unwrap_or_default();
        lines.push(Line {
            id: field("id"),
            place: field("place"),
            section: field("section"),
            kind: field("kind"),
            text: field("text"),
            truth: ["kcal", "protein", "fat", "carb"].map(|name| field(name).parse().ok()),
        });
    }
    Ok(lines)
}

/// What is said of a line: a range of each nutrient, and the share of it that lies below what is published.
#[derive(Debug, Clone, Copy)]
pub struct Prediction {
    pub ranges: [Range; 4],
    pub place_of_truth: [Option<f64>; 4],
}

impl Prediction {
    /// The prediction that an estimate makes.
    pub fn of(estimate: &Estimate, line: &Line) -> Prediction {
        let at = |at: usize| {
            let truth = line.truth[at]?;
            Some(estimate.distribution(JUDGED[at]).below(truth))
        };
        Prediction {
            ranges: JUDGED.map(|nutrient| estimate.total(nutrient)),
            place_of_truth: [at(0), at(1), at(2), at(3)],
        }
    }
}

/// A line beside what is said of it.
pub type Judged<'a> = (&'a Line, &'a Prediction);

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
    fn of<'a>(lines: impl Iterator<Item = Judged<'a>>, at: usize) -> Score {
        let mut score = Score::default();
        for (line, prediction) in lines {
            let Some(truth) = line.truth[at] else {
                continue;
            };
            let range = prediction.ranges[at];
            score.count += 1;
            score.inside += usize::from(range.low <= truth && truth <= range.high);
            score.below += usize::from(truth < range.low);
            score.winkler.push(interval_score(range, truth));
            score.scale.push(truth);
            let least = if at == 0 { 1.0 } else { 2.0 };
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

/// The interval score of an 80 % range (Winkler 1972): its width, and ten times what the truth lies outside.
pub fn interval_score(range: Range, truth: f64) -> f64 {
    let miss = (range.low - truth).max(truth - range.high).max(0.0);
    range.high - range.low + 2.0 / 0.2 * miss
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

/// Prints the scores of energy by section and kind, those of each macro, and the reliability table.
pub fn report(judged: &[Judged]) {
    println!(
        "\nenergy: error of likely against published; inside = truth within low–high; width = ln(high / low)"
    );
    let all = || judged.iter().copied();
    let mut rows = vec![Score::of(all(), 0).row("all")];
    let mut sections: Vec<&String> = judged.iter().map(|(line, _)| &line.section).collect();
    sections.sort();
    sections.dedup();
    for section in sections {
        let of = all().filter(|(line, _)| line.section == *section);
        rows.push(Score::of(of, 0).row(section));
    }
    let mut kinds: Vec<&String> = judged.iter().map(|(line, _)| &line.kind).collect();
    kinds.sort();
    kinds.dedup();
    for kind in &kinds {
        let of = all().filter(|(line, _)| line.kind == **kind);
        rows.push(Score::of(of, 0).row(kind));
    }
    table(rows);
    println!("macros (errors over lines with 2 g or more published)");
    let mut rows = Vec::new();
    for (at, nutrient) in JUDGED.iter().enumerate().skip(1) {
        rows.push(Score::of(all(), at).row(nutrient.name()));
        for kind in &kinds {
            let of = all().filter(|(line, _)| line.kind == **kind);
            rows.push(Score::of(of, at).row(&format!("  {kind}")));
        }
    }
    table(rows);
    reliability(judged);
}

fn reliability(judged: &[Judged]) {
    println!("reliability: share of published figures below the estimate's quantile");
    let mut builder = Builder::default();
    builder.push_record(
        std::iter::once(String::new())
            .chain(QUANTILES.iter().map(|q| format!("{:.0} %", q * 100.0))),
    );
    for (at, nutrient) in JUDGED.iter().enumerate() {
        let known: Vec<f64> = judged
            .iter()
            .filter_map(|(_, prediction)| prediction.place_of_truth[at])
            .collect();
        let below = |q: f64| {
            known.iter().filter(|place| **place <= q).count() as f64 / known.len().max(1) as f64
        };
        builder.push_record(
            std::iter::once(nutrient.name().to_owned()).chain(
                QUANTILES
                    .iter()
                    .map(|q| format!("{:.0}", 100.0 * below(*q))),
            ),
        );
    }
    println!("{}\n", builder.build().with(Style::blank()));
}

/// The mean; 0 of nothing.
pub fn mean(values: &[f64]) -> f64 {
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
