//! Questions: what is asked, and what the answers do.

use assert_cmd::Command;
use platespan::questions::{Question, interview, questions};
use platespan::report::{JsonMeal, JsonQuestion};
use platespan::{Library, Nutrient, PlateOptions, ReadError, estimate_text};

/// Vague lines, as people write them.
const VAGUE: [&str; 14] = [
    "burger",
    "steak dinner",
    "pasta with chicken",
    "salad",
    "sandwich",
    "omelette",
    "pancakes",
    "chicken wings",
    "lasagne",
    "curry and rice",
    "shared the nachos",
    "cod with fries or salad",
    "ribeye, choice of side",
    "glass of wine",
];

fn asked(library: &Library, text: &str, most: usize) -> Vec<Question> {
    questions(library, text, &PlateOptions::default(), most)
}

#[test]
fn the_first_answer_narrows_half_of_vague_lines_by_a_fifth() {
    let library = Library::embedded();
    let mut told = Vec::new();
    for text in VAGUE {
        let first = asked(&library, text, 1);
        let before = estimate_text(&library, text, &PlateOptions::default())
            .expect("is read")
            .total(Nutrient::Energy);
        // Against the range people see, not the question's own account of it.
        let narrowing = first.first().map_or(0.0, |question| {
            let after: f64 = question
                .answers
                .iter()
                .map(|answer| answer.chance * answer.range.width())
                .sum();
            1.0 - after / before.width()
        });
        told.push((text, narrowing));
    }
    let enough = told.iter().filter(|(_, by)| *by >= 0.2).count();
    assert!(2 * enough >= VAGUE.len(), "{told:#?}");
    assert!(told.iter().all(|(_, by)| *by > 0.03), "{told:#?}");
}

#[test]
fn what_is_ordered_by_the_piece_is_counted_not_weighed() {
    let library = Library::embedded();
    let first = asked(&library, "wings", 1);
    assert_eq!(first[0].id, "pieces");
    assert!(first[0].wording.contains("How many wings"), "{first:#?}");
}

#[test]
fn a_question_names_a_dish_without_the_article_it_was_said_with() {
    let library = Library::embedded();
    for question in asked(&library, "a bowl of curry and naan", 3) {
        assert!(!question.wording.contains("the a "), "{question:#?}");
    }
}

#[test]
fn what_one_word_leaves_open_is_asked_first() {
    let library = Library::embedded();
    for (text, id) in [
        ("pizza", "pizza-eaten"),
        ("sushi", "sushi-rolls"),
        ("soup", "soup-kind"),
        ("sandwich", "sandwich-kind"),
        ("curry", "curry-kind"),
        ("steak dinner", "steak-cut"),
        ("burger and fries", "burger-and-fries"),
        ("fish tacos", "fish-tacos"),
        ("breakfast", "choice"),
    ] {
        let first = asked(&library, text, 1).remove(0);
        assert_eq!(first.id, id, "\"{text}\": {}", first.wording);
        // Of the range over all its answers: the plate takes one of them for granted.
        assert!(first.narrowing > 0.15, "\"{text}\": {}", first.narrowing);
    }
    // What the words already say is not asked.
    for said in [
        "tomato soup",
        "2 slices of pizza",
        "large pizza",
        "12 oz ribeye dinner",
    ] {
        let asks = asked(&library, said, 3);
        assert!(
            asks.iter()
                .all(|question| !["soup-kind", "pizza-eaten", "steak-cut"]
                    .contains(&question.id.as_str())),
            "\"{said}\": {asks:#?}"
        );
    }
}

#[test]
fn the_text_alone_gives_what_the_answers_gave() {
    let library = Library::embedded();
    let options = PlateOptions::default();
    for text in VAGUE {
        for pick in 0..3 {
            let mut promised = None;
            let done = interview::<ReadError>(
                &library,
                text,
                &options,
                3,
                |question| {
                    let at = pick % question.answers.len();
                    promised = Some(question.answers[at].range);
                    Ok(Some(at))
                },
                |_| Ok(()),
            )
            .expect("is read");
            let alone = estimate_text(&library, &done.text, &options).expect("is read");
            assert_eq!(alone, done.estimate, "{}", done.text);
            assert_eq!(
                Some(alone.total(Nutrient::Energy)),
                promised,
                "{}",
                done.text
            );
            assert!(done.text.starts_with(text));
        }
    }
}

#[test]
fn every_answer_is_understood_and_adds_no_part() {
    let library = Library::embedded();
    let options = PlateOptions::default();
    for text in VAGUE {
        let base = estimate_text(&library, text, &options).expect("is read");
        for question in asked(&library, text, 9) {
            let sum: f64 = question.answers.iter().map(|answer| answer.chance).sum();
            assert!((sum - 1.0).abs() < 1e-9 && question.answers.len() > 1);
            assert!((0.0..1.0).contains(&question.narrowing));
            for answer in &question.answers {
                let with = estimate_text(&library, &format!("{text}{}", answer.text), &options);
                let with = with.expect("is read");
                let known = base.plate.not_understood.len();
                assert_eq!(
                    with.plate.not_understood.len(),
                    known,
                    "{text}{}",
                    answer.text
                );
                assert!(with.plate.components.len() <= base.plate.components.len());
                assert_eq!(with.total(Nutrient::Energy), answer.range);
            }
        }
    }
}

#[test]
fn no_unknown_is_asked_twice() {
    let library = Library::embedded();
    for text in VAGUE {
        let all = asked(&library, text, 20);
        let mut wordings: Vec<&str> = all.iter().map(|one| one.wording.as_str()).collect();
        wordings.sort_unstable();
        wordings.dedup();
        assert_eq!(wordings.len(), all.len(), "{text}");
        assert!(
            all.is_sorted_by(|a, b| a.narrowing >= b.narrowing),
            "{text}"
        );
    }
}

#[test]
fn not_sure_changes_nothing_and_is_not_asked_again() {
    let library = Library::embedded();
    let mut heard = Vec::new();
    let done = interview::<ReadError>(
        &library,
        "burger",
        &PlateOptions::default(),
        5,
        |question| {
            heard.push(question.wording.clone());
            Ok(None)
        },
        |round| {
            assert_eq!(round.before, round.after);
            Ok(())
        },
    )
    .expect("is read");
    assert_eq!(done.text, "burger");
    let count = heard.len();
    heard.dedup();
    assert_eq!((heard.len(), count > 1), (count, true));
}

#[test]
fn what_is_settled_is_not_asked() {
    let library = Library::embedded();
    let ids = |text: &str| -> Vec<String> {
        let all = asked(&library, text, 20);
        all.into_iter().map(|question| question.id).collect()
    };
    assert!(ids("cod with fries or salad").contains(&"choice".to_owned()));
    assert!(!ids("cod with fries or salad; fries").contains(&"choice".to_owned()));
    assert!(ids("ribeye steak").contains(&"meat-weight".to_owned()));
    assert!(!ids("8 oz ribeye steak").contains(&"meat-weight".to_owned()));
    assert!(ids("lasagne; ate most of it").contains(&"eaten".to_owned()));
    assert!(!ids("lasagne; ate half").contains(&"eaten".to_owned()));
    assert!(ids("chicken with rice").contains(&"fried-or-grilled".to_owned()));
    assert!(!ids("grilled chicken with rice").contains(&"fried-or-grilled".to_owned()));
}

#[test]
fn nothing_is_asked_of_nothing() {
    let library = Library::embedded();
    for text in ["", ";", "zorbleflop", "no mayonnaise"] {
        assert!(asked(&library, text, 3).is_empty(), "{text:?}");
    }
    assert!(asked(&library, "burger", 0).is_empty());
}

fn platespan(words: &[&str]) -> (String, String, Option<i32>) {
    let mut command = Command::cargo_bin("platespan").expect("is built");
    let out = command
        .env("XDG_CONFIG_HOME", "/nonexistent")
        .args(words)
        .output()
        .expect("runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("is UTF-8");
    (text(out.stdout), text(out.stderr), out.status.code())
}

#[test]
fn without_a_terminal_the_questions_are_printed() {
    let (out, err, code) = platespan(&["ask", "cod with fries or coleslaw", "--most", "1"]);
    assert_eq!((err.as_str(), code), ("", Some(0)));
    assert!(
        out.contains("1. Which was it: french fries or coleslaw"),
        "{out}"
    );
    assert!(out.contains("add \"; french fries\""), "{out}");
    assert!(!out.contains("2. "), "{out}");
}

#[test]
fn never_more_than_three_unless_asked_for() {
    let count = |words: &[&str]| {
        let out = platespan(words).0;
        let value: serde_json::Value = serde_json::from_str(&out).expect("is JSON");
        let list: Vec<JsonQuestion> =
            serde_json::from_value(value["questions"].clone()).expect("is a question");
        list.len()
    };
    // Where even a small narrowing is worth a question, there are many.
    let mut curious = tempfile::Builder::new()
        .suffix(".toml")
        .tempfile()
        .expect("can be made");
    std::io::Write::write_all(&mut curious, b"[asking]\nmost = 3\nworth = 0.001\n")
        .expect("can be written");
    let path = curious.path().to_str().expect("is UTF-8");
    let ask = |more: &[&str]| {
        let mut words = vec!["ask", "pasta with chicken", "--format", "json"];
        words.extend(["--library", path]);
        words.extend(more);
        count(&words)
    };
    assert_eq!(ask(&[]), 3);
    assert!(ask(&["--most", "8"]) > 3);
    assert_eq!(ask(&["--most", "0"]), 0);
}

#[test]
fn the_estimate_in_json_has_the_questions() {
    let (out, _, _) = platespan(&["estimate", "burger", "--format", "json", "--within", "700"]);
    let meal: JsonMeal = serde_json::from_str(&out).expect("is a meal");
    assert!((1..=3).contains(&meal.questions.len()));
    let question = &meal.questions[0];
    let width = |range: &platespan::report::JsonRange| (range.high / range.low).ln();
    let after: f64 = question
        .answers
        .iter()
        .map(|answer| answer.chance * width(&answer.kcal))
        .sum();
    let by = 1.0 - after / width(&question.kcal);
    assert!((by - question.narrowing).abs() < 0.01, "{by}");
    let within = meal.within.expect("was asked for");
    assert!(within.kcal == 700.0 && within.chance > 0.3 && within.chance < 1.0);
}

#[test]
fn within_is_said_in_words_and_in_the_unit_asked_for() {
    let last = |words: &[&str]| {
        platespan(words)
            .0
            .lines()
            .last()
            .unwrap_or_default()
            .to_owned()
    };
    let kcal = last(&["estimate", "lasagne", "--within", "5000"]);
    insta::assert_snapshot!(kcal, @"This meal is very likely to stay within 5,000 kcal: more than 99 %.");
    let kj = last(&["estimate", "lasagne", "--within", "100", "--energy", "kj"]);
    insta::assert_snapshot!(kj, @"This meal is very unlikely to stay within 100 kJ: less than 1 %.");
    for bad in ["0", "-3", "lots", "NaN", "inf"] {
        let flag = format!("--within={bad}");
        assert_eq!(
            platespan(&["estimate", "lasagne", &flag]).2,
            Some(2),
            "{bad}"
        );
    }
}

#[test]
fn meals_are_compared_in_words_and_json() {
    let (out, _, code) = platespan(&["compare", "lasagne", "side salad"]);
    assert_eq!(code, Some(0));
    assert!(
        out.contains("\"lasagne\" is very likely more than \"side salad\": "),
        "{out}"
    );
    let (out, _, _) = platespan(&[
        "compare",
        "side salad",
        "lasagne",
        "cod",
        "--format",
        "json",
    ]);
    let value: serde_json::Value = serde_json::from_str(&out).expect("is JSON");
    assert_eq!(value["meals"].as_array().map(Vec::len), Some(3));
    let pairs = value["pairs"].as_array().expect("a list");
    assert_eq!(pairs.len(), 3);
    assert_eq!(
        (&pairs[1]["more"], &pairs[1]["less"]),
        (&1.into(), &0.into())
    );
    assert!(
        pairs
            .iter()
            .all(|pair| pair["chance"].as_f64() > Some(0.35))
    );
    let (_, err, code) = platespan(&["compare", "lasagne", "zorbleflop"]);
    assert_eq!(code, Some(2));
    assert!(err.contains("meal 2: no food was found"), "{err}");
}

#[test]
fn a_meal_is_as_often_more_as_less_than_itself() {
    let (out, _, _) = platespan(&["compare", "lasagne", "lasagne"]);
    assert!(
        out.contains("may be more; the first is in 50 % of cases"),
        "{out}"
    );
}
