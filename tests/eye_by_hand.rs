//! A person's eye: guesses and weighings in a file, and what they make of an estimate.

mod fixed;

use fixed::{Place, run, stdout};
use serde_json::Value;

/// The rules at the time of writing, so that a change of judgement changes no test of the arithmetic.
const RULES: [(&str, f64); 3] = [
    ("published_cv", 0.50),
    ("scatter_strength", 4.0),
    ("bias_sigma", 0.3),
];

/// The program with fixed foods, fixed rules, and `eye.csv` of its folder.
fn platespan(place: &Place) -> assert_cmd::Command {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/component-library/rules/eye.toml"
    );
    let mut rules: toml::Table = std::fs::read_to_string(path).unwrap().parse().unwrap();
    let table = rules["eye"].as_table_mut().unwrap();
    for (name, value) in RULES {
        table.insert(name.to_owned(), value.into());
    }
    place.file("eye.toml", &rules.to_string());
    let mut command = place.with_fixed_foods();
    command.args(["--library", "eye.toml"]);
    command
}

fn eye(place: &Place, words: &[&str]) -> (String, String, i32) {
    let mut command = platespan(place);
    run(command.args(["eye", "--eye-file", "eye.csv"]).args(words))
}

#[track_caller]
fn add(place: &Place, food: &str, guess: &str, weighed: &str, date: &str) {
    let words = [
        "add",
        "--food",
        food,
        "--guess",
        guess,
        "--weighed",
        weighed,
        "--date",
        date,
    ];
    let (_, errors, code) = eye(place, &words);
    assert_eq!(code, 0, "{errors}");
}

/// Likely grams of the first component.
fn grams(place: &Place, words: &str, more: &[&str]) -> f64 {
    let mut command = platespan(place);
    let out = stdout(
        command
            .args(["estimate", words, "--format", "json"])
            .args(more),
    );
    let meal: Value = serde_json::from_str(&out).unwrap();
    meal["components"][0]["grams"]["likely"].as_f64().unwrap()
}

fn groups(place: &Place) -> Vec<Value> {
    let (out, errors, code) = eye(place, &["show", "--format", "json"]);
    assert_eq!(code, 0, "{errors}");
    let shown: Value = serde_json::from_str(&out).unwrap();
    shown["groups"].as_array().unwrap().clone()
}

#[track_caller]
fn near(value: &Value, wanted: f64) {
    let value = value.as_f64().unwrap();
    assert!((value - wanted).abs() < 5e-5, "{value} is not {wanted}");
}

const BY_EYE: [&str; 3] = ["--eye", "--eye-file", "eye.csv"];

/// s₀² = ln(1 + 0.5²) = 0.223144 (coefficient of variation 50 %: Bingham & Nelson 1991); τ² = 0.09.
/// y = ln(100 / 90) = 0.105361; σ̂² = 4 · 0.223144 / 4; β̂ = 0.105361 / (1 + 0.223144 / 0.09) = 0.030282, as a share
/// e^0.030282 - 1 = 0.030745; v = 1 / (1 / 0.223144 + 1 / 0.09) = 0.064133; √(0.223144 + 0.064133) = 0.535982.
#[test]
fn one_weighing_is_shrunk_to_a_third_of_itself() {
    let place = Place::new();
    add(&place, "loomfish", "100 g", "90 g", "2026-03-01");
    let groups = groups(&place);
    assert_eq!((groups.len(), &groups[0]["weighings"]), (1, &1.into()));
    near(&groups[0]["bias"], 0.030745);
    near(&groups[0]["scatter"], 0.472381);
    near(&groups[0]["sigma"], 0.535982);
    // 100 g / 1.030745 = 97.0 g.
    let guessed = grams(&place, "about 100 g loomfish", &BY_EYE);
    assert!((guessed - 97.0).abs() < 0.06, "{guessed}");
}

/// Four times ln(120 / 100) = 0.182322, none off their mean: σ̂² = 4 · 0.223144 / (4 + 3) = 0.127511;
/// β̂ = 0.182322 · 4 / (4 + 0.127511 / 0.09) = 0.134637, as a share 0.144121; 150 g / 1.144121 = 131.1 g.
#[test]
fn weighings_that_agree_move_the_estimate_further() {
    let place = Place::new();
    for day in 1..=4 {
        add(
            &place,
            "loomfish",
            "120 g",
            "100 g",
            &format!("2026-03-0{day}"),
        );
    }
    near(&groups(&place)[0]["bias"], 0.144121);
    let guessed = grams(&place, "about 150 g loomfish", &BY_EYE);
    assert!((guessed - 131.1).abs() < 0.06, "{guessed}");
    // Another group's guesses, a weight that is certain, and an estimate without `--eye` stay as they are.
    let mash = "about 150 g vellroot mash";
    assert_eq!(grams(&place, mash, &BY_EYE), 150.0);
    for words in ["150 g loomfish", "loomfish"] {
        assert_eq!(
            grams(&place, words, &BY_EYE),
            grams(&place, words, &[]),
            "{words}"
        );
    }
}

#[test]
fn lines_that_cannot_be_read_are_told_and_kept_byte_for_byte() {
    let place = Place::new();
    let before = "date,food,group,guess_g,weighed_g,note\nsoon,loomfish,protein,100,90,a \"\"\n2026-03-01,loomfish,protein,100,0,\n# mine";
    place.file("eye.csv", before);
    let (_, errors, code) = eye(
        &place,
        &[
            "add",
            "--food",
            "loomfish",
            "--guess",
            "100 g",
            "--weighed",
            "90 g",
            "--date",
            "2026-03-02",
        ],
    );
    assert_eq!(code, 0, "{errors}");
    for line in ["line 2", "line 3", "line 4"] {
        assert!(errors.contains(line), "{errors}");
    }
    let read = || std::fs::read_to_string(place.path().join("eye.csv")).unwrap();
    assert_eq!(
        read(),
        format!("{before}\n2026-03-02,loomfish,protein,100,90,\n")
    );
    let (_, errors, code) = eye(&place, &["forget", "--food", "loomfish", "--yes"]);
    assert_eq!(code, 0, "{errors}");
    assert_eq!(read().trim_end(), before);
}

#[test]
fn a_file_of_another_kind_is_left_alone() {
    let place = Place::new();
    let diary = "date,text\n2026-03-01,soup\n";
    let path = place.file("eye.csv", diary);
    let (_, errors, code) = eye(
        &place,
        &[
            "add",
            "--food",
            "loomfish",
            "--guess",
            "100 g",
            "--weighed",
            "90 g",
        ],
    );
    assert_eq!(code, 2);
    assert!(
        errors.contains("eye.csv") && errors.contains("lacks"),
        "{errors}"
    );
    assert_eq!(std::fs::read_to_string(path).unwrap(), diary);
}

#[test]
fn what_is_exported_comes_back_and_is_not_taken_in_twice() {
    let place = Place::new();
    add(&place, "loomfish", "100 g", "90 g", "2026-03-01");
    add(&place, "vellroot mash", "150 g", "180 g", "2026-03-02");
    let kept = groups(&place);
    assert_eq!(eye(&place, &["export", "copy.csv"]).2, 0);
    assert_eq!(
        eye(&place, &["export", "copy.csv"]).2,
        2,
        "nothing is overwritten"
    );
    // Without a terminal to ask on, nothing is forgotten unless `--yes` says so.
    assert_eq!(eye(&place, &["forget"]).2, 2);
    assert_eq!(groups(&place), kept);
    assert_eq!(eye(&place, &["forget", "--yes"]).2, 0);
    assert!(groups(&place).is_empty());
    for _ in 0..2 {
        assert_eq!(eye(&place, &["import", "copy.csv"]).2, 0);
        assert_eq!(groups(&place), kept);
    }
}

#[test]
fn what_is_no_weight_is_told_with_an_example() {
    let place = Place::new();
    let wrong = |guess: &str, weighed: &str| {
        let words = [
            "add",
            "--food",
            "loomfish",
            "--guess",
            guess,
            "--weighed",
            weighed,
        ];
        let (_, errors, code) = eye(&place, &words);
        assert_eq!(code, 2, "{guess}, {weighed}");
        assert!(errors.contains("such as"), "{errors}");
    };
    wrong("100 g", "1 fist");
    wrong("100 g", "a little");
    wrong("100 g", "0 g");
    assert!(!place.path().join("eye.csv").exists());
}
