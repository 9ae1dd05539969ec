//! A simulation as the oracle of the closed form: every component is drawn from its own data and the model's numbers, the
//! draws are summed, and mean and percentiles must agree with what `estimate` says.
//!
//! The simulation lives here and not in the product: it takes a second where the closed form takes a millisecond.

use platespan::library::Triple;
use platespan::plate::{self, Choice, Component, Plate};
use platespan::{Estimate, Library, Nutrient, PlateOptions, estimate, read};
use rand::SeedableRng;
use rand::rngs::SmallRng;
use rand_distr::{Beta, Distribution as _, StandardNormal, StandardUniform};
use statrs::distribution::{ContinuousCDF, Normal};
use std::sync::OnceLock;

const DRAWS: usize = 200_000;

fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(Library::embedded)
}

/// How far the 90th percentile lies from the median, in σ, from a source of its own.
fn z90() -> f64 {
    Normal::standard().inverse_cdf(0.9)
}

/// What a draw needs of one component, worked out once.
struct Draw {
    median: f64,
    house: f64,
    own: f64,
    plate: f64,
    fat: f64,
    density: f64,
    eaten: Eaten,
    likely_eaten: f64,
    /// Which draw of the share eaten it takes part in; none for one of its own.
    together: Option<usize>,
    chance: f64,
    option: Option<(usize, usize)>,
    per_100g: [f64; 6],
}

enum Eaten {
    Exactly(f64),
    Share(Beta<f64>),
    /// A share so vague that no beta has its mean and spread.
    Vague(f64, f64),
}

impl Eaten {
    /// A share with the mean and the spread that the triple states.
    fn of([low, likely, high]: Triple) -> Eaten {
        let sd = (high - low).max(0.0) / (2.0 * z90());
        if sd == 0.0 || likely <= 0.0 || likely >= 1.0 {
            return Eaten::Exactly(likely);
        }
        let scale = likely * (1.0 - likely) / (sd * sd) - 1.0;
        match Beta::new(likely * scale, (1.0 - likely) * scale) {
            Ok(beta) => Eaten::Share(beta),
            Err(_) => Eaten::Vague(likely, sd),
        }
    }

    fn draw(&self, rng: &mut SmallRng) -> f64 {
        match self {
            Eaten::Exactly(share) => *share,
            Eaten::Share(beta) => beta.sample(rng),
            Eaten::Vague(mean, sd) => (mean + sd * normal(rng)).clamp(0.0, 1.0),
        }
    }
}

fn normal(rng: &mut SmallRng) -> f64 {
    StandardNormal.sample(rng)
}

fn uniform(rng: &mut SmallRng) -> f64 {
    StandardUniform.sample(rng)
}

/// exp(σz) of mean 1.
fn factor(sigma: f64, z: f64) -> f64 {
    (sigma * z - sigma * sigma / 2.0).exp()
}

fn draw_of(plate: &Plate, component: &Component) -> Draw {
    let model = &library().rules.model;
    let [low, median, high] = component.grams;
    let width = if low > 0.0 && high > low {
        (high / low).ln() / (2.0 * z90())
    } else {
        0.0
    };
    let sigma = if component.stated {
        width
    } else {
        width * model.portion_widening
    };
    let house = if component.stated {
        0.0
    } else {
        sigma.min(model.house_sigma)
    };
    let exact = width == 0.0 && component.spread == 0.0;
    Draw {
        median,
        house,
        own: (sigma * sigma - house * house).max(0.0).sqrt(),
        plate: if exact {
            0.0
        } else {
            let dish = plate.dishes.get(component.dish);
            library().plate_sigma(dish.map_or("", |dish| &dish.course))
        },
        fat: if component.fatty {
            model.fat_sigma
        } else {
            0.0
        },
        density: (1.0 + component.spread * component.spread).ln().sqrt(),
        eaten: Eaten::of(component.eaten),
        likely_eaten: component.eaten[1],
        together: component.remark,
        chance: component.chance,
        option: component.option,
        per_100g: Nutrient::ALL.map(|nutrient| nutrient.of(&component.per_100g)),
    }
}

/// Sorted totals by nutrient.
fn simulate(plate: &Plate) -> [Vec<f64>; 6] {
    let mut rng = SmallRng::seed_from_u64(20_240_229);
    let draws: Vec<Draw> = plate
        .components
        .iter()
        .map(|component| draw_of(plate, component))
        .collect();
    let remarks = draws
        .iter()
        .filter_map(|part| part.together)
        .max()
        .map_or(0, |last| last + 1);
    let exact = draws
        .iter()
        .all(|part| part.own == 0.0 && part.plate == 0.0 && part.density == 0.0);
    let mut totals: [Vec<f64>; 6] = std::array::from_fn(|_| Vec::with_capacity(DRAWS));
    for _ in 0..DRAWS {
        let (house, fat, whole) = (normal(&mut rng), normal(&mut rng), normal(&mut rng));
        let chosen: Vec<usize> = plate
            .choices
            .iter()
            .map(|choice| {
                // By the weights themselves, not by the share that the product makes of them.
                let count = choice.options.len();
                let weight = |option: usize| choice.weights.get(option).copied().unwrap_or(1.0);
                let sum: f64 = (0..count).map(weight).sum();
                let mut left = uniform(&mut rng) * sum;
                let found = (0..count).find(|option| {
                    left -= weight(*option);
                    left < 0.0
                });
                found.unwrap_or(count - 1)
            })
            .collect();
        // By remark: how much was eaten of the parts that it speaks of, in terms of what is likely.
        let mut together: Vec<Option<f64>> = vec![None; remarks];
        let mut total = [0.0; 6];
        for part in &draws {
            if part
                .option
                .is_some_and(|(choice, option)| chosen[choice] != option)
                || uniform(&mut rng) >= part.chance
            {
                continue;
            }
            let eaten = match part.together {
                Some(remark) => {
                    let factor = *together[remark]
                        .get_or_insert_with(|| part.eaten.draw(&mut rng) / part.likely_eaten);
                    factor * part.likely_eaten
                }
                None => part.eaten.draw(&mut rng),
            };
            let grams = part.median * (part.house * house + part.own * normal(&mut rng)).exp();
            let hundreds = grams / 100.0
                * eaten
                * factor(part.plate, whole)
                * factor(part.fat, fat)
                * factor(part.density, normal(&mut rng));
            for (sum, per_100g) in total.iter_mut().zip(part.per_100g) {
                *sum += hundreds * per_100g;
            }
        }
        // How the energy is made up of macros varies beyond the energy.
        let split = factor(
            if exact {
                0.0
            } else {
                library().rules.model.macro_sigma
            },
            normal(&mut rng),
        );
        for (at, (all, one)) in totals.iter_mut().zip(total).enumerate() {
            all.push(if at == 0 { one } else { one * split });
        }
    }
    for all in &mut totals {
        all.sort_by(f64::total_cmp);
    }
    totals
}

fn plate_of(text: &str) -> Plate {
    let meal = read::read(library(), text).expect("a meal");
    plate::plate(library(), text, &meal, &PlateOptions::default())
}

fn estimate_of(plate: &Plate) -> Estimate {
    estimate::estimate(library(), "", plate.clone())
}

/// Mean within 1 %, 10th, 50th and 90th percentile within 3 % of the simulation, or within what no scale shows.
#[track_caller]
fn agrees(name: &str, plate: &Plate) {
    let estimate = estimate_of(plate);
    let simulated = simulate(plate);
    let mut faults = Vec::new();
    for nutrient in Nutrient::ALL {
        let draws = &simulated[nutrient as usize];
        let slack = if nutrient == Nutrient::Energy {
            1.0
        } else {
            0.15
        };
        let mean = draws.iter().sum::<f64>() / DRAWS as f64;
        let mut compare = |what: &str, closed: f64, drawn: f64, tolerance: f64| {
            // Where nearly no plate lies between two sorts of plate, a quantile may be anywhere between them: there, what
            // counts is the share of draws below it.
            let share =
                |value: f64| draws.partition_point(|draw| *draw < value) as f64 / DRAWS as f64;
            let same_share = what != "mean" && (share(closed) - share(drawn)).abs() < 0.01;
            if (closed - drawn).abs() > (tolerance * drawn).max(slack) && !same_share {
                faults.push(format!(
                    "{}: {what} is {closed:.2}, the simulation has {drawn:.2} ({:+.1} %)",
                    nutrient.name(),
                    100.0 * (closed / drawn - 1.0)
                ));
            }
        };
        compare("mean", estimate.total(nutrient).likely, mean, 0.01);
        for q in [0.1, 0.5, 0.9] {
            let at = (q * DRAWS as f64) as usize;
            let closed = estimate.distribution(nutrient).quantile(q);
            compare(&format!("quantile {q}"), closed, draws[at], 0.03);
        }
    }
    assert!(faults.is_empty(), "{name}:\n  {}", faults.join("\n  "));
}

/// The first component of a text, to build plates from.
fn part(text: &str) -> Component {
    plate_of(text).components.remove(0)
}

#[test]
fn one_component() {
    agrees("one", &plate_of("grilled salmon"));
}

#[test]
fn two_components() {
    agrees("two", &plate_of("roast chicken, mashed potatoes"));
}
#[test]
fn three_components_with_a_fatty_sauce() {
    agrees(
        "sauce",
        &plate_of("baked cod, boiled potatoes, hollandaise"),
    );
}
#[test]
fn many_components() {
    agrees(
        "many",
        &plate_of(
            "lentil soup; lamb kofta, rice, hummus, tomato salad, flatbread, olives; baklava; glass of red wine",
        ),
    );
}
#[test]
fn strongly_correlated_components() {
    agrees(
        "fatty",
        &plate_of("butter, mayonnaise, olive oil, sour cream, heavy cream"),
    );
}
#[test]
fn a_dish_with_implied_parts() {
    agrees("cheeseburger", &plate_of("cheeseburger"));
}
#[test]
fn a_dish_with_many_implied_parts() {
    agrees("breakfast", &plate_of("cobb salad, club sandwich"));
}
#[test]
fn one_open_choice() {
    agrees("choice", &plate_of("pork chop with fries or side salad"));
}
#[test]
fn two_open_choices() {
    agrees(
        "choices",
        &plate_of("steak or trout, with baked potato or coleslaw, and peas"),
    );
}
#[test]
fn an_eaten_share() {
    agrees(
        "eaten",
        &plate_of(
            "lasagne, garlic bread, green salad with dressing on the side; left some of the lasagne",
        ),
    );
}
#[test]
fn a_vague_share_of_everything() {
    agrees(
        "most",
        &plate_of("shepherd's pie, peas, gravy; ate most of it"),
    );
}
#[test]
fn stated_amounts() {
    agrees(
        "stated",
        &plate_of("6 oz sirloin, 1 cup rice, 2 eggs, 2 tbsp butter"),
    );
}
#[test]
fn unknown_words() {
    agrees(
        "unknown",
        &plate_of("zorbleworth pie with peas and quafflet"),
    );
}
#[test]
fn exact_amounts_have_no_width() {
    let mut exact = part("grilled salmon");
    exact.grams = [150.0; 3];
    exact.spread = 0.0;
    exact.fatty = false;
    exact.eaten = [1.0; 3];
    let plate = Plate {
        components: vec![exact],
        ..Plate::default()
    };
    agrees("exact", &plate);
}
#[test]
fn parts_that_may_all_be_missing() {
    let mut components: Vec<Component> = [
        "cheddar",
        "bacon",
        "avocado",
        "fried egg",
        "mayonnaise",
        "onion rings",
    ]
    .iter()
    .map(|text| part(text))
    .collect();
    for (index, component) in components.iter_mut().enumerate() {
        component.chance = [0.5, 0.3, 0.6, 0.2, 0.8, 0.1][index];
    }
    agrees(
        "maybe",
        &Plate {
            components,
            ..Plate::default()
        },
    );
}
#[test]
fn a_choice_between_nothing_alike() {
    let mut components: Vec<Component> =
        ["ribeye steak", "green salad", "milkshake", "black coffee"]
            .iter()
            .map(|text| part(text))
            .collect();
    for (index, component) in components.iter_mut().enumerate() {
        component.option = Some((index / 2, index % 2));
    }
    let open = |about: &str, weights: &[f64]| Choice {
        about: about.to_owned(),
        weights: weights.to_vec(),
        options: vec!["a".to_owned(), "b".to_owned()],
    };
    for (name, weights) in [("unlike", &[][..]), ("unlike and uneven", &[3.0, 1.0])] {
        agrees(
            name,
            &Plate {
                components: components.clone(),
                choices: vec![
                    open("steak or salad", weights),
                    open("shake or coffee", weights),
                ],
                ..Plate::default()
            },
        );
    }
}
