//! Helpers that the tests share: the library, loaded once, and a plate as one line of text.
#![allow(dead_code, reason = "each test file uses some of them")]

use platespan::library::Entry;
use platespan::plate::{self, Component, Origin, Plate, PlateDish};
use platespan::{Estimate, Library, PlateOptions, ReadError, estimate_text, read};
use std::fmt::Write as _;
use std::sync::OnceLock;

/// The library we ship, loaded once for a test binary.
pub fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(Library::embedded)
}

/// The estimate of a text with nothing else said.
#[track_caller]
pub fn estimate(text: &str) -> Estimate {
    estimate_text(library(), text, &PlateOptions::default())
        .unwrap_or_else(|error| panic!("\"{text}\": {error}"))
}

/// The plate of a text.
pub fn plate_of(text: &str) -> Result<Plate, ReadError> {
    let meal = read::read(library(), text)?;
    Ok(plate::plate(
        library(),
        text,
        &meal,
        &PlateOptions::default(),
    ))
}

/// A plate as one line: `2x taco (filling: carnitas; salsa: none)`.
///
/// Grams are hidden, and so are the parts that a dish has by custom, so that better data changes no outline: what is
/// shown is what the words said. A slot that the words emptied is `none`; a share eaten, a chance by choice, words that
/// were not understood and typing errors that were mended stand beside.
pub fn outline(text: &str) -> String {
    match plate_of(text) {
        Ok(plate) => outline_of(&plate),
        Err(error) => format!("error: {error}"),
    }
}

/// The same with what the words alone do not say.
pub fn outline_with(text: &str, options: &PlateOptions) -> String {
    match estimate_text(library(), text, options) {
        Ok(estimate) => outline_of(&estimate.plate),
        Err(error) => format!("error: {error}"),
    }
}

fn outline_of(plate: &Plate) -> String {
    let mut dishes: Vec<String> = plate
        .dishes
        .iter()
        .enumerate()
        .map(|(index, dish)| {
            let parts: Vec<&Component> = plate
                .components
                .iter()
                .filter(|part| part.dish == index)
                .collect();
            dish_outline(plate, dish, &parts)
        })
        .filter(|dish| !dish.is_empty())
        .collect();
    for unknown in &plate.not_understood {
        dishes.push(format!("?{}", unknown.text));
    }
    for mended in &plate.corrections {
        dishes.push(format!("{} read as {}", mended.said, mended.read));
    }
    dishes.join(" + ")
}

fn dish_outline(plate: &Plate, dish: &PlateDish, parts: &[&Component]) -> String {
    let pattern = dish.id.as_ref().and_then(|id| match library().find(id) {
        Some(Entry::Dish(id)) => Some(library().dish(id)),
        _ => None,
    });
    let eaten = parts.first().map_or(1.0, |part| part.eaten[1]);
    let all_alike = parts.iter().all(|part| part.eaten[1] == eaten);
    let mut shown: Vec<String> = parts
        .iter()
        .filter(|part| match part.origin {
            // What a remark singles out is shown, even where the dish has it by custom.
            Origin::Implied => pattern.is_some() && !all_alike && part.eaten[1] < 1.0,
            Origin::Unknown => false,
            Origin::Named | Origin::WholeDish => true,
        })
        .map(|part| {
            let slot = part
                .slot
                .as_ref()
                .filter(|_| pattern.is_some())
                .map_or(String::new(), |slot| format!("{slot}: "));
            format!("{slot}{}", part_outline(plate, part))
        })
        .collect();
    let Some(pattern) = pattern else {
        return shown.join(", ");
    };
    for slot in &pattern.slots {
        let there = parts
            .iter()
            .any(|part| part.slot.as_deref() == Some(slot.name.as_str()));
        if slot.chance > 0.0 && !there {
            shown.push(format!("{}: none", slot.name));
        }
    }
    let mut out = String::new();
    if (dish.count - 1.0).abs() > 1e-9 {
        let _ = write!(out, "{}x ", rounded(dish.count));
    }
    out.push_str(&pattern.id);
    if !shown.is_empty() {
        let _ = write!(out, " ({})", shown.join("; "));
    }
    if shown.is_empty() {
        if let Some((choice, _)) = parts.first().and_then(|part| part.option) {
            let _ = write!(out, " [1 of {}]", plate.choices[choice].options.len());
        }
        if eaten < 1.0 {
            let _ = write!(out, " [{} eaten]", percent(eaten));
        }
    }
    out
}

fn part_outline(plate: &Plate, part: &Component) -> String {
    let mut out = String::new();
    if let Some(count) = part.count.filter(|count| (count - 1.0).abs() > 1e-9) {
        let _ = write!(out, "{}x ", rounded(count));
    }
    out.push_str(
        part.food
            .map_or("?", |food| library().food(food).id.as_str()),
    );
    if let Some((choice, _)) = part.option {
        let _ = write!(out, " [1 of {}]", plate.choices[choice].options.len());
    }
    if part.eaten[1] < 1.0 {
        let _ = write!(out, " [{} eaten]", percent(part.eaten[1]));
    }
    out
}

fn rounded(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}
