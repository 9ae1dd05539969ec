//! What stands before a noun: an ingredient of the dish, its meat, or another dish's taste.

use super::Builder;
use crate::library::{DishId, FoodId, Role, Slot, stems};
use crate::plate::{Origin, named};
use crate::read::{Head, Item, Link, Part};

impl Builder<'_> {
    /// A food named before a dish's own noun.
    pub(super) fn part_of_dish(&mut self, part: &Part) {
        let Some(open) = &self.open else { return };
        let pattern = self.library.dish(open.id);
        let food = match part.head {
            Head::Food(food) => food,
            Head::Dish(inner) => {
                // "mac and cheese burger": the inner dish is a topping of the outer one.
                let mut item = Item::part_item(part);
                item.link = Link::Detail;
                self.modifier = Some(self.meat_of(inner, part));
                self.dish(inner, &item);
                self.modifier = None;
                return;
            }
            Head::Class(_) => return,
        };
        if self.held(food, part.amount.is_some(), &self.said(part.span).0) {
            return;
        }
        if let Some(body) = pattern.slots.first().map(|slot| slot.food)
            && pattern.whole
            && !pattern
                .slots
                .iter()
                .any(|slot| self.library.is_one_of(food, &slot.accepts))
            && let Some(instead) = self.made_of(body, part)
        {
            if let Some(food) = instead {
                let mut draft = self.draft_of_part(food, pattern.slots[0].role, part);
                draft.origin = Origin::WholeDish;
                draft.preparations = Vec::new();
                self.put(draft, 0);
            }
            return;
        }
        let role = part
            .role
            .unwrap_or_else(|| self.extra_role(pattern.extras, Link::Start, food, true));
        let draft = self.draft_of_part(food, role, part);
        if part.role.is_none() || part.role == Some(Role::Filling) {
            self.fill(draft, Link::With);
        } else {
            self.push_extra(draft);
        }
    }

    /// "Lamb stew": the meat before such a dish is what it is made of, instead of its own. What the dish is then, where the
    /// library knows it; no food where it is as the dish's own figures say, but for the meat. None: no such rule.
    pub(super) fn made_of(&mut self, body: FoodId, part: &Part) -> Option<Option<FoodId>> {
        let Head::Food(food) = part.head else {
            return None;
        };
        let library = self.library;
        let ruled =
            library.rules.replaces.iter().any(|rule| {
                library.is_one_of(body, &rule.head) && library.is_one_of(food, &rule.food)
            });
        if !ruled || part.role.is_some() || part.amount.is_some() || !named::has_meat(library, body)
        {
            return None;
        }
        let said = self.said(part.span).0;
        let sibling = named::sibling(library, body, &said);
        if sibling.is_none() {
            let name = library.food(body).name.to_lowercase();
            self.plate.assumptions.push(format!(
                "{said} stands instead of the meat in the figures for {name}"
            ));
        }
        Some(sibling)
    }

    /// "Prawn curry" as a name of the fish curry: the meat in a dish's own words is what is in it.
    pub(super) fn own_meat(&mut self, item: &Item) {
        let Some(open) = &self.open else { return };
        let words = stems(&self.said(item.head_span).0);
        let Some((slot, food)) = named::own_meat(self.library, open.id, &words) else {
            return;
        };
        if open.named[slot].is_empty() {
            let mut plain = item.clone();
            (plain.amount, plain.sizes, plain.parts) = (None, Vec::new(), Vec::new());
            plain.preparations = Vec::new();
            let role = self.library.dish(open.id).slots[slot].role;
            self.put(self.draft(food, role, &plain), slot);
        }
    }

    /// "Shawarma pizza": the meat of the dish before the noun fills the slot that the open dish has for meat. Its slots.
    pub(super) fn meat_of(&mut self, inner: DishId, part: &Part) -> Vec<usize> {
        let library = self.library;
        let Some(open) = &self.open else {
            return Vec::new();
        };
        let accepts = &library.dish(open.id).slots;
        let meat: Vec<usize> = (0..library.dish(inner).slots.len())
            .filter(|at| {
                let slot = &library.dish(inner).slots[*at];
                slot.chance >= 0.5
                    && library.category(slot.food).group == "protein"
                    && accepts
                        .iter()
                        .any(|outer| library.is_one_of(slot.food, &outer.accepts))
            })
            .collect();
        for at in &meat {
            let food = library.dish(inner).slots[*at].food;
            let draft = self.draft_of_part(food, Role::Filling, part);
            self.fill(draft, Link::With);
        }
        meat
    }

    /// "Bolognese fries": the dish before the noun lies on the food; before a sauce it is no more than its taste.
    pub(super) fn taste_of(&mut self, dish: DishId, food: FoodId, at: usize, part: &Part) {
        let library = self.library;
        let pattern = library.dish(dish);
        let tastes = pattern.slots.iter().filter(|slot| {
            slot.chance >= 0.5 && self.is_taste(slot) && library.category(slot.food).group != "fat"
        });
        // Of a dish that is recorded as one, its body is the taste.
        let most = if pattern.whole { 1 } else { usize::MAX };
        let tastes: Vec<&Slot> = tastes.take(most).collect();
        for slot in tastes {
            let rule = self.role_rule(Link::Start, Some(food), slot.food);
            let portion = rule.and_then(|rule| rule.portion);
            let role = rule.and_then(|rule| Role::find(&rule.role));
            let role = part.role.or(role).unwrap_or(Role::Topping);
            let mut draft = self.draft_of_part(slot.food, role, part);
            draft.usual = portion.or(slot.portion.as_ref().map(|own| own.grams));
            draft.chance = slot.chance;
            if portion.is_none() {
                draft.factor = library.rules.model.inside;
            }
            if let Some(head) = self.drafts.get(at) {
                draft.dish = head.dish;
                draft.option = head.option;
            }
            self.drafts.push(draft);
        }
    }

    /// Whether a dish brings this slot along where it stands before another dish's noun: its meat, sauce and what goes with
    /// them, but not the bread or starch that it lies on and nothing beside it.
    pub(super) fn is_taste(&self, slot: &Slot) -> bool {
        match self.library.category(slot.food).group.as_str() {
            "protein" => true,
            "starch" => !matches!(slot.role, Role::Base | Role::Side),
            _ => slot.role != Role::Side,
        }
    }
}
