//! Fits the numbers of `component-library/rules/model.toml` anew:
//! `cargo run --release --example calibrate -- FILE.csv [--folds N]`.
//!
//! FILE is shaped as for the `evaluate` example. Fitted are `portion_scale`, by category and group (what a usual portion is
//! multiplied by, shrunk towards 1), and the widths `house_sigma`, `fat_sigma`, `plate_sigma` and `portion_widening`. The
//! scales minimise the mean absolute log error of energy and macros with a ridge penalty; the widths minimise the mean
//! interval score (Winkler) of the 80 % range on the log scale. Every figure that is printed for judging comes from places
//! held out in turn: a line never takes part in the fit that it is judged by.

use platespan::estimate::estimate;
use platespan::library::Library;
use platespan::plate::plate;
use platespan::read::{Meal, read};
use platespan::{Nutrient, PlateOptions};
use std::collections::BTreeMap;
use std::error::Error;

/// A line, read once: reading does not depend on what is fitted.
struct Line {
    place: String,
    text: String,
    meal: Meal,
    options: PlateOptions,
    truth: [Option<f64>; 4],
}

const JUDGED: [Nutrient; 4] = [
    Nutrient::Energy,
    Nutrient::Protein,
    Nutrient::Fat,
    Nutrient::Carbohydrate,
];
/// What each nutrient counts in the loss: the energy is what most answers are read for.
const WEIGHTS: [f64; 4] = [1.0, 0.25, 0.25, 0.25];
/// The ridge: a scale of 1.2 costs as much as half a per cent of mean error. Chosen by held-out places.
const RIDGE: f64 = 0.12;

/// Categories and groups whose usual portions are scaled. Those with few lines are left to their group.
const SCALED: [&str; 19] = [
    "protein",
    "poultry",
    "beef",
    "fish",
    "cured-meat",
    "starch",
    "bread",
    "fried-side",
    "vegetable",
    "salad",
    "dairy",
    "cheese",
    "dressing",
    "sauce",
    "sweet",
    "pasta-dish",
    "soup",
    "stir-fry",
    "whole",
];

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let file = arguments
        .next()
        .ok_or("give a CSV file: id, place, section, text, kcal, protein, fat, carb, kind")?;
    let mut folds = 5;
    while let Some(argument) = arguments.next() {
        if argument == "--folds" {
            folds = arguments.next().ok_or("--folds needs a number")?.parse()?;
        }
    }
    let mut library = Library::embedded();
    let lines = lines(&library, &file)?;
    let mut places: Vec<&String> = lines.iter().map(|line| &line.place).collect();
    places.sort();
    places.dedup();
    println!(
        "{} lines of {} places, {folds} folds by place",
        lines.len(),
        places.len()
    );

    library.rules.model.portion_scale = BTreeMap::new();
    let mut held_out = Vec::new();
    for fold in 0..folds {
        let is_out = |line: &&Line| {
            places
                .iter()
                .position(|place| **place == line.place)
                .unwrap_or(0)
                % folds
                == fold
        };
        let inside: Vec<&Line> = lines.iter().filter(|line| !is_out(line)).collect();
        let outside: Vec<&Line> = lines.iter().filter(is_out).collect();
        fit_scales(&mut library, &inside);
        fit_widths(&mut library, &inside);
        let scores = scores(&library, &outside);
        println!("fold {}: {}", fold + 1, scores.line());
        held_out.push(scores);
    }
    println!(
        "held out, all folds: {}",
        Scores::together(&held_out).line()
    );
    let all: Vec<&Line> = lines.iter().collect();
    fit_scales(&mut library, &all);
    fit_widths(&mut library, &all);
    println!("fitted on all:       {}", scores(&library, &all).line());
    let model = &library.rules.model;
    println!(
        "\nhouse_sigma = {:.2}\nfat_sigma = {:.2}\nplate_sigma = {:.2}\nportion_widening = {:.2}",
        model.house_sigma, model.fat_sigma, model.plate_sigma, model.portion_widening
    );
    let scale: Vec<String> = model
        .portion_scale
        .iter()
        .filter(|(_, scale)| (**scale - 1.0).abs() >= 0.01)
        .map(|(key, scale)| format!("{key} = {scale:.2}"))
        .collect();
    println!("portion_scale = {{ {} }}", scale.join(", "));
    Ok(())
}

fn lines(library: &Library, file: &str) -> Result<Vec<Line>, Box<dyn Error>> {
    let mut lines = Vec::new();
    for record in csv::Reader::from_path(file)?.deserialize() {
        let record: BTreeMap<String, String> = record?;
        let field = |name: &str| record.get(name).cloned().unwrap_or_default();
        let text = field("text");
        let Ok(meal) = read(library, &text) else {
            continue;
        };
        lines.push(Line {
            place: field("place"),
            meal,
            options: PlateOptions {
                section: Some(field("section")),
                ..PlateOptions::default()
            },
            truth: ["kcal", "protein", "fat", "carb"].map(|name| field(name).parse().ok()),
            text,
        });
    }
    Ok(lines)
}

/// Errors of some lines: ln(likely / truth), and the 80 % range on the log scale with the truth.
#[derive(Default, Clone)]
struct Scores {
    errors: Vec<f64>,
    loss: f64,
    inside: usize,
    widths: Vec<f64>,
    winkler: Vec<f64>,
}

impl Scores {
    fn together(all: &[Scores]) -> Scores {
        let mut sum = Scores::default();
        for scores in all {
            sum.errors.extend(&scores.errors);
            sum.widths.extend(&scores.widths);
            sum.winkler.extend(&scores.winkler);
            sum.inside += scores.inside;
        }
        sum
    }

    fn line(&self) -> String {
        let n = self.errors.len().max(1) as f64;
        let mut absolute: Vec<f64> = self
            .errors
            .iter()
            .map(|error| (error.exp() - 1.0).abs())
            .collect();
        absolute.sort_by(f64::total_cmp);
        format!(
            "median error {:.1} %, mean |log| {:.3}, bias {:+.3}, inside {:.0} %, width {:.2}, log interval score {:.2}",
            100.0 * absolute.get(absolute.len() / 2).copied().unwrap_or(0.0),
            self.errors.iter().map(|error| error.abs()).sum::<f64>() / n,
            self.errors.iter().sum::<f64>() / n,
            100.0 * self.inside as f64 / n,
            self.widths.iter().sum::<f64>() / n,
            self.winkler.iter().sum::<f64>() / n
        )
    }
}

fn scores(library: &Library, lines: &[&Line]) -> Scores {
    let mut scores = Scores::default();
    let (mut loss, mut weight) = (0.0, 0.0);
    for line in lines {
        let estimate = estimate(
            library,
            &line.text,
            plate(library, &line.text, &line.meal, &line.options),
        );
        for (at, nutrient) in JUDGED.iter().enumerate() {
            let range = estimate.total(*nutrient);
            let (Some(truth), true) = (line.truth[at], range.likely > 0.0) else {
                continue;
            };
            if truth < 3.0 {
                continue;
            }
            let error = (range.likely / truth).ln();
            // Beyond a factor of three a line says more of the line than of the portion.
            loss += WEIGHTS[at] * error.abs().min(1.1);
            weight += WEIGHTS[at];
            if at == 0 && range.low > 0.0 {
                let (low, high, truth) = (range.low.ln(), range.high.ln(), truth.ln());
                scores.errors.push(error);
                scores.inside += usize::from(low <= truth && truth <= high);
                scores.widths.push(high - low);
                scores
                    .winkler
                    .push(high - low + 10.0 * (low - truth).max(truth - high).max(0.0));
            }
        }
    }
    scores.loss = loss / f64::max(weight, 1.0);
    scores
}

/// Coordinate descent over the logarithms of the scales, in steps that halve.
fn fit_scales(library: &mut Library, lines: &[&Line]) {
    library.rules.model.portion_scale = BTreeMap::new();
    let mut logs = [0.0f64; SCALED.len()];
    let objective = |library: &mut Library, logs: &[f64; SCALED.len()]| {
        // A category's scale stands for itself; its group's would not reach it any more.
        library.rules.model.portion_scale = SCALED
            .iter()
            .zip(logs)
            .map(|(key, log)| ((*key).to_owned(), log.exp()))
            .collect();
        scores(library, lines).loss
            + RIDGE * logs.iter().map(|log| log * log).sum::<f64>() / SCALED.len() as f64
    };
    let mut best = objective(library, &logs);
    for step in [0.2, 0.1, 0.05] {
        for _ in 0..2 {
            for at in 0..SCALED.len() {
                for direction in [-step, step] {
                    let mut tried = logs;
                    tried[at] = (tried[at] + direction).clamp(-0.6, 0.6);
                    let loss = objective(library, &tried);
                    if loss < best - 1e-6 {
                        (best, logs) = (loss, tried);
                    }
                }
            }
        }
    }
    objective(library, &logs);
}

/// The widths by the interval score, coordinate by coordinate over a grid.
fn fit_widths(library: &mut Library, lines: &[&Line]) {
    let score = |library: &Library| {
        let scores = scores(library, lines);
        scores.winkler.iter().sum::<f64>() / scores.winkler.len().max(1) as f64
    };
    type Get = fn(&mut Library) -> &mut f64;
    let grids: [(Get, &[f64]); 4] = [
        (
            |library| &mut library.rules.model.plate_sigma,
            &[0.1, 0.15, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45],
        ),
        (
            |library| &mut library.rules.model.portion_widening,
            &[0.8, 0.9, 1.0, 1.1, 1.2, 1.3],
        ),
        (
            |library| &mut library.rules.model.house_sigma,
            &[0.1, 0.16, 0.22, 0.28],
        ),
        (
            |library| &mut library.rules.model.fat_sigma,
            &[0.2, 0.3, 0.4, 0.5],
        ),
    ];
    for _ in 0..2 {
        for (get, grid) in grids {
            let mut best = (score(library), *get(library));
            for value in grid {
                *get(library) = *value;
                let found = score(library);
                if found < best.0 - 1e-4 {
                    best = (found, *value);
                }
            }
            *get(library) = best.1;
        }
    }
}
