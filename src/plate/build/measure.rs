//! How many of a pattern, and how large, the words say.

use super::{Builder, Open};
use crate::estimate::Z90;
use crate::library::schema::UnitEntry;
use crate::library::{DishId, Role, Triple};
use crate::plate::portion::category_scale;
use crate::read::Amount;

/// The most of one dish that is taken at its word.
const MOST: f64 = 60.0;

/// How many times its usual weight the pieces of an order may come to: fewer or more are pieces of something else.
const LEAST_ORDER: f64 = 0.4;
const MOST_ORDER: f64 = 2.0;

/// How many of a pattern there are, and how large.
pub(super) struct Measured {
    /// Scales every slot.
    pub factor: f64,
    /// Pieces, where each slot is that of one piece.
    pub times: Option<Triple>,
    /// Pieces as a single number.
    pub count: f64,
    /// Scales one slot: "double" is two patties, not two buns.
    pub slots: Vec<f64>,
    /// σ of a weight or volume of the whole that the words state.
    pub stated: Option<f64>,
}

impl Builder<'_> {
    pub(super) fn measure(&mut self, open: &Open) -> Measured {
        let pattern = self.library.dish(open.id);
        let mut measured = Measured {
            factor: open.factor,
            times: None,
            count: 1.0,
            slots: vec![1.0; pattern.slots.len()],
            stated: None,
        };
        self.measure_sizes(open, &mut measured);
        match (&open.amount, pattern.served) {
            (Some(amount), _) => self.measure_amount(open, amount, &mut measured),
            (None, Some(served)) if open.plural => {
                measured.times = Some(served);
                measured.count = served[1];
            }
            (None, _) => {}
        }
        if measured.count.max(measured.factor) > MOST {
            self.plate.assumptions.push(format!(
                "{} of {} is more than one meal holds; it was taken as {MOST}",
                measured.count,
                pattern.name.to_lowercase()
            ));
            measured.times = Some([MOST; 3]);
            measured.factor = measured.factor.min(MOST);
        }
        measured
    }

    fn measure_sizes(&self, open: &Open, measured: &mut Measured) {
        let library = self.library;
        let pattern = library.dish(open.id);
        for &index in &open.sizes {
            let size = &library.rules.sizes[index];
            if size.role.is_some() {
                continue;
            }
            let hit: Vec<usize> = (0..pattern.slots.len())
                .filter(|at| size.slots.contains(&pattern.slots[*at].name))
                .collect();
            if hit.is_empty() {
                measured.factor *= match pattern.measures.get(&size.id) {
                    Some(grams) => {
                        // A large pizza has a weight of its own, as a large apple has.
                        let sigma = pattern.whole.then_some(library.rules.model.piece_sigma);
                        measured.stated = measured.stated.or(sigma);
                        grams / self.usual_weight(open.id)
                    }
                    None => size.factor,
                };
            }
            for at in hit {
                measured.slots[at] *= size.factor;
            }
        }
    }

    fn measure_amount(&mut self, open: &Open, amount: &Amount, measured: &mut Measured) {
        let library = self.library;
        let pattern = library.dish(open.id);
        if amount.share {
            measured.factor *= amount.middle();
            return;
        }
        match amount.unit.map(|unit| &library.rules.units[unit]) {
            None => {
                let count = amount.middle();
                let one_each = pattern.served.is_some() || pattern.extras == Role::Filling;
                // A roll is counted, and so are the pieces it was cut into: an enchilada is a piece itself.
                if count > 1.0
                    && let Some(times) = self.pieces_of_body(open, count, &["piece".to_owned()])
                    && !(one_each && times > count / 2.0)
                {
                    measured.slots[0] *= times;
                    measured.count = count;
                    return;
                }
                measured.count = count;
                measured.times = Some(if one_each || count < 3.0 {
                    [amount.low, count, amount.high]
                } else {
                    // Many of what is no piece of an order: they are its pieces.
                    let by = (count / 6.0).sqrt().max(1.0);
                    [by / 1.3, by, by * 1.3]
                });
            }
            Some(unit) if unit.kind == "length" => match pattern.inches {
                Some(inches) => {
                    measured.factor *= (amount.middle() / inches.usual).powf(inches.power);
                }
                None => self.plate.assumptions.push(format!(
                    "a length says nothing of the size of {}",
                    pattern.name.to_lowercase()
                )),
            },
            Some(unit) => self.weigh(open, amount, unit, measured),
        }
    }

    /// A weight, a volume or a number of slices of the whole; of a dish with parts, a weight is that of its meat.
    fn weigh(&mut self, open: &Open, amount: &Amount, unit: &UnitEntry, measured: &mut Measured) {
        let library = self.library;
        let model = &library.rules.model;
        let pattern = library.dish(open.id);
        let body = pattern.slots.first().map(|slot| library.food(slot.food));
        let mut measures = unit.measures.iter().chain(std::iter::once(&unit.id));
        let own = measures.find_map(|measure| {
            let own = pattern.measures.get(measure);
            own.or_else(|| body?.measures.get(measure))
        });
        if unit.kind == "piece"
            && !pattern.whole
            && let Some(times) = self.pieces_of_body(open, amount.middle(), &unit.measures)
        {
            measured.slots[0] *= times;
            return;
        }
        let usual = self.usual_weight(open.id);
        let grams = match (unit.kind.as_str(), unit.size, own) {
            ("mass", Some(size), _) => Some(size),
            (_, _, Some(own)) => Some(*own),
            ("volume", Some(size), None) => Some(size * 0.95),
            (_, size, None) => size.filter(|_| unit.pieces.is_none()),
        };
        let Some(grams) = grams else {
            measured.factor *= amount.middle() * unit.pieces.unwrap_or(1.0);
            return;
        };
        // "6 oz burger" is the patty's weight, not the plate's.
        if unit.kind == "mass"
            && !pattern.whole
            && let Some((at, times)) = self.weigh_meat(open, grams * amount.middle())
            // "Cobb salad, 14 oz" weighs the salad: of the two, what is nearer to what is usual.
            && (pattern.extras == Role::Filling
                || f64::ln(times).abs() <= f64::ln(grams * amount.middle() / usual).abs())
        {
            measured.slots[at] *= times;
            self.plate.assumptions.push(format!(
                "the stated weight was taken as the raw weight of the {}",
                pattern.slots[at].name
            ));
            return;
        }
        measured.factor *= grams * amount.middle() / usual;
        if pattern.whole {
            let loose = unit.loose.map_or(0.0, |loose| loose / (2.0 * Z90));
            let sigma = match unit.kind.as_str() {
                "mass" | "volume" => Some(model.stated_sigma.hypot(loose)),
                // "2 slices of pizza": pieces whose weight the library knows.
                _ => own.map(|_| model.piece_sigma.max(loose * 0.5)),
            };
            measured.stated = measured.stated.or(sigma);
        }
    }

    /// "Satay with cucumber relish, 4 skewers": pieces of what the dish is about leave what goes with it as it is. How many
    /// times its usual weight so many are, where an order may have so many.
    fn pieces_of_body(&self, open: &Open, count: f64, measures: &[String]) -> Option<f64> {
        let library = self.library;
        let slot = library.dish(open.id).slots.first()?;
        let named = open.named[0].first();
        let food = library.food(named.map_or(slot.food, |draft| self.drafts[*draft].food));
        let piece = measures
            .iter()
            .find_map(|measure| food.measures.get(measure))?;
        let times = piece * count / library.slot_portion(slot)[1];
        (LEAST_ORDER..=MOST_ORDER).contains(&times).then_some(times)
    }

    /// The slot of a dish's meat, and how many times its usual weight this raw weight is.
    fn weigh_meat(&self, open: &Open, grams: f64) -> Option<(usize, f64)> {
        let library = self.library;
        let slots = &library.dish(open.id).slots;
        let there = |at: usize| slots[at].chance > 0.0 || !open.named[at].is_empty();
        let at = (0..slots.len()).find(|at| {
            matches!(slots[*at].name.as_str(), "patty" | "meat" | "protein") && there(*at)
        })?;
        let slot = &slots[at];
        let food = open.named[at]
            .first()
            .map_or(slot.food, |draft| self.drafts[*draft].food);
        let loss = library
            .category(food)
            .cooked_yield
            .filter(|left| *left < 1.0 && !library.food(food).weighed_cooked);
        let usual = match &slot.portion {
            Some(own) => own.grams,
            None => library.portion(food, slot.role),
        }[1];
        Some((at, grams * loss.unwrap_or(1.0) / usual))
    }

    /// g of a pattern as it comes by default, as the fitted scales will make it: what is stated of the whole is to come out.
    fn usual_weight(&self, id: DishId) -> f64 {
        let library = self.library;
        let pattern = library.dish(id);
        let grams = pattern.slots.iter().enumerate().map(|(at, slot)| {
            // The body of a dish that is recorded as one has its scale taken off where its weight is stated.
            let scale = match pattern.whole && at == 0 || library.food(slot.food).published {
                true => 1.0,
                false => category_scale(library, slot.food, slot.role),
            };
            slot.chance * library.slot_portion(slot)[1] * scale
        });
        grams.sum::<f64>().max(1.0)
    }
}
