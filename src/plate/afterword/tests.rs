use crate::{Library, PlateOptions, estimate_text};

/// The plate as lines of "name, g, share eaten", in the order of its dishes.
#[track_caller]
fn plate(text: &str) -> Vec<(String, f64, f64)> {
    let library = Library::embedded();
    let estimate = estimate_text(&library, text, &PlateOptions::default()).expect("is read");
    assert_eq!(estimate.plate.not_understood, [], "{text}");
    let parts = estimate
        .plate
        .components
        .iter()
        .filter(|part| part.chance > 0.0);
    parts
        .map(|part| (part.name.clone(), part.grams[1].round(), part.eaten[1]))
        .collect()
}

#[track_caller]
fn same(a: &str, b: &str) {
    let (mut one, mut two) = (plate(a), plate(b));
    one.sort_by(|a, b| a.0.cmp(&b.0));
    two.sort_by(|a, b| a.0.cmp(&b.0));
    assert_eq!(one, two, "{a:?} and {b:?}");
}

#[test]
fn a_weight_is_said_of_the_thing_named_before() {
    same(
        "ribeye steak, mashed potatoes; 8 oz ribeye",
        "8 oz ribeye steak, mashed potatoes",
    );
    same(
        "ribeye steak, mashed potatoes; 8 oz steak",
        "8 oz ribeye steak, mashed potatoes",
    );
    same(
        "turkey sandwich; 3 oz turkey",
        "3 oz turkey sandwich"
            .replace("3 oz turkey sandwich", "sandwich with 3 oz turkey")
            .as_str(),
    );
}

#[test]
fn a_weight_is_said_of_what_a_dish_has_by_custom() {
    let before = plate("burger");
    let after = plate("burger; 8 oz patty");
    assert_eq!(before.len(), after.len());
    let patty = |plate: &[(String, f64, f64)]| {
        let mut all = plate.iter().filter(|part| part.0.contains("patty"));
        all.next().map(|part| part.1)
    };
    assert!(patty(&after) > patty(&before));
}

#[test]
fn a_size_or_preparation_is_said_of_its_own_dish() {
    same("burger, fries; large burger", "large burger, fries");
    same("chicken, rice; fried chicken", "fried chicken, rice");
    same("chicken, rice; grilled chicken", "grilled chicken, rice");
}

#[test]
fn an_open_choice_is_settled() {
    same("cod with fries or coleslaw; coleslaw", "cod with coleslaw");
    assert_eq!(
        plate("cod with choice of two sides; coleslaw; rice").len(),
        3
    );
}

#[test]
fn other_things_behind_a_semicolon_are_dishes_of_their_own() {
    assert_eq!(
        plate("lentil soup; french fries").len(),
        plate("lentil soup").len() + 1
    );
    assert_eq!(plate("2 doughnuts; 3 doughnuts").len(), 2);
    let two = plate("chicken taco; beef taco").len();
    assert!(two > plate("chicken taco").len());
    assert_eq!(plate("french fries; french fries").len(), 2);
}

#[test]
fn only_a_semicolon_makes_an_afterword() {
    assert_eq!(plate("ribeye steak\n8 oz ribeye steak").len(), 2);
}

#[test]
fn an_exact_share_takes_the_place_of_a_vague_one() {
    let eaten = |text: &str| plate(text)[0].2;
    assert!((eaten("lasagne; ate most of it; ate half") - 0.5).abs() < 1e-9);
    assert!((eaten("lasagne; shared it; ate a quarter") - 0.25).abs() < 1e-9);
    // Two exact ones multiply: half of what was left, say.
    assert!((eaten("lasagne; ate half; ate half") - 0.25).abs() < 1e-9);
}
