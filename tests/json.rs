//! The JSON of a meal against its schema, `tests/schema/meal.schema.json`: other programs read it, so it must not drift.

mod common;

use assert_cmd::Command;
use common::{estimate, library};
use jsonschema::Validator;
use platespan::report::{FORMAT, JsonMeal, json_meal};
use serde_json::{Value, json};

const MEALS: [&str; 14] = [
    "grilled salmon",
    "cheeseburger, no bun, extra cheese, fries",
    "2 tacos and a margarita",
    "lasagne; ate half",
    "steak with choice of mashed potatoes, rice or fries",
    "caesar salad with grilled shrimp, dressing on the side",
    "cod with zorbleworth and brocoli",
    "8 oz sirloin, baked potato, glass of red wine",
    "pad thai with tofu, shared with a friend",
    "lentil soup. cheese omelette. apple pie",
    "three-egg omelette with spinach, ate most of it",
    "black coffee",
    "crème brûlée 🍮",
    "quarter pound of cheddar",
];

fn schema() -> Validator {
    let schema: Value =
        serde_json::from_str(include_str!("schema/meal.schema.json")).expect("JSON");
    jsonschema::validator_for(&schema).expect("a schema")
}

#[track_caller]
fn faults(schema: &Validator, meal: &Value) -> Vec<String> {
    schema
        .iter_errors(meal)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect()
}

fn meal(text: &str) -> Value {
    serde_json::to_value(json_meal(library(), &estimate(text), None)).expect("JSON")
}

#[test]
fn every_meal_is_as_the_schema_says() {
    let schema = schema();
    for text in MEALS {
        let faults = faults(&schema, &meal(text));
        assert!(faults.is_empty(), "{text}:\n{}", faults.join("\n"));
    }
}

#[test]
fn a_field_that_the_schema_does_not_know_is_a_fault() {
    let schema = schema();
    for path in [
        "",
        "/total",
        "/total/kcal",
        "/components/0",
        "/components/0/grams",
    ] {
        let mut meal = meal("cod with zorbleworth");
        meal.pointer_mut(path).expect(path)["colour"] = json!("red");
        assert!(
            !faults(&schema, &meal).is_empty(),
            "`{path}` takes any field"
        );
    }
}

#[test]
fn a_field_that_is_missing_or_of_another_kind_is_a_fault() {
    let schema = schema();
    for name in [
        "format",
        "text",
        "total",
        "components",
        "not_understood",
        "cautions",
    ] {
        let mut meal = meal("cod");
        meal.as_object_mut().expect("an object").remove(name);
        assert!(
            !faults(&schema, &meal).is_empty(),
            "`{name}` may be missing"
        );
    }
    for (path, value) in [
        ("/format", json!(2)),
        ("/total/kcal/low", json!(null)),
        ("/total/kcal/low", json!(-1)),
        ("/components/0/role", json!("hero")),
        ("/components/0/chance", json!(1.5)),
        ("/components", json!([])),
    ] {
        let mut meal = meal("cod");
        *meal.pointer_mut(path).expect(path) = value.clone();
        assert!(
            !faults(&schema, &meal).is_empty(),
            "`{path}` may be {value}"
        );
    }
}

#[test]
fn the_object_reads_back_as_it_was_written() {
    assert_eq!(FORMAT, 1);
    for text in MEALS {
        let written = json_meal(library(), &estimate(text), Some("7".to_owned()));
        let read: JsonMeal =
            serde_json::from_str(&serde_json::to_string(&written).expect("JSON")).expect("a meal");
        assert_eq!(read, written);
    }
}

#[test]
fn components_add_up_to_the_total() {
    for text in MEALS {
        let meal = json_meal(library(), &estimate(text), None);
        let sum: f64 = meal
            .components
            .iter()
            .map(|part| part.nutrients.kcal.likely)
            .sum();
        // Each is rounded to a tenth.
        let slack = 0.051 * (meal.components.len() + 1) as f64;
        assert!(
            (sum - meal.total.kcal.likely).abs() <= slack,
            "{text}: {sum} against {:?}",
            meal.total.kcal
        );
    }
}

#[test]
fn the_command_prints_what_the_schema_says() {
    let schema = schema();
    let platespan = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_platespan"));
        command.env("XDG_CONFIG_HOME", "/nonexistent");
        command
    };
    let output = platespan()
        .args([
            "estimate",
            "trout, peas, boiled potatoes",
            "--format",
            "json",
        ])
        .output()
        .expect("to run");
    assert!(output.status.success());
    let meal: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    assert_eq!(faults(&schema, &meal), Vec::<String>::new());

    let folder = tempfile::tempdir().expect("a folder");
    let menu = folder.path().join("menu.txt");
    std::fs::write(&menu, "lentil soup\nmushroom risotto\n").expect("a file");
    let output = platespan()
        .args(["menu", "--format", "ndjson"])
        .arg(&menu)
        .output()
        .expect("to run");
    let lines: Vec<Value> = String::from_utf8(output.stdout)
        .expect("UTF-8")
        .lines()
        .map(|line| serde_json::from_str(line).expect("JSON"))
        .collect();
    assert_eq!(lines.len(), 2);
    for line in &lines {
        assert_eq!(faults(&schema, line), Vec::<String>::new());
        assert!(line["id"].is_string());
    }
}
