//! A menu as one page for a browser: ranges as a chart, figures as a table that can be sorted, the cautions.
//!
//! The page holds all it needs and asks nothing of the network, which its own content policy also forbids. Every text goes
//! through the template's escaping. Without scripts it is the same page, in the order of the file.

use super::{Look, cautions, grouped, main_cause, round_to, share_within};
use crate::estimate::{Estimate, INTERVAL, Nutrient, Range};
use crate::menu::MenuLine;
use minijinja::syntax::SyntaxConfig;
use minijinja::value::Serde;
use minijinja::{AutoEscape, Environment};
use serde::Serialize;

const TEMPLATE: &str = include_str!("menu.html");

/// What the page shows.
#[derive(Serialize)]
struct Page {
    title: String,
    unit: &'static str,
    interval: String,
    /// The energy that `--within` asks about, with its unit.
    within: Option<String>,
    ticks: Vec<Tick>,
    dishes: Vec<Dish>,
    cautions: Vec<String>,
}

/// A mark on the scale of the chart.
#[derive(Serialize)]
struct Tick {
    /// Percent of the width.
    at: f64,
    label: String,
}

#[derive(Serialize)]
struct Dish {
    name: String,
    description: Option<String>,
    section: Option<String>,
    energy: Cell,
    low: String,
    high: String,
    /// Places on the scale, percent: low, likely, high.
    bar: [f64; 3],
    /// high − low, to sort by.
    width: f64,
    macros: Vec<Cell>,
    within: Option<Cell>,
    parts: Vec<Part>,
    cause: Option<String>,
    assumed: Vec<String>,
    not_understood: Vec<String>,
}

/// A figure as it is read, and as it is sorted by.
#[derive(Serialize)]
struct Cell {
    text: String,
    value: f64,
}

#[derive(Serialize)]
struct Part {
    name: String,
    grams: String,
    energy: String,
}

/// The page of a menu, in the order given; `within` is a limit in kcal whose share of plates gets a column.
///
/// # Errors
/// A fault of the template: our mistake.
pub fn html(
    title: &str,
    dishes: &[(MenuLine, Estimate)],
    look: &Look,
    within: Option<f64>,
) -> Result<String, minijinja::Error> {
    let factor = look.energy.factor();
    let widest = dishes
        .iter()
        .map(|(_, estimate)| estimate.total(Nutrient::Energy).high * factor)
        .fold(0.0, f64::max);
    let (end, ticks) = scale(widest);
    let page = Page {
        title: title.to_owned(),
        unit: look.energy.symbol(),
        interval: format!("{:.0}", INTERVAL * 10.0),
        within: within.map(|kcal| {
            format!(
                // The figure and its unit stay on one line.
                "{}\u{a0}{}",
                grouped(round_to(kcal * factor, 1.0)),
                look.energy.symbol()
            )
        }),
        ticks,
        dishes: dishes
            .iter()
            .map(|(line, estimate)| dish(line, estimate, look, end, within))
            .collect(),
        cautions: cautions(),
    };
    let mut environment = Environment::new();
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_syntax(
        SyntaxConfig::builder()
            .trim_blocks(true)
            .lstrip_blocks(true)
            .keep_trailing_newline(true)
            .build()?,
    );
    environment.render_named_str("menu.html", TEMPLATE, Serde(page))
}

/// The end of a scale that holds `widest`, and its marks at round figures.
fn scale(widest: f64) -> (f64, Vec<Tick>) {
    let rough = (widest / 5.0).max(1.0);
    let power = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 2.5, 5.0, 10.0]
        .map(|round| round * power)
        .into_iter()
        .find(|step| *step >= rough)
        .unwrap_or(rough);
    let count = (widest / step).ceil().max(1.0);
    let end = count * step;
    let ticks = (0..=count as usize)
        .map(|at| Tick {
            at: percent(at as f64 * step, end),
            label: grouped(at as f64 * step),
        })
        .collect();
    (end, ticks)
}

fn percent(value: f64, end: f64) -> f64 {
    (value / end * 1000.0).round() / 10.0
}

fn dish(line: &MenuLine, estimate: &Estimate, look: &Look, end: f64, within: Option<f64>) -> Dish {
    let (factor, step) = (look.energy.factor(), look.energy.step());
    let energy = estimate.total(Nutrient::Energy).times(factor);
    let Range { low, likely, high } = energy;
    let grams = |nutrient| {
        let value = estimate.total(nutrient).likely;
        Cell {
            text: grouped(value),
            value: tenth(value),
        }
    };
    Dish {
        name: line.title().to_owned(),
        description: line.description().map(str::to_owned),
        section: line.section.clone(),
        energy: Cell {
            text: grouped(round_to(likely, step)),
            value: tenth(likely),
        },
        low: grouped(round_to(low, 2.0 * step)),
        high: grouped(round_to(high, 2.0 * step)),
        bar: [low, likely, high].map(|value| percent(value, end)),
        width: tenth(high - low),
        macros: [
            Nutrient::Protein,
            Nutrient::Fat,
            Nutrient::Carbohydrate,
            Nutrient::Fibre,
        ]
        .into_iter()
        .map(grams)
        .collect(),
        within: within.map(|kcal| {
            let share = estimate.distribution(Nutrient::Energy).below(kcal);
            Cell {
                text: share_within(share),
                value: (share * 1000.0).round() / 10.0,
            }
        }),
        parts: estimate
            .rows
            .iter()
            .map(|row| Part {
                name: row.component.name.clone(),
                grams: format!("{:.0} g", row.grams.likely),
                energy: format!(
                    "{} {}",
                    grouped(row.nutrients[Nutrient::Energy as usize].likely * factor),
                    look.energy.symbol()
                ),
            })
            .collect(),
        cause: main_cause(estimate),
        assumed: estimate.plate.assumptions.clone(),
        not_understood: estimate
            .plate
            .not_understood
            .iter()
            .map(|word| word.text.clone())
            .collect(),
    }
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_ends_at_a_round_figure_above_the_widest_range() {
        let ends: Vec<(f64, usize)> = [0.0, 90.0, 430.0, 1_180.0, 2_600.0]
            .map(|widest| {
                let (end, ticks) = scale(widest);
                (end, ticks.len())
            })
            .to_vec();
        assert_eq!(
            ends,
            [(1.0, 2), (100.0, 6), (500.0, 6), (1_250.0, 6), (3_000.0, 4)]
        );
    }

    #[test]
    fn a_page_without_dishes_is_a_page() {
        let page = html("nothing yet", &[], &Look::default(), None).unwrap();
        assert!(page.contains("nothing yet") && page.ends_with("</html>\n"));
    }
}
