//! The JSON of `ask`, `compare`, `tally` and `review` against the schemas beside the meal's, `tests/schema/`.

#[path = "fixed/mod.rs"]
mod fixed;

use fixed::{Place, run};
use jsonschema::Registry;
use serde_json::{Value, json};

/// Where the meal's schema lies for a schema beside it that names it.
const MEAL: &str = "json-schema:///meal.schema.json";

fn schema(name: &str) -> Value {
    let path = format!(
        "{}/tests/schema/{name}.schema.json",
        env!("CARGO_MANIFEST_DIR")
    );
    serde_json::from_str(&std::fs::read_to_string(path).expect("a schema")).expect("JSON")
}

/// Checks values against a schema, and the schema against the values: every field of an object must be known to it, and
/// none but the `optional` ones may be missing.
#[track_caller]
fn check(name: &str, values: &[Value], optional: &[&str]) {
    let meal = schema("meal");
    let registry = Registry::new()
        .add(MEAL, &meal)
        .and_then(|registry| registry.prepare())
        .expect("a registry");
    let validator = jsonschema::options()
        .with_registry(&registry)
        .build(&schema(name))
        .expect("a schema");
    for value in values {
        let faults: Vec<String> = validator
            .iter_errors(value)
            .map(|error| format!("{}: {error}", error.instance_path()))
            .collect();
        assert!(
            faults.is_empty(),
            "{name}:\n{}\n{value:#}",
            faults.join("\n")
        );
    }
    for value in values {
        let mut paths = Vec::new();
        objects(value, String::new(), &mut paths);
        for path in paths {
            let mut more = value.clone();
            more.pointer_mut(&path).expect("an object")["colour"] = json!("red");
            assert!(
                !validator.is_valid(&more),
                "{name}: `{path}` takes any field"
            );
            let fields = value
                .pointer(&path)
                .and_then(Value::as_object)
                .expect("an object");
            for field in fields
                .keys()
                .filter(|field| !optional.contains(&field.as_str()))
            {
                let mut less = value.clone();
                let object = less.pointer_mut(&path).and_then(Value::as_object_mut);
                object.expect("an object").remove(field);
                assert!(
                    !validator.is_valid(&less),
                    "{name}: `{path}/{field}` may be missing"
                );
            }
        }
    }
}

/// The JSON pointers of all objects in a value; of a list, those of its first.
fn objects(value: &Value, path: String, found: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            for (name, inner) in fields {
                objects(inner, format!("{path}/{name}"), found);
            }
            found.push(path);
        }
        Value::Array(items) => {
            if let Some(first) = items.first() {
                objects(first, format!("{path}/0"), found);
            }
        }
        _ => {}
    }
}

/// What a command prints, each line a value.
#[track_caller]
fn printed(place: &Place, words: &[&str]) -> Vec<Value> {
    let (out, errors, _) = run(place.platespan().args(words).args(["--format", "json"]));
    let values: Vec<Value> = out
        .lines()
        .map(|line| serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}")))
        .collect();
    assert!(!values.is_empty(), "{words:?}: {errors}");
    values
}

#[test]
fn questions_are_as_their_schema_says() {
    let place = Place::new();
    for words in [
        &["ask", "burger"][..],
        &["ask", "cod with fries or coleslaw", "--most", "5"],
        &["ask", "black coffee"],
        &["ask", "shared the nachos"],
    ] {
        check("ask", &printed(&place, words), &[]);
    }
}

#[test]
fn a_comparison_is_as_its_schema_says() {
    let place = Place::new();
    let values = printed(
        &place,
        &[
            "compare",
            "mushroom risotto",
            "side salad",
            "cod with zorbleworth",
        ],
    );
    check("compare", &values, &["id"]);
}

#[test]
fn a_tally_is_as_its_schema_says() {
    let place = Place::new();
    place.file(
        "diary.csv",
        "date,text,kcal,protein\n2026-03-02,lasagne,,\n2026-03-05,,640,\n2026-03-06,\"cod, rice\",,\n02/03/2026,lasagne,,\n2026-12-31,leek soup,,\n",
    );
    check("tally", &printed(&place, &["tally", "diary.csv"]), &[]);
    place.file("empty.csv", "date,text\n");
    check("tally", &printed(&place, &["tally", "empty.csv"]), &[]);
}

#[test]
fn a_review_is_as_its_schema_says() {
    let place = Place::new();
    let optional = ["id", "date"];
    for recorded in [
        "ribeye 8 oz, 540 kcal",
        "900 kcal, 50 g protein, 60 g fat, 40 g carb",
        "ribeye",
    ] {
        let words = [
            "review",
            "8 oz ribeye, chips, side salad",
            "--recorded",
            recorded,
        ];
        check("review", &printed(&place, &words), &optional);
    }
    place.file(
        "week.csv",
        "id,date,text,kcal,protein,fat,carb,alcohol,recorded\nmon,2026-03-02,\"leek soup, rye bread\",300,12,8,40,0,\n,,\"roast cod, peas\",,,,,,cod\n",
    );
    check(
        "review",
        &printed(&place, &["review", "week.csv"]),
        &optional,
    );
}

#[test]
fn a_meal_with_questions_and_a_limit_is_as_the_meals_schema_says() {
    let place = Place::new();
    let values = printed(&place, &["estimate", "burger", "--within", "700"]);
    assert!(values[0]["within"]["chance"].is_number());
    assert!(
        !values[0]["questions"]
            .as_array()
            .expect("a list")
            .is_empty()
    );
    check("meal", &values, &["within"]);
}
