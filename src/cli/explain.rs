//! `platespan explain`: one component's way from the words to its figure, each step with what it rests on.

use super::{CliError, Context, print};
use crate::estimate::{Estimate, Nutrient, Row, mean_grams};
use crate::library::{Entry, Library, Origin as FoodOrigin, stems};
use crate::plate::{Component, Origin, PlateOptions};
use crate::report::{Look, grouped, round_to, wrapped};
use clap::Args;
use std::process::ExitCode;

/// Arguments of `platespan explain`.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  platespan explain \"baked trout, new potatoes, lemon butter\" trout
  platespan explain \"lamb kofta wrap, no onion, extra yoghurt; ate half\" yoghurt --energy kj")]
pub struct ExplainArgs {
    /// What the menu says and what is remembered
    text: String,
    /// Words of the component, as the plate or the menu has them
    #[arg(required = true)]
    component: Vec<String>,
    /// The menu's section heading, which may set the portion ("Starters")
    #[arg(long, value_name = "HEADING")]
    section: Option<String>,
}

/// Runs it.
pub fn run(args: ExplainArgs, context: &Context) -> Result<ExitCode, CliError> {
    let options = PlateOptions {
        setting: context.setting.clone(),
        section: args.section,
        ..PlateOptions::default()
    };
    let estimate = crate::estimate_text(&context.library, &args.text, &options)?;
    let words = args.component.join(" ");
    let rows = matching(&context.library, &estimate, &words);
    if rows.is_empty() {
        let names: Vec<&str> = estimate
            .rows
            .iter()
            .map(|row| row.component.name.as_str())
            .collect();
        return Err(CliError::Usage(format!(
            "nothing on this plate is called \"{words}\"; it holds: {}",
            names.join("; ")
        )));
    }
    let told: Vec<String> = rows
        .into_iter()
        .map(|row| explanation(&context.library, &estimate, row, &context.look))
        .collect();
    print(&told.join("\n"))?;
    Ok(ExitCode::SUCCESS)
}

/// The components that have all these words in their name, in what was said of them, or in their food's id. One whose name
/// is just these words stands for itself alone.
fn matching<'a>(library: &Library, estimate: &'a Estimate, words: &str) -> Vec<&'a Row> {
    let wanted = stems(words);
    let names = |row: &Row| {
        let part = &row.component;
        let said = part.said.as_ref().map(|(said, _)| stems(said));
        let id = part.food.map(|food| stems(&library.food(food).id));
        [Some(stems(&part.name)), said, id].into_iter().flatten()
    };
    let is = |row: &&Row| names(row).any(|name| name == wanted);
    let has = |row: &&Row| {
        names(row).any(|name| !wanted.is_empty() && wanted.iter().all(|word| name.contains(word)))
    };
    let exact: Vec<&Row> = estimate.rows.iter().filter(is).collect();
    if exact.is_empty() {
        estimate.rows.iter().filter(has).collect()
    } else {
        exact
    }
}

fn explanation(library: &Library, estimate: &Estimate, row: &Row, look: &Look) -> String {
    let part = &row.component;
    let mut out = format!("{}\n", part.name);
    let mut line = |label: &str, text: &str| {
        for (at, text) in wrapped(text, look.width.saturating_sub(15))
            .iter()
            .enumerate()
        {
            let label = if at == 0 { label } else { "" };
            out.push_str(&format!("  {label:<12} {}\n", text.trim_start()));
        }
    };
    line("words", &words(estimate, part));
    if let Some(dish) = estimate.plate.dishes.get(part.dish) {
        let slot = part
            .slot
            .as_ref()
            .map_or(String::new(), |slot| format!(", its {slot}"));
        line("dish", &format!("{}{slot}", dish.name));
    }
    if let Some(food) = part.food {
        let food = library.food(food);
        let category = &library.categories[food.category].name;
        line("food", &format!("{} ({}), {category}", food.name, food.id));
    }
    for (at, step) in part.steps.iter().enumerate() {
        line(if at == 0 { "steps" } else { "" }, step);
    }
    let [low, middle, high] = part.grams;
    line(
        "served",
        &format!("{middle:.0} g in the middle; 8 plates in 10 hold {low:.0} to {high:.0} g"),
    );
    let option = part
        .option
        .and_then(|(choice, at)| Some((estimate.plate.choices.get(choice)?, at)));
    if part.chance < 1.0 {
        line(
            "there",
            &format!("in {:.0} % of such plates", part.chance * 100.0),
        );
    }
    if let Some((choice, at)) = option {
        line("choice", &format!("{}: {}", choice.odds(at), choice.about));
    }
    if part.eaten != [1.0; 3] {
        let [low, likely, high] = part.eaten.map(|share| share * 100.0);
        let between = if high - low < 1.0 {
            String::new()
        } else {
            format!(" ({low:.0} to {high:.0} %)")
        };
        line("eaten", &format!("{likely:.0} %{between}"));
    }
    composition(library, part, look, &mut line);
    let odds = option.map(|(choice, at)| choice.odds(at).replace(" in ", "/"));
    arithmetic(library, row, odds, look, &mut line);
    provenance(library, estimate, part, &mut line);
    out
}

/// What was said, and where; or why it is there without a word.
fn words(estimate: &Estimate, part: &Component) -> String {
    let Some((said, span)) = &part.said else {
        return match part.origin {
            Origin::Implied => "none: the dish has it by custom".to_owned(),
            _ => "none".to_owned(),
        };
    };
    let characters = |end: usize| {
        estimate
            .text
            .get(..end)
            .map_or(0, |text| text.chars().count())
    };
    let by_custom = if part.origin == Origin::Implied {
        "; it comes with that by custom"
    } else {
        ""
    };
    format!(
        "\"{said}\", characters {} to {}{by_custom}",
        characters(span.0) + 1,
        characters(span.1)
    )
}

fn composition(
    library: &Library,
    part: &Component,
    look: &Look,
    line: &mut impl FnMut(&str, &str),
) {
    let figures = &part.per_100g;
    let prepared = part
        .food
        .is_some_and(|food| library.food(food).per_100g != *figures);
    let mut told = vec![energy_of(figures.kcal, look)];
    for nutrient in &Nutrient::ALL[1..] {
        let grams = nutrient.of(figures);
        if grams > 0.0 || *nutrient != Nutrient::Alcohol {
            told.push(format!("{} {grams:.1} g", nutrient.name()));
        }
    }
    let after = if prepared { ", as prepared" } else { "" };
    line("per 100 g", &format!("{}{after}", told.join(", ")));
    line(
        "varies",
        &format!(
            "by {:.0} % in energy from kitchen to kitchen (coefficient of variation)",
            part.spread * 100.0
        ),
    );
}

/// How the likely figures come about: the average amount times what 100 g hold, times how often and how much of it.
fn arithmetic(
    library: &Library,
    row: &Row,
    odds: Option<String>,
    look: &Look,
    line: &mut impl FnMut(&str, &str),
) {
    let part = &row.component;
    let grams = mean_grams(library, part);
    if (grams - part.grams[1]).abs() >= 0.5 {
        line(
            "average",
            &format!(
                "{grams:.0} g: a few far larger portions lift it above the middle of {:.0} g",
                part.grams[1]
            ),
        );
    }
    let mut factors = String::new();
    if part.chance < 1.0 {
        factors.push_str(&format!(" × {:.2} there", part.chance));
    }
    if let Some(odds) = odds {
        factors.push_str(&format!(" × {odds} chosen"));
    }
    if part.eaten[1] < 1.0 {
        factors.push_str(&format!(" × {:.2} eaten", part.eaten[1]));
    }
    for nutrient in Nutrient::ALL {
        let per_100g = nutrient.of(&part.per_100g);
        let range = row.nutrients[nutrient as usize];
        if nutrient == Nutrient::Energy {
            let range = range.times(look.energy.factor());
            let symbol = look.energy.symbol();
            line(
                "energy",
                &format!(
                    "{grams:.0} g × {} / 100 g{factors} = {} {symbol}; low {}, high {}",
                    energy_of(per_100g, look),
                    grouped(range.likely),
                    grouped(round_to(range.low, look.energy.step())),
                    grouped(round_to(range.high, look.energy.step())),
                ),
            );
        } else if per_100g > 0.0 {
            line(
                nutrient.name(),
                &format!(
                    "{grams:.0} g × {per_100g:.1} g / 100 g{factors} = {:.1} g",
                    range.likely
                ),
            );
        }
    }
}

fn energy_of(kcal: f64, look: &Look) -> String {
    format!(
        "{} {}",
        grouped(kcal * look.energy.factor()),
        look.energy.symbol()
    )
}

/// Whose figures these are, and in which files they stand.
fn provenance(
    library: &Library,
    estimate: &Estimate,
    part: &Component,
    line: &mut impl FnMut(&str, &str),
) {
    line("source", &part.source);
    let Some(id) = part.food else {
        return;
    };
    let food = library.food(id);
    if let FoodOrigin::Blend(parts, _) = &food.origin {
        for (ingredient, grams) in parts {
            let text = format!(
                "{grams} g {}: {}",
                library.food(*ingredient).name.to_lowercase(),
                library.citation(*ingredient)
            );
            line("", &text);
        }
    }
    let dish = estimate
        .plate
        .dishes
        .get(part.dish)
        .and_then(|dish| match library.find(dish.id.as_deref()?)? {
            Entry::Dish(dish) => Some(library.dish(dish)),
            Entry::Food(_) => None,
        })
        .filter(|_| part.slot.is_some());
    let slot = dish.and_then(|dish| {
        let named = part.slot.as_ref()?;
        let slot = dish.slots.iter().find(|slot| slot.name == *named)?;
        slot.portion.as_ref().map(|_| (dish, slot))
    });
    let portion = match slot {
        Some((dish, slot)) => {
            let evidence = library.slot_evidence(dish, slot).line;
            format!("the pattern {}: {evidence}", dish.id)
        }
        None => library.evidence(id, part.role).line,
    };
    line("portion by", &portion);
    line("file", &part.file);
    if let Some(dish) = dish {
        line("", &dish.file);
    }
}
