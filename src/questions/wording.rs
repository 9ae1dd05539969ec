//! Fills the places of a question's wording.

use crate::estimate::Estimate;
use crate::library::{Entry, FoodId, Library};
use crate::plate::{Component, Origin};

/// What stands for the places of a wording.
#[derive(Debug, Clone, Default)]
pub struct Places {
    /// `{part}`
    pub part: String,
    /// `{dish}`
    pub dish: String,
    /// `{n}` and `{s}`
    pub number: Option<f64>,
    /// `{option}`
    pub option: String,
    /// `{of_it}`
    pub of_it: String,
}

impl Places {
    /// The wording with its places filled.
    pub fn fill(&self, wording: &str) -> String {
        let number = self.number.unwrap_or(1.0);
        wording
            .replace("{parts}", &plural(&self.part))
            .replace("{part}", &self.part)
            .replace("{dish}", &self.dish)
            .replace("{option}", &self.option)
            .replace("{of_it}", &self.of_it)
            .replace("{n}", &format!("{}", (number * 100.0).round() / 100.0))
            .replace("{s}", if number <= 1.0 { "" } else { "s" })
    }
}

/// More than one of it; what ends in an s is taken to be so already.
fn plural(name: &str) -> String {
    let before_last = name.chars().rev().nth(1).unwrap_or('a');
    if name.ends_with('s') {
        name.to_owned()
    } else if name.ends_with('y') && !"aeiou".contains(before_last) {
        format!("{}ies", &name[..name.len() - 1])
    } else {
        format!("{name}s")
    }
}

/// "mayonnaise, cheddar or butter".
pub fn listed(names: &[String], last: &str) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., end] => format!("{} {last} {end}", first.join(", ")),
    }
}

/// Names a component may be called by in a text, the most natural first.
pub fn names_of(library: &Library, component: &Component) -> Vec<String> {
    let mut names = Vec::new();
    if component.origin != Origin::Implied {
        names.extend(
            component
                .said
                .as_ref()
                .and_then(|(said, _)| head_of(library, said)),
        );
    }
    if let Some(food) = component.food {
        names.extend(plain_names(library, food));
    }
    let mut known: Vec<String> = Vec::new();
    for name in names {
        // What ends a clause or opens an amount would be read as grammar.
        let plain = !name.is_empty() && !name.contains([',', ';', ':', '(', ')', '/', '\n']);
        if plain && !known.contains(&name) {
            known.push(name);
        }
    }
    known
}

/// The words of a phrase's head alone: the wine of "large glass of wine".
pub fn head_of(library: &Library, said: &str) -> Option<String> {
    let meal = crate::read::read(library, said).ok()?;
    let (from, to) = meal.items.first()?.head_span;
    let head = said.get(from..to).filter(|head| !head.is_empty());
    Some(head.unwrap_or(said).to_lowercase())
}

/// Two or three names of a food: those that stand in its full name first, the longest before the shorter.
fn plain_names(library: &Library, food: FoodId) -> Vec<String> {
    let full = library.food(food).name.to_lowercase();
    let mut aliases = library.aliases(Entry::Food(food));
    aliases.truncate(6);
    let (mut inside, mut others): (Vec<String>, Vec<String>) = aliases
        .into_iter()
        .partition(|alias| full.contains(alias.as_str()));
    inside.sort_by_key(|name| std::cmp::Reverse(name.len()));
    inside.truncate(2);
    others.truncate(1);
    inside.append(&mut others);
    inside
}

/// "a bowl of curry" behind "the".
fn without_article(said: &str) -> &str {
    ["a ", "an ", "the "]
        .iter()
        .find_map(|article| said.strip_prefix(article))
        .unwrap_or(said)
}

/// What the component's dish is called: as the words have it, else by its name; "meal" where it is no dish of its own.
pub fn dish_of(estimate: &Estimate, component: &Component) -> String {
    // What is there by custom carries the words of its dish.
    if let (Origin::Implied, Some((said, _))) = (component.origin, &component.said) {
        return without_article(&said.to_lowercase()).to_owned();
    }
    let dish = estimate
        .plate
        .dishes
        .get(component.dish)
        .filter(|dish| dish.id.is_some());
    dish.map_or("meal".to_owned(), |dish| {
        let name = dish.name.to_lowercase();
        name.split([',', '('])
            .next()
            .unwrap_or(&name)
            .trim()
            .to_owned()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_filled() {
        let places = Places {
            part: "berry".to_owned(),
            number: Some(1.5),
            ..Places::default()
        };
        assert_eq!(places.fill("{n} cup{s} of {parts}"), "1.5 cups of berries");
        assert_eq!(plural("taco"), "tacos");
        assert_eq!(plural("wings"), "wings");
        assert_eq!(plural("bay"), "bays");
    }

    #[test]
    fn lists_are_english() {
        let names = ["salt", "oil", "bread"].map(str::to_owned);
        assert_eq!(listed(&names, "or"), "salt, oil or bread");
        assert_eq!(listed(&names[..1], "or"), "salt");
        assert_eq!(listed(&[], "or"), "");
    }
}
