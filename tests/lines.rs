//! Lines to record, through the public API and the command.

mod common;
#[path = "fixed/mod.rs"]
mod fixed;

use common::{estimate, library};
use fixed::{Place, run, stdout};
use platespan::entries::{Line, LineOptions, Measure, lines};
use platespan::{Library, Nutrient, Overlay, PlateOptions, estimate_text};

const MEALS: [&str; 9] = [
    "lamb kofta wrap, tomato salad, mint tea",
    "pepperoni pizza and a lager",
    "pan-fried hake, brown butter, new potatoes, peas, lemon tart with cream",
    "turkey club on sourdough, crisps, apple juice; ate half of the crisps",
    "lentil soup, choice of side, two scones with jam",
    "lasagne or moussaka, green salad, no dressing",
    "goulash with dumplings, a zorblat, plum cake",
    "black coffee",
    "tea",
];

const MEASURES: [Measure; 3] = [Measure::Scale, Measure::Cups, Measure::Hand];

fn lines_of(text: &str, at_most: usize, measure: Measure) -> Vec<Line> {
    lines(library(), &estimate(text), LineOptions { at_most, measure })
}

fn names(text: &str) -> Vec<String> {
    lines_of(text, 6, Measure::Scale)
        .into_iter()
        .map(|line| line.name)
        .collect()
}

/// The library with the foods of `tests/fixed`, whose figures never change.
fn fixed_library() -> Library {
    let overlay = Overlay {
        name: "fixed.toml".to_owned(),
        text: include_str!("fixed/foods.toml").to_owned(),
    };
    Library::with_overlays(&[overlay]).unwrap()
}

#[test]
fn lines_add_up_to_the_plate_however_few_they_are() {
    for text in MEALS {
        let estimate = estimate(text);
        for at_most in [1, 2, 3, 6, 50] {
            for measure in MEASURES {
                let lines = lines(library(), &estimate, LineOptions { at_most, measure });
                assert!(
                    (1..=at_most).contains(&lines.len()),
                    "{text}: {}",
                    lines.len()
                );
                for nutrient in Nutrient::ALL {
                    let at = nutrient as usize;
                    let sum: f64 = lines.iter().map(|line| line.likely[at]).sum();
                    let plate = estimate.total(nutrient).likely;
                    assert!(
                        (sum - plate).abs() < 1.0,
                        "{text}: {} {sum} against {plate}",
                        nutrient.name()
                    );
                }
                for line in &lines {
                    let energy = line.energy;
                    assert!(
                        (energy.likely - line.likely[0]).abs() < 1e-6,
                        "{text}: {line:?}"
                    );
                    assert!(energy.low <= energy.high, "{text}: {line:?}");
                }
            }
        }
    }
}

#[test]
fn every_component_stands_in_exactly_one_line() {
    for text in MEALS {
        let estimate = estimate(text);
        for at_most in [1, 3, 6] {
            let lines = lines_of(text, at_most, Measure::Scale);
            let mut said: Vec<&str> = lines
                .iter()
                .flat_map(|line| line.parts.iter().map(|part| part.name.as_str()))
                .collect();
            let mut rows: Vec<&str> = estimate
                .rows
                .iter()
                .map(|row| row.component.name.as_str())
                .collect();
            said.sort_unstable();
            rows.sort_unstable();
            assert_eq!(said, rows, "{text} in {at_most}");
        }
    }
}

#[test]
fn a_whole_dish_is_one_line_and_never_its_parts() {
    for (text, word) in [
        ("pepperoni pizza", "pizza"),
        ("pizza with mushrooms and olives", "pizza"),
        ("beef lasagne", "lasagne"),
        ("chicken curry", "curry"),
    ] {
        let names = names(text);
        let of_dish: Vec<&String> = names
            .iter()
            .filter(|name| name.to_lowercase().contains(word))
            .collect();
        assert_eq!(of_dish.len(), 1, "{text}: {names:?}");
        for part in ["crust", "dough", "sauce", "mozzarella"] {
            let apart = names
                .iter()
                .any(|name| name.to_lowercase().starts_with(part));
            assert!(!apart, "{text}: {names:?}");
        }
    }
}

#[test]
fn what_was_added_to_a_whole_dish_is_in_its_name() {
    let name = names("pizza margherita with olives")
        .remove(0)
        .to_lowercase();
    assert!(name.contains("pizza") && name.contains("olive"), "{name}");
}

#[test]
fn a_sandwich_is_five_or_six_lines() {
    for text in [
        "turkey club sandwich",
        "bacon, lettuce and tomato sandwich",
        "cheeseburger",
    ] {
        let names = names(text);
        assert!((4..=6).contains(&names.len()), "{text}: {names:?}");
    }
}

#[test]
fn a_part_that_is_seldom_there_has_no_line_of_its_own_and_keeps_its_energy() {
    let library = fixed_library();
    let estimate = estimate_text(&library, "loomfish roll", &PlateOptions::default()).unwrap();
    let lines = lines(&library, &estimate, LineOptions::default());
    let with_cheese: Vec<&Line> = lines
        .iter()
        .filter(|line| line.parts.iter().any(|part| part.name == "Brackencheese"))
        .collect();
    let [line] = with_cheese.as_slice() else {
        panic!("{lines:?}");
    };
    // Most of the line's energy is the cheese's, so its name does not hide it.
    assert_eq!(line.name, "Brackencheese and fernleaf");
    let note = line.note.clone().unwrap_or_default();
    assert!(
        note.starts_with("Brackencheese may not have been there"),
        "{note}"
    );
}

#[test]
fn an_open_choice_is_one_line_with_the_amount_of_each() {
    let lines = lines_of(
        "grilled trout with rice or boiled potatoes",
        6,
        Measure::Scale,
    );
    let choice = lines
        .iter()
        .find(|line| line.amount.number.is_none())
        .unwrap_or_else(|| panic!("{lines:?}"));
    assert!(choice.name.contains(" or "), "{choice:?}");
    assert_eq!(choice.amount.text.matches(" or ").count(), 1, "{choice:?}");
    let note = choice.note.clone().unwrap_or_default();
    assert!(note.contains("write down the one that was eaten"), "{note}");
}

#[test]
fn with_a_scale_meat_and_drinks_are_in_ounces_and_the_rest_in_grams() {
    let lines = lines_of(
        "sirloin steak, boiled potatoes, orange juice",
        6,
        Measure::Scale,
    );
    let units: Vec<&str> = lines
        .iter()
        .filter_map(|line| line.amount.unit.as_deref())
        .collect();
    assert_eq!(units, ["oz", "g", "fl oz"], "{lines:?}");
}

#[test]
fn without_a_scale_nothing_is_weighed() {
    for text in MEALS {
        for measure in [Measure::Cups, Measure::Hand] {
            for line in lines_of(text, 6, measure) {
                let unit = line.amount.unit.unwrap_or_default();
                assert!(
                    !["g", "oz"].contains(&unit.as_str()),
                    "{text}: {:?}",
                    line.name
                );
            }
        }
    }
}

#[test]
fn a_hand_says_the_size_it_stands_for() {
    let lines = lines_of("sirloin steak, rice, butter, peanuts", 6, Measure::Hand);
    let sizes: Vec<&String> = lines
        .iter()
        .flat_map(|line| &line.amount.stands_for)
        .collect();
    // A palm: common practice, no source. The others: published hand guides, which differ two-fold on hand and thumb.
    for size in [
        "1 palm is about 4 oz of cooked meat or fish",
        "1 fist is about 1 cup",
        "1 thumb is 1 to 2 tbsp",
        "1 cupped hand is 1/4 to 1/2 cup",
    ] {
        assert!(sizes.iter().any(|said| *said == size), "{size}: {sizes:?}");
    }
}

#[test]
fn stated_pieces_come_back_as_they_were_said() {
    for (text, amount) in [
        ("2 slices of toast", "2 slices"),
        ("three fried eggs", "3 pieces"),
        ("1 cup of cooked rice", "1 cup"),
    ] {
        assert_eq!(
            lines_of(text, 6, Measure::Cups)[0].amount.text,
            amount,
            "{text}"
        );
    }
}

#[test]
fn words_that_nothing_knows_are_named_in_their_line() {
    let names = names("trout, a zorblat");
    assert!(
        names.iter().any(|name| name.contains("zorblat")),
        "{names:?}"
    );
}

#[test]
fn printed_energies_sum_to_the_printed_plate() {
    let place = Place::new();
    for text in MEALS {
        let table = stdout(place.platespan().args(["lines", text, "--width", "160"]));
        // The fourth column from the right is energy's range, the fifth energy itself.
        let energy = |line: &str| -> Option<i64> {
            let cells: Vec<&str> = line.split_whitespace().collect();
            cells.iter().rev().nth(4)?.replace(',', "").parse().ok()
        };
        let rows: Vec<&str> = table
            .lines()
            .skip(2)
            .take_while(|line| !line.starts_with(" plate"))
            .filter(|line| line.contains('–'))
            .collect();
        let plate = table
            .lines()
            .find(|line| line.starts_with(" plate"))
            .unwrap();
        let sum: i64 = rows.iter().filter_map(|line| energy(line)).sum();
        assert_eq!(Some(sum), energy(plate), "{table}");
    }
}

#[test]
fn the_table_fits_80_and_40_columns() {
    let place = Place::new();
    for text in MEALS {
        for width in [80, 40] {
            for measure in ["scale", "cups", "hand"] {
                let columns = width.to_string();
                let args = ["lines", text, "--width", &columns, "--measure", measure];
                let table = stdout(place.platespan().args(args));
                for line in table.lines() {
                    assert!(
                        line.chars().count() <= width,
                        "{width}, {measure}: {line:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn what_people_read_at_80_and_40_columns() {
    let place = Place::new();
    let meal = "loomfish roll, vellroot mash, marshbake";
    for (name, args) in [
        ("lines_80_scale", ["--width", "80", "--measure", "scale"]),
        ("lines_80_cups", ["--width", "80", "--measure", "cups"]),
        ("lines_40_hand", ["--width", "40", "--measure", "hand"]),
    ] {
        let mut command = place.with_fixed_foods();
        insta::assert_snapshot!(name, stdout(command.args(["lines", meal]).args(args)));
    }
}

#[test]
fn json_carries_the_lines_of_the_measure_that_was_asked_for() {
    let place = Place::new();
    let of = |args: &[&str]| -> serde_json::Value {
        let out = stdout(place.with_fixed_foods().args(args));
        serde_json::from_str(&out).unwrap()
    };
    let meal = "loomfish, vellroot mash";
    let estimate = of(&["estimate", meal, "--format", "json"]);
    assert_eq!(estimate["entries"][0]["name"], "Loomfish, baked");
    assert_eq!(estimate["entries"][0]["unit"], "oz");
    let lines = of(&["lines", meal, "--format", "json", "--measure", "hand"]);
    assert_eq!(lines["entries"][0]["unit"], "palms");
    let sum: f64 = lines["entries"]
        .as_array()
        .unwrap()
        .iter()
        .map(|entry| entry["kcal"]["likely"].as_f64().unwrap())
        .sum();
    let plate = lines["total"]["kcal"]["likely"].as_f64().unwrap();
    assert!((sum - plate).abs() < 1.0, "{sum} against {plate}");
}

#[test]
fn csv_has_a_row_a_line_and_one_for_the_plate() {
    let place = Place::new();
    let args = ["lines", "loomfish, vellroot mash", "--format", "csv"];
    let out = stdout(place.with_fixed_foods().args(args));
    let mut reader = csv::Reader::from_reader(out.as_bytes());
    let first: Vec<String> = reader
        .records()
        .map(|record| record.unwrap()[0].to_owned())
        .collect();
    assert_eq!(first, ["Loomfish, baked", "Vellroot mash", "plate"]);
}

#[test]
fn the_estimate_has_a_compact_section_of_them() {
    let place = Place::new();
    let out = stdout(
        place
            .with_fixed_foods()
            .args(["estimate", "loomfish, vellroot mash"]),
    );
    let section = out.split("Lines to record\n").nth(1).unwrap_or_default();
    let lines: Vec<&str> = section
        .lines()
        .take_while(|line| !line.is_empty())
        .collect();
    assert_eq!(lines.len(), 2, "{out}");
    assert!(lines[0].starts_with("  Loomfish, baked: "), "{out}");
}

#[test]
fn no_lines_at_all_is_misuse() {
    let place = Place::new();
    let (_, errors, code) = run(place.platespan().args(["lines", "soup", "--at-most", "0"]));
    assert_eq!(code, 2, "{errors}");
}

#[test]
fn a_rule_that_names_an_unknown_unit_is_refused_with_the_nearest() {
    let place = Place::new();
    let rule = "[[record]]\nmeasure = \"cups\"\nof = [\"rice\"]\nunits = [\"cups\"]\n";
    place.file("mine.toml", rule);
    let args = ["lines", "rice", "--library", "mine.toml"];
    let (_, errors, code) = run(place.platespan().args(args));
    assert_eq!(code, 2, "{errors}");
    assert!(
        errors.contains("mine.toml") && errors.contains("`cup`"),
        "{errors}"
    );
}

#[test]
fn a_user_s_own_rule_comes_before_ours() {
    let place = Place::new();
    let rule = "[[record]]\nmeasure = \"scale\"\nof = [\"potato\"]\nunits = [\"oz\"]\n";
    place.file("mine.toml", rule);
    let args = [
        "lines",
        "boiled potatoes",
        "--library",
        "mine.toml",
        "--format",
        "csv",
    ];
    let out = stdout(place.platespan().args(args));
    assert!(out.lines().nth(1).unwrap().contains(" oz,"), "{out}");
}
