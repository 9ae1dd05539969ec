//! What makes a range wider, and what narrower.

use platespan::{Library, Nutrient, PlateOptions, Range, estimate_text};

#[track_caller]
fn energy(text: &str) -> Range {
    let library = Library::embedded();
    let estimate = estimate_text(&library, text, &PlateOptions::default()).expect("is read");
    estimate.total(Nutrient::Energy)
}

#[track_caller]
fn wider(vague: &str, clear: &str) {
    let (wide, narrow) = (energy(vague).width(), energy(clear).width());
    assert!(
        wide > 1.02 * narrow,
        "{vague:?} {wide:.3}, {clear:?} {narrow:.3}"
    );
}

#[test]
fn vague_words_give_wider_ranges_than_described_ones() {
    wider(
        "sandwich",
        "sandwich with 2 slices of white bread, 60 g turkey, 20 g cheddar, 10 g mayonnaise, no butter",
    );
    wider(
        "salad",
        "100 g lettuce, 50 g tomato, 30 g cheddar, 2 tbsp italian dressing",
    );
    wider(
        "steak dinner",
        "8 oz sirloin steak, 200 g mashed potatoes, 90 g broccoli",
    );
    wider("soup", "300 g tomato soup");
}

#[test]
fn an_unknown_word_widens() {
    wider("cod, mashed potatoes, zorbleflop", "cod, mashed potatoes");
    wider("lasagne, zorbleflop", "lasagne");
}

#[test]
fn a_stated_weight_narrows() {
    for (bare, stated) in [
        ("ribeye steak", "8 oz ribeye steak"),
        ("mashed potatoes", "200 g mashed potatoes"),
        ("lasagne", "350 g lasagne"),
        ("glass of red wine", "5 fl oz red wine"),
        ("burger", "burger; 6 oz patty"),
    ] {
        wider(bare, stated);
    }
}

#[test]
fn about_is_wider_than_a_plain_weight() {
    wider("about 8 oz ribeye steak", "8 oz ribeye steak");
    wider("6-10 oz ribeye steak", "8 oz ribeye steak");
}

#[test]
fn half_eaten_is_half_of_what_is_likely() {
    for text in [
        "lasagne",
        "burger, fries",
        "cod, rice or mashed potatoes",
        "salad",
    ] {
        let (all, half) = (energy(text), energy(&format!("{text}; ate half")));
        assert!(
            (half.likely - all.likely / 2.0).abs() < 1e-9 * all.likely,
            "{text}"
        );
        assert!((half.width() - all.width()).abs() < 1e-6, "{text}");
    }
}

#[test]
fn a_vague_share_is_wider_than_an_exact_one() {
    wider("lasagne; ate some of it", "lasagne; ate half");
    wider("shared a lasagne", "lasagne; ate half");
}

#[test]
fn an_open_choice_widens() {
    wider(
        "cod with french fries or green beans",
        "cod with french fries",
    );
    wider(
        "cod with french fries or green beans",
        "cod with green beans",
    );
    wider("cod with choice of side", "cod with mashed potatoes");
}

#[test]
fn a_part_that_may_be_there_widens() {
    wider("burger", "burger; no mayonnaise");
    wider("sandwich", "sandwich; no mayonnaise");
}

#[test]
fn width_is_0_for_nothing_and_bounded_for_what_may_be_nothing() {
    assert_eq!(Range::default().width(), 0.0);
    let maybe = Range {
        low: 0.0,
        likely: 50.0,
        high: 100.0,
    };
    assert!(maybe.width().is_finite());
}
