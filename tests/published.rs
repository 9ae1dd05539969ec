//! The library and the rules against published figures. Each figure has its source beside it; a fact of the trade without
//! one is marked "common practice, no source", and a figure typed from memory is marked so.

mod common;

use common::{estimate, library, plate_of};
use platespan::library::Origin;
use platespan::report::json_meal;
use platespan::{Estimate, Nutrient};

/// g in one avoirdupois ounce (NIST Handbook 44, appendix C).
const OUNCE: f64 = 28.3495;

/// A portion that was weighed in restaurants: words, citation, mean g, number, standard deviation (g; 0 where none is given).
struct Weighed(&'static str, &'static str, f64, u32, f64);

const WEIGHED: [Weighed; 29] = [
    Weighed(
        "fried mozzarella sticks",
        "USDA SR 36012, serving",
        245.0,
        34,
        37.69,
    ),
    Weighed("sirloin steak", "USDA SR 36013, serving", 166.0, 22, 22.877),
    Weighed("french fries", "USDA SR 36014, serving", 170.0, 34, 54.344),
    Weighed(
        "kids' chicken fingers",
        "USDA SR 36015, serving",
        114.0,
        32,
        27.321,
    ),
    Weighed(
        "breaded fried shrimp",
        "USDA SR 36016, serving",
        135.0,
        46,
        0.0,
    ),
    Weighed(
        "kids' macaroni and cheese",
        "USDA SR 36017, serving",
        210.0,
        44,
        57.425,
    ),
    Weighed(
        "battered fish fillet",
        "USDA SR 36033, serving",
        226.0,
        24,
        32.967,
    ),
    Weighed(
        "chicken tenders",
        "USDA SR 36034, serving",
        201.0,
        44,
        35.577,
    ),
    Weighed("coleslaw", "USDA SR 36035, serving", 108.0, 34, 47.45),
    Weighed("cup of chili", "USDA SR 36037, serving", 182.0, 12, 52.027),
    Weighed(
        "spaghetti and meatballs",
        "USDA SR 36038, serving",
        565.0,
        11,
        111.84,
    ),
    Weighed("hash browns", "USDA SR 36039, serving", 124.0, 12, 35.329),
    Weighed("1 beef empanada", "USDA SR 36403, piece", 89.0, 9, 24.087),
    Weighed("1 cup gallo pinto", "USDA SR 36405, cup", 146.0, 4, 26.257),
    Weighed("1 bean pupusa", "USDA SR 36408, piece", 126.0, 10, 22.269),
    Weighed("1 cheese pupusa", "USDA SR 36409, piece", 117.0, 11, 21.307),
    Weighed("1 pork pupusa", "USDA SR 36410, piece", 122.0, 9, 24.655),
    Weighed(
        "black bean soup, 1 cup",
        "USDA SR 36413, cup",
        246.0,
        6,
        41.436,
    ),
    Weighed("1 cup menudo", "USDA SR 36414, cup", 200.0, 11, 24.676),
    Weighed("1 arepa", "USDA SR 36415, piece", 98.0, 5, 54.988),
    Weighed("1 egg roll", "USDA SR 36601, piece", 89.0, 12, 19.37),
    Weighed("1 cup fried rice", "USDA SR 36602, cup", 137.0, 23, 9.616),
    Weighed(
        "1 hard shell beef taco",
        "USDA SR 21082, taco",
        69.0,
        12,
        11.225,
    ),
    Weighed("1 soft beef taco", "USDA SR 21486, taco", 102.0, 12, 13.703),
    Weighed(
        "1 soft chicken taco",
        "USDA SR 21487, taco",
        98.0,
        12,
        9.985,
    ),
    Weighed("1 hush puppy", "USDA SR 21129, piece", 22.0, 36, 3.62),
    Weighed(
        "12-inch tuna sub",
        "USDA SR 21126, 12 inch sub",
        474.0,
        12,
        31.009,
    ),
    Weighed(
        "1 slice of cheese pizza",
        "USDA SR 21299, slice",
        107.0,
        192,
        21.262,
    ),
    Weighed(
        "croissant with egg, cheese and sausage",
        "USDA SR 21014, sandwich",
        171.0,
        12,
        14.682,
    ),
];

/// g of all that is there more often than not: low, likely, high.
fn grams(estimate: &Estimate) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for row in &estimate.rows {
        if row.component.chance >= 0.5 {
            for (sum, grams) in sum.iter_mut().zip(row.component.grams) {
                *sum += grams;
            }
        }
    }
    sum
}

#[test]
fn weighed_restaurant_portions_lie_inside_the_range() {
    let mut faults = Vec::new();
    for Weighed(text, citation, mean, number, sd) in WEIGHED {
        let [low, likely, high] = grams(&estimate(text));
        if !(low <= mean && mean <= high) {
            faults.push(format!(
                "{text}: {low:.0}–{high:.0} g misses the mean of {mean} g ({citation}, n {number})"
            ));
        }
        // The 10th to 90th percentile of what was weighed, if normal, and the tool's own must share at least half of the
        // narrower of the two; and the tool's must not be so wide that it says nothing.
        let (from, to) = (mean - 1.2816 * sd, mean + 1.2816 * sd);
        let shared = high.min(to) - low.max(from);
        if sd > 0.0 && shared < 0.5 * (to - from).min(high - low) {
            faults.push(format!(
                "{text}: {low:.0}–{high:.0} g hardly meets {from:.0}–{to:.0} g ({citation})"
            ));
        }
        if high > 3.6 * low || !(0.6..=1.6).contains(&(likely / mean)) {
            faults.push(format!(
                "{text}: {low:.0}, {likely:.0}, {high:.0} g against {mean} g ({citation})"
            ));
        }
    }
    assert!(faults.is_empty(), "\n{}", faults.join("\n"));
}

#[test]
fn a_stated_serving_has_the_energy_of_its_composition() {
    // Words of so many g as served, and kcal per 100 g of the row.
    for (text, grams, kcal, citation) in [
        (
            "245 g fried mozzarella sticks",
            245.0,
            325.0,
            "USDA SR 36012",
        ),
        ("166 g cooked sirloin steak", 166.0, 195.0, "USDA SR 36013"),
        ("170 g french fries", 170.0, 289.0, "USDA SR 36014"),
        (
            "201 g chicken tenders, cooked",
            201.0,
            302.0,
            "USDA SR 36034",
        ),
        ("108 g coleslaw", 108.0, 159.0, "USDA SR 36035"),
        ("182 g chili", 182.0, 157.0, "USDA SR 36037"),
        ("124 g hash browns", 124.0, 197.0, "USDA SR 36039"),
        ("89 g egg roll", 89.0, 250.0, "USDA SR 36601"),
        ("246 g black bean soup", 246.0, 103.0, "USDA SR 36413"),
        ("107 g cheddar", 107.0, 403.0, "USDA SR 01009"),
        ("100 g white rice", 100.0, 130.0, "USDA SR 20045"),
    ] {
        let expected = grams * kcal / 100.0;
        let likely = estimate(text).total(Nutrient::Energy).likely;
        assert!(
            (likely / expected - 1.0).abs() < 0.08,
            "{text}: {likely:.0} kcal, {expected:.0} by {citation}"
        );
    }
}

/// Foods whose figures repeat a table.
fn table_foods() -> impl Iterator<Item = &'static platespan::library::Food> {
    library()
        .foods
        .iter()
        .filter(|food| matches!(food.origin, Origin::Table(_)))
}

#[test]
fn energy_agrees_with_the_macros_by_the_general_factors() {
    // Regulation (EU) 1169/2011, annex XIV: carbohydrate 4, protein 4, fat 9, alcohol 7, fibre 2 kcal/g, carbohydrate
    // without fibre. The tables use specific factors (USDA Handbook 74), which differ by food: vinegar's organic acids and
    // cocoa's carbohydrate most of all.
    let mut differences: Vec<(f64, String)> = table_foods()
        .map(|food| {
            let per = &food.per_100g;
            let available = (per.carbohydrate - per.fibre).max(0.0);
            let by_factors = 4.0 * available
                + 2.0 * per.fibre
                + 4.0 * per.protein
                + 9.0 * per.fat
                + 7.0 * per.alcohol;
            let share = (by_factors - per.kcal).abs() / per.kcal.max(100.0);
            (
                share,
                format!("{}: {by_factors:.0} against {}", food.id, per.kcal),
            )
        })
        .collect();
    differences.sort_by(|a, b| a.0.total_cmp(&b.0));
    let at = |share: f64| differences[(share * (differences.len() - 1) as f64) as usize].0;
    assert!(differences.len() > 500);
    assert!(
        at(0.5) < 0.035,
        "half of the foods differ by {:.3}",
        at(0.5)
    );
    assert!(
        at(0.95) < 0.10,
        "one food in twenty differs by {:.3}",
        at(0.95)
    );
    let far: Vec<&String> = differences
        .iter()
        .filter(|(share, _)| *share > 0.25)
        .map(|(_, food)| food)
        .collect();
    assert!(far.len() <= 3, "{far:?}");
}

#[test]
fn kilojoules_are_kilocalories_in_the_thermochemical_calorie() {
    // 1 kcal = 4.184 kJ (ISO 80000-5; 21 CFR 101.9 and FAO Food and Nutrition Paper 77 use it).
    let meal = json_meal(library(), &estimate("lentil soup, bread and butter"), None);
    for (kcal, kj) in [
        (meal.total.kcal.low, meal.total.kj.low),
        (meal.total.kcal.likely, meal.total.kj.likely),
        (meal.total.kcal.high, meal.total.kj.high),
    ] {
        assert!((kj - 4.184 * kcal).abs() < 0.3, "{kcal} kcal, {kj} kJ");
    }
}

#[test]
fn specific_factors_give_the_energy_of_their_foods() {
    // kcal/g of protein, fat and carbohydrate: Merrill & Watt, USDA Handbook 74 (1973), table 13, from memory except rice
    // and spaghetti (FAO food table X5557E).
    for (id, [protein, fat, carbohydrate]) in [
        ("haddock", [4.27, 9.02, 3.87]),
        ("salmon-cooked", [4.27, 9.02, 3.87]),
        ("white-rice-cooked", [3.82, 8.37, 4.16]),
        ("spaghetti-cooked", [3.91, 8.37, 4.12]),
        ("potato-boiled", [2.78, 8.37, 4.03]),
        ("egg-hard-boiled", [4.36, 9.02, 3.68]),
        ("egg-poached", [4.36, 9.02, 3.68]),
        ("cheddar", [4.27, 8.79, 3.87]),
        ("butter", [4.27, 8.79, 3.87]),
        ("olive-oil", [0.0, 8.84, 0.0]),
        ("apple-raw", [3.36, 8.37, 3.60]),
        ("banana-raw", [3.36, 8.37, 3.60]),
        ("broccoli-raw", [2.44, 8.37, 3.57]),
        ("lentils-cooked", [3.47, 8.37, 4.07]),
    ] {
        let Some(food) = library().find_food(id) else {
            continue;
        };
        let per = &library().food(food).per_100g;
        let by_factors = protein * per.protein + fat * per.fat + carbohydrate * per.carbohydrate;
        // Two kcal for the table's own rounding.
        assert!(
            (by_factors - per.kcal).abs() < (0.03 * per.kcal).max(2.0),
            "{id}: {by_factors:.1} by its factors, {} in the table",
            per.kcal
        );
    }
}

#[test]
fn a_stated_raw_weight_loses_what_cooking_takes() {
    // Cooked weight / raw weight, published low and high.
    for (text, ounces, low, high) in [
        // Roseland et al., J Food Compos Anal 2015:131-139: ribeye 83 % grilled, 76 % roasted.
        ("8 oz ribeye", 8.0, 0.74, 0.84),
        // The same for other steaks: chuck eye 80 % grilled, 84 % roasted.
        ("8 oz sirloin", 8.0, 0.74, 0.85),
        // Troutt et al., J Food Sci 1992;57: patties of 5 to 30 % fat keep 68 to 75 %; a steakhouse patty is no leaner.
        ("1/3 lb beef patty", 16.0 / 3.0, 0.67, 0.77),
        // PMC7647922: breast fillet 79 %; Alugwu et al.: slices 68 to 71 %.
        ("6 oz chicken breast", 6.0, 0.68, 0.80),
    ] {
        let plate = plate_of(text).unwrap();
        let left = plate.components[0].grams[1] / (ounces * OUNCE);
        assert!(
            (low..=high).contains(&left),
            "{text}: {left:.2} of it is left"
        );
    }
}

#[test]
fn a_standard_drink_holds_fourteen_grams_of_ethanol() {
    // NIAAA: 12 fl oz of beer of 5 %, 5 fl oz of wine of 12 %, 1.5 fl oz of spirits of 40 % by volume, 14 g each. Wine as
    // sold is nearer 13 %, so the table's wines hold a little more.
    for (text, slack) in [
        ("12 fl oz beer", 0.08),
        ("5 fl oz white wine", 0.12),
        ("5 fl oz red wine", 0.13),
        ("1.5 fl oz vodka", 0.08),
        ("1.5 fl oz whiskey", 0.10),
    ] {
        let ethanol = estimate(text).total(Nutrient::Alcohol).likely;
        assert!(
            (ethanol / 14.0 - 1.0).abs() < slack,
            "{text}: {ethanol:.1} g of ethanol"
        );
    }
}

#[test]
fn facts_of_the_trade_hold() {
    // Common practice, no source.
    let likely = |text: &str, nutrient| estimate(text).total(nutrient).likely;
    let near = |text: &str, value: f64, expected: f64, share: f64| {
        assert!(
            (value / expected - 1.0).abs() < share,
            "{text}: {value:.1}, not {expected}"
        );
    };
    near(
        "1/3 cup dry oats",
        likely("1/3 cup dry oats", Nutrient::Energy),
        140.0,
        0.1,
    );
    near(
        "35 g dry oats",
        likely("35 g dry oats", Nutrient::Energy),
        140.0,
        0.1,
    );
    near(
        "150 g apple",
        likely("150 g apple", Nutrient::Carbohydrate),
        20.0,
        0.1,
    );
    let serving = plate_of("2 tbsp peanut butter").unwrap().components[0].grams[1];
    near("2 tbsp peanut butter", serving, 32.0, 0.03);
    let [low, _, high] = plate_of("palm of chicken breast").unwrap().components[0].grams;
    assert!(
        low < 4.0 * OUNCE && 4.0 * OUNCE < high,
        "a palm is {low:.0}–{high:.0} g"
    );
}

#[test]
fn boiling_dry_starches_takes_up_their_weight_in_water() {
    // Dry to cooked weight by USDA SR: rice 365/130 = 2.8 (20044, 20045), pasta 371/158 = 2.35 (20120, 20121); energy per
    // 100 g of the library's cooked foods must be that of the cooked rows.
    for (text, kcal) in [("100 g white rice", 130.0), ("100 g spaghetti", 158.0)] {
        let plate = plate_of(text).unwrap();
        let per = plate.components[0].per_100g.kcal;
        assert!(
            (per / kcal - 1.0).abs() < 0.03,
            "{text}: {per:.0} kcal per 100 g"
        );
    }
}
