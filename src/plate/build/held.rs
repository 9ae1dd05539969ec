//! What a dish's own words, or those before it, say of its slots.

use super::Builder;
use crate::library::{DishId, FoodId, Library, Role, Term, stems};
use crate::plate::{Origin, named};
use crate::read::{Head, Item, Link};

impl Builder<'_> {
    /// "Ham club": a food that a dish's own name names is there, whatever its slot's chance; and where the slot usually
    /// holds another, it is that one. Words of the dish's plain name say nothing, unless they stand behind "with".
    pub(super) fn own_words(&mut self, item: &Item) {
        let library = self.library;
        let Some(open) = &self.open else { return };
        let pattern = library.dish(open.id);
        let words = stems(&self.said(item.head_span).0);
        let plain = stems(&pattern.name);
        let with = words.iter().position(|word| word == "with");
        let mut taken: Vec<(usize, usize)> = Vec::new();
        let mut others: Vec<(usize, FoodId)> = Vec::new();
        for length in (1..words.len()).rev() {
            for at in 0..=words.len() - length {
                let end = at + length;
                if taken.iter().any(|(from, to)| *from < end && at < *to) {
                    continue;
                }
                let window = &words[at..end];
                let Some(food) = food_called(library, window) else {
                    continue;
                };
                taken.push((at, end));
                let behind = with.is_some_and(|with| with < at)
                    || at > 0 && words[at - 1] == "and"
                    || self.is_dish_without(&words, at, end);
                if behind || !window.iter().all(|word| plain.contains(word)) {
                    others.extend(self.own_word(food, window, behind));
                }
            }
        }
        let mut plain = item.clone();
        (plain.amount, plain.sizes, plain.parts) = (None, Vec::new(), Vec::new());
        plain.preparations = Vec::new();
        let certain = self.open.as_ref().map(|open| open.certain.clone());
        others.retain(|(slot, _)| {
            !certain
                .as_ref()
                .is_some_and(|certain| certain.contains(slot))
        });
        for (slot, food) in others {
            let draft = self.draft(food, pattern.slots[slot].role, &plain);
            self.put(draft, slot);
        }
    }

    /// "Duck poutine": whether the open dish is called so without these of its words.
    fn is_dish_without(&self, words: &[String], from: usize, to: usize) -> bool {
        let Some(open) = &self.open else { return false };
        let mut rest: Vec<&String> = words[..from].iter().chain(&words[to..]).collect();
        let joins = |word: Option<&&String>| word.is_some_and(|word| *word == "and");
        if joins(rest.first()) {
            rest.remove(0);
        }
        if joins(rest.last()) {
            rest.pop();
        }
        let key: String = rest.into_iter().map(String::as_str).collect();
        self.library
            .vocabulary()
            .find(&key)
            .contains(&Term::Dish(open.id))
    }

    /// Marks the slot that holds this food by custom; of a slot that usually holds another, which it is and what fills it.
    ///
    /// `behind`: it stands behind "with" or "and", or the dish is called so without it. What else is in the name of a dish that is recorded as one is in its figures.
    fn own_word(
        &mut self,
        food: FoodId,
        window: &[String],
        behind: bool,
    ) -> Option<(usize, FoodId)> {
        let library = self.library;
        let open = self.open.as_mut()?;
        let slots = &library.dish(open.id).slots;
        let body = library.food(slots.first()?.food);
        let whole = library.dish(open.id).whole && !behind;
        let unsure = |at: &usize| {
            let slot = &slots[*at];
            slot.chance < 1.0 && open.named[*at].is_empty() && !(whole && slot.chance <= 0.0)
        };
        if library.is_one_of(food, &body.holds) {
            return None;
        }
        if let Some(own) = slots.iter().position(|slot| slot.food == food) {
            if unsure(&own) {
                open.certain.push(own);
            }
            return None;
        }
        let accepts = |at: &usize| library.is_one_of(food, &slots[*at].accepts);
        // What a slot that is never empty accepts may be that one.
        let at = (0..slots.len()).find(accepts).filter(unsure)?;
        let slot = &slots[at];
        let category = library.category(food);
        let same = library.food(slot.food).category == library.food(food).category;
        let sure = slot.chance > 0.0;
        let either = library.rules.either.iter().find(|entry| {
            let says = |word: &String| stems(word) == window;
            entry.words.iter().any(says)
        });
        if let Some(either) = either {
            if either.options.contains(&library.food(slot.food).id) {
                open.certain.push(at);
            }
            return None;
        }
        let meat = category.group == "protein" && named::has_meat(library, slots[0].food);
        let terms = library.vocabulary().find(&window.concat());
        let kind = terms.iter().any(|term| matches!(term, Term::Class(_)));
        let drink = category.id == "dairy" || category.group == "drink";
        if kind || drink || meat && library.dish(open.id).whole {
            return None;
        }
        let usual = sure && slot.role != Role::Side && same;
        if !(behind || usual) {
            return None;
        }
        // The meatballs of a vegan dish are its own.
        if library.category(slot.food).id == "veg-protein" && category.id != "veg-protein" {
            open.certain.push(at);
            return None;
        }
        // "Tikka" is no more than a part of chicken tikka's name.
        let name = &library.food(food).name;
        let all = stems(name);
        let plain = stems(name.split([',', '(']).next().unwrap_or(name));
        let mut rest = plain.iter().filter(|word| !window.contains(word));
        let begins = plain.first().is_some_and(|first| window.contains(first));
        let called = window.iter().all(|word| all.contains(word))
            && (same
                || begins
                || !rest.any(|word| food_called(library, std::slice::from_ref(word)).is_some()));
        if called {
            return Some((at, food));
        }
        if sure {
            open.certain.push(at);
        }
        None
    }

    /// "Meat and vegetables" behind a dish that has its meat: a word for a whole kind says no more than that. Whether it does.
    pub(super) fn is_there_already(&mut self, item: &Item) -> bool {
        let library = self.library;
        let (Some(Head::Class(class)), Some(open)) = (item.head, &mut self.open) else {
            return false;
        };
        let kinds = &library.rules.classes[class].of;
        let plain = !item.chosen && item.alternatives.is_empty() && item.picks == 1;
        let slots = &library.dish(open.id).slots;
        let there = slots.iter().enumerate().position(|(at, slot)| {
            let named = open.named[at].iter();
            let mut named = named.map(|draft| self.drafts[*draft].food);
            named.any(|food| library.is_one_of(food, kinds))
                || slot.chance > 0.5 && library.is_one_of(slot.food, kinds)
        });
        let Some(at) = there.filter(|_| plain && item.amount.is_none()) else {
            return false;
        };
        open.certain.push(at);
        true
    }

    /// "Cheddar soup in a bread bowl": the food before the dish, and the slot in which the dish holds such a thing.
    pub(super) fn held_by(&self, id: DishId, item: &Item) -> Option<(usize, usize)> {
        let library = self.library;
        let head = self.head.filter(|_| self.open.is_none())?;
        let draft = self.drafts.get(head)?;
        let alone = self
            .drafts
            .iter()
            .filter(|other| other.group == draft.group);
        if item.link != Link::In
            || draft.option.is_some()
            || self.option.is_some()
            || alone.count() > 1
        {
            return None;
        }
        let slot = library.dish(id).slots.iter().position(|slot| {
            slot.role != Role::Base
                && (library.is_one_of(draft.food, &slot.accepts)
                    || library.food(slot.food).category == library.food(draft.food).category)
        })?;
        Some((head, slot))
    }

    /// The dish of a plate's food becomes the pattern that holds it.
    pub(super) fn rename(&mut self, dish: usize, id: DishId) -> usize {
        let pattern = self.library.dish(id);
        let renamed = self.new_dish(
            pattern.name.clone(),
            Some(pattern.id.clone()),
            pattern.whole,
        );
        self.dish_starts.pop();
        if let (Some(new), Some(old)) = (self.plate.dishes.pop(), self.plate.dishes.get_mut(dish)) {
            *old = new;
            return dish;
        }
        renamed
    }

    /// Puts the food before the open dish into its slot.
    pub(super) fn hold(&mut self, head: usize, slot: usize) {
        let Some(open) = &mut self.open else { return };
        let slot_of = &self.library.dish(open.id).slots[slot];
        let draft = &mut self.drafts[head];
        draft.slot = Some(slot_of.name.clone());
        draft.dish = open.dish;
        draft.role = slot_of.role;
        draft.origin = Origin::Named;
        draft.shares_middle = false;
        open.named[slot].push(head);
        self.head = None;
        self.last = None;
    }
}

fn food_called(library: &Library, words: &[String]) -> Option<FoodId> {
    let terms = library.vocabulary().find(&words.concat());
    terms.iter().find_map(|term| match term {
        Term::Food(food) => Some(*food),
        _ => None,
    })
}
