//! The library we ship, and a user's own laid over it.

mod common;

use assert_cmd::Command;
use common::library;
use platespan::library::{Entry, check};
use platespan::{Library, LibraryError, Nutrient, Overlay, PlateOptions, estimate_text};

fn overlay(name: &str, text: &str) -> Overlay {
    Overlay {
        name: name.to_owned(),
        text: text.to_owned(),
    }
}

#[track_caller]
fn with(overlays: &[Overlay]) -> Library {
    Library::with_overlays(overlays).unwrap_or_else(|error| panic!("{error}"))
}

#[track_caller]
fn likely(library: &Library, text: &str) -> f64 {
    let estimate = estimate_text(library, text, &PlateOptions::default());
    estimate
        .unwrap_or_else(|error| panic!("{text}: {error}"))
        .total(Nutrient::Energy)
        .likely
}

/// A food of 100 kcal in 100 g, 200 g of it, with these words.
fn food(id: &str, alias: &str, kcal: f64) -> String {
    format!(
        "[[food]]\nid = \"{id}\"\nname = \"{alias}\"\naliases = [\"{alias}\"]\ncategory = \"meat-dish\"\nsource = \"a label\"\n\
         per_100g = {{ kcal = {kcal:?}, protein = 10, fat = 4, carbohydrate = 6 }}\n\
         portions = {{ main = [150, 200, 250] }}\nevidence = \"standard: the label\"\n"
    )
}

#[test]
fn every_entry_we_ship_is_sound() {
    let faults: Vec<String> = check::check(library())
        .into_iter()
        .filter(|finding| finding.is_fault)
        .map(|finding| finding.to_string())
        .collect();
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
}

#[test]
fn every_name_we_ship_finds_its_food_or_dish() {
    let library = library();
    let foods = library.foods.iter().map(|food| &food.id);
    for id in foods.chain(library.dishes.iter().map(|dish| &dish.id)) {
        let entry = library
            .find(id)
            .unwrap_or_else(|| panic!("`{id}` is not found by its id"));
        match entry {
            Entry::Food(food) => assert_eq!(library.food(food).id, *id),
            Entry::Dish(dish) => assert_eq!(library.dish(dish).id, *id),
        }
    }
}

#[test]
fn every_alias_we_ship_can_be_estimated() {
    // One name of each entry, so that the test stays quick.
    let library = library();
    let foods =
        (0..library.foods.len()).map(|index| Entry::Food(platespan::library::FoodId(index)));
    let dishes =
        (0..library.dishes.len()).map(|index| Entry::Dish(platespan::library::DishId(index)));
    let mut faults = Vec::new();
    for entry in foods.chain(dishes) {
        let Some(name) = library.aliases(entry).into_iter().next() else {
            continue;
        };
        match estimate_text(library, &name, &PlateOptions::default()) {
            Ok(estimate) => {
                let energy = estimate.total(Nutrient::Energy);
                if !(energy.likely >= 0.0 && energy.high < 6_000.0 && energy.low <= energy.high) {
                    faults.push(format!("{name}: {energy:?}"));
                }
            }
            Err(error) => faults.push(format!("{name}: {error}")),
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn an_entry_of_the_same_id_replaces_ours() {
    let apple = "[[food]]\nid = \"apple-raw\"\nname = \"Orchard apple\"\naliases = [\"apple\"]\ncategory = \"fruit\"\n\
        source = \"a label\"\nper_100g = { kcal = 500, protein = 0, fat = 0, carbohydrate = 125 }\n";
    let ours = likely(library(), "200 g apple");
    let own = with(&[overlay("mine.toml", apple)]);
    assert!((ours / 104.0 - 1.0).abs() < 0.05, "{ours}");
    let theirs = likely(&own, "200 g apple");
    assert!((theirs / 1000.0 - 1.0).abs() < 0.05, "{theirs}");
    let id = own.find_food("apple-raw").expect("the apple");
    assert_eq!(own.food(id).file, "mine.toml");
    assert_eq!(own.foods.len(), library().foods.len());
}

#[test]
fn a_new_id_adds_and_its_name_wins_over_ours() {
    let own = with(&[overlay(
        "mine.toml",
        &food("house-quafflet", "quafflet", 100.0),
    )]);
    assert_eq!(own.foods.len(), library().foods.len() + 1);
    let energy = likely(&own, "quafflet");
    assert!((150.0..225.0).contains(&energy), "{energy}");
    assert!(estimate_text(library(), "quafflet", &PlateOptions::default()).is_err());

    let lasagne = with(&[overlay(
        "mine.toml",
        &food("house-lasagne", "lasagne", 100.0),
    )]);
    let estimate = estimate_text(&lasagne, "lasagne", &PlateOptions::default()).unwrap();
    let part = &estimate.rows[0].component;
    assert_eq!(
        (part.name.as_str(), part.file.as_str()),
        ("lasagne", "mine.toml")
    );
}

#[test]
fn the_later_of_two_layers_wins() {
    let layers = [
        overlay("region.toml", &food("house-quafflet", "quafflet", 100.0)),
        overlay("coach.toml", &food("house-quafflet", "quafflet", 300.0)),
    ];
    let energy = likely(&with(&layers), "200 g quafflet");
    assert!((energy / 600.0 - 1.0).abs() < 0.05, "{energy}");
    let other_way: Vec<Overlay> = layers.into_iter().rev().collect();
    let energy = likely(&with(&other_way), "200 g quafflet");
    assert!((energy / 200.0 - 1.0).abs() < 0.05, "{energy}");
}

#[test]
fn a_second_layer_may_build_on_the_first() {
    let blend = "[[food]]\nid = \"double-quafflet\"\nname = \"Quafflet and butter\"\naliases = [\"rich quafflet\"]\n\
        category = \"meat-dish\"\nblend = [[\"house-quafflet\", 90.0], [\"butter\", 10.0]]\n";
    let own = with(&[
        overlay("first.toml", &food("house-quafflet", "quafflet", 100.0)),
        overlay("second.toml", blend),
    ]);
    let id = own.find_food("double-quafflet").expect("the blend");
    // 90 g of 100 kcal and 10 g of 717 kcal (USDA SR 01001) in 100 g.
    let kcal = own.food(id).per_100g.kcal;
    assert!((kcal - (90.0 + 71.7)).abs() < 0.5, "{kcal}");
}

#[test]
fn one_id_twice_in_one_layer_is_an_error() {
    let twice = format!(
        "{}\n{}",
        food("house-quafflet", "quafflet", 100.0),
        food("house-quafflet", "other quafflet", 90.0)
    );
    let error = Library::with_overlays(&[overlay("mine.toml", &twice)]).expect_err("an error");
    assert!(matches!(error, LibraryError::DuplicateId { .. }), "{error}");
    assert!(error.to_string().contains("house-quafflet"), "{error}");
}

#[test]
fn one_name_for_two_entries_of_a_layer_is_found_by_the_check() {
    let two = format!(
        "{}\n{}",
        food("house-quafflet", "quafflet", 100.0),
        food("best-quafflet", "quafflet", 90.0)
    );
    let own = with(&[overlay("mine.toml", &two)]);
    let found = check::check(&own);
    assert!(
        found
            .iter()
            .any(|finding| finding.message.contains("quafflet") && finding.file == "mine.toml"),
        "{:?}",
        found
            .iter()
            .filter(|finding| finding.file == "mine.toml")
            .collect::<Vec<_>>()
    );
}

#[test]
fn a_label_is_entered_per_serving() {
    let bar = "[[food]]\nid = \"quafflet-bar\"\nname = \"Quafflet bar\"\naliases = [\"quafflet bar\"]\ncategory = \"cookie\"\n\
        source = \"packet label\"\nmeasures = { piece = 45 }\n\
        per_serving = { grams = 45, kcal = 190, protein = 4, fat = 7, carbohydrate = 28, fibre = 3 }\n";
    let own = with(&[overlay("mine.toml", bar)]);
    let id = own.find_food("quafflet-bar").expect("the bar");
    let per = own.food(id).per_100g;
    assert!((per.kcal - 190.0 / 0.45).abs() < 1e-6 && (per.fibre - 3.0 / 0.45).abs() < 1e-6);
    let energy = likely(&own, "45 g quafflet bar");
    assert!((energy / 190.0 - 1.0).abs() < 0.05, "{energy}");
}

#[test]
fn published_figures_are_used_as_they_are() {
    let dish = "[[food]]\nid = \"house-quafflet\"\nname = \"Quafflet, as published\"\naliases = [\"house quafflet\"]\n\
        category = \"meat-dish\"\nserved_as = \"main\"\nsource = \"the menu board\"\npublished = true\n\
        per_serving = { grams = 320, kcal = 610, protein = 21, fat = 28, carbohydrate = 68 }\n\
        portions = { main = [320, 320, 320] }\nevidence = \"standard: the stated serving\"\n";
    let own = with(&[overlay("mine.toml", dish)]);
    let estimate = estimate_text(&own, "house quafflet", &PlateOptions::default()).unwrap();
    let energy = estimate.total(Nutrient::Energy);
    for value in [energy.low, energy.likely, energy.high] {
        assert!((value - 610.0).abs() < 1.0, "{energy:?}");
    }
}

#[test]
fn an_alias_of_an_overlay_leads_to_our_entry() {
    let own = with(&[overlay(
        "mine.toml",
        "[[alias]]\nof = \"french-fries\"\nwords = [\"house quafflets\"]\n",
    )]);
    let estimate = estimate_text(&own, "house quafflets", &PlateOptions::default()).unwrap();
    let food = estimate.rows[0].component.food.expect("a food");
    assert_eq!(own.food(food).id, "french-fries");
    let error = Library::with_overlays(&[overlay(
        "mine.toml",
        "[[alias]]\nof = \"fench-fries\"\nwords = [\"x\"]\n",
    )]);
    let message = error.expect_err("an error").to_string();
    assert!(
        message.contains("french-fries") && message.contains("mine.toml"),
        "{message}"
    );
}

#[test]
fn the_starter_file_passes_its_check_and_is_used() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("my-library.toml");
    let platespan = || {
        let mut command = Command::new(env!("CARGO_BIN_EXE_platespan"));
        command.env("XDG_CONFIG_HOME", folder.path().join("config"));
        command
    };
    platespan()
        .args(["library", "new"])
        .arg(&path)
        .assert()
        .success();
    let starter = Overlay::read(&path).expect("the file");
    let found: Vec<String> = check::check(&with(&starter))
        .into_iter()
        .filter(|finding| finding.is_fault && finding.file.contains("my-library"))
        .map(|finding| finding.to_string())
        .collect();
    assert_eq!(found, Vec::<String>::new());
    let output = platespan()
        .args([
            "estimate",
            "oat bar and house chips",
            "--format",
            "json",
            "--library",
        ])
        .arg(&path)
        .output()
        .expect("to run");
    let json = String::from_utf8(output.stdout).expect("UTF-8");
    assert!(
        json.contains("my-oat-bar")
            && json.contains("my-library.toml")
            && json.contains("french-fries"),
        "{json}"
    );

    // In the configuration folder every command finds it.
    let own = folder.path().join("config/platespan/library");
    std::fs::create_dir_all(&own).expect("a folder");
    std::fs::copy(&path, own.join("mine.toml")).expect("a copy");
    let output = platespan()
        .args(["estimate", "corner kitchen lentil pie", "--format", "csv"])
        .output()
        .expect("to run");
    assert!(String::from_utf8_lossy(&output.stdout).contains("610"));
}

#[test]
fn an_id_is_given_once_in_a_layer_and_to_one_kind() {
    let dish = "[[dish]]\nid = \"barley-pot\"\nname = \"Barley pot\"\naliases = [\"barley pot\"]\nkitchen = \"diner\"\ncourse = \"main\"\n\
                slots = [{ slot = \"bread\", food = \"white-bread\", role = \"base\" }]\n";
    let food = food("barley-pot", "barley pot", 100.0);
    let refused = |overlays: &[Overlay]| match Library::with_overlays(overlays) {
        Err(error @ LibraryError::DuplicateId { .. }) => error.to_string(),
        other => panic!("{:?}", other.map(|_| "taken")),
    };
    let mixed = [overlay("a.toml", &food), overlay("b.toml", dish)];
    insta::assert_snapshot!(refused(&mixed), @"`barley-pot` is defined in a.toml and again in b.toml; give one of them another id");
    insta::assert_snapshot!(refused(&[overlay("a.toml", &format!("{dish}{dish}"))]), @"`barley-pot` is defined in a.toml and again in a.toml; give one of them another id");
    // Later layers replace, each the one before.
    let layers = [100.0, 200.0, 300.0].map(|kcal| self::food("barley-pot", "barley pot", kcal));
    let layers = [
        overlay("a.toml", &layers[0]),
        overlay("b.toml", &layers[1]),
        overlay("c.toml", &layers[2]),
    ];
    let library = with(&layers);
    let found = library.find_food("barley-pot").expect("the food");
    assert_eq!(library.food(found).per_100g.kcal, 300.0);
    assert_eq!(library.food(found).file, "c.toml");
}
