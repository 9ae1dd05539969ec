//! Guesses and weighings, through the public API and the command.

mod common;
#[path = "fixed/mod.rs"]
mod fixed;

use common::library;
use fixed::{Place, run, stdout};
use platespan::eye::EyeModel;
use platespan::{Estimate, Nutrient, PlateOptions, estimate_text};

/// An estimate with the eye of someone who guesses these groups so far off, many times weighed.
#[track_caller]
fn by_eye(text: &str, biases: &[(&str, f64)]) -> Estimate {
    let logs: Vec<(&str, f64)> = biases
        .iter()
        .flat_map(|(group, factor)| std::iter::repeat_n((*group, factor.ln()), 400))
        .collect();
    let options = PlateOptions {
        eye: Some(EyeModel::new(&library().rules.eye, logs)),
        ..PlateOptions::default()
    };
    estimate_text(library(), text, &options).unwrap()
}

fn grams(estimate: &Estimate) -> f64 {
    estimate.rows[0].grams.likely
}

#[test]
fn a_vague_weight_is_corrected_by_the_bias_and_stays_as_it_lies_on_the_plate() {
    // Guesses a quarter over: 150 g of guess are 120 g; nothing is taken off for cooking.
    let estimate = by_eye("about 150 g roast chicken breast", &[("protein", 1.25)]);
    assert!(
        (grams(&estimate) - 120.0).abs() < 1.0,
        "{}",
        grams(&estimate)
    );
    let said = estimate.plate.assumptions.join("\n");
    assert!(
        said.contains("meat, fish, eggs and tofu 25 % high"),
        "{said}"
    );
}

#[test]
fn a_weight_that_the_menu_states_is_not_corrected() {
    for text in [
        "8 oz ribeye",
        "glass of red wine",
        "two boiled eggs",
        "cup of lentil soup",
    ] {
        let plain = common::estimate(text);
        let biases = [("protein", 1.5), ("drink", 1.5), ("whole", 1.5)];
        assert_eq!(by_eye(text, &biases).total, plain.total, "{text}");
    }
}

#[test]
fn a_hand_measure_is_a_guess_whatever_the_words() {
    let plain = grams(&common::estimate("a fist of cooked rice"));
    let low = grams(&by_eye("a fist of cooked rice", &[("starch", 0.8)]));
    assert!((low / plain - 1.25).abs() < 0.01, "{plain} {low}");
    // The bias of another group is none of its business.
    let other = grams(&by_eye("a fist of cooked rice", &[("protein", 0.8)]));
    assert!((other / plain - 1.0).abs() < 0.01, "{plain} {other}");
}

#[test]
fn the_range_is_what_the_scatter_earns() {
    let width = |estimate: &Estimate| {
        let range = estimate.total(Nutrient::Energy);
        range.high / range.low
    };
    let text = "about 6 oz salmon";
    let steady = width(&by_eye(text, &[("protein", 1.1)]));
    let stranger = width(&by_eye(text, &[]));
    assert!(steady < 0.75 * stranger, "{steady} {stranger}");
}

fn add(place: &Place, food: &str, guess: &str, weighed: &str, day: &str) {
    stdout(place.with_fixed_foods().args([
        "eye",
        "add",
        "--food",
        food,
        "--guess",
        guess,
        "--weighed",
        weighed,
        "--date",
        day,
        "--eye-file",
        "eye.csv",
    ]));
}

fn twelve_weighings(place: &Place) {
    for (at, (guess, weighed)) in [
        ("5 oz", "3.6 oz"),
        ("6 oz", "4.4 oz"),
        ("4 oz", "4.6 oz"),
        ("8 oz", "6.1 oz"),
        ("5 oz", "4.5 oz"),
        ("6 oz", "5.2 oz"),
        ("150 g", "141 g"),
        ("1 palm", "104 g"),
        ("6 oz", "5.9 oz"),
        ("200 g", "186 g"),
    ]
    .into_iter()
    .enumerate()
    {
        add(
            place,
            "loomfish",
            guess,
            weighed,
            &format!("2026-03-{:02}", at + 1),
        );
    }
    add(place, "vellroot mash", "1 fist", "195 g", "2026-03-11");
    add(place, "vellroot mash", "150 g", "150 g", "2026-03-12");
}

#[test]
fn the_guesses_are_shown_over_time_and_by_group() {
    let place = Place::new();
    twelve_weighings(&place);
    for (name, width) in [("eye_show_80", "80"), ("eye_show_40", "40")] {
        let mut command = place.with_fixed_foods();
        command.args(["eye", "show", "--eye-file", "eye.csv", "--width", width]);
        let shown = stdout(&mut command);
        let columns: usize = width.parse().unwrap();
        assert!(
            shown.lines().all(|line| line.chars().count() <= columns),
            "{shown}"
        );
        insta::assert_snapshot!(name, shown);
    }
    let json = stdout(place.with_fixed_foods().args([
        "eye",
        "show",
        "--eye-file",
        "eye.csv",
        "--format",
        "json",
    ]));
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!(json["groups"][0]["weighings"], 10);
}

#[test]
fn adding_answers_kindly_and_lives_in_the_data_folder() {
    let place = Place::new();
    let mut command = place.with_fixed_foods();
    command.env("XDG_DATA_HOME", place.path().join("data"));
    command.args([
        "eye",
        "add",
        "--food",
        "loomfish",
        "--guess",
        "5 oz",
        "--weighed",
        "4.5 oz",
    ]);
    // A guess of 5 oz that weighs 4.5 is a good eye (common practice, no source).
    insta::assert_snapshot!(stdout(&mut command), @"Written down: 11 % above the scales: a good eye (1 weighing of meat, fish, eggs and tofu now)");
    let file = std::fs::read_to_string(place.path().join("data/platespan/eye.csv")).unwrap();
    assert!(
        file.ends_with(",loomfish,protein,141.7,127.6,5 oz,4.5 oz\n"),
        "{file}"
    );
}

#[test]
fn the_settings_file_may_name_the_weighings() {
    let place = Place::new();
    place.file("config/platespan/settings.toml", "eye = \"mine.csv\"\n");
    stdout(place.platespan().args([
        "eye",
        "add",
        "--food",
        "salmon",
        "--guess",
        "5oz",
        "--weighed",
        "140g",
    ]));
    assert!(place.path().join("config/platespan/mine.csv").is_file());
}

#[test]
fn estimates_use_the_eye_only_when_asked() {
    let place = Place::new();
    twelve_weighings(&place);
    let estimate = |args: &[&str]| {
        let mut command = place.with_fixed_foods();
        command.args(["estimate", "about 6 oz loomfish", "--eye-file", "eye.csv"]);
        stdout(command.args(args))
    };
    assert!(estimate(&["--eye"]).contains("guess by eye"));
    assert!(!estimate(&[]).contains("guess by eye"));
}

#[test]
fn what_cannot_be_read_is_reported_and_kept() {
    let place = Place::new();
    let before = "date,food,group,guess_g,weighed_g,guess,weighed,note\n2026-03-01,loomfish,protein,150,140,,,\nyesterday,loomfish,protein,1,2,,,\nscribble\n";
    let path = place.file("eye.csv", before);
    let mut command = place.with_fixed_foods();
    command.args([
        "eye",
        "add",
        "--food",
        "loomfish",
        "--guess",
        "5 oz",
        "--weighed",
        "5 oz",
    ]);
    command.args(["--date", "2026-03-02", "--eye-file", "eye.csv"]);
    let (_, errors, code) = run(&mut command);
    assert_eq!(code, 0);
    insta::assert_snapshot!(errors, @r#"
    platespan: eye.csv: line 3 was left as it is and not used: `date` is "yesterday"; write it as 2026-03-31
    platespan: eye.csv: line 4 was left as it is and not used: `date` is "scribble"; write it as 2026-03-31
    "#);
    let after = std::fs::read_to_string(&path).unwrap();
    assert_eq!(
        after,
        format!("{before}2026-03-02,loomfish,protein,141.7,141.7,5 oz,5 oz,\n")
    );
}

#[test]
fn a_file_of_another_kind_is_left_alone() {
    let place = Place::new();
    let path = place.file("eye.csv", "text,kcal\nsoup,200\n");
    let mut command = place.with_fixed_foods();
    command.args([
        "eye",
        "add",
        "--food",
        "loomfish",
        "--guess",
        "5 oz",
        "--weighed",
        "5 oz",
    ]);
    let (_, errors, code) = run(command.args(["--eye-file", "eye.csv"]));
    assert_eq!(code, 2);
    assert!(
        errors.contains("line 1") && errors.contains("`weighed_g`"),
        "{errors}"
    );
    assert_eq!(
        std::fs::read_to_string(&path).unwrap(),
        "text,kcal\nsoup,200\n"
    );
}

#[test]
fn export_and_import_move_weighings_without_doubling_them() {
    let place = Place::new();
    twelve_weighings(&place);
    let eye = |file: &str, args: &[&str]| {
        let mut command = place.with_fixed_foods();
        run(command.args(["eye", "--eye-file", file]).args(args))
    };
    assert_eq!(
        eye("eye.csv", &["export", "copy.csv"]).0,
        "12 weighings copied to copy.csv\n"
    );
    let (_, errors, code) = eye("eye.csv", &["export", "copy.csv"]);
    assert_eq!(code, 2);
    assert!(errors.contains("is there already"), "{errors}");
    assert_eq!(
        eye("other.csv", &["import", "copy.csv"]).0,
        "12 weighings taken in, 0 here already\n"
    );
    assert_eq!(
        eye("other.csv", &["import", "copy.csv"]).0,
        "no weighings taken in, 12 here already\n"
    );
    place.file(
        "odd.csv",
        "date,food,group,guess_g,weighed_g\n2026-04-01,loomfish,protein,100,90\nsoon,x,y,1,1\n",
    );
    let (out, errors, code) = eye("other.csv", &["import", "odd.csv"]);
    assert_eq!(
        (out.as_str(), code),
        ("1 weighing taken in, 0 here already\n", 2)
    );
    assert!(errors.contains("odd.csv: line 3"), "{errors}");
}

#[test]
fn forgetting_asks_first_and_can_be_partial() {
    let place = Place::new();
    twelve_weighings(&place);
    let forget = |args: &[&str]| {
        let mut command = place.with_fixed_foods();
        run(command
            .args(["eye", "forget", "--eye-file", "eye.csv"])
            .args(args))
    };
    let (_, errors, code) = forget(&[]);
    assert_eq!(code, 2);
    assert!(
        errors.contains("--yes") && errors.contains("eye export"),
        "{errors}"
    );
    assert_eq!(forget(&["--last", "--yes"]).0, "1 weighing forgotten\n");
    assert_eq!(
        forget(&["--food", "vellroot mash", "--yes"]).0,
        "1 weighing forgotten\n"
    );
    assert_eq!(forget(&["--yes"]).0, "10 weighings forgotten\n");
    assert!(!place.path().join("eye.csv").exists());
    assert_eq!(forget(&["--yes"]).0, "There is nothing to forget\n");
}

#[test]
fn what_is_no_amount_or_no_food_is_refused() {
    let place = Place::new();
    let said = |food: &str, guess: &str, weighed: &str, day: &str| {
        let mut command = place.with_fixed_foods();
        command.args([
            "eye",
            "add",
            "--food",
            food,
            "--guess",
            guess,
            "--weighed",
            weighed,
        ]);
        let (_, errors, code) = run(command.args(["--date", day, "--eye-file", "eye.csv"]));
        assert_eq!(code, 2, "{food} {guess} {weighed}");
        assert!(!place.path().join("eye.csv").exists());
        errors
    };
    let day = "2026-03-01";
    insta::assert_snapshot!(said("loomfish", "5", "5 oz", day), @r#"platespan: "5" is no amount of it, such as "5 oz", "150 g" or "1 palm""#);
    insta::assert_snapshot!(said("loomfish", "5 oz", "1 cup", day), @r#"platespan: "1 cup" is no weight, such as "4.5 oz" or "128 g""#);
    insta::assert_snapshot!(said("loomfish", "5 oz", "0 g", day), @r#"platespan: "0 g" is no weight, such as "4.5 oz" or "128 g""#);
    insta::assert_snapshot!(said("loomfish", "5 oz", "5 oz", "Monday"), @"platespan: `Monday` is no day; write it as 2026-03-31");
    assert!(said("zzqx", "5 oz", "5 oz", day).contains("no food was found"));
}

#[test]
fn with_no_weighings_the_way_to_begin_is_shown() {
    let place = Place::new();
    let shown = stdout(
        place
            .platespan()
            .args(["eye", "show", "--eye-file", "none.csv"]),
    );
    assert!(
        shown.contains("platespan eye add --food chicken"),
        "{shown}"
    );
}

#[test]
fn weighings_that_are_written_at_the_same_time_are_all_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("eye.csv");
    let add = |number: usize| {
        std::process::Command::new(env!("CARGO_BIN_EXE_platespan"))
            .env("XDG_CONFIG_HOME", folder.path())
            .args([
                "eye",
                "add",
                "--food",
                "rice",
                "--guess",
                "150 g",
                "--weighed",
            ])
            .arg(format!("{} g", 100 + number))
            .arg("--eye-file")
            .arg(&file)
            .stdout(std::process::Stdio::null())
            .spawn()
            .expect("to start")
    };
    let all: Vec<_> = (0..16).map(add).collect();
    for mut one in all {
        assert!(one.wait().expect("to end").success());
    }
    let text = std::fs::read_to_string(&file).expect("the file");
    assert_eq!(text.lines().count(), 17, "{text}");
    for number in 0..16 {
        assert!(
            text.contains(&format!(",{},", 100 + number)),
            "{number}:\n{text}"
        );
    }
}

#[test]
fn who_writes_weighings_waits_for_who_does_so_already() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("eye.csv");
    let beside = std::fs::File::create(folder.path().join("eye.csv.lock")).expect("a file");
    beside.lock().expect("a lock");
    let mut waiting = std::process::Command::new(env!("CARGO_BIN_EXE_platespan"))
        .env("XDG_CONFIG_HOME", folder.path())
        .args([
            "eye",
            "add",
            "--food",
            "rice",
            "--guess",
            "150 g",
            "--weighed",
            "140 g",
        ])
        .arg("--eye-file")
        .arg(&file)
        .stdout(std::process::Stdio::null())
        .spawn()
        .expect("to start");
    std::thread::sleep(std::time::Duration::from_millis(700));
    assert!(
        waiting.try_wait().expect("to be asked").is_none(),
        "it did not wait"
    );
    assert!(!file.exists());
    beside.unlock().expect("to let go");
    assert!(waiting.wait().expect("to end").success());
    assert!(file.exists());
}
