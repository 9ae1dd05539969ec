//! Grams: from a stated amount, a size, or the usual portion.

use crate::estimate::Z90;
use crate::library::evidence;
use crate::library::schema::{SizeEntry, UnitEntry};
use crate::library::{FoodId, Library, Role, Triple};
use crate::read::Amount;

/// Grams of a component and how they were come by.
#[derive(Debug, Clone, PartialEq)]
pub struct Served {
    /// g: 10th, 50th and 90th percentile.
    pub grams: Triple,
    /// Whether the words state the amount.
    pub stated: bool,
    /// Pieces, where they are counted.
    pub count: Option<f64>,
    /// The steps, in words.
    pub steps: Vec<String>,
    /// What the reader should be told.
    pub note: Option<String>,
}

/// The largest amount of one component that is taken at its word, g.
pub const MOST_GRAMS: f64 = 5_000.0;

/// ln(high / low) from σ: both ends lie `Z90` σ from the median.
pub fn round_median(median: f64, sigma: f64) -> Triple {
    let reach = (Z90 * sigma).exp();
    [median / reach, median, median * reach]
}

fn sigma(triple: Triple) -> f64 {
    (triple[2] / triple[0]).ln() / (2.0 * Z90)
}

fn times(triple: Triple, by: f64) -> Triple {
    triple.map(|grams| grams * by)
}

/// A triple whose factor is itself a range: σ² add.
pub fn times_range(triple: Triple, low: f64, likely: f64, high: f64) -> Triple {
    let own = sigma(triple);
    let other = if low > 0.0 && high > low {
        (high / low).ln() / (2.0 * Z90)
    } else {
        0.0
    };
    round_median(triple[1] * likely, (own * own + other * other).sqrt())
}

/// Grams of a food in a role.
///
/// `usual` is the portion that a pattern's slot gives, where one does.
pub fn serve(
    library: &Library,
    food: FoodId,
    role: Role,
    usual: Option<Triple>,
    amount: Option<&Amount>,
    sizes: &[usize],
    plural: bool,
) -> Served {
    let entry = library.food(food);
    let mut served = Served {
        grams: usual.unwrap_or_else(|| library.portion(food, role)),
        stated: false,
        count: None,
        steps: Vec::new(),
        note: None,
    };
    let piece = ["piece", "slice"]
        .into_iter()
        .find_map(|measure| Some((measure, *entry.measures.get(measure)?)));
    // A fitted bias is that of judgement: what was weighed or published is taken as it is.
    let is_fact = usual.is_none()
        && (entry.portions.get(&role)).is_some_and(|own| own.measured.is_none())
        && matches!(
            evidence::kind(entry.evidence_as(role)),
            Some("weighed" | "standard")
        );
    let scale = if is_fact || entry.published {
        1.0
    } else {
        category_scale(library, food, role)
    };
    served.grams = times(served.grams, scale);
    served.steps.push(match usual {
        Some(_) => format!("portion of the pattern's slot: {}", span(served.grams)),
        None => format!("usual portion as {}: {}", role.name(), span(served.grams)),
    });
    if usual.is_none()
        && amount.is_none_or(|amount| amount.share)
        && let (Some([low, likely, high]), Some((measure, piece))) = (entry.served, piece)
        && matches!(
            role,
            Role::Main | Role::Side | Role::Starter | Role::Dessert
        )
        && plural
    {
        let each = round_median(piece, piece_sigma(library, food, measure));
        served.grams = times(times_range(each, low, likely, high), scale);
        served.steps.push(format!(
            "an order is usually {likely} of {piece:.0} g: {}",
            span(served.grams)
        ));
    }
    let mut measured = false;
    for &index in sizes {
        let size = &library.rules.sizes[index];
        measured |= apply_size(library, food, size, amount, &mut served);
    }
    if let Some(amount) = amount {
        state(library, food, role, amount, measured, &mut served);
    }
    if served.grams[1] > MOST_GRAMS {
        served.note = Some(format!(
            "{} of {} is more than one meal holds; it was taken as {}",
            weight(served.grams[1]),
            entry.name.to_lowercase(),
            weight(MOST_GRAMS)
        ));
        served.grams = times(served.grams, MOST_GRAMS / served.grams[1]);
    }
    served
}

/// What the fitted scale makes of a usual portion: that of its category in this role, of its category, of its group.
pub fn category_scale(library: &Library, food: FoodId, role: Role) -> f64 {
    let scales = &library.rules.model.portion_scale;
    let category = library.category(food);
    scales
        .get(&format!("{}.{}", category.id, role.name()))
        .or_else(|| scales.get(&category.id))
        .or_else(|| scales.get(&category.group))
        .copied()
        .unwrap_or(1.0)
}

/// A size: the food's own measure of that name, else a factor. Whether it was a measure.
fn apply_size(
    library: &Library,
    food: FoodId,
    size: &SizeEntry,
    amount: Option<&Amount>,
    served: &mut Served,
) -> bool {
    let entry = library.food(food);
    if let Some(grams) = entry.measures.get(&size.id) {
        served.grams = round_median(*grams, piece_sigma(library, food, &size.id));
        served
            .steps
            .push(format!("a {} one is {grams:.0} g", size.id));
        return true;
    }
    // "2 large prawns": the pieces are large, the count is stated.
    let counted = amount.is_some_and(|amount| amount.unit.is_none() && !amount.share);
    if size.factor != 1.0 && !(counted && size.slots.is_empty()) {
        served.grams = times(served.grams, size.factor);
        served.steps.push(format!("{}: × {}", size.id, size.factor));
    }
    false
}

/// A stated amount. Narrows the range to what weights and pieces vary by.
fn state(
    library: &Library,
    food: FoodId,
    role: Role,
    amount: &Amount,
    measured: bool,
    served: &mut Served,
) {
    let model = &library.rules.model;
    let entry = library.food(food);
    let middle = amount.middle();
    let vague = if amount.vague { 1.8 } else { 1.0 };
    let spoken = |sigma: f64| {
        let own = sigma * vague;
        let range = if amount.high > amount.low && amount.low > 0.0 {
            (amount.high / amount.low).ln() / (2.0 * Z90)
        } else {
            0.0
        };
        (own * own + range * range).sqrt()
    };
    if amount.share {
        served.grams = times(served.grams, middle);
        served.steps.push(format!("× {middle:.2} as stated"));
        return;
    }
    // "9 pieces" of what has no weight a piece is a number like any other.
    let counted = |unit: &&UnitEntry| {
        !(unit.id == "piece"
            && unit
                .measures
                .iter()
                .all(|measure| !entry.measures.contains_key(measure)))
    };
    let Some(unit) = amount
        .unit
        .map(|unit| &library.rules.units[unit])
        .filter(counted)
    else {
        // A number of pieces.
        let piece = if measured {
            Some((served.grams[1], model.piece_sigma))
        } else {
            piece_of(library, food)
                .map(|(measure, grams)| (grams, piece_sigma(library, food, measure)))
        };
        served.count = Some(middle);
        match piece {
            Some((piece, sigma)) => {
                served.grams = round_median(piece * middle, spoken(sigma));
                served.stated = middle >= 1.0 && !amount.bare;
                served
                    .steps
                    .push(format!("{} of {piece:.0} g each", number(middle)));
            }
            None if middle <= 1.0 => {}
            None => {
                // Nothing says what one weighs: two may be two portions, but many are the pieces of an order.
                let by = if middle < 3.0 {
                    middle.powf(0.7)
                } else {
                    (middle / 6.0).sqrt().max(1.0)
                };
                served.grams = times_range(served.grams, by / 1.3, by, by * 1.3);
                served.steps.push(format!(
                    "{} of it, no weight of one known: × {by:.1}",
                    number(middle)
                ));
            }
        }
        return;
    };
    let drinkable = matches!(library.category(food).group.as_str(), "drink")
        || library.category(food).id == "soup";
    let loose = unit.loose.map_or(0.0, |loose| loose / (2.0 * Z90));
    match (unit.kind.as_str(), unit.size) {
        ("mass", Some(size)) if drinkable && unit.id == "oz" => {
            let millilitres = middle * size / 28.349523125 * 29.5735;
            served.grams = round_median(
                millilitres * density(library, food),
                spoken(model.stated_sigma),
            );
            served.steps.push(format!("{} fl oz", number(middle)));
            served.stated = true;
        }
        ("mass", Some(size)) => {
            let mut grams = middle * size * (1.0 - entry.bone);
            if entry.bone > 0.0 {
                served.steps.push(format!(
                    "{:.0} % of a stated weight is bone",
                    entry.bone * 100.0
                ));
            }
            let loss = library
                .category(food)
                .cooked_yield
                .filter(|left| *left < 1.0 && !entry.weighed_cooked && !amount.cooked);
            let meat =
                matches!(library.category(food).group.as_str(), "protein") && unit.loose.is_none();
            if let Some(left) = loss.filter(|_| {
                meat && matches!(
                    role,
                    Role::Main | Role::Starter | Role::Side | Role::Filling | Role::Topping
                )
            }) {
                let bone = match entry.bone > 0.0 {
                    true => format!(" with the bone, {:.0} % of it", entry.bone * 100.0),
                    false => String::new(),
                };
                served.note = Some(format!(
                    "{} {} {} was taken as raw weight{bone}: about {} cooked",
                    number(middle),
                    unit.id,
                    entry.name.to_lowercase(),
                    weight(grams * left)
                ));
                served
                    .steps
                    .push(format!("{grams:.0} g raw at a cooking yield of {left}"));
                grams *= left;
            } else {
                served
                    .steps
                    .push(format!("{} {} as stated", number(middle), unit.id));
            }
            served.grams = round_median(grams, spoken(model.stated_sigma).hypot(loose));
            served.stated = true;
        }
        ("volume", Some(size)) => {
            let own = unit
                .measures
                .iter()
                .find_map(|measure| entry.measures.get(measure));
            let grams = own.copied().unwrap_or(size * density(library, food));
            served.grams = round_median(grams * middle, spoken(model.stated_sigma).hypot(loose));
            served
                .steps
                .push(format!("{} {} of {grams:.0} g", number(middle), unit.id));
            served.stated = true;
        }
        ("length", _) => match entry.measures.get("inch") {
            Some(inch) => {
                served.grams =
                    round_median(inch * middle, spoken(piece_sigma(library, food, "inch")));
                served
                    .steps
                    .push(format!("{} inches of {inch:.0} g", number(middle)));
                served.stated = true;
            }
            None => {
                served.note = Some(format!(
                    "a length says nothing of the weight of {}",
                    entry.name.to_lowercase()
                ))
            }
        },
        _ => {
            let own = unit
                .measures
                .iter()
                .find_map(|measure| Some((measure, *entry.measures.get(measure)?)));
            let pieces = unit.pieces.unwrap_or(1.0);
            served.count = Some(middle * pieces);
            match own {
                Some((measure, grams)) => {
                    served.grams = round_median(
                        grams * middle * pieces,
                        spoken(piece_sigma(library, food, measure)).max(loose * 0.5),
                    );
                    served
                        .steps
                        .push(format!("{} × {grams:.0} g", number(middle * pieces)));
                    served.stated = true;
                }
                None => {
                    let drink = density(library, food);
                    let grams = unit
                        .size
                        .map(|size| if drinkable { size * drink } else { size });
                    let one = if drinkable
                        || unit.measures.first().is_none_or(|first| first != "piece")
                    {
                        grams
                    } else {
                        None
                    };
                    let each = one.map_or(served.grams, |grams| round_median(grams, loose));
                    served.grams = times(
                        each,
                        middle
                            * if one.is_some() {
                                1.0
                            } else {
                                pieces.max(1.0).powf(0.5)
                            },
                    );
                    served.steps.push(format!(
                        "{} {}, taken as {}",
                        number(middle),
                        unit.id,
                        span(served.grams)
                    ));
                }
            }
        }
    }
}

/// The measure that counts as a piece of a food, and its g, where the food says.
pub fn piece_of(library: &Library, food: FoodId) -> Option<(&'static str, f64)> {
    let measures = &library.food(food).measures;
    ["piece", "patty", "link", "slice", "scoop"]
        .into_iter()
        .find_map(|measure| Some((measure, *measures.get(measure)?)))
}

/// σ of the logarithm of a piece's weight: its published weighings, and what pieces of all foods vary by as if it were
/// [`PRIOR_WEIGHINGS`] more of them.
fn piece_sigma(library: &Library, food: FoodId, measure: &str) -> f64 {
    let entry = library.food(food);
    let prior = library.rules.model.piece_sigma;
    let weighed = entry
        .weighings
        .get(measure)
        .zip(entry.measures.get(measure));
    weighed.map_or(prior, |((n, sd), mean)| {
        let n = f64::from(*n);
        let own = (sd / mean).powi(2).ln_1p();
        ((n * own + PRIOR_WEIGHINGS * prior * prior) / (n + PRIOR_WEIGHINGS)).sqrt()
    })
}

const PRIOR_WEIGHINGS: f64 = 6.0;

/// g per mL, from the food's own measures.
pub fn density(library: &Library, food: FoodId) -> f64 {
    let measures = &library.food(food).measures;
    let from =
        |measure: &str, millilitres: f64| measures.get(measure).map(|grams| grams / millilitres);
    from("fl_oz", 29.5735)
        .or_else(|| from("cup", 236.588))
        .or_else(|| from("tbsp", 14.7868))
        .or_else(|| from("tsp", 4.9289))
        .unwrap_or(if library.category(food).group == "drink" {
            1.0
        } else {
            0.8
        })
}

fn number(value: f64) -> String {
    let rounded = (value * 100.0).round() / 100.0;
    format!("{rounded}")
}

/// Grams in words, ounces beside them.
pub fn weight(grams: f64) -> String {
    format!("{:.0} g ({:.1} oz)", grams, grams / 28.349523125)
}

fn span(grams: Triple) -> String {
    format!("{:.0}–{:.0}–{:.0} g", grams[0], grams[1], grams[2])
}
