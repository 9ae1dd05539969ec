//! A reply to a client's message, through the public API and the command.

mod common;
#[path = "fixed/mod.rs"]
mod fixed;

use common::library;
use fixed::{Place, run, stdout};
use platespan::entries::{LineOptions, Measure};
use platespan::reply::{Reply, ReplyOptions, Tone, VARIABLES, reply};

#[track_caller]
fn reply_to(message: &str, options: ReplyOptions) -> Reply {
    reply(library(), message, &options).unwrap_or_else(|error| panic!("\"{message}\": {error}"))
}

fn brief(message: &str) -> Reply {
    reply_to(message, ReplyOptions::default())
}

fn error_of(template: &str) -> String {
    let options = ReplyOptions {
        template: Some(("mine.txt".to_owned(), template.to_owned())),
        ..ReplyOptions::default()
    };
    reply(library(), "lentil soup", &options)
        .map(|reply| reply.text)
        .expect_err("the template is at fault")
        .to_string()
}

#[test]
fn a_reply_greets_gives_the_range_and_asks_one_thing() {
    let options = ReplyOptions {
        name: Some("Sam".to_owned()),
        ..ReplyOptions::default()
    };
    let message = "Hi! Had the mushroom risotto, left about a third. How do I write this down?";
    let text = reply_to(message, options).text;
    assert!(text.starts_with("Hi Sam,"), "{text}");
    assert!(text.contains("kcal") && text.contains("between"), "{text}");
    assert_eq!(text.matches('?').count(), 1, "{text}");
}

#[test]
fn a_message_is_read_as_clients_write_it() {
    let message = "Hey Xandrine! Sorry for the late message. We had the fish pie with peas for dinner, \
                   then I shared a lemon tart with a friend. Left about half the pie… thanks so much xx";
    let reply = brief(message);
    let plate = &reply.estimate.plate;
    assert_eq!(plate.not_understood, [], "{}", reply.text);
    let eaten = |word: &str| {
        plate
            .components
            .iter()
            .find(|part| part.name.to_lowercase().contains(word))
            .map(|part| part.eaten[1])
    };
    assert_eq!(eaten("pie"), Some(0.5), "{}", reply.text);
    assert_eq!(eaten("tart"), Some(0.5), "{}", reply.text);
}

#[test]
fn what_is_asked_of_the_coach_is_no_food() {
    for message in [
        "Lunch was lentil soup with two slices of bread. Does that sound right?",
        "Is the fish pie with peas safe, I have a nut allergy?",
        "Do you know how many carbs are in lentil soup, so I can set my insulin?",
    ] {
        let reply = brief(message);
        assert_eq!(reply.estimate.plate.not_understood, [], "{}", reply.text);
    }
}

#[test]
fn what_a_client_says_next_is_no_measure() {
    let energy = |message| {
        brief(message)
            .estimate
            .rows
            .iter()
            .map(|row| row.nutrients[0].likely)
            .sum::<f64>()
    };
    assert_eq!(
        energy("how many carbs in chips, so I can set my insulin?"),
        energy("chips")
    );
}

#[test]
fn a_message_without_food_is_shown_as_it_came() {
    for message in ["hello there, how are you?", "Cheers, so much!"] {
        let error = reply(library(), message, &ReplyOptions::default())
            .map(|reply| reply.text)
            .expect_err(message)
            .to_string();
        assert!(error.contains(message), "{error}");
    }
}

#[test]
fn words_that_nothing_knows_are_told_and_asked_about() {
    let text = brief("trout and a zorblat").text;
    assert!(text.contains("I couldn't place \"zorblat\""), "{text}");
    assert!(text.contains("What was the \"zorblat\"?"), "{text}");
}

#[test]
fn each_kind_of_word_calls_for_its_own_caution() {
    for (message, about) in [
        (
            "I'm pregnant, is the goat cheese tart alright?",
            "pregnancy",
        ),
        ("I'm diabetic. Lentil soup, bread", "medicine"),
        ("how much insulin for lentil soup", "insulin"),
        ("I have a nut allergy. Had the lentil soup", "allergy"),
        ("my daughter had tomato soup", "children"),
        ("I have an eating disorder. Had a scone", "alone"),
        ("on dialysis, had the beef stew", "doctor"),
    ] {
        let reply = brief(message);
        assert_eq!(reply.cautions.len(), 1, "{message}: {:?}", reply.cautions);
        let caution = reply.cautions[0].to_lowercase();
        assert!(caution.contains(about), "{message}: {caution}");
        assert!(reply.text.contains(&reply.cautions[0]), "{message}");
        assert_eq!(reply.estimate.plate.not_understood, [], "{message}");
    }
}

#[test]
fn a_plain_message_is_not_nagged() {
    for message in [
        "lentil soup and bread",
        "kidney bean salad, baby spinach, type of cheese unknown",
        "kids size pasta bake",
    ] {
        assert_eq!(brief(message).cautions, Vec::<String>::new(), "{message}");
    }
}

#[test]
fn no_reply_judges() {
    for tone in [Tone::Brief, Tone::Full] {
        let options = ReplyOptions {
            tone,
            ..ReplyOptions::default()
        };
        let message = "oops, cheat day: whole pizza, three beers, cheesecake, feeling guilty";
        let text = reply_to(message, options).text.to_lowercase();
        for word in [
            "should",
            "too much",
            "bad",
            "cheat",
            "guilt",
            "unhealthy",
            "junk",
            "only",
        ] {
            assert!(!text.contains(word), "{word}: {text}");
        }
    }
}

#[test]
fn the_full_tone_says_all_that_the_brief_one_says_and_macros() {
    let options = ReplyOptions {
        tone: Tone::Full,
        ..ReplyOptions::default()
    };
    let full = reply_to("lentil soup, garlic bread", options).text;
    let brief = brief("lentil soup, garlic bread").text;
    assert!(full.contains("Protein is about") && !brief.contains("Protein"));
    assert!(full.len() > brief.len());
}

#[test]
fn a_hand_is_explained_in_the_brief_reply_too() {
    let options = ReplyOptions {
        lines: LineOptions {
            measure: Measure::Hand,
            ..LineOptions::default()
        },
        ..ReplyOptions::default()
    };
    let text = reply_to("sirloin steak, rice", options).text;
    assert!(text.contains("1 palm is about 4 oz"), "{text}");
}

#[test]
fn a_template_of_one_s_own_may_use_every_variable_that_is_documented() {
    for (name, _) in VARIABLES {
        let options = ReplyOptions {
            template: Some(("mine.txt".to_owned(), format!("so: {{{{ {name} }}}}"))),
            ..ReplyOptions::default()
        };
        assert!(
            reply_to("lentil soup", options).text.starts_with("so:"),
            "{name}"
        );
    }
    let template = "{% for line in lines %}{{ line.name }}|{{ line.amount }}|{{ line.energy }}|{{ line.low }}|\
                    {{ line.high }}|{{ line.protein_g }}|{{ line.fat_g }}|{{ line.carbohydrate_g }}|{{ line.fibre_g }}|\
                    {{ line.alcohol_g }}|{{ line.dish }}|{{ line.parts | join }}|{{ line.note }}{% endfor %}\
                    {{ energy.low }}{{ energy.likely }}{{ energy.high }}{{ energy.unit }}";
    let options = ReplyOptions {
        template: Some(("mine.txt".to_owned(), template.to_owned())),
        ..ReplyOptions::default()
    };
    assert!(reply_to("lentil soup", options).text.contains("kcal"));
}

#[test]
fn a_template_s_fault_is_told_with_its_line_and_what_is_available() {
    insta::assert_snapshot!(error_of("Hello\n{{ lines"), @"mine.txt, line 2: unexpected end of input, expected end of variable block; check that every `{{`, `{%` and `{#` is closed and every `for` and `if` has its end");
    insta::assert_snapshot!(error_of("Hello\n\n{{ nmae }}"), @"mine.txt, line 3: there is no `nmae`; did you mean `name`? Available: name, message, lines, energy, protein_g, fat_g, carbohydrate_g, fibre_g, alcohol_g, question, unknown, assumptions, cautions, sizes, measure, tone");
    insta::assert_snapshot!(error_of("{% for line in lines %}\n{{ line.nam }}{% endfor %}"), @"mine.txt, line 2: `line.nam` is undefined. Available: energy.low, energy.likely, energy.high, energy.unit; of a line name, amount, energy, low, high, protein_g, fat_g, carbohydrate_g, fibre_g, alcohol_g, dish, parts, note");
    insta::assert_snapshot!(error_of(" \n"), @"mine.txt: the template leaves an empty reply; start from `{% for line in lines %}{{ line.name }}: {{ line.amount }}{% endfor %}`");
    insta::assert_snapshot!(error_of("{% for a in range(90000) %}{% for b in range(90000) %}x{% endfor %}{% endfor %}"), @"mine.txt, line 1: the template does not come to an end in good time; make its loops shorter. Available: name, message, lines, energy, protein_g, fat_g, carbohydrate_g, fibre_g, alcohol_g, question, unknown, assumptions, cautions, sizes, measure, tone");
}

#[test]
fn no_template_makes_it_panic() {
    for template in [
        "{{",
        "{% for %}",
        "{{ 1 / 0 }}",
        "{{ lines[99].name }}",
        "{% include 'x' %}",
        "{{ lines.name() }}",
        "\u{0}{{ energy.likely * 2 }}",
        "{% macro a() %}{{ a() }}{% endmacro %}{{ a() }}",
    ] {
        let options = ReplyOptions {
            template: Some(("mine.txt".to_owned(), template.to_owned())),
            ..ReplyOptions::default()
        };
        if let Err(error) = reply(library(), "lentil soup", &options) {
            assert!(
                error.to_string().starts_with("mine.txt"),
                "{template}: {error}"
            );
        }
    }
}

#[test]
fn the_command_says_what_is_wrong_and_ends_with_2() {
    let place = Place::new();
    place.file("bad.txt", "{{ nmae }}");
    for (args, said) in [
        (["reply", "soup", "--template", "none.txt"], "none.txt"),
        (
            ["reply", "soup", "--template", "bad.txt"],
            "did you mean `name`",
        ),
        (["reply", "soup", "--tone", "harsh"], "brief"),
        (["reply", "hi there", "--tone", "full"], "no food was found"),
    ] {
        let (out, errors, code) = run(place.platespan().args(args));
        assert_eq!(code, 2, "{args:?}: {errors}");
        assert!(errors.contains(said), "{args:?}: {errors}");
        assert_eq!(out, "", "{args:?}");
    }
}

#[test]
fn a_message_comes_from_standard_input_too() {
    let place = Place::new();
    let mut command = place.platespan();
    let out = stdout(
        command
            .args(["reply", "--energy", "kj"])
            .write_stdin("Hi!\nlentil soup\nand rye bread\n"),
    );
    assert!(out.contains(" kJ as a ballpark"), "{out}");
}

#[test]
fn what_people_read() {
    let place = Place::new();
    let message =
        "Hi Xandrine! I'm pregnant and had the loomfish with vellroot mash, left half the mash";
    for (name, args) in [
        ("reply_brief", ["--tone", "brief", "--measure", "scale"]),
        ("reply_full", ["--tone", "full", "--measure", "hand"]),
    ] {
        let mut command = place.with_fixed_foods();
        command
            .args(["reply", "--name", "Rosa", message])
            .args(args);
        insta::assert_snapshot!(name, stdout(&mut command));
    }
}
