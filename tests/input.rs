//! Bad input: whatever comes in, there is an answer or a clear message with exit status 2, and never a panic.

mod common;

use assert_cmd::Command;
use common::library;
use platespan::plate::{self, PlateOptions};
use platespan::report::{EnergyUnit, Look, csv_rows, json_meal, shares_of_total, table};
use platespan::{Estimate, Nutrient, estimate, estimate_text, read};
use proptest::prelude::*;
use std::path::Path;

fn platespan() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_platespan"));
    // A user's own library must not change what is tested.
    command
        .env("XDG_CONFIG_HOME", "/nonexistent")
        .env("COLUMNS", "80");
    command
}

/// Runs it; the message on standard error, which must come with exit status 2 and nothing on standard output.
#[track_caller]
fn refused(command: &mut Command) -> String {
    let output = command.output().expect("to run");
    let message = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(
        output.stdout.is_empty(),
        "{}",
        String::from_utf8_lossy(&output.stdout)
    );
    assert!(!message.contains("panicked"), "{message}");
    assert!(!message.trim().is_empty());
    message
}

#[track_caller]
fn refused_text(text: impl AsRef<[u8]>) -> String {
    refused(
        platespan()
            .arg("estimate")
            .write_stdin(text.as_ref().to_vec()),
    )
}

/// A file in a folder of its own.
fn file(name: &str, content: impl AsRef<[u8]>) -> (tempfile::TempDir, std::path::PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join(name);
    std::fs::write(&path, content).expect("a file");
    (folder, path)
}

#[test]
fn no_words_are_met_with_an_example() {
    for text in ["", " ", "\n\n\t", ",,,;;;", "🍔🍟", "—"] {
        let message = refused_text(text);
        assert!(
            message.contains("there are no words in the text; say what"),
            "{text:?}: {message}"
        );
    }
}

#[test]
fn no_food_is_said_with_the_words_and_what_to_do() {
    let message = refused_text("the quafflet by the window");
    assert!(
        message.contains("no food was found in \"the quafflet by the window\""),
        "{message}"
    );
}

#[test]
fn too_much_is_sent_to_the_menu_command() {
    let noise: String = (0..1_000_000u32)
        .map(|index| char::from(b' ' + (index.wrapping_mul(2_654_435_761) >> 24) as u8 % 94))
        .collect();
    for text in [noise, ",".repeat(1_000_000), "cod, ".repeat(200_000)] {
        let message = refused_text(text);
        assert!(message.contains("platespan menu FILE"), "{message}");
    }
}

#[test]
fn the_longest_text_of_anything_is_answered_in_time() {
    let started = std::time::Instant::now();
    let options = PlateOptions::default();
    let full = |words: &str| words.repeat(read::LONGEST_TEXT / words.len());
    let third = |words: &str| words.repeat(read::LONGEST_TEXT / words.len() / 3);
    for words in [",", "(", "or ", "no ", "1 "] {
        assert!(estimate_text(library(), &full(words), &options).is_err());
    }
    for text in [
        full("cod "),
        full("ate half. cod. "),
        third("salad or soup, "),
        third("burger with no bun. "),
    ] {
        let _ = estimate_text(library(), &text, &options);
    }
    assert!(started.elapsed().as_secs() < 40, "{:?}", started.elapsed());
}

#[test]
fn bytes_that_are_no_text_are_placed() {
    let message = refused_text(b"cod, pe\xff\xfeas");
    assert!(
        message.contains("not UTF-8") && message.contains("number 8"),
        "{message}"
    );
    let (_folder, menu) = file("menu.txt", b"lentil soup\ncod, pe\xffas\n");
    let output = platespan().arg("menu").arg(&menu).output().unwrap();
    let message = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{message}");
    assert!(message.contains("line 2 is not UTF-8"), "{message}");
    let (_folder, overlay) = file("mine.toml", b"[[food]]\nid = \"\xff\"\n");
    let message = refused(
        platespan()
            .args(["estimate", "cod", "--library"])
            .arg(&overlay),
    );
    assert!(message.contains("mine.toml"), "{message}");
}

#[test]
fn absurd_amounts_are_held_to_what_a_meal_holds() {
    for text in [
        "9999 lb steak",
        "999999999999 tacos",
        "1e308 g rice",
        "99999999999999999999999999999999999999999999 kg rice",
        "0 tacos",
        "-3 tacos",
        "-200 g rice",
        "0.0000001 g rice",
        "1/0 cup rice",
        "3-1 slices of toast",
        "NaN g rice",
        "infinity oz steak",
        "1000000% of the rice, rice",
        "ate 900% of the rice",
    ] {
        let Ok(estimate) = estimate_text(library(), text, &PlateOptions::default()) else {
            continue;
        };
        let energy = estimate.total(Nutrient::Energy);
        assert!(
            energy.high.is_finite() && energy.high < 60_000.0,
            "{text}: {energy:?}"
        );
        is_sound(&estimate);
    }
    let huge = common::estimate("9999 lb steak");
    let notes = huge.plate.assumptions.join("\n");
    assert!(notes.contains("more than one meal holds"), "{notes}");
}

#[test]
fn a_broken_overlay_is_named_with_line_and_column() {
    for (content, says) in [
        ("[[food]\nid = \"x\"\n", ["mine.toml:1:", "SCHEMA.md"]),
        (
            "[[food]]\nid = \"x\"\nname = \n",
            ["mine.toml:3:", "SCHEMA.md"],
        ),
        (
            "[[food]]\nid = \"x\"\nname = \"X\"\ncategory = \"fish\"\ncolour = \"red\"\n",
            ["mine.toml:5:1", "colour"],
        ),
        (
            "[[food]]\nid = \"x\"\nname = \"X\"\ncategory = \"fihs\"\nsource = \"a label\"\nper_100g = { kcal = 1, protein = 0, fat = 0, carbohydrate = 0 }\n",
            ["mine.toml", "did you mean `fish`?"],
        ),
        (
            "[[food]]\nid = \"x\"\nname = \"X\"\ncategory = \"fish\"\n",
            ["mine.toml", "exactly one of `per_100g`"],
        ),
        (
            "[[food]]\nid = \"x\"\nname = \"X\"\ncategory = \"fish\"\nblend = [[\"x\", 10.0]]\n",
            ["mine.toml", "contains itself"],
        ),
    ] {
        let (_folder, path) = file("mine.toml", content);
        let message = refused(
            platespan()
                .args(["estimate", "cod", "--library"])
                .arg(&path),
        );
        for part in says {
            assert!(message.contains(part), "{content}\n{message}");
        }
    }
}

#[test]
fn numbers_that_cannot_be_are_refused_in_an_overlay() {
    let food = |kcal: &str, portions: &str| {
        format!(
            "[[food]]\nid = \"x\"\nname = \"X\"\naliases = [\"quafflet\"]\ncategory = \"fish\"\nsource = \"a label\"\n\
             per_100g = {{ kcal = {kcal}, protein = 20, fat = 1, carbohydrate = 0 }}\n{portions}"
        )
    };
    for (kcal, portions) in [
        ("nan", ""),
        ("inf", ""),
        ("-5", ""),
        (
            "99",
            "portions = { main = [300, 200, 100] }\nevidence = \"judgement: a test\"\n",
        ),
        (
            "99",
            "portions = { main = [-1, 200, 300] }\nevidence = \"judgement: a test\"\n",
        ),
        (
            "99",
            "portions = { main = [0, 0, 0] }\nevidence = \"judgement: a test\"\n",
        ),
        ("99", "spread = -1.0\n"),
    ] {
        let (_folder, path) = file("mine.toml", food(kcal, portions));
        let checked = platespan()
            .args(["library", "check"])
            .arg(&path)
            .output()
            .unwrap();
        assert_eq!(checked.status.code(), Some(2), "kcal {kcal}, {portions}");
        // And an estimate, where it is given, has no nonsense in it.
        let output = platespan()
            .args(["estimate", "quafflet", "--format", "json", "--library"])
            .arg(&path)
            .output()
            .unwrap();
        let (out, err) = (
            String::from_utf8_lossy(&output.stdout),
            String::from_utf8_lossy(&output.stderr),
        );
        assert!(!err.contains("panicked"), "{err}");
        assert!(
            !out.contains("null,\"likely\"") && !out.contains("NaN"),
            "{out}"
        );
    }
}

#[test]
fn misuse_says_what_to_choose_from() {
    let message = refused(platespan().args(["estimate", "cod", "--setting", "palace"]));
    assert!(
        message.contains("there is no setting `palace`; choose one of"),
        "{message}"
    );
    let message = refused(platespan().args(["estimate", "cod", "--library", "/no/such/file.toml"]));
    assert!(message.contains("/no/such/file.toml"), "{message}");
    let message = refused(platespan().args(["menu", "/no/such/menu.txt"]));
    assert!(message.contains("/no/such/menu.txt"), "{message}");
    let message = refused(platespan().args(["estimate", "cod", "--format", "pdf"]));
    assert!(
        message.contains("table") && message.contains("json"),
        "{message}"
    );
    refused(platespan().arg("frobnicate"));
    refused(&mut platespan());
    let (_folder, table) = file("menu.csv", "dish,price\nlentil soup,8\n");
    let message = refused(platespan().arg("menu").arg(&table));
    assert!(message.contains("text"), "{message}");
}

#[test]
fn a_bad_line_of_a_menu_does_not_stop_the_rest() {
    let (_folder, menu) = file("menu.txt", "lentil soup\nquafflet\n\nmushroom risotto 18\n");
    let output = platespan()
        .args(["menu", "--format", "ndjson"])
        .arg(&menu)
        .output()
        .unwrap();
    let out = String::from_utf8_lossy(&output.stdout);
    assert_eq!(
        out.lines()
            .filter(|line| line.contains("\"total\""))
            .count(),
        2,
        "{out}"
    );
    assert!(String::from_utf8_lossy(&output.stderr).contains("quafflet"));
}

#[test]
fn a_file_that_is_there_is_not_written_over() {
    let (_folder, path) = file("mine.toml", "# mine\n");
    let message = refused(platespan().args(["library", "new"]).arg(&path));
    assert!(message.contains("is there already"), "{message}");
    assert_eq!(
        std::fs::read_to_string(Path::new(&path)).unwrap(),
        "# mine\n"
    );
}

/// What holds of every estimate, whatever the text.
#[track_caller]
/// The words of a text, whatever white space lies between them.
fn words(text: &str) -> Vec<&str> {
    text.split_whitespace().collect()
}

fn is_sound(estimate: &Estimate) {
    let text = &estimate.text;
    for nutrient in Nutrient::ALL {
        let range = estimate.total(nutrient);
        for value in [range.low, range.likely, range.high] {
            assert!(
                value.is_finite() && value >= 0.0,
                "{text}: {nutrient:?} {range:?}"
            );
        }
        assert!(
            range.low <= range.high * (1.0 + 1e-9),
            "{text}: {nutrient:?} {range:?}"
        );
        let sum: f64 = estimate
            .rows
            .iter()
            .map(|row| row.nutrients[nutrient as usize].likely)
            .sum();
        assert!(
            (sum - range.likely).abs() <= 1e-6 * sum.max(1.0),
            "{text}: rows sum to {sum}, the total is {} {nutrient:?}",
            range.likely
        );
        for row in &estimate.rows {
            let range = row.nutrients[nutrient as usize];
            assert!(
                range.low <= range.high * (1.0 + 1e-9) && range.likely >= 0.0,
                "{text}: {range:?}"
            );
        }
    }
    for row in &estimate.rows {
        let part = &row.component;
        assert!((0.0..=1.0).contains(&part.chance), "{text}: {part:?}");
        assert!(
            part.eaten.windows(2).all(|pair| pair[0] <= pair[1] + 1e-9),
            "{text}: {part:?}"
        );
        assert!((0.0..=1.0).contains(&part.eaten[1]), "{text}: {part:?}");
        assert!(
            part.grams
                .windows(2)
                .all(|pair| pair[0] <= pair[1] * (1.0 + 1e-9)),
            "{text}: {part:?}"
        );
        if let Some((said, (start, end))) = &part.said {
            assert_eq!(
                text.get(*start..*end).map(words),
                Some(words(said)),
                "{text}"
            );
        }
    }
    for word in &estimate.plate.not_understood {
        let there = text.get(word.span.0..word.span.1);
        assert_eq!(there.map(words), Some(words(&word.text)), "{text}");
    }
    let causes: f64 = estimate.causes.iter().map(|(_, share)| share).sum();
    assert!(causes <= 1.0 + 1e-6, "{text}: {causes}");
    // What is printed sums to the printed total.
    let likely: Vec<f64> = estimate
        .rows
        .iter()
        .map(|row| row.nutrients[0].likely)
        .collect();
    for step in [5.0, 1.0] {
        let printed = shares_of_total(&likely, step);
        let total = (estimate.total(Nutrient::Energy).likely / step).round() * step;
        assert!(
            (printed.iter().sum::<f64>() - total).abs() <= step * 0.5 + 1e-6,
            "{text}"
        );
    }
}

/// Everything that a text goes through.
fn whole_way(text: &str) {
    let Ok(meal) = read::read(library(), text) else {
        return;
    };
    let plate = plate::plate(library(), text, &meal, &PlateOptions::default());
    let estimate = estimate::estimate(library(), text, plate);
    is_sound(&estimate);
    for width in [24, 80, 160] {
        let look = Look {
            energy: EnergyUnit::Kj,
            width,
            colour: false,
        };
        assert!(!table(&estimate, &look).is_empty());
    }
    let _ = csv_rows(&estimate, "", true);
    let json = serde_json::to_string(&json_meal(library(), &estimate, None)).expect("JSON");
    assert!(
        !json.contains(":null,\"likely\"") && !json.contains("-0.0"),
        "{json}"
    );
}

/// Words that the grammar and the library know, and some that nothing knows.
const WORDS: [&str; 76] = [
    "burger",
    "cheeseburger",
    "salad",
    "salmon",
    "rice",
    "fries",
    "soup",
    "taco",
    "tacos",
    "omelette",
    "pizza",
    "pasta",
    "steak",
    "chicken",
    "cheese",
    "bacon",
    "egg",
    "eggs",
    "bun",
    "dressing",
    "sauce",
    "butter",
    "wine",
    "beer",
    "toast",
    "with",
    "and",
    "or",
    "on",
    "in",
    "no",
    "without",
    "hold the",
    "extra",
    "light on",
    "on the side",
    "instead of",
    "swapped for",
    "sub",
    "swap",
    "for",
    "choice of",
    "two sides",
    "ate half",
    "left a third of the",
    "shared between",
    "three",
    "with a friend",
    "everything but",
    "didn't finish the",
    "half a",
    "½",
    "2",
    "1/2",
    "3-4",
    "x3",
    "2x",
    "(6 oz)",
    "8 oz",
    "200 g",
    "1 cup",
    "large",
    "small",
    "double",
    "side of",
    "grilled",
    "fried",
    "stuffed",
    "crusted",
    "-free",
    ",",
    ".",
    ";",
    "\n",
    ":",
    "zorbleworth",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_string_is_a_panic(text in "\\PC{0,80}") {
        whole_way(&text);
    }

    #[test]
    fn no_bytes_are_a_panic(bytes in proptest::collection::vec(any::<u8>(), 0..120)) {
        whole_way(&String::from_utf8_lossy(&bytes));
    }

}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_order_of_known_words_is_a_panic(words in proptest::collection::vec(proptest::sample::select(&WORDS[..]), 1..18)) {
        whole_way(&words.join(" "));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_unknown_word_is_reported(word in "[qxz][bdfg]{2}[a-z]{5,9}") {
        let text = format!("cod with {word} and peas");
        let Ok(meal) = read::read(library(), &text) else { return Ok(()) };
        let known = meal.items.iter().any(|item| text[item.span.0..item.span.1].contains(&word)
            && item.unknown == 0 && item.head.is_some());
        let reported = meal.not_understood.iter().any(|unknown| unknown.text == word)
            || meal.corrections.iter().any(|correction| correction.said == word);
        prop_assert!(known || reported, "{:?}", meal);
    }

    #[test]
    fn a_stated_weight_is_the_weight(grams in 20.0f64..900.0) {
        let text = format!("{grams:.0} g white rice");
        let plate = common::plate_of(&text).unwrap();
        prop_assert!((plate.components[0].grams[1] - grams.round()).abs() < 1e-6);
    }

    #[test]
    fn more_of_a_thing_is_more(grams in 20.0f64..400.0, by in 1.05f64..3.0) {
        let energy = |grams: f64| common::estimate(&format!("{grams:.1} g salmon, peas")).total(Nutrient::Energy).likely;
        prop_assert!(energy(grams * by) > energy(grams));
    }

    #[test]
    fn what_is_left_is_not_eaten(percent in 1u32..100) {
        let all = common::estimate("mushroom risotto").total(Nutrient::Energy).likely;
        let some = common::estimate(&format!("mushroom risotto, ate {percent}%")).total(Nutrient::Energy).likely;
        prop_assert!((some / all - f64::from(percent) / 100.0).abs() < 0.005, "{some} of {all}");
    }
}
