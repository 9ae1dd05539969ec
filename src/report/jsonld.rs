//! schema.org data: a `Menu` whose dishes carry `NutritionInformation`, for a web page or another program.
//!
//! schema.org has one figure a property, so the likely one stands there and the range is told in the description.

use super::{EnergyUnit, Look, cautions, grouped, round_to};
use crate::estimate::{Estimate, Nutrient};
use crate::menu::MenuLine;
use serde::Serialize;

/// A menu.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LinkedMenu {
    #[serde(rename = "@context")]
    context: &'static str,
    #[serde(rename = "@type")]
    kind: &'static str,
    description: String,
    #[serde(rename = "hasMenuSection", skip_serializing_if = "Vec::is_empty")]
    sections: Vec<Section>,
    #[serde(rename = "hasMenuItem", skip_serializing_if = "Vec::is_empty")]
    items: Vec<Item>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Section {
    #[serde(rename = "@type")]
    kind: &'static str,
    name: String,
    #[serde(rename = "hasMenuItem")]
    items: Vec<Item>,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
struct Item {
    #[serde(rename = "@type")]
    kind: &'static str,
    identifier: String,
    name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    description: Option<String>,
    nutrition: Nutrition,
}

#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "camelCase")]
struct Nutrition {
    #[serde(rename = "@type")]
    kind: &'static str,
    calories: String,
    protein_content: String,
    fat_content: String,
    carbohydrate_content: String,
    fiber_content: String,
    description: String,
}

/// The menu of these dishes: sections in the order of their first dish, dishes in the order given.
pub fn linked_menu<'a>(
    dishes: impl IntoIterator<Item = &'a (MenuLine, Estimate)>,
    look: &Look,
) -> LinkedMenu {
    let mut sections: Vec<Section> = Vec::new();
    let mut items = Vec::new();
    for (line, estimate) in dishes {
        let item = item(line, estimate, look.energy);
        let Some(name) = &line.section else {
            items.push(item);
            continue;
        };
        match sections.iter_mut().find(|section| section.name == *name) {
            Some(section) => section.items.push(item),
            None => sections.push(Section {
                kind: "MenuSection",
                name: name.clone(),
                items: vec![item],
            }),
        }
    }
    LinkedMenu {
        context: "https://schema.org",
        kind: "Menu",
        description: format!(
            "Figures estimated from the words of the menu. {}",
            cautions().join(" ")
        ),
        sections,
        items,
    }
}

impl LinkedMenu {
    /// Its JSON, which may stand in a page's script as it is: no `<` of a dish's name could end that script.
    ///
    /// # Errors
    /// None that is known: all of it is text.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(self).map(|json| json.replace('<', "\\u003c"))
    }
}

fn item(line: &MenuLine, estimate: &Estimate, unit: EnergyUnit) -> Item {
    let energy = estimate.total(Nutrient::Energy).times(unit.factor());
    let symbol = unit.symbol();
    let grams = |nutrient| format!("{:.0} g", estimate.total(nutrient).likely);
    let reach = |nutrient: Nutrient| {
        let range = estimate.total(nutrient);
        format!("{} {:.0}–{:.0} g", nutrient.name(), range.low, range.high)
    };
    Item {
        kind: "MenuItem",
        identifier: line.id.clone(),
        name: line.title().to_owned(),
        description: line.description().map(str::to_owned),
        nutrition: Nutrition {
            kind: "NutritionInformation",
            calories: format!("{:.0} {symbol}", round_to(energy.likely, unit.step())),
            protein_content: grams(Nutrient::Protein),
            fat_content: grams(Nutrient::Fat),
            carbohydrate_content: grams(Nutrient::Carbohydrate),
            fiber_content: grams(Nutrient::Fibre),
            description: format!(
                "8 plates in 10 lie between {} and {} {symbol}; {}, {}, {}, {}",
                grouped(round_to(energy.low, 2.0 * unit.step())),
                grouped(round_to(energy.high, 2.0 * unit.step())),
                reach(Nutrient::Protein),
                reach(Nutrient::Fat),
                reach(Nutrient::Carbohydrate),
                reach(Nutrient::Fibre),
            ),
        },
    }
}
