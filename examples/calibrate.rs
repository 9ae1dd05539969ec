//! Fits the numbers of `component-library/rules/model.toml` anew:
//! `cargo run --release --example calibrate -- FILE.csv [--folds N] [--baseline]`.
//!
//! FILE is shaped as for the `evaluate` example. Fitted are
//!
//! - `portion_scale`: what a usual portion is multiplied by, by group, category, and category in a role. Each level is
//!   shrunk towards the one above it (ridge), so a number moves only as far as its lines carry it. The loss is the mean
//!   absolute log error of energy and macros.
//! - `house_sigma`, `fat_sigma`, `plate_sigma`, `portion_widening`, `macro_sigma`, and `plate_widening` by course, shrunk
//!   towards 1: by the interval score (Winkler) of the 80 % range, on the log scale, of energy and macros.
//!
//! Every figure that is printed for judging comes from places held out in turn: a line never takes part in the fit that it is
//! judged by. `--baseline` scores, on the same folds, what words alone can say: a linear quantile regression of the logarithm
//! of each nutrient on the words of the line and its section.

mod scoring;

#[path = "scoring/words.rs"]
mod words;

use platespan::estimate::{estimate, mean_grams};
use platespan::library::Library;
use platespan::plate::plate;
use platespan::read::{Meal, read};
use platespan::{Estimate, PlateOptions};
use scoring::{JUDGED, Judged, Line, Prediction};
use std::collections::{BTreeMap, BTreeSet};
use std::error::Error;

/// A line, read once: reading does not depend on what is fitted.
struct Read {
    line: Line,
    meal: Meal,
    options: PlateOptions,
    /// The groups, categories and categories in a role that are on its plate.
    kinds: BTreeSet<String>,
    /// The course of its first dish.
    course: String,
}

/// What each nutrient counts in the loss: the energy is what most answers are read for.
const WEIGHTS: [f64; 4] = [1.0, 0.25, 0.25, 0.25];
/// Beyond a factor of three a line says more of the line than of the portion.
const MOST_ERROR: f64 = 1.1;
/// Under so many g, or kcal, a published figure says little of a ratio.
const LEAST: f64 = 3.0;
/// The ridges of scales by group, by category, and by category in a role: cost of a squared log, in lines. By held-out places.
const RIDGES: [f64; 3] = [4.0, 8.0, 60.0];
/// A kind of fewer places than this is shrunk the more: lines of one place agree with each other more than with the world.
const FULL: f64 = 15.0;
/// No number moves further than this, in logs.
const MOST_LOG: f64 = 0.7;
/// A kind with fewer lines than this is left to the level above it.
const FEWEST: usize = 8;
/// What a share inside that is not [`AIM`] costs beside the interval score, which far outliers rule.
const COVERAGE: f64 = 40.0;
/// The share inside that is aimed at: places never seen come out some points below it, near 80 %.
const AIM: f64 = 0.83;
/// The ridge of widths, as [`RIDGES`].
const WIDTH_RIDGE: f64 = 8.0;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let (mut file, mut folds, mut baseline) = (None, 6, false);
    while let Some(argument) = arguments.next() {
        match argument.as_str() {
            "--folds" => folds = arguments.next().ok_or("--folds needs a number")?.parse()?,
            "--baseline" => baseline = true,
            _ => file = Some(argument),
        }
    }
    let file =
        file.ok_or("give a CSV file: id, place, section, text, kcal, protein, fat, carb, kind")?;
    let shipped = Library::embedded();
    let lines = lines(&shipped, &file)?;
    let all: Vec<&Read> = lines.iter().collect();
    let (places, fold_of) = dealt(&all, folds);
    println!(
        "{} lines of {} places, {folds} folds by place",
        lines.len(),
        places
    );
    let mut held_out: Vec<(usize, Prediction)> = Vec::new();
    for fold in 0..folds {
        let inside: Vec<&Read> = lines.iter().filter(|read| fold_of(read) != fold).collect();
        let fitted = fit(&inside);
        for (at, read) in lines.iter().enumerate() {
            if fold_of(read) == fold {
                let estimate = estimate_of(&fitted, read);
                held_out.push((at, Prediction::of(&estimate, &read.line)));
            }
        }
        eprintln!("fold {} of {folds}", fold + 1);
    }
    println!("\nplaces held out in turn");
    let judged: Vec<Judged> = held_out
        .iter()
        .map(|(at, prediction)| (&lines[*at].line, prediction))
        .collect();
    scoring::report(&judged);
    if baseline {
        println!("words alone, by quantile regression, the same places held out");
        let dealt: Vec<(&Line, usize)> = lines
            .iter()
            .map(|read| (&read.line, fold_of(read)))
            .collect();
        let predicted = words::held_out(&dealt, folds);
        let judged: Vec<Judged> = predicted
            .iter()
            .zip(&dealt)
            .map(|(prediction, (line, _))| (*line, prediction))
            .collect();
        scoring::report(&judged);
    }
    let fitted = fit(&all);
    println!("fitted on all places, for rules/model.toml:\n");
    print_model(&fitted);
    println!("\nportions that {FEWEST} lines or more have, by category and role:");
    let mut touched: BTreeMap<&str, usize> = BTreeMap::new();
    for kind in lines.iter().flat_map(|read| &read.kinds) {
        *touched.entry(kind).or_default() += 1;
    }
    for (kind, count) in touched {
        if kind.contains('.') && count >= FEWEST {
            println!("  {kind} {count}");
        }
    }
    Ok(())
}

fn print_model(library: &Library) {
    let model = &library.rules.model;
    println!(
        "house_sigma = {:.2}\nfat_sigma = {:.2}\nplate_sigma = {:.2}\nmacro_sigma = {:.2}\nportion_widening = {:.2}",
        model.house_sigma,
        model.fat_sigma,
        model.plate_sigma,
        model.macro_sigma,
        model.portion_widening
    );
    for (name, map) in [
        ("portion_scale", &model.portion_scale),
        ("plate_widening", &model.plate_widening),
    ] {
        let said: Vec<String> = map
            .iter()
            .map(|(key, value)| {
                if key.contains('.') {
                    format!("\"{key}\" = {value:.2}")
                } else {
                    format!("{key} = {value:.2}")
                }
            })
            .collect();
        println!("{name} = {{ {} }}", said.join(", "));
    }
}

fn lines(library: &Library, file: &str) -> Result<Vec<Read>, Box<dyn Error>> {
    let mut lines = Vec::new();
    for line in scoring::read_lines(file)? {
        let Ok(meal) = read(library, &line.text) else {
            eprintln!("{}: not read", line.id);
            continue;
        };
        let options = PlateOptions {
            section: Some(line.section.clone()).filter(|section| !section.is_empty()),
            ..PlateOptions::default()
        };
        let mut read = Read {
            line,
            meal,
            options,
            kinds: BTreeSet::new(),
            course: String::new(),
        };
        let estimate = estimate_of(library, &read);
        if let Some(dish) = estimate.plate.dishes.first() {
            read.course.clone_from(&dish.course);
        }
        for row in &estimate.rows {
            let Some(food) = row.component.food else {
                continue;
            };
            let category = library.category(food);
            read.kinds.insert(category.group.clone());
            read.kinds.insert(category.id.clone());
            read.kinds
                .insert(format!("{}.{}", category.id, row.component.role.name()));
        }
        lines.push(read);
    }
    Ok(lines)
}

fn estimate_of(library: &Library, read: &Read) -> Estimate {
    let text = &read.line.text;
    estimate(
        library,
        text,
        plate(library, text, &read.meal, &read.options),
    )
}

/// A library whose model is fitted to some lines. The widths are fitted to lines whose own places had no part in the scales,
/// as those that are judged later have none: else the ranges would come out too narrow.
fn fit(lines: &[&Read]) -> Library {
    let (_, part_of) = dealt(lines, PARTS);
    let scales: Vec<Scales> = (0..PARTS)
        .map(|part| {
            let others: Vec<&Read> = lines
                .iter()
                .filter(|read| part_of(read) != part)
                .copied()
                .collect();
            fit_scales(&others)
        })
        .collect();
    let mut library = Library::embedded();
    let mut apart: Vec<(&Read, &Scales)> = lines
        .iter()
        .map(|read| (*read, &scales[part_of(read)]))
        .collect();
    // Lines of one part together: the scales change but seldom.
    apart.sort_by_key(|(read, _)| part_of(read));
    fit_widths(&mut library, &apart);
    library.rules.model.portion_scale = fit_scales(lines);
    library
}

/// How many places some lines have, and which of so many parts a line's place is dealt into.
fn dealt<'a>(lines: &[&'a Read], parts: usize) -> (usize, impl Fn(&Read) -> usize + use<'a>) {
    let mut places: Vec<&'a str> = lines.iter().map(|read| read.line.place.as_str()).collect();
    places.sort_unstable();
    places.dedup();
    let number = places.len();
    let part_of = move |read: &Read| {
        let at = places.iter().position(|place| *place == read.line.place);
        at.unwrap_or(0) % parts
    };
    (number, part_of)
}

type Scales = BTreeMap<String, f64>;

/// Into so many parts the places are split, for the widths.
const PARTS: usize = 4;

/// One number that is fitted: its key, its level, and the lines that it touches.
struct Number {
    key: String,
    parents: Vec<usize>,
    ridge: f64,
    lines: Vec<usize>,
    log: f64,
}

/// The kinds that have lines enough, groups first, then categories, then categories in a role.
fn numbers(library: &Library, lines: &[&Read]) -> Vec<Number> {
    let mut touched: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (at, read) in lines.iter().enumerate() {
        for kind in &read.kinds {
            touched.entry(kind).or_default().push(at);
        }
    }
    touched.retain(|_, lines| lines.len() >= FEWEST);
    let groups: BTreeSet<&str> = library
        .categories
        .iter()
        .map(|category| category.group.as_str())
        .collect();
    let mut all: Vec<Number> = Vec::new();
    for (level, ridge) in RIDGES.into_iter().enumerate() {
        for (key, touching) in &touched {
            let category = key.split('.').next().unwrap_or(key);
            let known = library.categories.iter().find(|known| known.id == category);
            let (is_level, above) = match level {
                0 => (groups.contains(key), vec![]),
                1 => (
                    known.is_some() && !key.contains('.') && !groups.contains(key),
                    vec![known.map_or("", |known| &known.group)],
                ),
                _ => (
                    key.contains('.'),
                    vec![category, known.map_or("", |known| &known.group)],
                ),
            };
            if is_level {
                let parents = (all.iter().enumerate())
                    .filter(|(_, number)| above.contains(&number.key.as_str()))
                    .map(|(at, _)| at)
                    .collect();
                let mut places: Vec<&str> = touching
                    .iter()
                    .map(|at| lines[*at].line.place.as_str())
                    .collect();
                places.sort_unstable();
                places.dedup();
                all.push(Number {
                    key: (*key).to_owned(),
                    parents,
                    ridge: ridge * (FULL / places.len() as f64).max(1.0),
                    lines: touching.clone(),
                    log: 0.0,
                });
            }
        }
    }
    all
}

/// The factor of every number: its own times those above it.
fn factors(numbers: &[Number]) -> BTreeMap<String, f64> {
    numbers
        .iter()
        .map(|number| {
            let above: f64 = number.parents.iter().map(|at| numbers[*at].log).sum();
            (number.key.clone(), (number.log + above).exp())
        })
        .collect()
}

/// Expected totals, part by part: what [`estimate`] calls likely, without its ranges.
fn likely(library: &Library, read: &Read) -> [f64; 4] {
    let plate = plate(library, &read.line.text, &read.meal, &read.options);
    let mut total = [0.0; 4];
    for part in &plate.components {
        let share = part.chance * plate.option_share(part) * part.eaten[1];
        let hundreds = share * mean_grams(library, part) / 100.0;
        for (total, nutrient) in total.iter_mut().zip(JUDGED) {
            *total += hundreds * nutrient.of(&part.per_100g);
        }
    }
    total
}

fn error(library: &Library, read: &Read) -> f64 {
    let mut loss = 0.0;
    for (at, likely) in likely(library, read).into_iter().enumerate() {
        if let Some(truth) = read.line.truth[at].filter(|truth| *truth >= LEAST && likely > 0.0) {
            loss += WEIGHTS[at] * (likely / truth).ln().abs().min(MOST_ERROR);
        }
    }
    loss
}

/// The interval score of one line on the log scale, of energy and macros, and for each whether the truth lies inside.
fn interval(library: &Library, read: &Read) -> (f64, [Option<bool>; 4]) {
    let estimate = estimate_of(library, read);
    let mut loss = 0.0;
    let mut inside = [None; 4];
    for (at, nutrient) in JUDGED.iter().enumerate() {
        let range = estimate.total(*nutrient);
        if let Some(truth) = read.line.truth[at].filter(|truth| *truth >= LEAST && range.low > 0.0)
        {
            let (low, high, truth) = (range.low.ln(), range.high.ln(), truth.ln());
            let miss = (low - truth).max(truth - high).max(0.0);
            loss += WEIGHTS[at] * (high - low + 10.0 * miss.min(MOST_ERROR));
            inside[at] = Some(miss == 0.0);
        }
    }
    (loss, inside)
}

/// Coordinate descent in steps that halve; only the lines that a number touches are estimated anew.
fn fit_scales(lines: &[&Read]) -> Scales {
    let mut library = Library::embedded();
    let mut all = numbers(&library, lines);
    library.rules.model.portion_scale = factors(&all);
    let mut losses: Vec<f64> = lines.iter().map(|read| error(&library, read)).collect();
    for step in [0.2, 0.1, 0.1, 0.05] {
        for at in 0..all.len() {
            for direction in [-step, step] {
                let before = all[at].log;
                let tried = before + direction;
                if tried.abs() > MOST_LOG {
                    continue;
                }
                all[at].log = tried;
                library.rules.model.portion_scale = factors(&all);
                let touched = &all[at].lines;
                let new: Vec<f64> = touched
                    .iter()
                    .map(|line| error(&library, lines[*line]))
                    .collect();
                let old: f64 = touched.iter().map(|line| losses[*line]).sum();
                let ridge = all[at].ridge * (tried * tried - before * before);
                if new.iter().sum::<f64>() + ridge < old - 1e-6 {
                    for (line, loss) in touched.iter().zip(new) {
                        losses[*line] = loss;
                    }
                    break;
                }
                all[at].log = before;
            }
        }
    }
    let mut scales = factors(&all);
    prune(&mut scales, &all);
    scales
}

/// Takes out what says no more than the level above it.
fn prune(map: &mut BTreeMap<String, f64>, numbers: &[Number]) {
    for number in numbers.iter().filter(|number| number.log.abs() < 0.03) {
        let parent_said = number
            .parents
            .iter()
            .any(|at| numbers[*at].log.abs() >= 0.03);
        if !(parent_said && number.parents.len() > 1) || number.key.contains('.') {
            map.remove(&number.key);
        }
    }
}

/// The widths: the shared ones over a grid, then those by course.
fn fit_widths(library: &mut Library, lines: &[(&Read, &Scales)]) {
    type Get = fn(&mut Library) -> &mut f64;
    let grids: [(Get, &[f64]); 5] = [
        (
            |library| &mut library.rules.model.plate_sigma,
            &[0.1, 0.14, 0.18, 0.22, 0.24, 0.26, 0.28, 0.3, 0.34],
        ),
        (
            |library| &mut library.rules.model.portion_widening,
            &[0.8, 0.9, 1.0, 1.1, 1.2, 1.3],
        ),
        (
            |library| &mut library.rules.model.house_sigma,
            &[0.1, 0.14, 0.18, 0.22],
        ),
        (
            |library| &mut library.rules.model.fat_sigma,
            &[0.3, 0.38, 0.45, 0.52],
        ),
        (
            |library| &mut library.rules.model.macro_sigma,
            &[0.1, 0.15, 0.2, 0.25, 0.3],
        ),
    ];
    library.rules.model.plate_widening = BTreeMap::new();
    let score = |library: &mut Library, lines: &[&(&Read, &Scales)]| -> f64 {
        let (mut sum, mut hits, mut counts) = (0.0, [0.0; 4], [0.0; 4]);
        for (read, scales) in lines {
            if library.rules.model.portion_scale != **scales {
                library.rules.model.portion_scale = (*scales).clone();
            }
            let (loss, inside) = interval(library, read);
            sum += loss;
            for (at, inside) in inside.iter().enumerate() {
                hits[at] += f64::from(u8::from(*inside == Some(true)));
                counts[at] += f64::from(u8::from(inside.is_some()));
            }
        }
        for at in 0..4 {
            let off = hits[at] / f64::max(counts[at], 1.0) - AIM;
            sum += COVERAGE * WEIGHTS[at] * counts[at] * off * off;
        }
        sum
    };
    let all: Vec<&(&Read, &Scales)> = lines.iter().collect();
    for _ in 0..2 {
        for (get, grid) in grids {
            let mut best = (score(library, &all), *get(library));
            for value in grid {
                *get(library) = *value;
                let found = score(library, &all);
                if found < best.0 - 1e-3 {
                    best = (found, *value);
                }
            }
            *get(library) = best.1;
        }
    }
    // Each line counts for the course of its first dish.
    let mut by_course: BTreeMap<&str, Vec<&(&Read, &Scales)>> = BTreeMap::new();
    for line in lines {
        by_course.entry(&line.0.course).or_default().push(line);
    }
    for (course, lines) in by_course {
        if lines.len() < FEWEST {
            continue;
        }
        let mut best = (score(library, &lines), 1.0);
        for factor in [0.4, 0.55, 0.7, 0.85, 1.2, 1.4, 1.7, 2.0] {
            let widening = &mut library.rules.model.plate_widening;
            widening.insert(course.to_owned(), factor);
            let found = score(library, &lines) + WIDTH_RIDGE * f64::ln(factor).powi(2);
            if found < best.0 - 1e-3 {
                best = (found, factor);
            }
        }
        let widening = &mut library.rules.model.plate_widening;
        widening.insert(course.to_owned(), best.1);
    }
    library
        .rules
        .model
        .plate_widening
        .retain(|_, factor| *factor != 1.0);
}
