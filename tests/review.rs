//! Records against menu words, through the public API and the command.

mod common;
#[path = "fixed/mod.rs"]
mod fixed;

use common::library;
use fixed::{Place, run, stdout};
use platespan::report::EnergyUnit;
use platespan::review::{Finding, Record, Review, Sureness, read_figures, review};
use platespan::{Library, Overlay, PlateOptions};

#[track_caller]
fn review_of(text: &str, recorded: &str) -> Review {
    let (figures, words) = read_figures(&library().rules.review, recorded);
    let record = Record {
        text: text.to_owned(),
        words: Some(words).filter(|words| !words.is_empty()),
        figures,
        ..Record::default()
    };
    review(
        library(),
        record,
        &PlateOptions::default(),
        EnergyUnit::Kcal,
    )
    .unwrap_or_else(|error| panic!("\"{text}\": {error}"))
}

/// The findings as `kind sureness`, in their order.
#[track_caller]
fn found(text: &str, recorded: &str) -> Vec<String> {
    review_of(text, recorded)
        .findings
        .iter()
        .map(|finding| format!("{} {}", finding.kind, finding.sure.name()))
        .collect()
}

#[track_caller]
fn the(text: &str, recorded: &str, kind: &str) -> Finding {
    let review = review_of(text, recorded);
    let found = review.findings.iter().find(|finding| finding.kind == kind);
    let kinds: Vec<&String> = review.findings.iter().map(|one| &one.kind).collect();
    found
        .unwrap_or_else(|| panic!("no {kind} in {kinds:?}"))
        .clone()
}

/// What the estimate itself says is written down without a question.
fn as_estimated(text: &str) -> String {
    let total = common::estimate(text).total;
    format!(
        "{:.0} kcal, {:.0} g protein, {:.0} g fat, {:.0} g carb",
        total[0].likely, total[1].likely, total[2].likely, total[3].likely
    )
}

#[test]
fn what_fits_the_words_is_not_asked_about() {
    for text in [
        "roast cod, new potatoes, peas, glass of white wine",
        "lentil soup, rye bread",
        "mushroom risotto, green salad",
        "beef goulash with dumplings, a small lager",
    ] {
        let recorded = as_estimated(text);
        assert_eq!(found(text, &recorded), [""; 0], "{text}: {recorded}");
        let same_words = format!("{text}; {recorded}");
        assert_eq!(found(text, &same_words), [""; 0], "{same_words}");
    }
}

#[test]
fn energy_that_the_macros_cannot_give_is_arithmetic() {
    // 40·4 + 12·9 + 50·4 = 468 kcal (21 CFR 101.9(c)(1)(i)(B)).
    let text = "roast cod, new potatoes, peas";
    let above = the(
        text,
        "620 kcal, 40 g protein, 12 g fat, 50 g carb",
        "energy-above-macros",
    );
    assert_eq!(above.sure, Sureness::Certain);
    assert!(
        above.seen.contains("470 kcal") && above.seen.contains("150 kcal more"),
        "{}",
        above.seen
    );
    let below = the(
        text,
        "330 kcal, 40 g protein, 12 g fat, 50 g carb",
        "energy-below-macros",
    );
    assert!(below.seen.contains("140 kcal less"), "{}", below.seen);
    // Within what the specific factors allow (USDA Handbook 74) nothing is asked.
    assert_eq!(
        found(text, "480 kcal, 40 g protein, 12 g fat, 50 g carb"),
        [""; 0]
    );
}

#[test]
fn wine_explains_energy_beyond_the_macros() {
    let recorded = "560 kcal, 40 g protein, 12 g fat, 50 g carb";
    let kinds = found("roast cod, new potatoes, peas", recorded);
    assert!(
        kinds.contains(&"energy-above-macros certain".to_owned()),
        "{kinds:?}"
    );
    let kinds = found(
        "roast cod, new potatoes, peas, glass of white wine",
        recorded,
    );
    assert_eq!(kinds, [""; 0]);
}

#[test]
fn missing_and_zero_macros_are_told_apart() {
    let text = "lentil soup, rye bread";
    assert_eq!(found(text, "370 kcal"), ["macros-missing certain"]);
    assert_eq!(found(text, "370 kcal, 0p 0f 0c"), ["macros-zero certain"]);
    assert_eq!(found(text, "0 kcal"), ["energy-missing certain"]);
    let one = the(text, "370 kcal, 20p 45c", "macros-missing");
    assert!(
        one.question.contains("fill in fat from"),
        "{}",
        one.question
    );
}

#[test]
fn how_far_out_is_said_as_a_share_of_such_plates() {
    let text = "roast pork loin, apple sauce, roast potatoes";
    let review = review_of(text, "250 kcal, 20p 11f 18c");
    let low = review
        .findings
        .iter()
        .find(|finding| finding.kind == "energy-low")
        .unwrap();
    let standing = review.standing.unwrap();
    assert!(
        standing < 0.02 && low.sure == Sureness::Likely,
        "{standing}"
    );
    assert!(low.seen.contains("lower than"), "{}", low.seen);
    let high = the(text, "2100 kcal, 130p 110f 150c", "energy-high");
    assert!(high.seen.contains("higher than"), "{}", high.seen);
}

#[test]
fn parts_of_the_menu_that_the_record_lacks_are_named() {
    let missing = the(
        "lasagne, garlic bread, glass of red wine",
        "lasagne, 700 kcal, 35p 35f 60c",
        "parts-named",
    );
    assert_eq!(
        missing.question,
        "Did you have garlic bread or wine as well, or was the plate served without?"
    );
    // Another word for the same kind of thing answers to it.
    let kinds = found(
        "grilled hake, fries, green beans",
        "hake, chips, green beans; 650 kcal, 40p 25f 60c",
    );
    assert!(
        !kinds.iter().any(|kind| kind.starts_with("parts-named")),
        "{kinds:?}"
    );
    // Each part of the record answers to one part of the menu.
    let second = the(
        "curry with rice and naan",
        "curry, rice, 700 kcal",
        "parts-named",
    );
    assert!(second.question.contains("naan"), "{}", second.question);
}

#[test]
fn a_dinner_of_nothing_but_meat_is_asked_about_once() {
    assert_eq!(
        found("grilled pork chop", "285 kcal, 33p 16f 0c"),
        ["only-meat possible"]
    );
    let kinds = found("grilled pork chop", "pork chop, 285 kcal, 33p 16f 0c");
    assert_eq!(kinds, ["only-meat possible"]);
    let kinds = found(
        "grilled pork chop, apple sauce, chips",
        "pork chop, 700 kcal, 36p 38f 60c",
    );
    assert!(
        kinds.iter().all(|kind| !kind.starts_with("only-meat")),
        "{kinds:?}"
    );
}

#[test]
fn a_mistaken_unit_is_recognised_by_its_factor() {
    for (text, recorded, wanted) in [
        // 1 kcal = 4.184 kJ: 18·4 + 25·9 + 90·4 = 657 kcal = 2749 kJ.
        (
            "mushroom risotto",
            "2750 kcal, 18p 25f 90c",
            "kilojoules-for-kcal certain",
        ),
        // The energy alone, without macros, needs the estimate.
        (
            "lentil soup, rye bread",
            "1570 kcal",
            "kilojoules-for-kcal possible",
        ),
        // 1 oz = 28.35 g (NIST Handbook 44).
        (
            "6 oz roast beef",
            "roast beef; 11 kcal, 2p 1f 0c",
            "ounces-for-grams possible",
        ),
        ("lentil soup", "65 kcal, 4p 2f 8c", "per-100g likely"),
        // Dry rice has 365 kcal in 100 g, cooked 130 (USDA SR): 2.8 times.
        (
            "200 g cooked rice",
            "rice 200 g, 730 kcal",
            "raw-for-cooked likely",
        ),
        // An egg is 50 g (USDA SR measures).
        (
            "two boiled eggs",
            "310 kcal, 25p 21f 2c",
            "100g-for-a-piece likely",
        ),
        (
            "porridge with honey",
            "31 kcal, 1p 1f 5c",
            "decimal-point possible",
        ),
    ] {
        let kinds = found(text, recorded);
        assert!(
            kinds.contains(&wanted.to_owned()),
            "{text}, {recorded}: {kinds:?}"
        );
    }
}

#[test]
fn a_likely_slip_is_asked_about_instead_of_the_energy() {
    let kinds = found("lentil soup", "65 kcal, 4p 2f 8c");
    assert_eq!(kinds, ["per-100g likely"]);
    // Macros that fit the plate speak against a slip of weight.
    let kinds = found("lentil soup", "65 kcal, 12p 6f 30c");
    assert!(
        !kinds.iter().any(|kind| kind.starts_with("per-100g")),
        "{kinds:?}"
    );
}

#[test]
fn a_question_never_blames_and_leaves_no_blank() {
    for (text, recorded) in [
        ("roast cod, new potatoes, peas", "620 kcal, 40p 12f 50c"),
        ("roast cod, new potatoes, peas", "cod, 90 kcal, 12p 1f 2c"),
        ("burger and fries", "burger"),
        ("two boiled eggs", "2 eggs, 310 kcal, 25p 21f 2c"),
        ("lasagne, side salad", "3000 kcal, 0p 0f 0c"),
    ] {
        for finding in review_of(text, recorded).findings {
            for words in [&finding.title, &finding.seen, &finding.question] {
                let lower = words.to_lowercase();
                assert!(!words.contains(['{', '}']), "{words}");
                for blame in [
                    "forgot",
                    "should have",
                    "wrong",
                    "mistake",
                    "cheat",
                    "must ",
                ] {
                    assert!(!lower.contains(blame), "{words}");
                }
            }
            assert!(finding.question.contains('?'), "{}", finding.question);
        }
    }
}

#[test]
fn words_of_the_record_that_nothing_knows_are_noted() {
    let review = review_of("lentil soup, rye bread", "zorblat, 370 kcal, 18p 7f 58c");
    assert!(review.findings.is_empty(), "{:?}", review.findings);
    assert!(review.notes[0].contains("zorblat"), "{:?}", review.notes);
}

#[test]
fn rules_that_cannot_be_are_refused_with_what_to_do() {
    let shipped = include_str!("../component-library/rules/review.toml");
    for (from, to, said) in [
        ("{standing};", "{stranding};", "`{stranding}`"),
        (
            "possible = 0.10, likely = 0.02",
            "possible = 0.01, likely = 0.02",
            "`energy_tail`",
        ),
        (
            "[3.41, 4.0, 4.36]",
            "[4.41, 4.0, 4.36]",
            "`factors.protein`",
        ),
        (
            "[review.wording.only-meat]",
            "[review.wording.only-fish]",
            "only-meat",
        ),
        ("on = \"per-100g\"", "on = \"per-100\"", "cooked-yield"),
    ] {
        assert!(shipped.contains(from), "{from}");
        let overlay = Overlay {
            name: "own.toml".to_owned(),
            text: shipped.replacen(from, to, 1),
        };
        let error = Library::with_overlays(&[overlay]).unwrap_err().to_string();
        assert!(
            error.starts_with("own.toml") && error.contains(said),
            "{error}"
        );
    }
}

#[test]
fn the_command_asks_in_the_words_of_the_rules() {
    let place = Place::new();
    for (name, width) in [("review_80", "80"), ("review_40", "40")] {
        let mut command = place.with_fixed_foods();
        command.args([
            "review",
            "loomfish, vellroot mash, quillbread",
            "--width",
            width,
        ]);
        command.args([
            "--recorded",
            "baked loomfish, 190 kcal, 26 g protein, 6 g fat, 0 g carb",
        ]);
        insta::assert_snapshot!(name, stdout(&mut command));
    }
}

const RECORDS: &str = "\
id,date,text,kcal,protein,fat,carb,recorded
a,2026-03-02,\"loomfish, vellroot mash\",1850,43,17,30,
b,2026-03-02,\"loomfish, vellroot mash\",440,43,17,30,\"=loomfish, mash\"
";

#[test]
fn a_file_of_records_is_reviewed_in_each_format() {
    let place = Place::new();
    place.file("week.csv", RECORDS);
    let of = |format: &str| {
        let mut command = place.with_fixed_foods();
        stdout(command.args(["review", "week.csv", "--format", format]))
    };
    let table = of("table");
    assert!(
        table.contains("a, 2026-03-02: loomfish, vellroot mash"),
        "{table}"
    );
    assert!(
        table.contains("2 records, 1 with something to ask"),
        "{table}"
    );
    assert!(table.contains("not for allergies"), "{table}");
    let rows = of("csv");
    let mut reader = csv::Reader::from_reader(rows.as_bytes());
    let kinds: Vec<(String, String)> = reader
        .records()
        .map(|row| row.unwrap())
        .map(|row| (row[0].to_owned(), row[8].to_owned()))
        .collect();
    let wanted = [("a", "kilojoules-for-kcal"), ("b", "")];
    assert_eq!(
        kinds,
        wanted.map(|(id, kind)| (id.to_owned(), kind.to_owned()))
    );
    let lines: Vec<serde_json::Value> = of("json")
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(lines.len(), 2);
    assert_eq!(lines[0]["findings"][0]["kind"], "kilojoules-for-kcal");
    assert_eq!(lines[0]["findings"][0]["sure"], "certain");
    assert_eq!(lines[1]["recorded"]["kcal"], 440.0);
    assert_eq!(lines[0]["cautions"].as_array().unwrap().len(), 4);
}

#[test]
fn bad_rows_are_reported_and_the_rest_goes_on() {
    let place = Place::new();
    let bad = "c,soon,\"loomfish\",many,1,1,1,\nd,,,1,1,1,1,\ne,,zzqx,1,1,1,1,\nf,,loomfish,-4,1,1,1,\n,,,,,,,\n";
    place.file("week.csv", &format!("{RECORDS}{bad}"));
    let mut command = place.with_fixed_foods();
    let (out, errors, code) = run(command.args(["review", "week.csv", "--format", "json"]));
    assert_eq!(code, 2);
    assert_eq!(out.lines().count(), 2);
    insta::assert_snapshot!(errors, @r#"
    platespan: week.csv: line 4: `kcal` is "many"; write a plain number from 0 to 50000, or leave it empty
    platespan: week.csv: line 5: `text` is empty; write down what the menu says, or remove the row
    platespan: week.csv: record e: no food was found in "zzqx"; name the dish or its parts, such as "cod, mashed potatoes, peas"
    platespan: week.csv: line 7: `kcal` is "-4"; write a plain number from 0 to 50000, or leave it empty
    "#);
}

#[test]
fn misuse_says_what_to_do() {
    let place = Place::new();
    place.file("menu.csv", "dish,kcal\nsoup,200\n");
    let said = |args: &[&str]| {
        let (_, errors, code) = run(place.platespan().arg("review").args(args));
        assert_eq!(code, 2, "{args:?}: {errors}");
        errors
    };
    insta::assert_snapshot!(said(&["lentil soup"]), @r#"platespan: say what was written down, such as --recorded "620 kcal, 40 g protein, 12 g fat, 50 g carb"; or give a file that ends in .csv"#);
    insta::assert_snapshot!(said(&["lentil soup", "--recorded", "…"]), @r#"platespan: nothing was found in --recorded "…"; write figures such as "620 kcal, 40 g protein", or what was eaten"#);
    insta::assert_snapshot!(said(&["menu.csv"]), @"platespan: menu.csv: line 1: there is no `text` column, which holds the menu's words; it has: dish, kcal; the columns are text, kcal, protein, fat, carb, and where wanted recorded, alcohol, id, date");
    insta::assert_snapshot!(said(&["zzqx", "--recorded", "100 kcal"]), @r#"platespan: no food was found in "zzqx"; name the dish or its parts, such as "cod, mashed potatoes, peas""#);
    assert!(said(&["none.csv"]).contains("cannot read `none.csv`"));
    assert!(said(&[]).contains("WORDS|FILE"));
}

proptest::proptest! {
    #[test]
    fn any_text_can_be_a_record(recorded in "[a-z0-9 .,:;=()/½é…-]{0,60}", kcal in 0.0..1e12f64) {
        let (figures, words) = read_figures(&library().rules.review, &recorded);
        let record = Record {
            text: "lentil soup, rye bread".to_owned(),
            words: Some(words),
            figures: platespan::review::Figures { kcal: Some(kcal), ..figures },
            ..Record::default()
        };
        let unit = EnergyUnit::Kj;
        let one = review(library(), record, &PlateOptions::default(), unit).unwrap();
        let look = platespan::report::Look { width: 40, ..Default::default() };
        proptest::prop_assert!(platespan::review::review_table(&one, &look).contains("written down"));
    }
}
