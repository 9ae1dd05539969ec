//! Records held against their words. Foods that never change; kinds and signs are asserted, not the wording, which is data.

mod fixed;

use fixed::{Place, run, stdout};
use serde_json::Value;

/// About 440 kcal: 160 g of loomfish at 152 kcal and 180 g of mash at 104 kcal per 100 g.
const PLATE: &str = "loomfish, vellroot mash";

fn review(words: &str, recorded: &str) -> Value {
    let place = Place::new();
    let mut command = place.with_fixed_foods();
    let args = ["review", words, "--recorded", recorded, "--format", "json"];
    serde_json::from_str(&stdout(command.args(args))).unwrap()
}

fn kinds(words: &str, recorded: &str) -> Vec<String> {
    let review = review(words, recorded);
    let findings = review["findings"].as_array().unwrap();
    for finding in findings {
        let question = finding["question"].as_str().unwrap();
        assert!(question.contains('?'), "{question}");
        assert!(!finding["seen"].as_str().unwrap().contains(['{', '}']));
        assert!(finding["sure"].is_string());
    }
    findings
        .iter()
        .map(|finding| finding["kind"].as_str().unwrap().to_owned())
        .collect()
}

#[track_caller]
fn finds(words: &str, recorded: &str, kind: &str) {
    let kinds = kinds(words, recorded);
    assert!(
        kinds.iter().any(|found| found == kind),
        "{recorded}: no {kind} among {kinds:?}"
    );
}

#[track_caller]
fn finds_not(words: &str, recorded: &str, kind: &str) {
    let kinds = kinds(words, recorded);
    assert!(
        !kinds.iter().any(|found| found == kind),
        "{recorded}: {kinds:?}"
    );
}

#[test]
fn a_record_that_agrees_with_its_words_leaves_nothing_to_ask() {
    // 42·4 + 17·9 + 29·4 = 437 (21 CFR 101.9(c)(1)(i)(B)).
    let none: Vec<String> = Vec::new();
    let recorded = "437 kcal, 42 g protein, 17 g fat, 29 g carb";
    assert_eq!(kinds(PLATE, recorded), none);
}

/// General factors give 40·4 + 12·9 + 50·4 = 468. The highest specific ones of USDA Agriculture Handbook 74 (4.36, 9.02,
/// 4.16), each macro half a gram higher: 40.5·4.36 + 12.5·9.02 + 50.5·4.16 = 499; the lowest (3.41, 8.37, 3.57), each half
/// a gram lower: 39.5·3.41 + 11.5·8.37 + 49.5·3.57 = 408.
#[test]
fn energy_is_held_against_what_its_macros_can_give() {
    let macros = "40 g protein, 12 g fat, 50 g carb";
    let with = |kcal: u32| format!("{kcal} kcal, {macros}");
    finds(PLATE, &with(620), "energy-above-macros");
    finds(PLATE, &with(330), "energy-below-macros");
    for kcal in [420, 468, 495] {
        finds_not(PLATE, &with(kcal), "energy-above-macros");
        finds_not(PLATE, &with(kcal), "energy-below-macros");
    }
    // 20 g of alcohol at 7 kcal/g gives the 140 that are missing: 468 + 140 = 608.
    let wine = format!("{}, 20 g alcohol", with(610));
    finds_not(PLATE, &wine, "energy-above-macros");
}

#[test]
fn energy_without_macros_is_asked_about() {
    finds(PLATE, "440 kcal", "macros-missing");
    let zeros = "440 kcal, 0 g protein, 0 g fat, 0 g carb";
    finds(PLATE, zeros, "macros-zero");
    finds_not(PLATE, zeros, "macros-missing");
}

#[test]
fn energy_outside_of_the_range_says_how_far() {
    for (recorded, kind, standing) in [
        ("250 kcal", "energy-low", "lower than "),
        ("700 kcal", "energy-high", "higher than "),
    ] {
        let review = review(PLATE, recorded);
        let findings = review["findings"].as_array().unwrap();
        let found = findings.iter().find(|finding| finding["kind"] == kind);
        let seen = found.unwrap_or_else(|| panic!("{review}"))["seen"]
            .as_str()
            .unwrap();
        let of_100 = seen.split_once(standing).unwrap().1;
        let (number, rest) = of_100.split_once(' ').unwrap();
        assert!(
            (90..=99).contains(&number.parse::<u32>().unwrap()),
            "{seen}"
        );
        assert!(rest.starts_with("in 100"), "{seen}");
    }
    finds_not(PLATE, "440 kcal", "energy-low");
    finds_not(PLATE, "440 kcal", "energy-high");
}

#[test]
fn a_slip_of_units_is_seen_where_undoing_it_brings_the_record_home() {
    let macros = "42 g protein, 17 g fat, 29 g carb";
    // 437 kcal · 4.184 = 1,828 kJ.
    let kilojoules = format!("1828 kcal, {macros}");
    finds(PLATE, &kilojoules, "kilojoules-for-kcal");
    // Energy that is said to be kJ is read as kJ.
    finds_not(PLATE, &format!("1828 kJ, {macros}"), "kilojoules-for-kcal");
    // Everything divided by 28.35 g to the ounce: 437 / 28.35 = 15.4.
    let ounces = "15 kcal, 1.5 g protein, 0.6 g fat, 1 g carb";
    finds(PLATE, ounces, "ounces-for-grams");
    finds_not(PLATE, ounces, "kilojoules-for-kcal");
    // 100 g of some 340 g: 437 · 100 / 340 = 129.
    let per_100g = "129 kcal, 12.4 g protein, 5 g fat, 8.5 g carb";
    finds(PLATE, per_100g, "per-100g");
}

#[test]
fn what_the_record_does_not_name_is_asked_for() {
    finds(PLATE, "250 kcal, loomfish", "parts-named");
    finds_not(PLATE, "440 kcal, loomfish and vellroot mash", "parts-named");
    // Figures alone name nothing: there is no telling what they leave out.
    finds_not(PLATE, "440 kcal", "parts-named");
    finds("loomfish", "245 kcal", "only-meat");
    finds_not(PLATE, "440 kcal", "only-meat");
}

#[test]
fn rows_that_cannot_be_used_are_told_and_the_rest_goes_on() {
    let place = Place::new();
    place.file(
        "records.csv",
        "text,kcal,protein,fat,carb,id,date\n\
         \"loomfish, vellroot mash\",much,,,,a,2026-03-02\n\
         ,300,,,,b,2026-03-02\n\
         \"loomfish, vellroot mash\",250,,,,c,2026-03-03\n\
         loomfish,-5,,,,d,2026-03-03\n",
    );
    let mut command = place.with_fixed_foods();
    let (out, errors, code) = run(command.args(["review", "records.csv"]));
    assert_eq!(code, 2);
    for line in ["line 2", "line 3", "line 5"] {
        assert!(errors.contains(line), "{errors}");
    }
    assert!(!errors.contains("line 4"), "{errors}");
    assert!(
        out.contains("loomfish, vellroot mash") && out.contains("2026-03-03"),
        "{out}"
    );
    // Findings alone are no failure.
    place.file(
        "records.csv",
        "text,kcal\n\"loomfish, vellroot mash\",250\n",
    );
    let found = stdout(place.with_fixed_foods().args(["review", "records.csv"]));
    assert!(found.contains('?'), "{found}");
}

#[test]
fn nothing_to_review_is_misuse_and_no_panic() {
    let place = Place::new();
    place.file("empty.csv", "");
    place.file("other.csv", "day,weather\n2026-03-02,rain\n");
    for args in [
        &["review"][..],
        &["review", "loomfish"],
        &["review", "loomfish", "--recorded", ""],
        &["review", "empty.csv"],
        &["review", "other.csv"],
        &["review", "absent.csv"],
    ] {
        let (_, errors, code) = run(place.with_fixed_foods().args(args));
        assert_eq!(code, 2, "{args:?}: {errors}");
        assert!(!errors.contains("panicked"), "{errors}");
    }
}
