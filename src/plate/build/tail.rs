//! What is said of the thing before: "…, large", "…, half rack", "…, pecan-crusted".

use super::Builder;
use crate::library::schema::UnitEntry;
use crate::library::{FoodId, Role, stems};
use crate::plate::Origin;
use crate::read::{Amount, Head, Item, Link, Span};

/// The most millilitres of a spoon: what is measured with one is a part of a dish, never the dish.
const SPOON: f64 = 20.0;

/// What an amount or a size behind a comma may be said of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Thing {
    /// The dish that goes on behind the open one.
    Beneath,
    /// The open dish.
    Open,
    /// A food.
    Draft(usize),
}

impl Builder<'_> {
    /// "…, large", "…, half rack", "…, pecan-crusted": said of what stands before.
    pub(super) fn tail(&mut self, item: &Item) {
        for part in &item.parts {
            let Head::Food(food) = part.head else {
                continue;
            };
            let role = part.role.unwrap_or(Role::Topping);
            let draft = self.draft_of_part(food, role, part);
            self.drafts.push(draft);
        }
        let group = item.group;
        if let Some(of) = self.said_of(item) {
            self.say(of, item);
            return;
        }
        let units = &self.library.rules.units;
        let unit_measures = item.amount.and_then(|amount| amount.unit);
        let unit_measures = unit_measures
            .map(|unit| &units[unit])
            .filter(|unit| unit.kind == "piece")
            .map(|unit| unit.measures.as_slice())
            .unwrap_or_default();
        let measured = self.drafts.iter().rposition(|draft| {
            draft.group == group
                && draft.origin != Origin::Implied
                && unit_measures
                    .iter()
                    .any(|measure| self.library.food(draft.food).measures.contains_key(measure))
        });
        if let Some(at) = measured {
            self.say(Thing::Draft(at), item);
            return;
        }
        if self.open.is_some() {
            self.say(Thing::Open, item);
            return;
        }
        // Said of the middle of the plate where there is one, else of what stands just before.
        let target = self
            .head
            .filter(|head| self.drafts[*head].role == Role::Main)
            .or(self.last)
            .or_else(|| self.drafts.iter().rposition(|draft| draft.group == group));
        if let Some(at) = target {
            self.say(Thing::Draft(at), item);
        }
    }

    /// Which of two things an amount or a size at the end is said of, the first of the line or the last before it: the first,
    /// unless it has one already, or only the last is commonly served so.
    fn said_of(&self, item: &Item) -> Option<Thing> {
        let (first, last, link) = self.named?;
        let (first, last) = (self.thing(first)?, self.thing(last)?);
        if first == last || item.amount.is_none() && item.sizes.is_empty() {
            return None;
        }
        let own = self.amount_of(first);
        let taken = item
            .amount
            .zip(own)
            .is_some_and(|(new, own)| !self.gives_way(&own, &new));
        // "eggs and bacon (3)": the bracket stands at a thing of its own, not at a part.
        let own = matches!(link, Link::And | Link::Comma);
        // "tom yum with shrimp, cup" is a cup of the soup, whatever measure shrimp have.
        let is_unit = |size: &usize| {
            let id = &self.library.rules.sizes[*size].id;
            self.library.rules.units.iter().any(|unit| unit.id == *id)
        };
        if item.amount.is_none() && item.sizes.iter().any(is_unit) && !own {
            return Some(first);
        }
        let own = own && item.link == Link::Detail;
        let (of_first, of_last) = (
            self.served_so(first, item, false),
            self.served_so(last, item, true),
        );
        let of_last = of_last.is_some_and(|of_last| own || of_first.is_none_or(|of| of > of_last));
        Some(if taken || of_last { last } else { first })
    }

    /// The thing that these words named.
    fn thing(&self, span: Span) -> Option<Thing> {
        let says = |open: &super::Open| open.said.1 == span;
        if self.beneath.as_ref().is_some_and(says) {
            return Some(Thing::Beneath);
        }
        if self.open.as_ref().is_some_and(says) {
            return Some(Thing::Open);
        }
        let said = |draft: &super::Draft| {
            draft.origin != Origin::Implied
                && draft.said.as_ref().is_some_and(|said| said.1 == span)
        };
        self.drafts.iter().position(said).map(Thing::Draft)
    }

    fn pattern_of(&self, thing: Thing) -> Option<&super::Open> {
        match thing {
            Thing::Beneath => self.beneath.as_ref(),
            Thing::Open => self.open.as_ref(),
            Thing::Draft(_) => None,
        }
    }

    fn amount_of(&self, thing: Thing) -> Option<Amount> {
        match thing {
            Thing::Draft(at) => self.drafts[at].amount,
            _ => self.pattern_of(thing)?.amount,
        }
    }

    /// Whether a thing is commonly said to be of this amount or size: how far down the measures that the words may mean, 0 for
    /// the first.
    fn served_so(&self, thing: Thing, item: &Item, last: bool) -> Option<usize> {
        let library = self.library;
        let pattern = self.pattern_of(thing).map(|open| library.dish(open.id));
        let food = match thing {
            Thing::Draft(at) => Some(self.drafts[at].food),
            _ => pattern
                .and_then(|pattern| pattern.slots.first())
                .map(|slot| slot.food),
        };
        let food = food?;
        let category = library.category(food);
        let drink =
            category.group == "drink" || pattern.is_some_and(|pattern| pattern.course == "drink");
        let container = pattern.is_some_and(|pattern| pattern.extras == Role::Filling);
        let own = |measure: &String| match pattern {
            Some(pattern) => {
                pattern.measures.contains_key(measure)
                    || !container && library.food(food).measures.contains_key(measure)
            }
            None => library.food(food).measures.contains_key(measure),
        };
        let sized = |size: &usize| drink || own(&library.rules.sizes[*size].id);
        let Some(amount) = item.amount else {
            return item.sizes.iter().position(sized);
        };
        let meat = category.group == "protein" && pattern.is_none();
        let fits = |unit: &UnitEntry| match unit.kind.as_str() {
            // "salad with chicken (4 oz)", "burger with cola, 20 oz"
            "mass" if last => drink || meat && item.link == Link::Detail,
            "mass" => drink || meat || item.link != Link::Detail,
            "volume" => {
                let spoon = unit.size.is_some_and(|size| size < SPOON);
                if spoon {
                    last
                } else {
                    drink || !container && !meat
                }
            }
            "length" => pattern.is_some_and(|pattern| pattern.inches.is_some()) || own(&unit.id),
            _ => false,
        };
        let fits = match amount.unit.map(|unit| &library.rules.units[unit]) {
            // A slice of toast before a piece of egg.
            Some(unit) if unit.kind == "piece" => return unit.measures.iter().position(own),
            Some(unit) => fits(unit),
            None if amount.share => !last,
            None => {
                container
                    || pattern.is_some_and(|pattern| pattern.served.is_some())
                    || own(&"piece".to_owned())
            }
        };
        fits.then_some(0)
    }

    /// Whether a stated amount gives way to one behind it: a glass to its ounces, a pizza's width to the slices of it.
    fn gives_way(&self, old: &Amount, new: &Amount) -> bool {
        let kind = |amount: &Amount| {
            let unit = amount.unit.map(|unit| &self.library.rules.units[unit]);
            unit.map_or("piece", |unit| unit.kind.as_str())
        };
        let exact = matches!(kind(new), "mass" | "volume");
        old.bare
            || kind(old) == "length" && new.unit.is_some()
            || exact && !old.share && kind(old) == "piece" && old.middle() == 1.0
    }

    /// Puts what is said to the thing it is said of.
    fn say(&mut self, of: Thing, item: &Item) {
        let known = self.amount_of(of);
        let amount = match known.zip(item.amount) {
            Some((old, new)) if self.gives_way(&old, &new) => Some(new),
            Some((old, _)) => Some(old),
            None => known.or(item.amount),
        };
        let amount = amount.filter(|amount| !self.is_sold_for(of, amount));
        let roles: Vec<Role> = item
            .sizes
            .iter()
            .filter_map(|size| self.size_role(*size))
            .collect();
        let open = match of {
            // "Turkey and avocado on rye, half": of the whole sandwich.
            Thing::Draft(at)
                if self.drafts[at].role == Role::Filling
                    && amount.is_some_and(|amount| amount.share) =>
            {
                let share = amount.map_or(1.0, |amount| amount.middle());
                self.shares.push((self.drafts[at].dish, share));
                return;
            }
            Thing::Draft(at) => {
                let said = self.drafts[at].said.clone().unwrap_or_default().0;
                let amount = self.as_cut(self.drafts[at].food, &said, amount);
                let draft = &mut self.drafts[at];
                draft.amount = amount;
                draft.sizes.extend(&item.sizes);
                draft.preparations.extend(&item.preparations);
                if let Some(role) = roles.last() {
                    draft.role = *role;
                }
                return;
            }
            Thing::Beneath => self.beneath.as_mut(),
            Thing::Open => self.open.as_mut(),
        };
        if let Some(open) = open {
            open.amount = amount.filter(in_part);
            open.sizes.extend(&item.sizes);
            open.preparations.extend(&item.preparations);
        }
    }

    /// "Tomahawk for two": whether so many portions are what the thing is anyway.
    fn is_sold_for(&self, of: Thing, amount: &Amount) -> bool {
        let library = self.library;
        let id = match of {
            Thing::Draft(at) => Some(&library.food(self.drafts[at].food).id),
            _ => self.pattern_of(of).map(|open| &library.dish(open.id).id),
        };
        let portions = amount
            .unit
            .is_some_and(|unit| library.rules.units[unit].id == "portion");
        portions
            && amount.middle() == 2.0
            && id.is_some_and(|id| library.rules.sold_for.two.contains(id))
    }

    /// "Roast duck, half": of a bird, a share of a whole one.
    pub(super) fn as_cut(
        &self,
        food: FoodId,
        said: &str,
        amount: Option<Amount>,
    ) -> Option<Amount> {
        let library = self.library;
        let share = amount.filter(|amount| amount.share);
        let noun = stems(said).pop();
        let mut cuts = library.rules.cuts.iter();
        let cut = cuts.find(|cut| {
            noun.as_ref().is_some_and(|noun| cut.nouns.contains(noun))
                && library.is_one_of(food, &cut.of)
        });
        let grams = library.rules.units.iter().position(|unit| unit.id == "g");
        match share.zip(cut).zip(grams) {
            Some(((share, cut), grams)) => {
                let bone = 1.0 - library.food(food).bone;
                Some(Amount {
                    low: share.low * cut.whole[0] / bone,
                    high: share.high * cut.whole[2] / bone,
                    unit: Some(grams),
                    share: false,
                    cooked: true,
                    ..share
                })
            }
            None => amount.filter(in_part),
        }
    }
}

/// Whether an amount says more than that it is all of a thing: "tacos, whole" are as many as usual.
pub(super) fn in_part(amount: &Amount) -> bool {
    !(amount.share && amount.middle() == 1.0)
}
