//! A plain food: in the open pattern, beside it, or on its own.

use super::Builder;
use crate::library::{FoodId, Role};
use crate::plate::Origin;
use crate::read::{Head, Item, Link, Stance};

impl Builder<'_> {
    pub(super) fn food(&mut self, food: FoodId, item: &Item) {
        let library = self.library;
        let said = self.said(item.span).0;
        let entry = library.food(food);
        let counted =
            item.amount.is_some_and(|amount| !amount.share) || item.stance == Stance::Extra;
        self.goes_back(food, item);
        if self.open.is_some() && self.held(food, counted, &said) {
            return;
        }
        if self.open.is_some() && !self.accepted(food) && self.slots_own(item) {
            return;
        }
        if self.open.is_some() && !self.stands_beside(food, item) {
            // "on 12-inch French bread": as long as its bread is the whole sandwich.
            let length = item.amount.filter(|amount| {
                let unit = amount.unit.map(|unit| &library.rules.units[unit]);
                unit.is_some_and(|unit| unit.kind == "length")
            });
            let mut item = item.clone();
            if let (Some(length), Some(open)) = (length, &mut self.open)
                && library.dish(open.id).inches.is_some()
            {
                open.amount = open.amount.or(Some(length));
                item.amount = None;
            }
            let item = &item;
            let pattern = self
                .open
                .as_ref()
                .map(|open| library.dish(open.id).extras)
                .unwrap_or(Role::Topping);
            let role = self.extra_role(pattern, item.link, food, false);
            let draft = self.draft(food, role, item);
            self.fill(draft, item.link);
            let at = self.drafts.len().saturating_sub(1);
            self.parts_of_food(food, at, item);
            return;
        }
        // A thing of its own: the first of its group, or beside what is there.
        let before = match (&self.open, self.head) {
            (Some(open), _) => library.dish(open.id).slots.first().map(|slot| slot.food),
            (None, Some(head)) => Some(self.drafts[head].food),
            (None, None) => None,
        };
        if self.open.is_none() && before.is_some() {
            // The same food again, as in "wings, 1/2 lb (wings only)".
            let again = self.drafts.iter().rposition(|draft| {
                draft.group == self.group
                    && draft.food == food
                    && draft.option == self.option
                    && item.link == Link::Detail
            });
            if let Some(at) = again {
                self.drafts[at].amount = self.drafts[at].amount.or(item.amount);
                return;
            }
            let counted =
                item.amount.is_some_and(|amount| !amount.share) || item.stance == Stance::Extra;
            if item.link != Link::Start && self.held(food, counted, &said) {
                return;
            }
        }
        let said_role = self.sizes_role(&item.sizes);
        let first = before.is_none();
        let ruled = if first || item.link == Link::Start {
            None
        } else {
            self.rule(item.link, before, food)
        };
        if !first && self.open.is_none() && item.link == Link::With {
            self.leads(food);
        }
        let own = entry.served_as;
        let topped = !first && item.topped && library.category(food).group != "drink";
        let role = said_role
            .or(topped.then_some(Role::Topping))
            .or(ruled)
            .unwrap_or(match (first, self.setting_role()) {
                (true, _) if self.keeps_role(food) => own,
                // Fries stay a side among the starters, onion rings that have a portion as one do not.
                (true, Some(Role::Starter))
                    if own == Role::Side
                        && library.category(food).group != "protein"
                        && !entry.portions.contains_key(&Role::Starter) =>
                {
                    own
                }
                (true, Some(role))
                    if matches!(own, Role::Main | Role::Side | Role::Starter | Role::Topping) =>
                {
                    role
                }
                (true, _) if own == Role::Topping || own == Role::Garnish => own,
                _ if item.substitute && own == Role::Main => Role::Side,
                _ => own,
            });
        let mut draft = self.draft(food, role, item);
        let named = self.said(item.head_span).0;
        draft.amount = self.as_cut(food, &named, draft.amount);
        let beside_dish = matches!(
            role,
            Role::Side | Role::Drink | Role::Dessert | Role::Starter
        ) || first
            || role == Role::Main;
        draft.shares_middle = role == Role::Main && !matches!(item.link, Link::Detail);
        draft.dish = match self.head {
            Some(head) if !beside_dish => self.drafts[head].dish,
            _ => {
                let whole = library.category(food).group == "whole";
                self.new_dish(entry.name.clone(), None, whole)
            }
        };
        if library.category(food).group == "whole" {
            draft.origin = Origin::WholeDish;
        }
        // "egg and cheese on a biscuit": what lies on bread fills it.
        let carrier = matches!(item.link, Link::On | Link::In)
            && matches!(library.category(food).id.as_str(), "bread" | "pastry");
        if carrier && self.open.is_none() && before.is_some() {
            let dish = self.head.map_or(draft.dish, |head| self.drafts[head].dish);
            draft.dish = dish;
            draft.role = Role::Base;
            let library = self.library;
            // "Half turkey and avocado on sourdough" is half of the sandwich.
            if let Some(head) = self.head
                && let Some(share) = self.drafts[head].amount.take_if(|amount| amount.share)
            {
                self.shares.push((dish, share.middle()));
            }
            for old in self
                .drafts
                .iter_mut()
                .filter(|old| old.group == self.group && old.origin == Origin::Named)
            {
                let group = library.category(old.food).group.as_str();
                if matches!(group, "protein" | "dairy" | "vegetable" | "fat" | "sauce")
                    && matches!(
                        old.role,
                        Role::Main | Role::Side | Role::Topping | Role::Starter
                    )
                {
                    old.role = Role::Filling;
                    old.shares_middle = false;
                    old.dish = dish;
                }
            }
        }
        let at = self.drafts.len();
        self.drafts.push(draft);
        self.last = Some(at);
        if self.open.is_none()
            && (self.head.is_none() || role == Role::Main && item.link == Link::Start)
        {
            self.head = Some(at);
        } else if self.open.is_some() && item.substitute {
            // A substitute does not end the dish it stands in for a part of.
        } else if self.open.is_some() && matches!(role, Role::Main) {
            self.close();
            self.head = Some(at);
        }
        self.parts_of_food(food, at, item);
    }

    /// Foods before a head noun that is a plain food: the sesame of "sesame rice".
    pub(super) fn parts_of_food(&mut self, food: FoodId, at: usize, item: &Item) {
        for part in &item.parts {
            let inner = match part.head {
                Head::Food(inner) => inner,
                Head::Dish(dish) => {
                    self.taste_of(dish, food, at, part);
                    continue;
                }
                Head::Class(_) => continue,
            };
            let said = self.said(part.span).0;
            if part.amount.is_none()
                && self
                    .library
                    .is_one_of(inner, &self.library.food(food).holds)
            {
                let name = self.library.food(food).name.to_lowercase();
                self.plate.assumptions.push(format!(
                    "{said} is part of the figures for {name} and was not added again"
                ));
                continue;
            }
            if let Some(instead) = self.made_of(food, part) {
                if let (Some(food), Some(draft)) = (instead, self.drafts.get_mut(at)) {
                    draft.food = food;
                }
                continue;
            }
            let rule = self.role_rule(Link::Start, Some(food), inner);
            let role = part
                .role
                .or_else(|| rule.and_then(|rule| Role::find(&rule.role)))
                .unwrap_or(Role::Flavouring);
            let mut draft = self.draft_of_part(inner, role, part);
            draft.usual = rule
                .filter(|_| part.role.is_none())
                .and_then(|rule| rule.portion);
            // "ham roll": what is filled is the bread of a sandwich.
            if role == Role::Filling
                && part.role.is_none()
                && let Some(bread) = self.drafts.get_mut(at)
            {
                bread.role = Role::Base;
            }
            // "linguine alla vodka": the noun comes first, the sauce lies round it.
            if role == Role::Main
                && part.role.is_none()
                && let Some(sauce) = self.drafts.get_mut(at)
            {
                draft.amount = draft.amount.or(sauce.amount.take());
                draft.sizes.append(&mut sauce.sizes);
                draft.shares_middle = true;
                sauce.role = Role::Base;
                sauce.shares_middle = false;
            }
            if let Some(head) = self.drafts.get(at) {
                draft.dish = head.dish;
                draft.option = head.option;
            }
            self.drafts.push(draft);
        }
    }
}
