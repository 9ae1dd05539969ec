//! How large a dish is served, by where and as what: the section, a word, `--setting`, and which of them comes first.

use platespan::{Library, Nutrient, PlateOptions, estimate_text};
use std::sync::LazyLock;

static LIBRARY: LazyLock<Library> = LazyLock::new(Library::embedded);

/// kcal, likely.
#[track_caller]
fn energy(text: &str, section: Option<&str>, setting: Option<&str>) -> f64 {
    let options = PlateOptions {
        section: section.map(str::to_owned),
        setting: setting.map(str::to_owned),
        ..PlateOptions::default()
    };
    let estimate = estimate_text(&LIBRARY, text, &options);
    estimate
        .unwrap_or_else(|error| panic!("{text}: {error}"))
        .total(Nutrient::Energy)
        .likely
}

#[test]
fn settings_order_as_plates_do() {
    for text in [
        "lamb tagine with couscous",
        "aubergine parmesan",
        "trout with new potatoes and green beans",
    ] {
        let by = |setting| energy(text, None, Some(setting));
        for (smaller, larger) in [
            ("tasting", "small-plate"),
            ("small-plate", "starter"),
            ("starter", "main"),
            ("kids", "lunch"),
            ("lunch", "main"),
            ("buffet", "main"),
            ("fine", "cafe"),
            ("cafe", "casual"),
            ("casual", "pub"),
        ] {
            assert!(
                by(smaller) < by(larger),
                "{text}: {smaller} {:.0}, {larger} {:.0}",
                by(smaller),
                by(larger)
            );
        }
    }
}

#[test]
fn a_heading_chooses_and_the_setting_overrides() {
    let text = "duck leg with lentils";
    let main = energy(text, Some("Mains"), None);
    let starter = energy(text, Some("Starters"), None);
    assert!(starter < 0.85 * main, "{starter:.0} {main:.0}");
    let over = energy(text, Some("Starters"), Some("main"));
    assert!((over / main - 1.0).abs() < 0.01, "{over:.0} {main:.0}");
}

#[test]
fn a_word_of_the_line_chooses() {
    let plain = energy("mushroom risotto", None, None);
    assert!(energy("starter portion of mushroom risotto", None, None) < 0.85 * plain);
    assert!(energy("kids' mushroom risotto", None, None) < 0.8 * plain);
}

#[test]
fn every_setting_is_known_by_its_id() {
    for setting in [
        "starter",
        "main",
        "side",
        "small-plate",
        "lunch",
        "kids",
        "tasting",
        "buffet",
        "cafe",
        "casual",
        "fine",
        "pub",
    ] {
        energy("leek tart", None, Some(setting));
    }
}
