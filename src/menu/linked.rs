//! Menus as schema.org data: `Menu`, `MenuSection` and `MenuItem` in JSON-LD.
//!
//! What other programs write varies: types with and without `schema:` or a full address, a type or a list of types, a value
//! or a list of values, sections in sections, dishes that stand in `@graph` and are only named by `@id` elsewhere. All of
//! these are followed. A dish that two places name is read once, in the section that names it first.

use super::{Found, MenuLine};
use serde_json::{Map, Value};
use std::collections::{HashMap, HashSet};

type Object = Map<String, Value>;

/// The dishes of a JSON-LD text.
///
/// # Errors
/// Where it is no JSON, or holds no dish.
pub fn lines(text: &str) -> Found {
    let value = parse(text)?;
    dishes(&[value])
}

/// JSON, or what is wrong with it and where.
pub fn parse(text: &str) -> Result<Value, String> {
    serde_json::from_str(text).map_err(|error| {
        let (line, column) = (error.line(), error.column());
        let told = error.to_string();
        let told = told.trim_end_matches(&format!(" at line {line} column {column}"));
        format!("line {line}, column {column}: this is no JSON: {told}")
    })
}

/// The dishes of several values that may refer to each other.
///
/// # Errors
/// Where there is none.
pub fn dishes(values: &[Value]) -> Found {
    let mut walk = Walk::default();
    for value in values {
        walk.index(value);
    }
    // First what nothing refers to: a dish that a section names then comes with that section's heading.
    for value in values {
        walk.value(value, &Place::default(), Pass::Unreferenced);
    }
    for value in values {
        walk.value(value, &Place::default(), Pass::Rest);
    }
    if walk.lines.is_empty() {
        let mut types: Vec<String> = walk.types.into_iter().collect();
        types.sort();
        let found = if types.is_empty() {
            "nothing with a `@type`".to_owned()
        } else {
            types.join(", ")
        };
        return Err(format!(
            "there is no schema.org `MenuItem` in it; it has {found}. A text file with a line a dish can be read too"
        ));
    }
    Ok(walk.lines)
}

/// Where a value stands.
#[derive(Debug, Clone, Default)]
struct Place<'a> {
    section: Option<String>,
    /// The property that led here.
    by: &'a str,
    /// How many nodes led here.
    depth: usize,
}

/// The longest way that is followed: no menu nests as deep, and what lies behind is still read where it stands.
const MOST_DEPTH: usize = 300;

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Pass {
    Unreferenced,
    Rest,
}

#[derive(Default)]
struct Walk<'a> {
    by_id: HashMap<&'a str, &'a Object>,
    referenced: HashSet<&'a str>,
    /// Nodes that a pass has walked through, so that those that name each other do not lead in circles.
    seen: HashSet<(Pass, *const Object)>,
    read: HashSet<*const Object>,
    types: HashSet<String>,
    lines: Vec<Result<MenuLine, String>>,
}

impl<'a> Walk<'a> {
    /// Notes every node by its `@id`, and which are referred to.
    fn index(&mut self, value: &'a Value) {
        match value {
            Value::Array(values) => values.iter().for_each(|value| self.index(value)),
            Value::Object(object) => {
                if let Some(id) = object.get("@id").and_then(Value::as_str) {
                    if object.len() == 1 {
                        self.referenced.insert(id);
                    } else {
                        self.by_id.entry(id).or_insert(object);
                    }
                }
                object.values().for_each(|value| self.index(value));
            }
            _ => {}
        }
    }

    fn value(&mut self, value: &'a Value, place: &Place<'a>, pass: Pass) {
        match value {
            Value::Array(values) => values
                .iter()
                .for_each(|value| self.value(value, place, pass)),
            Value::Object(object) => self.object(object, place, pass),
            _ => {}
        }
    }

    fn object(&mut self, object: &'a Object, place: &Place<'a>, pass: Pass) {
        let id = object.get("@id").and_then(Value::as_str);
        if let (Some(id), 1) = (id, object.len()) {
            // A reference: follow it, as if what it names stood here.
            if let Some(named) = self.by_id.get(id).copied() {
                self.node(named, place, pass);
            }
            return;
        }
        let waits = pass == Pass::Unreferenced && id.is_some_and(|id| self.referenced.contains(id));
        if !waits {
            self.node(object, place, pass);
        }
    }

    fn node(&mut self, object: &'a Object, place: &Place<'a>, pass: Pass) {
        let this = std::ptr::from_ref(object);
        if place.depth > MOST_DEPTH || !self.seen.insert((pass, this)) {
            return;
        }
        let types = types_of(object);
        let is = |kind: &str| types.iter().any(|own| own == kind);
        let mut inside = place.section.clone();
        if is("MenuItem") || types.is_empty() && matches!(place.by, "hasMenuItem" | "menuAddOn") {
            if self.read.insert(this) {
                self.dish(object, place);
            }
        } else if is("MenuSection") || types.is_empty() && place.by == "hasMenuSection" {
            inside = words(object.get("name")).or(inside);
        }
        self.types.extend(types);
        for (by, value) in object {
            let place = Place {
                section: inside.clone(),
                by,
                depth: place.depth + 1,
            };
            self.value(value, &place, pass);
        }
    }

    fn dish(&mut self, object: &'a Object, place: &Place<'a>) {
        let number = self.lines.len() + 1;
        let id = words(object.get("identifier")).unwrap_or_else(|| number.to_string());
        let name = words(object.get("name"));
        let description = words(object.get("description"));
        let text = match (&name, &description) {
            (Some(name), Some(description)) => format!("{name}: {description}"),
            (Some(one), None) | (None, Some(one)) => one.clone(),
            (None, None) => {
                self.lines.push(Err(format!(
                    "dish {number}: a `MenuItem` with neither `name` nor `description` says nothing of the plate"
                )));
                return;
            }
        };
        self.lines.push(Ok(MenuLine {
            id,
            section: place.section.clone(),
            name,
            text,
        }));
    }
}

/// The node's types without their vocabulary's address.
fn types_of(object: &Object) -> Vec<String> {
    let bare = |kind: &Value| {
        let kind = kind.as_str()?;
        Some(kind.rsplit(['/', ':', '#']).next()?.to_owned())
    };
    match object.get("@type") {
        Some(Value::Array(kinds)) => kinds.iter().filter_map(bare).collect(),
        Some(kind) => bare(kind).into_iter().collect(),
        None => Vec::new(),
    }
}

/// A property's words: the first text in it, without markup, doubled spaces and what would steer a terminal.
fn words(value: Option<&Value>) -> Option<String> {
    let text = match value? {
        Value::String(text) => super::page::without_markup(text),
        Value::Number(number) => number.to_string(),
        Value::Array(values) => return values.iter().find_map(|value| words(Some(value))),
        Value::Object(object) => return words(object.get("@value")),
        _ => return None,
    };
    let text = text
        .split(|letter: char| letter.is_whitespace() || letter.is_control())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ");
    (!text.is_empty()).then_some(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `section | text` a line.
    #[track_caller]
    fn read(json: &str) -> String {
        lines(json)
            .unwrap_or_else(|error| panic!("{error}"))
            .into_iter()
            .map(|line| match line {
                Ok(line) => format!("{} | {}", line.section.as_deref().unwrap_or("-"), line.text),
                Err(message) => format!("! {message}"),
            })
            .collect::<Vec<_>>()
            .join("\n")
    }

    #[test]
    fn a_section_gives_its_dishes_their_heading() {
        let json = r#"{"@context": "https://schema.org", "@type": "Menu", "hasMenuSection": [
            {"@type": "MenuSection", "name": "Starters", "hasMenuItem": {"@type": "MenuItem", "name": "Leek soup", "description": "cream, chives"}},
            {"@type": "MenuSection", "name": "Evening", "hasMenuSection": {"@type": "MenuSection", "name": "From the oven",
              "hasMenuItem": [{"@type": "MenuItem", "name": "Baked trout"}, {"name": "Squash gratin"}]}}]}"#;
        insta::assert_snapshot!(read(json), @r"
        Starters | Leek soup: cream, chives
        From the oven | Baked trout
        From the oven | Squash gratin
        ");
    }

    #[test]
    fn a_dish_in_the_graph_comes_with_the_section_that_names_it() {
        let json = r##"{"@graph": [
            {"@id": "#trout", "@type": ["schema:MenuItem", "Product"], "name": "Baked trout"},
            {"@id": "#mains", "@type": "http://schema.org/MenuSection", "name": "Mains", "hasMenuItem": [{"@id": "#trout"}, {"@id": "#gone"}]},
            {"@type": "Restaurant", "name": "The Blue Ladle", "hasMenu": {"@type": "Menu", "hasMenuSection": {"@id": "#mains"}}}]}"##;
        insta::assert_snapshot!(read(json), @"Mains | Baked trout");
    }

    #[test]
    fn nodes_that_name_each_other_are_read_once() {
        let json = r##"[{"@id": "#a", "@type": "MenuSection", "name": "A", "hasMenuSection": {"@id": "#b"}},
            {"@id": "#b", "@type": "MenuSection", "name": "B", "hasMenuItem": {"@type": "MenuItem", "name": "Pea soup"}, "isPartOf": {"@id": "#a"}}]"##;
        insta::assert_snapshot!(read(json), @"B | Pea soup");
    }

    #[test]
    fn a_long_chain_of_references_is_no_trouble() {
        let nodes: Vec<String> = (0..20_000)
            .map(|at| {
                format!(
                    r##"{{"@id": "#{at}", "@type": "MenuItem", "name": "soup {at}", "isRelatedTo": {{"@id": "#{}"}}}}"##,
                    at + 1
                )
            })
            .collect();
        let all = lines(&format!("[{}]", nodes.join(","))).unwrap();
        assert_eq!(all.len(), 20_000);
    }

    #[test]
    fn markup_lists_and_languages_come_down_to_words() {
        let json = r#"[{"@type": "MenuItem", "name": {"@value": "Fish &amp; peas", "@language": "en"}, "description": ["<p>with  <b>tartare</b> sauce</p>"]},
            {"@type": "MenuItem", "offers": {"price": 4}}]"#;
        insta::assert_snapshot!(read(json), @r"
        - | Fish & peas: with tartare sauce
        ! dish 2: a `MenuItem` with neither `name` nor `description` says nothing of the plate
        ");
    }

    proptest::proptest! {
        #[test]
        fn no_text_makes_it_fail(text in "\\PC*", json in r#"[\[\]{}:,"@a-c0-2 ]{0,40}"#) {
            let _ = (lines(&text), lines(&json), super::super::page::lines(&text));
        }
    }

    #[test]
    fn what_is_no_menu_is_said_to_be_none() {
        insta::assert_snapshot!(lines("{\"a\": ").unwrap_err(), @"line 1, column 6: this is no JSON: EOF while parsing a value");
        insta::assert_snapshot!(lines(r#"{"@type": "Recipe"}"#).unwrap_err(), @"there is no schema.org `MenuItem` in it; it has Recipe. A text file with a line a dish can be read too");
        insta::assert_snapshot!(lines("[]").unwrap_err(), @"there is no schema.org `MenuItem` in it; it has nothing with a `@type`. A text file with a line a dish can be read too");
    }
}
