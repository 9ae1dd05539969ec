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
            .replace("{part}", &self.part)
            .replace("{dish}", &self.dish)
            .replace("{option}", &self.option)
            .replace("{of_it}", &self.of_it)
            .replace("{n}", &format!("{}", (number * 100.0).round() / 100.0))
            .replace("{s}", if number == 1.0 { "" } else { "s" })
    }
}

/// Names a component may be called by in a text, the most natural first.
pub fn names_of(library: &Library, component: &Component) -> Vec<String> {
    let mut names = Vec::new();
    if component.origin != Origin::Implied {
        names.extend(component.said.as_ref().map(|(said, _)| said.clone()));
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

/// Two or three names of a food: those that stand in its full name first, the shorter before the longer.
fn plain_names(library: &Library, food: FoodId) -> Vec<String> {
    let full = library.food(food).name.to_lowercase();
    let mut aliases = library.aliases(Entry::Food(food));
    aliases.truncate(6);
    let (mut inside, mut others): (Vec<String>, Vec<String>) = aliases
        .into_iter()
        .partition(|alias| full.contains(alias.as_str()));
    inside.truncate(2);
    others.truncate(1);
    inside.append(&mut others);
    inside
}

/// What the component's dish is called; "meal" where it is no dish of its own.
pub fn dish_of(estimate: &Estimate, component: &Component) -> String {
    let dish = estimate
        .plate
        .dishes
        .get(component.dish)
        .filter(|dish| dish.id.is_some());
    dish.map_or("meal".to_owned(), |dish| {
        let name = dish.name.to_lowercase();
        name.split([',', '(']).next().unwrap_or(&name).trim().to_owned()
    })
}
