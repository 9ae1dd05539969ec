//! What the words of a line say by themselves: linear quantile regression (Koenker and Bassett 1978) of the logarithm of each
//! nutrient on words and section. It knows nothing of food; a range that is no better than this is not worth its name.

use crate::scoring::{Line, Prediction, interval_score};
use platespan::Range;
use std::collections::BTreeMap;

/// A word that fewer lines have is no feature.
const FEWEST: usize = 4;
/// The ridges that are tried; the best by the very score it is judged by is kept, in its favour.
const RIDGES: [f64; 4] = [0.003, 0.01, 0.03, 0.1];
const ROUNDS: usize = 600;
/// The pinball loss is rounded off over so much of a log, so that plain descent settles.
const ROUNDING: f64 = 0.05;

/// The predictions of every line, each from the folds that it is not in.
pub fn held_out(lines: &[(&Line, usize)], folds: usize) -> Vec<Prediction> {
    let mut best: Option<(f64, Vec<Prediction>)> = None;
    for ridge in RIDGES {
        let mut predictions = vec![
            Prediction {
                ranges: [Range {
                    low: 0.0,
                    likely: 0.0,
                    high: 0.0
                }; 4],
                place_of_truth: [None; 4],
            };
            lines.len()
        ];
        for fold in 0..folds {
            let inside: Vec<&Line> = lines
                .iter()
                .filter(|(_, of)| *of != fold)
                .map(|(line, _)| *line)
                .collect();
            let known = features(&inside);
            for nutrient in 0..4 {
                let rows: Vec<(Vec<usize>, f64)> = inside
                    .iter()
                    .filter_map(|line| {
                        let truth = line.truth[nutrient]?;
                        Some((row(line, &known), truth.max(1.0).ln()))
                    })
                    .collect();
                let weights = [0.1, 0.5, 0.9].map(|q| fit(&rows, known.len() + 1, q, ridge));
                for (at, (line, of)) in lines.iter().enumerate() {
                    if *of != fold {
                        continue;
                    }
                    let row = row(line, &known);
                    let mut said = [0, 1, 2].map(|q| dot(&weights[q], &row).exp());
                    said.sort_by(f64::total_cmp);
                    let [low, likely, high] = said;
                    predictions[at].ranges[nutrient] = Range { low, likely, high };
                }
            }
        }
        let score = lines
            .iter()
            .zip(&predictions)
            .filter_map(|((line, _), said)| Some(interval_score(said.ranges[0], line.truth[0]?)))
            .sum();
        if best.as_ref().is_none_or(|(least, _)| score < *least) {
            best = Some((score, predictions));
        }
    }
    best.map(|(_, predictions)| predictions).unwrap_or_default()
}

fn words(line: &Line) -> impl Iterator<Item = String> {
    let section = format!("section {}", line.section);
    line.text
        .to_lowercase()
        .split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| word.len() > 2)
        .map(|word| word.strip_suffix('s').unwrap_or(word).to_owned())
        .chain([section])
        .collect::<Vec<_>>()
        .into_iter()
}

fn features(lines: &[&Line]) -> BTreeMap<String, usize> {
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    for line in lines {
        for word in words(line) {
            *counts.entry(word).or_default() += 1;
        }
    }
    let kept = counts.into_iter().filter(|(_, count)| *count >= FEWEST);
    kept.enumerate().map(|(at, (word, _))| (word, at)).collect()
}

/// The features of a line; the last is there in all.
fn row(line: &Line, known: &BTreeMap<String, usize>) -> Vec<usize> {
    let mut row: Vec<usize> = words(line)
        .filter_map(|word| known.get(&word).copied())
        .collect();
    row.sort_unstable();
    row.dedup();
    row.push(known.len());
    row
}

fn dot(weights: &[f64], row: &[usize]) -> f64 {
    row.iter().map(|at| weights[*at]).sum()
}

/// Weights of the quantile `q`: descent with steps by each weight's own gradients, which shrink as the rounds go by.
fn fit(rows: &[(Vec<usize>, f64)], size: usize, q: f64, ridge: f64) -> Vec<f64> {
    let mut weights = vec![0.0; size];
    let mut sorted: Vec<f64> = rows.iter().map(|(_, truth)| *truth).collect();
    sorted.sort_by(f64::total_cmp);
    if let Some(start) = sorted.get((q * sorted.len() as f64) as usize) {
        weights[size - 1] = *start;
    }
    let mut squares = vec![1e-8; size];
    let n = rows.len().max(1) as f64;
    for _ in 0..ROUNDS {
        let mut gradient = vec![0.0; size];
        for (row, truth) in rows {
            let residual = truth - dot(&weights, row);
            let slope = if residual > ROUNDING {
                -q
            } else if residual < -ROUNDING {
                1.0 - q
            } else {
                (1.0 - 2.0 * q - residual / ROUNDING) / 2.0
            };
            for at in row {
                gradient[*at] += slope / n;
            }
        }
        for (at, weight) in weights.iter_mut().enumerate() {
            let shrink = if at == size - 1 { 0.0 } else { ridge * *weight };
            let slope = gradient[at] + shrink;
            squares[at] += slope * slope;
            *weight -= 0.15 * slope / squares[at].sqrt();
        }
    }
    weights
}
