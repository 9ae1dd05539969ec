//! Diaries: days and weeks.

use assert_cmd::Command;
use std::io::Write;

fn tally(diary: &str, words: &[&str]) -> (String, String, Option<i32>) {
    let mut file = tempfile::Builder::new()
        .prefix("diary")
        .suffix(".csv")
        .tempfile()
        .expect("can be made");
    file.write_all(diary.as_bytes()).expect("can be written");
    let mut command = Command::cargo_bin("platespan").expect("is built");
    let out = command
        .env("XDG_CONFIG_HOME", "/nonexistent")
        .arg("tally")
        .arg(file.path())
        .args(words)
        .output()
        .expect("runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("is UTF-8");
    let name = file.path().display().to_string();
    (
        text(out.stdout),
        text(out.stderr).replace(&name, "diary.csv"),
        out.status.code(),
    )
}

/// Recorded figures only, so that the library's growth changes nothing.
const RECORDED: &str = "\
date,kcal,protein,fat,carbohydrate
2026-03-02,640,32,21,70
2026-03-02,480,20,,55
2026-03-04,700,40,25,75
2026-03-09,655,30,20,80
";

#[test]
fn recorded_days_add_up_and_others_are_not_recorded() {
    let (out, err, code) = tally(RECORDED, &["--width", "80"]);
    assert_eq!((err.as_str(), code), ("", Some(0)));
    insta::assert_snapshot!(out);
}

#[test]
fn a_day_without_a_record_has_no_figure_in_csv_and_json() {
    let (out, _, _) = tally(RECORDED, &["--format", "csv"]);
    insta::assert_snapshot!(out, @r"
    period,name,start,end,recorded_days,meals,kcal_low,kcal,kcal_high,protein_g,fat_g,carbohydrate_g,fibre_g,alcohol_g
    day,2026-03-02,2026-03-02,2026-03-02,1,2,1120.0,1120.0,1120.0,52.0,,125.0,,
    not recorded,2026-03-03,2026-03-03,2026-03-03,0,0,,,,,,,,
    day,2026-03-04,2026-03-04,2026-03-04,1,1,700.0,700.0,700.0,40.0,25.0,75.0,,
    not recorded,2026-03-05 to 2026-03-08,2026-03-05,2026-03-08,0,0,,,,,,,,
    day,2026-03-09,2026-03-09,2026-03-09,1,1,655.0,655.0,655.0,30.0,20.0,80.0,,
    week,2026-W10,2026-03-02,2026-03-08,2,3,1820.0,1820.0,1820.0,92.0,,200.0,,
    week,2026-W11,2026-03-09,2026-03-15,1,1,655.0,655.0,655.0,30.0,20.0,80.0,,
    ");
    let (out, _, _) = tally(RECORDED, &["--format", "json"]);
    let value: serde_json::Value = serde_json::from_str(&out).expect("is JSON");
    let days = value["days"].as_array().expect("a list");
    assert_eq!(days.len(), 3);
    assert_eq!(value["not_recorded"].as_array().map(Vec::len), Some(2));
    // One meal of the first day does not state its fat.
    assert!(days[0]["total"]["fat_g"].is_null());
    assert_eq!(days[0]["total"]["kcal"]["likely"], 1120.0);
    assert_eq!(value["weeks"][0]["recorded_days"], 2);
    assert_eq!(
        value["weeks"][0]["per_recorded_day"]["kcal"]["likely"],
        910.0
    );
}

#[test]
fn bad_rows_are_reported_with_their_line_and_the_rest_goes_on() {
    let diary = "\
date,text,kcal,protein
2026-03-02,lasagne,,
02/03/2026,lasagne,,
2026-02-30,lasagne,,
,lasagne,,
2026-03-03,,,
2026-03-03,zorbleflop,,
2026-03-03,,many,
2026-03-03,,-5,
2026-03-03,soup,,12
2026-03-04,,500,
";
    let (out, err, code) = tally(diary, &["--format", "json"]);
    assert_eq!(code, Some(2));
    insta::assert_snapshot!(err, @r#"
    platespan: diary.csv: line 3: `02/03/2026` is no date; write it as 2026-03-02
    platespan: diary.csv: line 4: `2026-02-30` is no date; write it as 2026-03-02
    platespan: diary.csv: line 5: there is no date; write it as 2026-03-02
    platespan: diary.csv: line 6: there is neither a text nor kcal; fill in one of them, or remove the row
    platespan: diary.csv: line 7: no food was found in "zorbleflop"; name the dish or its parts, such as "cod, mashed potatoes, peas"
    platespan: diary.csv: line 8: energy `many` is no amount from 0 to 20000; write a plain number such as 640
    platespan: diary.csv: line 9: energy `-5` is no amount from 0 to 20000; write a plain number such as 640
    platespan: diary.csv: line 10: there are recorded figures but no kcal; fill in kcal, or empty them to have the text estimated
    "#);
    let value: serde_json::Value = serde_json::from_str(&out).expect("is JSON");
    assert_eq!(value["days"].as_array().map(Vec::len), Some(2));
    assert_eq!(value["faults"].as_array().map(Vec::len), Some(8));
    assert_eq!(value["faults"][0]["line"], 3);
}

#[test]
fn a_file_that_is_no_diary_is_refused() {
    for (diary, said) in [
        ("day of week,text\n", "there is no `date` column"),
        (
            "date,notes\n",
            "neither a `text` column nor a `kcal` column",
        ),
        ("", "there is no `date` column"),
    ] {
        let (out, err, code) = tally(diary, &[]);
        assert_eq!((out.as_str(), code), ("", Some(2)));
        assert!(err.contains(said), "{err}");
    }
}

#[test]
fn an_empty_diary_says_so() {
    let (out, _, code) = tally("date,text\n", &[]);
    assert_eq!((out.as_str(), code), ("No day is recorded.\n", Some(0)));
}

#[test]
fn likely_values_add_up_over_estimated_meals() {
    let diary = "\u{feff}Date,Text,Section\n2026-03-02,lasagne,\n2026-03-02,side salad,\n2026-03-05,\"cod, rice\",Starters\n";
    let (out, err, code) = tally(diary, &["--format", "json"]);
    assert_eq!((err.as_str(), code), ("", Some(0)));
    let value: serde_json::Value = serde_json::from_str(&out).expect("is JSON");
    let energy = |total: &serde_json::Value, end: &str| total["kcal"][end].as_f64().expect("known");
    let days = value["days"].as_array().expect("a list");
    let sum = |end: &str| {
        days.iter()
            .map(|day| energy(&day["total"], end))
            .sum::<f64>()
    };
    let week = &value["weeks"][0]["total"];
    assert!((energy(week, "likely") - sum("likely")).abs() < 0.2);
    assert!(energy(week, "low") > sum("low") && energy(week, "high") < sum("high"));
}

#[test]
fn meals_of_one_place_share_its_hand() {
    let week = |places: [&str; 2]| {
        let diary = format!(
            "date,text,place\n2026-03-02,\"lasagne, salad\",{}\n2026-03-03,\"lasagne, salad\",{}\n",
            places[0], places[1]
        );
        let (out, _, _) = tally(&diary, &["--format", "json"]);
        let value: serde_json::Value = serde_json::from_str(&out).expect("is JSON");
        let kcal = &value["weeks"][0]["total"]["kcal"];
        kcal["high"].as_f64().expect("known") / kcal["low"].as_f64().expect("known")
    };
    let apart = week(["", ""]);
    assert!(week(["Copper Ladle", "copper ladle "]) > 1.005 * apart);
    assert!((week(["Copper Ladle", "Hill Street Table"]) - apart).abs() < 0.01);
}
