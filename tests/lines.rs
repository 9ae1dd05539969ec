//! Lines to record, and the reply, through the public API and the command.

use platespan::entries::{LineOptions, Measure, lines};
use platespan::reply::{ReplyOptions, reply};
use platespan::{Estimate, Library, Nutrient, PlateOptions, estimate_text};
use std::sync::LazyLock;

static LIBRARY: LazyLock<Library> = LazyLock::new(Library::embedded);

fn estimate(text: &str) -> Estimate {
    estimate_text(&LIBRARY, text, &PlateOptions::default()).expect("the text has food")
}

const MEALS: [&str; 4] = [
    "lamb kofta wrap, tomato salad, mint tea",
    "pepperoni pizza and a lager",
    "pan-fried hake, brown butter, new potatoes, peas, lemon tart with cream",
    "turkey club on sourdough, crisps, apple juice; ate half of the crisps",
];

#[test]
fn lines_add_up_to_the_plate_however_few_they_are() {
    for text in MEALS {
        let estimate = estimate(text);
        for at_most in [1, 3, 6] {
            for measure in [Measure::Scale, Measure::Cups, Measure::Hand] {
                let lines = lines(&LIBRARY, &estimate, LineOptions { at_most, measure });
                assert!(
                    (1..=at_most).contains(&lines.len()),
                    "{text}: {}",
                    lines.len()
                );
                let sum: f64 = lines.iter().map(|line| line.energy.likely).sum();
                let plate = estimate.total(Nutrient::Energy).likely;
                assert!((sum - plate).abs() < 1.0, "{text}: {sum} against {plate}");
            }
        }
    }
}

#[test]
fn a_pizza_is_one_line() {
    let lines = lines(
        &LIBRARY,
        &estimate("pepperoni pizza"),
        LineOptions::default(),
    );
    assert_eq!(lines.len(), 1);
    assert!(
        lines[0].name.to_lowercase().contains("pizza"),
        "{}",
        lines[0].name
    );
}

#[test]
fn a_reply_greets_gives_the_range_and_asks_one_thing() {
    let options = ReplyOptions {
        name: Some("Sam".to_owned()),
        ..ReplyOptions::default()
    };
    let message = "Hi! Had the mushroom risotto, left about a third. How do I write this down?";
    let text = reply(&LIBRARY, message, &options)
        .expect("there is food in it")
        .text;
    assert!(text.starts_with("Hi Sam"), "{text}");
    assert!(text.contains("kcal") && text.contains("between"), "{text}");
    assert!(text.matches('?').count() <= 1, "{text}");
}

#[test]
fn a_caution_comes_where_the_message_calls_for_it() {
    let plain = reply(&LIBRARY, "lentil soup and bread", &ReplyOptions::default()).expect("food");
    assert!(plain.cautions.is_empty());
    let dosing = "lentil soup and bread, how much insulin is that?";
    let careful = reply(&LIBRARY, dosing, &ReplyOptions::default()).expect("food");
    assert!(careful.text.contains("insulin"), "{}", careful.text);
}

#[test]
fn a_template_that_cannot_be_read_is_told_with_its_line() {
    let template = Some(("mine.txt".to_owned(), "Hello\n{{ lines".to_owned()));
    let options = ReplyOptions {
        template,
        ..ReplyOptions::default()
    };
    let error = reply(&LIBRARY, "lentil soup", &options).expect_err("the template is broken");
    let said = error.to_string();
    assert!(said.contains("mine.txt") && said.contains('2'), "{said}");
}
