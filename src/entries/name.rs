//! What a line is called: a plain name that one could search for.

use super::amount::Amount;
use super::gather::{Draft, Kind};
use crate::estimate::Estimate;
use crate::library::Library;
use crate::plate::Origin;

/// The name of a line; `by_energy` are its rows, largest first.
pub fn of(library: &Library, estimate: &Estimate, draft: &Draft, by_energy: &[usize]) -> String {
    match draft.kind {
        Kind::Single => {
            let part = &estimate.rows[draft.rows[0]].component;
            match part.origin {
                // "(not understood)" is no explanation to be left out.
                Origin::Unknown => part.name.clone(),
                _ => plain(&part.name),
            }
        }
        Kind::Whole(dish) => of_whole(library, estimate, dish, by_energy),
        Kind::Choice(choice) => of_choice(library, estimate, choice),
        Kind::Gathered => of_gathered(library, estimate, draft, by_energy),
    }
}

/// The dish of a line, where all of it belongs to one.
pub fn dish_of(estimate: &Estimate, draft: &Draft) -> Option<String> {
    let first = estimate.rows[*draft.rows.first()?].component.dish;
    draft
        .rows
        .iter()
        .all(|at| estimate.rows[*at].component.dish == first)
        .then(|| {
            estimate
                .plate
                .dishes
                .get(first)
                .map(|dish| dish.name.clone())
        })
        .flatten()
}

/// Below this share of its line's energy, a part that may not have been there needs no word.
const NO_MATTER: f64 = 0.05;

/// What should be known when it is written down: an open choice, or parts that may not have been there.
pub fn note(
    library: &Library,
    estimate: &Estimate,
    draft: &Draft,
    amount: &Amount,
) -> Option<String> {
    if let Kind::Choice(_) = draft.kind {
        return Some(format!(
            "{}: write down the one that was eaten; the figures are an average",
            capital(&amount.options.join(" or "))
        ));
    }
    let energy = |at: &usize| estimate.rows[*at].nutrients[0].likely;
    let whole: f64 = draft.rows.iter().map(energy).sum();
    let mut seldom: Vec<String> = Vec::new();
    for at in &draft.rows {
        let part = &estimate.rows[*at].component;
        let name = short_name(library, &part.name);
        let said = part.chance > 0.0 && part.chance < 0.5 && energy(at) >= NO_MATTER * whole;
        if said && !seldom.contains(&name) {
            seldom.push(name);
        }
    }
    let counted = match seldom.len() {
        0 => return None,
        1 => "counted by how often it is",
        _ => "counted by how often they are",
    };
    Some(format!(
        "{} may not have been there: {counted}",
        capital(&listed(&seldom))
    ))
}

/// From this share of a gathered line's energy, a part is named even where it is seldom there.
const MUCH_OF_IT: f64 = 0.25;

/// A dish's own name, and the parts that make a difference to it: "Curry with chicken thigh".
fn of_whole(library: &Library, estimate: &Estimate, dish: usize, by_energy: &[usize]) -> String {
    let name = estimate
        .plate
        .dishes
        .get(dish)
        .map_or(String::new(), |dish| plain(&dish.name));
    let total: f64 = by_energy
        .iter()
        .map(|at| estimate.rows[*at].nutrients[0].likely)
        .sum();
    let core = by_energy
        .iter()
        .find(|at| estimate.rows[**at].component.origin == Origin::WholeDish)
        .or(by_energy.first());
    let mut added: Vec<String> = Vec::new();
    for at in by_energy.iter().filter(|at| Some(*at) != core) {
        let row = &estimate.rows[*at];
        let matters =
            row.nutrients[0].likely >= library.rules.lines.mention_share * total.max(1e-9);
        let part = short_name(library, &row.component.name);
        let mentioned = part
            .split_whitespace()
            .any(|word| name.to_lowercase().contains(&word.to_lowercase()));
        if (row.component.origin == Origin::Named || matters)
            && !mentioned
            && !added.contains(&part)
        {
            added.push(part);
        }
    }
    added.truncate(3);
    if added.is_empty() {
        name
    } else {
        format!("{name} with {}", listed(&added))
    }
}

fn of_choice(library: &Library, estimate: &Estimate, choice: usize) -> String {
    let Some(choice) = estimate.plate.choices.get(choice) else {
        return String::new();
    };
    let mut names: Vec<String> = choice
        .options
        .iter()
        .enumerate()
        .map(|(at, option)| match at {
            0 => capital(&short(option)),
            _ => short_name(library, option),
        })
        .collect();
    if names.len() > 3 {
        names.truncate(3);
        names.push("another".to_owned());
    }
    names.join(" or ")
}

/// "Ham, tomato and lettuce", or for many parts their kinds: "Sauce, oil and garnish".
fn of_gathered(
    library: &Library,
    estimate: &Estimate,
    draft: &Draft,
    by_energy: &[usize],
) -> String {
    let rows = &estimate.rows;
    if let Some(dishes) = dishes_of(library, estimate, draft) {
        return dishes;
    }
    // A part that is seldom there is named only where the line's energy is largely its own; the note tells the others.
    let energy = |at: &usize| rows[*at].nutrients[0].likely;
    let all: f64 = by_energy.iter().map(energy).sum();
    let named: Vec<usize> = by_energy
        .iter()
        .copied()
        .filter(|at| rows[*at].component.chance >= 0.5 || energy(at) >= MUCH_OF_IT * all)
        .collect();
    let told = if named.is_empty() { by_energy } else { &named };
    let mut names: Vec<String> = Vec::new();
    for at in told {
        let part = &rows[*at].component;
        let name = match part.origin {
            Origin::Unknown => part.name.clone(),
            _ => short_name(library, &part.name),
        };
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if names.len() > 3 {
        names.clear();
        for at in told {
            let word = kind_word(library, estimate, *at);
            if !names.contains(&word) {
                names.push(word);
            }
        }
    }
    let many = names.len() > 3;
    names.truncate(3);
    let list = if many {
        format!("{} and small parts", names.join(", "))
    } else {
        listed(&names)
    };
    let one_of_many = dish_of(estimate, draft).filter(|dish| {
        let other = |at: usize| {
            estimate
                .plate
                .dishes
                .get(rows[at].component.dish)
                .is_some_and(|own| own.name != *dish)
        };
        (0..rows.len()).any(other)
    });
    match one_of_many {
        Some(dish) => format!("{} ({})", capital(&list), lowered(library, &plain(&dish))),
        None => capital(&list),
    }
}

/// Above this share of the plate's energy, a gathered line is no longer one of small parts and is named by its dishes.
const NOT_SMALL: f64 = 0.3;

/// "Lasagne, meat, tiramisu and more": what a gathered line of several whole dishes is called.
fn dishes_of(library: &Library, estimate: &Estimate, draft: &Draft) -> Option<String> {
    let mut dishes: Vec<(usize, f64)> = Vec::new();
    for at in &draft.rows {
        let row = &estimate.rows[*at];
        let energy = row.nutrients[0].likely;
        match dishes
            .iter_mut()
            .find(|(dish, _)| *dish == row.component.dish)
        {
            Some((_, sum)) => *sum += energy,
            None => dishes.push((row.component.dish, energy)),
        }
    }
    let energy: f64 = dishes.iter().map(|(_, energy)| energy).sum();
    let plate: f64 = estimate
        .rows
        .iter()
        .map(|row| row.nutrients[0].likely)
        .sum();
    if energy < NOT_SMALL * plate || dishes.len() < 2 && draft.rows.len() < estimate.rows.len() {
        return None;
    }
    dishes.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut names: Vec<String> = Vec::new();
    for (dish, _) in &dishes {
        let name = estimate.plate.dishes.get(*dish)?;
        let name = short_name(library, &name.name);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if names.len() > 4 {
        names.truncate(3);
        names.push("more".to_owned());
    }
    Some(capital(&listed(&names)))
}

fn kind_word(library: &Library, estimate: &Estimate, at: usize) -> String {
    let part = &estimate.rows[at].component;
    part.food
        .and_then(|food| {
            library
                .rules
                .gathered
                .iter()
                .find(|entry| library.is_one_of(food, &entry.of))
        })
        .map_or_else(
            || short_name(library, &part.name),
            |entry| entry.word.clone(),
        )
}

/// A name without what it explains in parentheses.
fn plain(name: &str) -> String {
    let mut out = String::new();
    let mut depth = 0_usize;
    for c in name.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            c if depth == 0 => out.push(c),
            _ => {}
        }
    }
    let out = out
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .replace(" ,", ",");
    if out.is_empty() { name.to_owned() } else { out }
}

/// A name up to its first comma: "Chicken thigh, cooked, without skin" is a chicken thigh.
pub fn short(name: &str) -> String {
    let name = plain(name);
    name.split(',').next().unwrap_or(&name).trim().to_owned()
}

/// What a food is called inside a sentence: "chicken thigh" for "Chicken thigh, cooked, without skin".
pub fn short_name(library: &Library, name: &str) -> String {
    lowered(library, &short(name))
}

/// A name inside a sentence: its first letter is lowered where it stands before a small one ("BBQ sauce" stays) and the
/// word is no proper name.
fn lowered(library: &Library, name: &str) -> String {
    let first_word = name.split(|c: char| !c.is_alphanumeric()).next();
    let proper = &library.rules.lines.proper;
    if first_word.is_some_and(|word| proper.iter().any(|known| known == word)) {
        return name.to_owned();
    }
    let mut chars = name.chars();
    match (chars.next(), chars.next()) {
        (Some(first), Some(second)) if first.is_uppercase() && second.is_lowercase() => {
            first.to_lowercase().chain(name.chars().skip(1)).collect()
        }
        _ => name.to_owned(),
    }
}

fn capital(name: &str) -> String {
    let mut chars = name.chars();
    chars.next().map_or(String::new(), |first| {
        first.to_uppercase().chain(chars).collect()
    })
}

/// "a, b and c".
pub fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [rest @ .., last] => format!("{} and {last}", rest.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_loses_its_explanation_and_keeps_its_words() {
        assert_eq!(plain("Black cod (sablefish), baked"), "Black cod, baked");
        assert_eq!(plain("(all of it)"), "(all of it)");
        assert_eq!(
            short("Chicken thigh, cooked, without skin"),
            "Chicken thigh"
        );
        let library = Library::embedded();
        assert_eq!(lowered(&library, "Olive oil"), "olive oil");
        assert_eq!(lowered(&library, "BBQ sauce"), "BBQ sauce");
        assert_eq!(lowered(&library, "Swiss cheese"), "Swiss cheese");
        assert_eq!(capital("échalote"), "Échalote");
    }

    #[test]
    fn a_list_reads_as_english() {
        let names = ["oil", "salt", "lemon"].map(str::to_owned);
        assert_eq!(listed(&names[..1]), "oil");
        assert_eq!(listed(&names[..2]), "oil and salt");
        assert_eq!(listed(&names), "oil, salt and lemon");
        assert_eq!(listed(&[]), "");
    }
}
