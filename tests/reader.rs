//! What a menu's words and a diner's remarks put on the plate, through the public API: a case is a line.
//!
//! An outline hides grams and what a dish has by custom, so that better data changes no line here; see `common::outline`.

mod common;

use common::{estimate, library, outline, plate_of};
use platespan::library::Role;
use platespan::read::{self, ReadError};
use platespan::{Nutrient, PlateOptions};

/// Likely grams of the only component that was named.
#[track_caller]
fn grams(text: &str) -> f64 {
    let plate = plate_of(text).unwrap_or_else(|error| panic!("\"{text}\": {error}"));
    assert_eq!(plate.components.len(), 1, "\"{text}\": {}", outline(text));
    plate.components[0].grams[1]
}

/// The ids of all foods on a plate, those it has by custom too.
#[track_caller]
fn foods_of(text: &str) -> Vec<String> {
    let plate = plate_of(text).unwrap_or_else(|error| panic!("\"{text}\": {error}"));
    let foods = plate.components.iter().filter_map(|part| part.food);
    foods.map(|food| library().food(food).id.clone()).collect()
}

#[track_caller]
fn is_near(text: &str, expected: f64) {
    let grams = grams(text);
    assert!(
        (grams / expected - 1.0).abs() < 0.02,
        "\"{text}\" is {grams:.1} g, not {expected:.1} g"
    );
}

#[test]
fn compounds_are_one_thing_and_the_head_noun_is_the_last() {
    insta::assert_snapshot!(outline("butter chicken"), @"butter-chicken (base: butter-chicken-base)");
    insta::assert_snapshot!(outline("chicken-fried steak"), @"chicken-fried-steak");
    insta::assert_snapshot!(outline("blue cheese butter"), @"blue-cheese-butter");
    insta::assert_snapshot!(outline("rice noodles"), @"rice-noodles-cooked");
    insta::assert_snapshot!(outline("coconut rice"), @"coconut-rice");
    insta::assert_snapshot!(outline("ice cream sandwich"), @"ice-cream-sandwich");
    insta::assert_snapshot!(outline("two egg rolls"), @"2x egg-roll");
    insta::assert_snapshot!(outline("cornbread"), @"cornbread");
    insta::assert_snapshot!(outline("sweet potato fries"), @"sweet-potato-fries");
    insta::assert_snapshot!(outline("potato salad"), @"potato-salad");
    insta::assert_snapshot!(outline("peanut butter cookie"), @"cookie-peanut-butter");
    insta::assert_snapshot!(outline("apple pie"), @"apple-pie");
}

#[test]
fn an_ingredient_inside_a_name_is_a_part_of_it() {
    insta::assert_snapshot!(outline("walnut-crusted salmon"), @"salmon-cooked, walnuts");
    insta::assert_snapshot!(outline("cheese-stuffed peppers"), @"bell-pepper-raw, cheddar");
    insta::assert_snapshot!(outline("beer-battered cod"), @"fish-battered-fried");
    insta::assert_snapshot!(outline("bacon-wrapped scallops"), @"bacon-wrapped-scallop");
    insta::assert_snapshot!(outline("honey-glazed ham"), @"ham-roasted, honey");
    insta::assert_snapshot!(outline("pistachio-crusted halibut"), @"halibut, pistachios");
    insta::assert_snapshot!(outline("spinach and feta omelette"), @"omelette (vegetables: spinach-cooked; cheese: feta)");
}

#[test]
fn connectors_join_parts_or_start_them() {
    insta::assert_snapshot!(outline("salmon over rice"), @"salmon-cooked, white-rice-cooked");
    insta::assert_snapshot!(outline("tofu on a bed of quinoa"), @"tofu-firm, quinoa-cooked");
    insta::assert_snapshot!(outline("shrimp in garlic butter"), @"shrimp-cooked, garlic-butter");
    insta::assert_snapshot!(outline("pork belly w/ kimchi"), @"pork-belly-cooked + kimchi");
    insta::assert_snapshot!(outline("toast topped with avocado"), @"toast, avocado");
    insta::assert_snapshot!(outline("halibut atop lentils, finished with brown butter"), @"halibut, lentils-cooked, brown-butter");
    insta::assert_snapshot!(outline("fish & chips"), @"fish-and-chips");
    insta::assert_snapshot!(outline("fries w/ ketchup"), @"french-fries, ketchup");
    insta::assert_snapshot!(outline("salmon with brown rice, and steamed broccoli"), @"salmon-cooked + brown-rice-cooked + broccoli-cooked");
}

#[test]
fn numbers_are_read_however_they_are_written() {
    insta::assert_snapshot!(outline("2 tacos"), @"2x taco");
    insta::assert_snapshot!(outline("two fish tacos"), @"2x fish-taco");
    insta::assert_snapshot!(outline("a couple of eggs"), @"2x egg-fried");
    insta::assert_snapshot!(outline("half a dozen oysters"), @"6x oyster-raw");
    insta::assert_snapshot!(outline("a dozen wings"), @"12x chicken-wings-fried");
    insta::assert_snapshot!(outline("2x pancakes"), @"2x pancake");
    insta::assert_snapshot!(outline("pancakes x3"), @"3x pancake");
    insta::assert_snapshot!(outline("tacos × 3"), @"3x taco");
    insta::assert_snapshot!(outline("meatballs (4)"), @"4x meatballs-cooked");
    insta::assert_snapshot!(outline("chicken wings (8 pcs)"), @"8x chicken-wings-fried");
    insta::assert_snapshot!(outline("8-piece wings"), @"8x chicken-wings-fried");
    insta::assert_snapshot!(outline("2-3 slices of toast"), @"2.5x toast");
    insta::assert_snapshot!(outline("2 to 3 slices of bacon"), @"2.5x bacon-cooked");
    insta::assert_snapshot!(outline("three-egg omelette"), @"omelette (eggs: 3x egg-omelette)");
    insta::assert_snapshot!(outline("12 dumplings"), @"12x dumpling-pork");
}

#[test]
fn prices_are_no_amounts() {
    insta::assert_snapshot!(outline("mushroom risotto $18"), @"mushroom-risotto (base: risotto-plain)");
    insta::assert_snapshot!(outline("mushroom risotto 18"), @"mushroom-risotto (base: risotto-plain)");
    insta::assert_snapshot!(outline("pork schnitzel 14.50"), @"pork-schnitzel");
    insta::assert_snapshot!(outline("veggie wrap ..... 12.50"), @"veggie-wrap");
    insta::assert_snapshot!(outline("veggie wrap | 12"), @"veggie-wrap");
    insta::assert_snapshot!(outline("veggie wrap €9,50"), @"veggie-wrap");
    insta::assert_snapshot!(outline("$12.50 veggie wrap"), @"veggie-wrap");
    insta::assert_snapshot!(outline("hummus plate (vg) 9"), @"hummus-plate");
}

#[test]
fn preparations_choose_the_food_that_is_meant() {
    insta::assert_snapshot!(outline("grilled chicken breast"), @"chicken-breast-grilled");
    insta::assert_snapshot!(outline("poached eggs"), @"egg-poached");
    insta::assert_snapshot!(outline("breaded pork chop"), @"pork-chop-fried");
    insta::assert_snapshot!(outline("pan-seared duck breast"), @"duck-breast-seared");
    insta::assert_snapshot!(outline("grilled catfish"), @"catfish");
    insta::assert_snapshot!(outline("fried catfish"), @"catfish-fried");
    insta::assert_snapshot!(outline("grilled or fried catfish"), @"catfish [1 of 2] + catfish-fried [1 of 2]");
}

#[test]
fn a_negation_empties_its_slot_however_it_is_worded() {
    insta::assert_snapshot!(outline("burger, no bun"), @"burger (bread: none)");
    insta::assert_snapshot!(outline("burger without the bun"), @"burger (bread: none)");
    insta::assert_snapshot!(outline("burger, hold the bun"), @"burger (bread: none)");
    insta::assert_snapshot!(outline("burger, minus the bun"), @"burger (bread: none)");
    insta::assert_snapshot!(outline("bun-free burger"), @"burger (bread: none)");
    insta::assert_snapshot!(outline("burger, bun left off"), @"burger (bread: none)");
    insta::assert_snapshot!(outline("cheeseburger, cheese left off"), @"cheeseburger (cheese: none)");
    insta::assert_snapshot!(outline("tacos, no cheese or sour cream"), @"3x taco (cheese: none)");
    insta::assert_snapshot!(outline("greek salad, no olives, no onion"), @"greek-salad (onion: none; olives: none)");
    insta::assert_snapshot!(outline("gluten-free pancakes"), @"pancake-gluten-free");
}

#[test]
fn extras_add_and_asides_are_eaten_in_part() {
    insta::assert_snapshot!(outline("omelette, no cheese, extra mushrooms"), @"omelette (vegetables: mushroom-cooked; cheese: none)");
    insta::assert_snapshot!(outline("baked potato, sour cream on the side"), @"potato-baked, sour-cream [70 % eaten]");
    insta::assert_snapshot!(outline("cheeseburger, extra cheese"), @"cheeseburger (cheese: american-cheese)");
}

#[test]
fn a_substitution_takes_one_thing_out_and_puts_one_in() {
    insta::assert_snapshot!(outline("burger, fries swapped for a salad"), @"burger + mixed-salad");
    insta::assert_snapshot!(outline("burger with a salad instead of fries"), @"burger + mixed-salad");
    insta::assert_snapshot!(outline("burger with fries, swapped the fries for a side salad"), @"burger + side-salad");
    insta::assert_snapshot!(outline("sub side salad for fries, with the burger"), @"side-salad + burger");
    insta::assert_snapshot!(outline("swap the fries for coleslaw, burger"), @"coleslaw + burger");
    insta::assert_snapshot!(outline("steak, fries replaced with green beans"), @"sirloin-steak-grilled + green-beans-cooked");
}

#[test]
fn an_open_choice_has_each_option_in_its_share() {
    insta::assert_snapshot!(outline("pork chop with fries or coleslaw"), @"pork-chop-grilled + french-fries [1 of 2] + coleslaw [1 of 2]");
    insta::assert_snapshot!(outline("choice of soup or salad"), @"soup (base: soup-mixed [1 of 2]) + mixed-salad [1 of 2]");
    insta::assert_snapshot!(outline("steak with choice of mashed potatoes, rice or fries"), @"sirloin-steak-grilled + potato-mashed [1 of 3] + white-rice-cooked [1 of 3] + french-fries [1 of 3]");
}

#[test]
fn what_was_eaten_is_taken_off() {
    insta::assert_snapshot!(outline("lasagne; ate half"), @"lasagne (base: lasagne-meat [50 % eaten])");
    insta::assert_snapshot!(outline("ate most of the risotto"), @"risotto (base: risotto-plain [85 % eaten])");
    insta::assert_snapshot!(outline("ate 60% of the risotto"), @"risotto (base: risotto-plain [60 % eaten])");
    insta::assert_snapshot!(outline("ate a quarter of the cheesecake"), @"cheesecake [25 % eaten]");
    insta::assert_snapshot!(outline("pork curry with rice, left a third of the rice"), @"curry-indian (base: curry-base; protein: pork-loin-roasted; rice: basmati-rice [67 % eaten])");
    insta::assert_snapshot!(outline("pizza shared between three"), @"pizza (base: pizza-cheese [33 % eaten])");
    insta::assert_snapshot!(outline("shared a pizza with a friend"), @"pizza (base: pizza-cheese [50 % eaten])");
    insta::assert_snapshot!(outline("split the nachos with two others"), @"nachos [33 % eaten]");
    insta::assert_snapshot!(outline("ate 2 of the 3 tacos"), @"3x taco [67 % eaten]");
    insta::assert_snapshot!(outline("only had a few bites of the brownie"), @"brownie [15 % eaten]");
    insta::assert_snapshot!(outline("finished everything but the bread: soup, bread, salad"), @"soup (base: soup-mixed) + white-bread [0 % eaten] + mixed-salad");
    insta::assert_snapshot!(outline("steak and fries. ate everything except the fries"), @"steak-frites (side: french-fries [0 % eaten])");
    insta::assert_snapshot!(outline("left half the fries: steak, fries"), @"sirloin-steak-grilled + french-fries [50 % eaten]");
    insta::assert_snapshot!(outline("did not finish the rice; teriyaki salmon, rice"), @"teriyaki-plate-salmon (rice: short-grain-rice [70 % eaten])");
    insta::assert_snapshot!(outline("beef stew, left half of it"), @"beef-stew [50 % eaten]");
}

#[test]
fn sentences_and_lines_are_dishes_of_their_own() {
    insta::assert_snapshot!(outline("I had the lasagne. We shared a tiramisu."), @"lasagne (base: lasagne-meat) + tiramisu [50 % eaten]");
    insta::assert_snapshot!(outline("Tomato soup. Grilled cheese sandwich. Lemonade."), @"soup-tomato + grilled-cheese + lemonade");
    insta::assert_snapshot!(outline("meatloaf\nslice of apple pie"), @"meatloaf-beef + apple-pie");
    insta::assert_snapshot!(outline("- lentil soup\n- mushroom risotto"), @"soup-lentil + mushroom-risotto (base: risotto-plain)");
}

#[test]
fn codes_marks_and_capitals_change_nothing() {
    insta::assert_snapshot!(outline("lentil soup (V, GF)"), @"soup-lentil");
    insta::assert_snapshot!(outline("🍔 cheeseburger 🍟"), @"cheeseburger");
    insta::assert_snapshot!(outline("BAKED COD WITH PEAS"), @"white-fish-cooked + peas-cooked");
    insta::assert_snapshot!(outline("* lentil soup"), @"soup-lentil");
    insta::assert_snapshot!(outline("1) lentil soup"), @"soup-lentil");
}

#[test]
fn accents_are_optional() {
    insta::assert_snapshot!(outline("crème brûlée"), @"creme-brulee");
    insta::assert_snapshot!(outline("creme brulee"), @"creme-brulee");
    insta::assert_snapshot!(outline("jalapeño poppers"), @"jalapeno-poppers");
    insta::assert_snapshot!(outline("entrecôte"), @"ribeye-steak-grilled");
}

#[test]
fn typing_errors_are_mended_and_said() {
    insta::assert_snapshot!(outline("brocoli and rice"), @"broccoli-cooked + white-rice-cooked + brocoli read as broccoli");
    insta::assert_snapshot!(outline("grilled salmn with asparagus"), @"salmon-cooked + asparagus-cooked + salmn read as salmon");
    insta::assert_snapshot!(outline("avacado toast"), @"avocado-toast + avacado read as avocado");
    insta::assert_snapshot!(outline("brushetta"), @"bruschetta + brushetta read as bruschetta");
}

#[test]
fn menu_adjectives_cost_nothing() {
    insta::assert_snapshot!(outline("our famous house-made rustic lentil soup"), @"soup-lentil");
    insta::assert_snapshot!(outline("locally sourced organic hand-cut french fries"), @"french-fries");
    insta::assert_snapshot!(outline("perfectly tender award-winning beef stew"), @"beef-stew");
}

#[test]
fn unknown_words_are_kept() {
    insta::assert_snapshot!(outline("cod with zorbleworth"), @"white-fish-cooked + ?zorbleworth");
    insta::assert_snapshot!(outline("zorbleworth apple pie"), @"apple-pie + ?zorbleworth");
}

#[test]
fn a_text_without_food_is_told_what_to_say() {
    insta::assert_snapshot!(outline("smörgåsbord"), @r#"error: no food was found in "smörgåsbord"; name the dish or its parts, such as "cod, mashed potatoes, peas""#);
    let said = outline("the best table by the window");
    assert!(
        said.starts_with("error: no food was found in \"the best table by the window\"; "),
        "{said}"
    );
}

#[test]
fn weights_and_volumes_are_what_they_say() {
    // 1 oz = 28.3495 g, 1 lb = 453.592 g, 1 US fl oz = 29.5735 mL: NIST Handbook 44, appendix C.
    is_near("200 g cheddar", 200.0);
    is_near("200g cheddar", 200.0);
    is_near("0.2 kg cheddar", 200.0);
    is_near("4 oz cheddar", 4.0 * 28.3495);
    is_near("4oz cheddar", 4.0 * 28.3495);
    is_near("4-ounce cheddar", 4.0 * 28.3495);
    is_near("quarter pound of cheddar", 453.592 / 4.0);
    is_near("1/4 lb cheddar", 453.592 / 4.0);
    is_near("¼ lb cheddar", 453.592 / 4.0);
    is_near("half a pound of cheddar", 453.592 / 2.0);
    is_near("3-5 oz cheddar", 4.0 * 28.3495);
}

#[test]
fn household_measures_stand_in_their_own_proportion() {
    let cup = grams("1 cup white rice");
    for (text, cups) in [
        ("2 cups white rice", 2.0),
        ("half a cup of white rice", 0.5),
        ("½ cup white rice", 0.5),
        ("1 1/2 cups white rice", 1.5),
        ("1½ cups white rice", 1.5),
        ("1.5 cups of white rice", 1.5),
    ] {
        is_near(text, cup * cups);
    }
    // 3 tsp = 1 tbsp: 21 CFR 101.9(b)(5)(viii), 5 and 15 mL.
    let (tsp, tbsp) = (grams("1 tsp butter"), grams("1 tbsp butter"));
    assert!(
        (tbsp / tsp - 3.0).abs() < 0.1,
        "{tbsp:.1} g against {tsp:.1} g"
    );
}

#[test]
fn hand_portions_are_measures() {
    // A fist is a cup: agreed by four extension guides (US Dept of Defense, Mississippi State University Extension,
    // Dietitians of Canada, and common practice).
    let (fist, cup) = (grams("a fist of white rice"), grams("1 cup white rice"));
    assert!(
        (fist / cup - 1.0).abs() < 0.25,
        "{fist:.0} g against {cup:.0} g"
    );
    for text in [
        "a palm of chicken breast",
        "a thumb of cheddar",
        "a cupped hand of almonds",
    ] {
        assert!(
            (5.0..200.0).contains(&grams(text)),
            "\"{text}\": {} g",
            grams(text)
        );
    }
}

#[test]
fn half_of_a_thing_is_half_its_usual_portion() {
    let energy = |text: &str| estimate(text).total(Nutrient::Energy).likely;
    for (half, whole) in [
        ("half an avocado", "avocado"),
        ("½ avocado", "avocado"),
        ("half a club sandwich", "club sandwich"),
        ("1/2 club sandwich", "club sandwich"),
    ] {
        let share = energy(half) / energy(whole);
        assert!(
            (share - 0.5).abs() < 0.06,
            "\"{half}\" is {share:.2} of \"{whole}\""
        );
    }
}

#[test]
fn sizes_scale_a_portion_in_their_order() {
    let energy = |text: &str| estimate(text).total(Nutrient::Energy).likely;
    for food in [
        "potato salad",
        "lentil soup",
        "beef stew",
        "mushroom risotto",
    ] {
        let [small, usual, large] =
            ["small ", "", "large "].map(|size| energy(&format!("{size}{food}")));
        assert!(
            small < usual && usual < large,
            "{food}: {small:.0}, {usual:.0}, {large:.0} kcal"
        );
    }
    assert!(energy("double cheeseburger") > 1.2 * energy("cheeseburger"));
    assert!(energy("kids' burger") < energy("burger"));
}

#[test]
fn extra_is_more_and_light_is_less() {
    let energy = |text: &str| estimate(text).total(Nutrient::Energy).likely;
    let usual = energy("caesar salad");
    assert!(energy("caesar salad, extra dressing") > 1.05 * usual);
    assert!(energy("caesar salad, light on the dressing") < 0.95 * usual);
    assert!(energy("caesar salad, dressing on the side") < 0.95 * usual);
    assert!(energy("caesar salad, no dressing") < 0.8 * usual);
}

#[test]
fn a_base_that_the_words_name_is_there_instead_of_the_dishs_own() {
    insta::assert_snapshot!(outline("zucchini noodles with bolognese"), @"spaghetti-bolognese (base: zucchini-noodles)");
    insta::assert_snapshot!(outline("bolognese over polenta"), @"spaghetti-bolognese (base: polenta)");
    insta::assert_snapshot!(outline("rice with chicken curry"), @"curry-indian (base: curry-base; rice: basmati-rice)");
    insta::assert_snapshot!(outline("burger, lettuce wrap"), @"burger (bread: romaine-butter)");
    insta::assert_snapshot!(outline("cheeseburger in a lettuce wrap"), @"cheeseburger (bread: romaine-butter)");
    insta::assert_snapshot!(outline("burger and a starter: lettuce wraps"), @"burger (base: lettuce-wrap-filling)");
    assert!(!foods_of("zucchini noodles with bolognese").contains(&"spaghetti-cooked".to_owned()));
    assert!(!foods_of("bolognese over polenta").contains(&"spaghetti-cooked".to_owned()));
    assert!(!foods_of("burger, lettuce wrap").contains(&"burger-bun".to_owned()));
}

#[test]
fn a_dish_before_anothers_noun_brings_its_meat_and_taste_but_not_its_bread() {
    let holds = |text: &str, food: &str| foods_of(text).contains(&food.to_owned());
    assert!(holds("shawarma pizza", "chicken-shawarma") && !holds("shawarma pizza", "lavash"));
    assert!(
        holds("bolognese fries", "bolognese-sauce")
            && !holds("bolognese fries", "spaghetti-cooked")
    );
    insta::assert_snapshot!(outline("taco salad"), @"taco-salad");
    // A dish before a sauce is no more than its taste: a spoonful (common practice, no source).
    let plate = plate_of("curry mayo").unwrap();
    let curry = plate
        .components
        .iter()
        .find(|part| part.role == Role::Flavouring);
    assert!(curry.is_some_and(|part| part.grams[2] < 15.0));
}

#[test]
fn what_a_set_meal_holds_by_custom_is_not_served_twice() {
    insta::assert_snapshot!(outline("thali with dal, paneer and rice"), @"thali (dal: dal-tadka-base; protein: paneer; rice: basmati-rice)");
    insta::assert_snapshot!(outline("thali with chicken curry and naan"), @"thali (curry: curry-base; protein: chicken-thigh-cooked; bread: naan)");
    let foods = foods_of("thali with dal, paneer and rice");
    let dal = foods
        .iter()
        .filter(|food| *food == "dal-tadka-base")
        .count();
    assert_eq!(dal, 1);
}

#[test]
fn a_label_and_its_kind_are_one_name() {
    insta::assert_snapshot!(outline("Soup: tomato"), @"soup-tomato");
    insta::assert_snapshot!(outline("Soup of the day: tomato or lentil"), @"soup-tomato [1 of 2] + soup-lentil [1 of 2]");
    insta::assert_snapshot!(outline("Salad: caesar"), @"caesar-salad");
    insta::assert_snapshot!(outline("Pasta: carbonara"), @"spaghetti-carbonara");
    insta::assert_snapshot!(outline("Tacos: fish"), @"2x fish-taco");
    // Beside a steak, fries are no steak fries.
    insta::assert_snapshot!(outline("Steak: fries, salad"), @"sirloin-steak-grilled + french-fries + mixed-salad");
    insta::assert_snapshot!(outline("poke bowl: salmon, rice"), @"poke-bowl (protein: salmon-cooked; base: sushi-rice)");
}

#[test]
fn chips_are_fries_beside_a_hot_main_and_crisps_beside_a_sandwich() {
    insta::assert_snapshot!(outline("steak pie, chips and peas"), @"steak-ale-pie (base: steak-ale-pie-base; side: french-fries [1 of 2]; vegetables: peas-cooked) + potato-chips [1 of 2]");
    insta::assert_snapshot!(outline("pork chop with chips"), @"pork-chop-grilled + french-fries [1 of 2] + potato-chips [1 of 2]");
    insta::assert_snapshot!(outline("tuna sandwich, chips"), @"tuna-sandwich + potato-chips");
    insta::assert_snapshot!(outline("tuna sandwich and chips £9"), @"tuna-sandwich + french-fries [1 of 2] + potato-chips [1 of 2]");
    insta::assert_snapshot!(outline("steak pie, chips and peas; potato chips"), @"steak-ale-pie (base: steak-ale-pie-base; vegetables: peas-cooked) + potato-chips");
    let shares = plate_of("steak pie, chips and peas").unwrap().choices[0].clone();
    assert!(shares.share(0) > 0.9 && (shares.share(0) + shares.share(1) - 1.0).abs() < 1e-9);
}

#[test]
fn an_afterword_says_which_kind_it_was_and_what_goes_on_behind_it_goes_with_it() {
    insta::assert_snapshot!(outline("soup; cream of mushroom soup"), @"soup-mushroom");
    insta::assert_snapshot!(outline("sandwich; tuna sandwich with fries, no lettuce"), @"tuna-sandwich (leaf: none) + french-fries");
    insta::assert_snapshot!(outline("pasta; pasta marinara"), @"spaghetti-marinara");
    insta::assert_snapshot!(outline("curry, a beer; vegetable curry with rice"), @"vegetable-curry (base: veg-curry-base; rice: basmati-rice) + beer");
    insta::assert_snapshot!(outline("breakfast"), @"eggs-on-toast [1 of 5] + oatmeal-bowl [1 of 5] + breakfast-sandwich [1 of 5] + pancake-plate [1 of 5] + full-english [1 of 5]");
    insta::assert_snapshot!(outline("breakfast; oatmeal with toppings"), @"oatmeal-bowl");
    insta::assert_snapshot!(outline("coffee for breakfast"), @"coffee-brewed");
}

#[test]
fn a_bare_number_behind_what_is_served_by_pieces_counts_them() {
    insta::assert_snapshot!(outline("wings 12"), @"12x chicken-wings-fried");
    insta::assert_snapshot!(outline("oysters 6"), @"6x oyster-raw");
    insta::assert_snapshot!(outline("gyoza 5"), @"5x gyoza");
    insta::assert_snapshot!(outline("tacos 3"), @"3x taco");
    insta::assert_snapshot!(outline("tacos 12"), @"3x taco");
    insta::assert_snapshot!(outline("burger 12"), @"burger");
    insta::assert_snapshot!(outline("wings $12"), @"chicken-wings-fried");
    insta::assert_snapshot!(outline("wings 12.50"), @"chicken-wings-fried");
    insta::assert_snapshot!(outline("wings | 12"), @"chicken-wings-fried");
    insta::assert_snapshot!(outline("beetroot salad, goat cheese, walnuts 13"), @"beet-goat-cheese-salad (cheese: goat-cheese; nuts: walnuts)");
    insta::assert_snapshot!(outline("wings 12; 10 wings"), @"10x chicken-wings-fried");
    let said = plate_of("wings 12").unwrap().assumptions;
    assert!(said.iter().any(|line| line.contains("not their price")));
}

#[test]
fn the_meat_that_is_named_is_what_a_dish_is_made_of() {
    insta::assert_snapshot!(outline("lamb stew with dumplings"), @"beef-stew-dumplings (base: lamb-stew)");
    insta::assert_snapshot!(outline("prawn curry"), @"fish-curry-indian (base: curry-base; protein: shrimp-cooked)");
    insta::assert_snapshot!(outline("salmon curry"), @"fish-curry-indian (base: curry-base; protein: salmon-cooked)");
    insta::assert_snapshot!(outline("fish curry"), @"fish-curry-indian (base: curry-base)");
    assert!(!foods_of("venison stew with dumplings").contains(&"venison-roasted".to_owned()));
}

#[test]
fn a_filled_roll_is_a_sandwich_and_its_list_belongs_to_it() {
    let plate = plate_of("ham roll").unwrap();
    let ham = plate
        .components
        .iter()
        .find(|part| part.role == Role::Filling);
    // 1 to 3 oz of ham in a roll: common practice, no source.
    assert!(ham.is_some_and(|part| (28.0..85.0).contains(&part.grams[1])));
    insta::assert_snapshot!(outline("sausage, egg and cheese muffin"), @"sausage-egg-muffin");
    insta::assert_snapshot!(outline("spinach, egg and cheese muffin"), @"egg-cheese-muffin (vegetables: spinach-cooked)");
    insta::assert_snapshot!(outline("coffee, egg and cheese muffin"), @"coffee-brewed + egg-cheese-muffin");
}

#[test]
fn a_stated_weight_of_what_has_bones_is_raw_and_with_the_bone() {
    let plate = plate_of("1 lb wings").unwrap();
    let part = &plate.components[0];
    let food = library().food(part.food.unwrap());
    let left = library().category(part.food.unwrap()).cooked_yield.unwrap();
    // 1 lb = 453.592 g: NIST Handbook 44, appendix C.
    let expected = 453.592 * (1.0 - food.bone) * left;
    assert!(food.bone > 0.3 && (part.grams[1] / expected - 1.0).abs() < 0.02);
    assert!(
        plate
            .assumptions
            .iter()
            .any(|line| line.contains("with the bone"))
    );
}

#[test]
fn a_meats_stated_weight_is_raw_and_the_answer_says_so() {
    let raw = plate_of("8 oz sirloin").unwrap();
    assert!((150.0..195.0).contains(&raw.components[0].grams[1]));
    let note = |text: &str| {
        let plate = plate_of(text).unwrap();
        plate
            .assumptions
            .iter()
            .any(|line| line.contains("raw weight"))
    };
    assert!(note("8 oz sirloin") && note("sirloin (8 oz)") && note("8-ounce sirloin, raw"));
    for cooked in [
        "8 oz cooked sirloin",
        "8 oz sirloin, cooked",
        "sirloin, 8 oz cooked weight",
    ] {
        is_near(cooked, 8.0 * 28.3495);
        assert!(!note(cooked), "\"{cooked}\" needs no note");
    }
    // What is weighed as it is eaten has no cooking loss.
    is_near("8 oz cottage cheese", 8.0 * 28.3495);
}

#[test]
fn an_amount_or_a_size_at_the_end_is_said_of_the_head() {
    let named = |text: &str, food: &str| {
        let plate = plate_of(text).unwrap();
        let found = plate.components.iter().find(|part| {
            part.food
                .is_some_and(|found| library().food(found).id == food)
        });
        found
            .unwrap_or_else(|| panic!("\"{text}\": {}", outline(text)))
            .grams[1]
    };
    let near = |grams: f64, expected: f64| (grams / expected - 1.0).abs() < 0.08;
    // 1 US fl oz = 29.5735 mL: NIST Handbook 44, appendix C.
    assert!(near(
        named("iced tea with lemon, 20 oz", "iced-tea"),
        20.0 * 29.5735
    ));
    assert!(named("iced tea with lemon, 20 oz", "lemon-raw") < 30.0);
    assert!(near(
        named("glass of house chardonnay, 6 oz", "white-wine"),
        6.0 * 29.5735
    ));
    assert!(named("mocha with whipped cream, large", "mocha") > 1.2 * named("mocha", "mocha"));
    assert!(named("mocha with whipped cream, large", "whipped-cream") < 30.0);
    insta::assert_snapshot!(outline("enchiladas with sour cream (2)"), @"2x enchilada (cream: 2x sour-cream)");
    insta::assert_snapshot!(outline("meatball, 1"), @"meatballs-cooked");
    assert!(
        named("meatball, 1", "meatballs-cooked") < 0.5 * named("meatballs", "meatballs-cooked")
    );
    insta::assert_snapshot!(outline("fish tacos with slaw, 3"), @"3x fish-taco (vegetables: 3x coleslaw)");
    insta::assert_snapshot!(outline("wings with celery and blue cheese, 10 pieces"), @"10x chicken-wings-fried, blue-cheese + celery-raw");
    // What stands before it, where only that is served so, or the head has an amount of its own.
    insta::assert_snapshot!(outline("eggs and bacon (3)"), @"egg-fried + 3x bacon-cooked");
    insta::assert_snapshot!(outline("eggs with rye toast, 2 slices"), @"egg-fried + 2x toast-rye");
    assert!(near(
        named("chicken breast, 6 oz, rice, 1 cup", "white-rice-cooked"),
        named("1 cup white rice", "white-rice-cooked")
    ));
    assert!(named("oatmeal with brown sugar, 1 tsp", "oatmeal") > 100.0);
    assert!(named("salad with chicken (4 oz)", "chicken-breast-grilled") < 100.0);
    assert!(
        named("steak, fries (large)", "sirloin-steak-grilled")
            < 1.05 * named("steak, fries", "sirloin-steak-grilled")
    );
    // A weight of a salad is the salad's, that of a burger its patty's.
    assert!(named("cobb salad, 14 oz", "chicken-breast-grilled") < 150.0);
    assert!(named("burger with fries, 8 oz", "beef-patty-cooked") > 110.0);
}

#[test]
fn slices_of_a_sized_whole_are_slices() {
    let energy = |text: &str| estimate(text).total(Nutrient::Energy).likely;
    let one = energy("1 slice of cheese pizza");
    assert!((energy("cheese pizza, 12-inch, 1 slice") / one - 1.0).abs() < 0.05);
    assert!((energy("cheese pizza, 14 inch, 2 slices") / one - 2.0).abs() < 0.3);
}

#[test]
fn half_before_a_list_on_bread_is_half_of_the_sandwich_and_behind_a_bird_half_the_bird() {
    let energy = |text: &str| estimate(text).total(Nutrient::Energy).likely;
    let whole = energy("turkey and avocado on sourdough with mayo");
    let half = energy("half turkey and avocado on sourdough with mayo");
    let behind = energy("turkey and avocado on sourdough with mayo, half");
    assert!((half / whole - 0.5).abs() < 0.02 && (behind / whole - 0.5).abs() < 0.02);
    // USDA SR 05009: half a roasted chicken without bone is 299 g.
    assert!((grams("roast chicken, half") / 299.0 - 1.0).abs() < 0.05);
    assert!((grams("roast chicken, quarter") / 149.5 - 1.0).abs() < 0.05);
    assert!((grams("roast chicken, whole") / 598.0 - 1.0).abs() < 0.05);
    assert_eq!(
        energy("grilled branzino, whole"),
        energy("grilled branzino")
    );
    assert_eq!(energy("tacos, whole"), energy("tacos"));
}

#[test]
fn what_a_dish_is_of_is_in_it() {
    insta::assert_snapshot!(outline("moqueca of shrimp"), @"moqueca (base: moqueca-stew; protein: shrimp-cooked)");
    insta::assert_snapshot!(outline("tacos de cabeza"), @"3x taco (protein: 3x beef-cheek-braised)");
    insta::assert_snapshot!(outline("ceviche of shrimp"), @"ceviche, shrimp-cooked");
    insta::assert_snapshot!(outline("fritto misto of squid, shrimp and zucchini"), @"seafood-fried, squid-grilled, shrimp-cooked, zucchini-steamed");
    insta::assert_snapshot!(outline("cassoulet of duck"), @"cassoulet (base: cassoulet-stew)");
    insta::assert_snapshot!(outline("breast of chicken"), @"chicken-breast-grilled, chicken-breast-roasted");
    insta::assert_snapshot!(outline("rack of lamb"), @"lamb-rack-roasted");
}

#[test]
fn a_dish_beside_another_ends_it_no_list_and_takes_its_slot() {
    insta::assert_snapshot!(outline("falafel bowl with hummus, cucumber tomato salad, brown rice and tahini"), @"falafel-bowl (dip: hummus; salad: israeli-salad; base: brown-rice-cooked; dressing: tahini-sauce)");
    insta::assert_snapshot!(outline("gyro plate with greek salad, rice and pita"), @"gyro-plate (starch: rice-pilaf; bread: pita; salad: none) + greek-salad");
    insta::assert_snapshot!(outline("souvlaki plate with greek salad"), @"souvlaki-plate (salad: none) + greek-salad");
    assert!(!foods_of("souvlaki plate with greek salad").contains(&"greek-side-salad".to_owned()));
    insta::assert_snapshot!(outline("moo shu pork with four pancakes"), @"moo-shu (base: moo-shu-base; pancakes: 4x mandarin-pancake)");
}

#[test]
fn a_percentage_before_a_thing_is_its_grade_and_a_milk_beside_a_latte_is_its_milk() {
    insta::assert_snapshot!(outline("glass of 2% milk"), @"milk-reduced-fat");
    insta::assert_snapshot!(outline("latte, 2% milk"), @"latte-low-fat");
    insta::assert_snapshot!(outline("cappuccino with 2% milk"), @"cappuccino");
    insta::assert_snapshot!(outline("latte, large, oat milk"), @"latte-oat-said");
    insta::assert_snapshot!(outline("latte and a glass of milk"), @"latte, milk-whole");
    insta::assert_snapshot!(outline("coffee with 2% milk"), @"coffee-brewed, milk-reduced-fat");
    insta::assert_snapshot!(outline("70% dark chocolate"), @"chocolate-dark");
    insta::assert_snapshot!(outline("risotto, 60%"), @"risotto (base: risotto-plain)");
}

#[test]
fn a_stated_weight_or_number_comes_out_as_stated() {
    let served = |text: &str| {
        let parts = plate_of(text).unwrap().components;
        parts
            .iter()
            .map(|part| part.grams[1] * part.chance)
            .sum::<f64>()
    };
    // 1 oz = 28.3495 g: NIST Handbook 44, appendix C.
    assert!((served("pasta primavera salad, 14 oz") / (14.0 * 28.3495) - 1.0).abs() < 0.05);
    assert!(
        (served("california roll, 8 pieces") / served("california roll, 4 pieces") - 2.0).abs()
            < 0.01
    );
    // The pieces are those of what the dish is about; what goes with it stays.
    let plate = plate_of("pierogi (6) with sour cream").unwrap();
    let usual = plate_of("pierogi with sour cream").unwrap();
    let cream = |plate: &platespan::plate::Plate| {
        let found = plate
            .components
            .iter()
            .find(|part| part.name.to_lowercase().contains("sour cream"));
        found.map(|part| part.grams[1])
    };
    assert_eq!(cream(&plate), cream(&usual));
}

#[test]
fn for_two_is_two_portions_unless_it_is_sold_so() {
    let energy = |text: &str| estimate(text).total(Nutrient::Energy).likely;
    assert!((energy("paella for two") / energy("paella") - 2.0).abs() < 0.1);
    assert!((energy("tomahawk for two") / energy("tomahawk") - 1.0).abs() < 0.01);
    assert!((energy("mezze platter for two") / energy("mezze platter") - 1.0).abs() < 0.01);
    let (spelled, digit) = (energy("two scoops of rice"), energy("2 scoops rice"));
    assert!((spelled / digit - 1.0).abs() < 0.01);
}

#[test]
fn unknown_words_are_reported_with_their_place() {
    let text = "cod with zorbleworth and peas";
    let meal = read::read(library(), text).unwrap();
    let unknown = &meal.not_understood[0];
    assert_eq!(unknown.text, "zorbleworth");
    assert_eq!(&text[unknown.span.0..unknown.span.1], "zorbleworth");
    let accented = "crème brûlée with ẑorbleworth";
    let meal = read::read(library(), accented).unwrap();
    let span = meal.not_understood[0].span;
    assert_eq!(&accented[span.0..span.1], "ẑorbleworth");
}

#[test]
fn no_words_and_too_many_words_are_errors_of_their_own() {
    let options = PlateOptions::default();
    let error = |text: &str| platespan::estimate_text(library(), text, &options).unwrap_err();
    assert_eq!(error(""), ReadError::Empty);
    assert_eq!(error(" \n\t ,;."), ReadError::Empty);
    assert!(matches!(
        error(&"cod, ".repeat(9_000)),
        ReadError::TooLong { .. }
    ));
    assert!(matches!(
        error("quafflet of the day"),
        ReadError::NoFood { .. }
    ));
}

/// The outline of a line under a menu's heading.
fn under(heading: &str, text: &str) -> String {
    let options = PlateOptions {
        section: Some(heading.to_owned()),
        ..PlateOptions::default()
    };
    common::outline_with(text, &options)
}

#[test]
fn a_line_takes_the_noun_that_its_heading_says() {
    insta::assert_snapshot!(under("Soup", "Vegetarian black bean, cup"), @"soup-black-bean");
    insta::assert_snapshot!(under("Soup", "Ham and bean"), @"soup-bean");
    insta::assert_snapshot!(under("Soup", "Roasted red pepper and tomato"), @"soup-tomato, roasted-peppers");
    insta::assert_snapshot!(under("Soup", "Clam chowder"), @"soup-clam-chowder");
    insta::assert_snapshot!(under("Salads", "Greek"), @"greek-salad");
    insta::assert_snapshot!(under("Salads", "Dinner roll"), @"dinner-roll");
    insta::assert_snapshot!(under("Pizza", "Pepperoni and mushroom"), @"pizza (base: pizza-cheese; protein: pepperoni; vegetables: mushroom-sauteed)");
    insta::assert_snapshot!(under("Pizza", "Garlic knots"), @"5x garlic-knots");
    insta::assert_snapshot!(under("Burgers", "Mushroom and Swiss"), @"mushroom-swiss-burger");
    insta::assert_snapshot!(under("Burgers", "Fries"), @"french-fries");
    insta::assert_snapshot!(under("Sandwiches", "Turkey and Swiss on rye"), @"sandwich (meat: turkey-breast-roasted; cheese: swiss-cheese; bread: rye-bread)");
    insta::assert_snapshot!(under("Sandwiches", "Bacon, egg and cheese biscuit sandwich"), @"bacon-egg-biscuit");
    insta::assert_snapshot!(under("Smoothies", "Strawberry banana"), @"smoothie-strawberry-banana");
    insta::assert_snapshot!(outline("Scoop of butter pecan"), @"ice-cream-mix-in");
    insta::assert_snapshot!(outline("2 scoops of rice"), @"2x white-rice-cooked");
}

#[test]
fn a_heading_sets_a_portion_once_and_only_of_what_it_is_for() {
    let energy = |heading: &str, text: &str| {
        let options = PlateOptions {
            section: Some(heading.to_owned()),
            ..PlateOptions::default()
        };
        let estimate = platespan::estimate_text(library(), text, &options).unwrap();
        estimate.total(Nutrient::Energy).likely
    };
    let kids = energy("Kids", "Kids' cheese quesadilla");
    assert!((kids / energy("Kids", "Cheese quesadilla") - 1.0).abs() < 0.01);
    assert!(energy("Baked Goods", "Cornbread muffin") < energy("Baked Goods", "Blueberry muffin"));
    assert!(energy("Appetizers", "Onion rings") > 1.3 * energy("Sides", "Onion rings"));
    assert!(energy("Salads", "Caesar dressing") > 0.9 * energy("", "3 tbsp Caesar dressing"));
}

#[test]
fn a_food_that_a_dishs_own_name_names_is_there() {
    let chance = |text: &str, food: &str| {
        let plate = plate_of(text).unwrap();
        let is = |id| library().food(id).id == food;
        let part = plate
            .components
            .iter()
            .find(|part| part.food.is_some_and(is));
        part.map(|part| part.chance)
    };
    assert_eq!(chance("crab cakes with fries", "french-fries"), Some(1.0));
    assert_eq!(
        chance("club sandwich", "ham").map(|chance| chance < 1.0),
        Some(true)
    );
    assert_eq!(chance("ham and turkey club", "ham"), Some(1.0));
    assert_eq!(chance("pastrami and swiss", "swiss-cheese"), Some(1.0));
    insta::assert_snapshot!(outline("duck poutine"), @"poutine (protein: duck-roasted)");
    insta::assert_snapshot!(outline("four cheese pizza"), @"white-pizza (base: pizza-white)");
    insta::assert_snapshot!(outline("chips and turkey club"), @"potato-chips + club-sandwich");
}

#[test]
fn the_word_before_a_dish_and_its_first_word_are_one_food() {
    insta::assert_snapshot!(outline("cherry pie with vanilla ice cream"), @"cherry-pie, ice-cream-vanilla");
    insta::assert_snapshot!(outline("goat cheese pizza"), @"pizza (base: pizza-cheese; cheese: goat-cheese)");
    insta::assert_snapshot!(outline("almond croissant with butter and jam"), @"croissant-butter-jam (pastry: croissant-almond)");
    insta::assert_snapshot!(outline("cheddar ale soup in sourdough bread bowl"), @"soup-bread-bowl (base: soup-cheese)");
    insta::assert_snapshot!(outline("shrimp in tacos"), @"3x taco (protein: 3x shrimp-cooked)");
    insta::assert_snapshot!(outline("lamb pie"), @"steak-ale-pie (base: steak-ale-pie-base)");
    insta::assert_snapshot!(outline("prosciutto, fig and gorgonzola flatbread"), @"flatbread-pizza (protein: prosciutto; vegetables: fig-fresh; cheese: blue-cheese)");
    insta::assert_snapshot!(outline("bun bo hue, spicy beef noodle soup"), @"bun-bo-hue (base: bun-bo-hue-base)");
    insta::assert_snapshot!(outline("tomato soup, caesar salad"), @"soup-tomato + caesar-salad");
}

#[test]
fn a_word_for_a_whole_kind_says_no_more_than_what_is_there() {
    insta::assert_snapshot!(outline("breadstick with garlic topping"), @"breadstick, garlic-raw");
    insta::assert_snapshot!(outline("steak fajitas, meat and vegetables only"), @"beef-fajita (vegetables: peppers-and-onions; bread: none; guacamole: none; cream: none; cheese: none; sauce: none; rice: none; beans: none)");
    insta::assert_snapshot!(outline("lasagna with choice of drink"), @"lasagne (base: lasagne-meat) + cola [1 of 2] + lemonade [1 of 2]");
}

#[test]
fn no_word_of_food_is_dropped_in_silence() {
    insta::assert_snapshot!(outline("sugar free cheesecake"), @"cheesecake + ?sugar free");
    insta::assert_snapshot!(outline("lemonade, diet"), @"diet-cola");
    insta::assert_snapshot!(outline("salad with crisp lettuce"), @"mixed-salad (leaves: lettuce-iceberg)");
    insta::assert_snapshot!(outline("tuna salad on white"), @"tuna-salad, white-bread");
    insta::assert_snapshot!(outline("peach cobbler a la mode"), @"cobbler-a-la-mode");
    insta::assert_snapshot!(outline("decaf cappuccino"), @"cappuccino");
    insta::assert_snapshot!(outline("half rack of St. Louis ribs"), @"half-rack-spare-ribs");
    insta::assert_snapshot!(outline("8 oz. Sirloin"), @"sirloin-steak-grilled");
    insta::assert_snapshot!(outline("Temple roll"), @"dinner-roll + ?Temple");
    assert!(
        !plate_of("tuna sandwich, crisps")
            .unwrap()
            .not_understood
            .is_empty()
    );
}

#[test]
fn what_lies_on_a_thing_and_what_stands_beside_it() {
    let of = |text: &str, food: &str| {
        let plate = plate_of(text).unwrap();
        let is = |id| library().food(id).id == food;
        let mut parts = plate.components.into_iter();
        parts.find(|part| part.food.is_some_and(is)).unwrap()
    };
    assert_eq!(
        of("vanilla ice cream with almonds", "almonds").role,
        Role::Topping
    );
    assert_eq!(
        of("pretzel crusted pork chop", "pretzel-soft").role,
        Role::Topping
    );
    assert_eq!(
        of("French onion dip with potato chips", "french-onion-dip").role,
        Role::Starter
    );
    // Plurals of other languages are an order of several.
    assert!(of("syrniki", "syrniki-piece").grams[1] > 100.0);
}

#[test]
fn whole_menus_stay_as_they_are_read() {
    insta::glob!("menus/*.txt", |path| {
        let menu = std::fs::read_to_string(path).unwrap();
        let lines: Vec<String> = menu
            .lines()
            .filter(|line| !line.trim().is_empty())
            .map(|line| format!("{line}\n    {}", outline(line)))
            .collect();
        insta::assert_snapshot!(lines.join("\n"));
    });
}

#[test]
fn a_roll_is_counted_whole_and_its_pieces_one_by_one() {
    let one = grams("1 sushi roll");
    for (text, times) in [("2 sushi rolls", 2.0), ("three sushi rolls", 3.0)] {
        assert!((grams(text) / one / times - 1.0).abs() < 0.05, "{text}");
    }
    // Eight pieces are about the roll they were cut from.
    let cut = grams("sushi roll, 8 pieces");
    assert!((0.6..1.4).contains(&(cut / one)), "{cut:.0} {one:.0}");
}

#[test]
fn more_of_it_is_never_less_than_one_of_it() {
    let of = |text: &str| -> f64 {
        let plate = plate_of(text).expect("is read");
        let sure = plate.components.iter().filter(|part| part.chance >= 1.0);
        sure.map(|part| part.grams[1]).sum()
    };
    for food in ["lasagne", "beef stew", "chocolate mousse"] {
        let one = of(food);
        for number in [2, 3, 4, 6] {
            let many = of(&format!("{number} {food}"));
            assert!(many > 0.99 * one, "{number} {food}: {many:.0} {one:.0}");
        }
    }
}

#[test]
fn a_number_of_sides_is_no_number_of_plates() {
    let chicken = |text: &str| -> f64 {
        let plate = plate_of(text).expect("is read");
        let of_it = |part: &&platespan::plate::Component| part.name.contains("hicken");
        plate.components.iter().find(of_it).expect("chicken").grams[1]
    };
    let one = chicken("half chicken");
    for text in [
        "half chicken, 2 sides",
        "half chicken with two sides: beans, slaw",
        "half chicken with two sides, beans and slaw",
        "half chicken with sides",
    ] {
        assert!((chicken(text) / one - 1.0).abs() < 0.2, "{text}");
    }
    // Which two is open; what is listed settles it.
    let open = plate_of("half chicken, 2 sides").expect("is read");
    assert_eq!(open.choices.len(), 2);
    let listed = plate_of("half chicken with two sides: beans, slaw").expect("is read");
    assert!(listed.choices.is_empty());
}
