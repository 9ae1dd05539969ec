//! A dish pattern: opened, or a part of the one that is open.

use super::{Builder, Open};
use crate::library::{DishId, FoodId, Role, stems};
use crate::read::{Item, Link};

impl Builder<'_> {
    /// A dish pattern: opened, or, inside another, a part of it.
    pub(super) fn dish(&mut self, id: DishId, item: &Item) {
        let library = self.library;
        let pattern = library.dish(id);
        if let Some(open) = &mut self.open {
            // "burger: … on a burger" says the same dish again.
            if open.id == id && matches!(item.link, Link::Detail | Link::On | Link::In) {
                open.sizes.extend(&item.sizes);
                return;
            }
        }
        if self.stands_in(item)
            || self.is_served_in(id, item)
            || self.slots_own(item)
            || self.served_beside(id, item)
        {
            return;
        }
        let first_of_group =
            self.open.is_none() && (self.head.is_none() || self.held_by(id, item).is_some());
        let inside = self.open.is_some()
            && (matches!(item.link, Link::Detail)
                || matches!(item.link, Link::With) && item.topped && pattern.course != "drink");
        let outer = self.open.take_if(|_| inside);
        let goes_on = matches!(
            item.link,
            Link::With | Link::And | Link::Comma | Link::Detail
        );
        if !inside && goes_on && self.beneath.is_none() {
            // What is named next may belong to the dish before: it waits.
            self.beneath = self.open.take();
        } else if !inside {
            self.close();
        }
        let holds = self.held_by(id, item).filter(|_| outer.is_none());
        let dish = match (&outer, holds) {
            (Some(outer), _) => outer.dish,
            (None, Some((head, _))) => self.rename(self.drafts[head].dish, id),
            (None, None) => self.new_dish(
                pattern.name.clone(),
                Some(pattern.id.clone()),
                pattern.whole,
            ),
        };
        let said_role = self.sizes_role(&item.sizes);
        let role = said_role.or_else(|| {
            if first_of_group {
                self.setting_role()
            } else {
                None
            }
        });
        let mut factor = 1.0;
        if inside {
            factor = library.rules.model.inside;
        } else if !first_of_group && said_role.is_none() {
            factor = library
                .rules
                .model
                .beside
                .get(&pattern.course)
                .copied()
                .unwrap_or(1.0);
            if item
                .amount
                .is_some_and(|amount| !amount.share && amount.unit.is_none() && amount.high >= 1.0)
                && pattern.course == "main"
            {
                factor = 1.0;
            }
        }
        self.open = Some(Open {
            id,
            dish,
            named: vec![Vec::new(); pattern.slots.len()],
            sizes: item.sizes.clone(),
            amount: item.amount.filter(super::tail::in_part),
            preparations: item.preparations.clone(),
            plural: item.plural,
            role,
            option: self.option,
            factor,
            extras: Vec::new(),
            first_draft: self.drafts.len(),
            said: self.said(item.span),
            modifier: std::mem::take(&mut self.modifier),
            taken: Vec::new(),
            certain: Vec::new(),
            only: false,
        });
        if let Some((head, slot)) = holds {
            self.hold(head, slot);
        }
        for part in &item.parts {
            self.part_of_dish(part);
        }
        self.own_meat(item);
        self.own_words(item);
        if let Some(outer) = outer {
            self.close();
            self.open = Some(outer);
        }
    }

    /// "Burger, lettuce wrap": words that put something in the place of the open dish's base. Whether they did. Several are
    /// a dish of their own.
    pub(super) fn stands_in(&mut self, item: &Item) -> bool {
        let library = self.library;
        let Some(open) = &self.open else { return false };
        if item.plural || self.sizes_role(&item.sizes).is_some() {
            return false;
        }
        let words = stems(&self.said(item.head_span).0);
        let slots = &library.dish(open.id).slots;
        let found = library.rules.stand_ins.iter().find_map(|entry| {
            let said = entry.words.iter().any(|phrase| stems(phrase) == words);
            let slot = slots
                .iter()
                .position(|slot| library.is_one_of(slot.food, &entry.instead_of));
            slot.filter(|_| said && item.parts.is_empty())
                .zip(library.find_food(&entry.food).zip(Some(entry.portion)))
        });
        if let Some((slot, (food, portion))) = found {
            let mut draft = self.draft(food, slots[slot].role, item);
            draft.amount = None;
            draft.usual = Some(portion);
            self.put(draft, slot);
        }
        found.is_some()
    }

    /// "Souvlaki with Greek salad": a dish of a kind that a slot of the open one is for is what is in that slot. The slot is
    /// taken; the dish stands beside with its own parts. Never ends the reading of the dish.
    pub(super) fn served_beside(&mut self, id: DishId, item: &Item) -> bool {
        let library = self.library;
        let Some(open) = self.open.as_mut().filter(|_| self.modifier.is_none()) else {
            return false;
        };
        let inner = library.dish(id);
        let words = [
            stems(
                self.text
                    .get(item.head_span.0..item.head_span.1)
                    .unwrap_or_default(),
            ),
            stems(&inner.name),
        ];
        let of_kind = |category: &String| {
            let kind = stems(category).pop();
            inner.course == *category || words.iter().any(|words| words.last() == kind.as_ref())
        };
        let slots = &library.dish(open.id).slots;
        let free = (0..slots.len()).find(|at| {
            let slot = &slots[*at];
            let own = &library.category(slot.food).id;
            let kinds = slot.accepts.iter().filter(|kind| {
                library
                    .categories
                    .iter()
                    .any(|category| category.id == **kind)
            });
            *at > 0
                && open.named[*at].is_empty()
                && !open.taken.contains(at)
                && (kinds.clone().any(of_kind) || of_kind(own))
        });
        open.taken.extend(free);
        false
    }

    /// "Moo shu with four pancakes": words that say a free slot's own food less precisely are that food. Whether they were.
    pub(super) fn slots_own(&mut self, item: &Item) -> bool {
        let library = self.library;
        let Some(open) = &self.open else { return false };
        let words = stems(&self.said(item.head_span).0);
        let slots = &library.dish(open.id).slots;
        let listed = matches!(
            item.link,
            Link::With | Link::And | Link::Comma | Link::Detail
        );
        let slot = (1..slots.len()).find(|at| {
            let slot = &slots[*at];
            let own = stems(&library.food(slot.food).name);
            slot.chance > 0.0
                && open.named[*at].is_empty()
                && !open.taken.contains(at)
                && words.last() == own.last()
                && words.iter().all(|word| own.contains(word))
        });
        let Some(slot) =
            slot.filter(|_| listed && !item.topped && !item.substitute && item.parts.is_empty())
        else {
            return false;
        };
        let draft = self.draft(slots[slot].food, slots[slot].role, item);
        self.put(draft, slot);
        true
    }

    /// Goes back to the dish before the open one for a food that it more likely has: rice behind the salad of a gyro plate.
    pub(super) fn goes_back(&mut self, food: FoodId, item: &Item) {
        let library = self.library;
        // How likely the food is a part of a dish: by the chance of the free slot that it fills, more where it is its kind.
        let likely = |open: &Open| {
            let slots = library.dish(open.id).slots.iter().enumerate();
            let free =
                slots.filter(|(at, _)| open.named[*at].is_empty() && !open.taken.contains(at));
            let fits = free.filter_map(|(_, slot)| {
                let alike = library.category(slot.food).id == library.category(food).id;
                let fits = slot.food == food
                    || library.is_one_of(food, &slot.accepts)
                    || slot.accepts.is_empty() && alike;
                fits.then_some(slot.chance + f64::from(u8::from(alike)))
            });
            fits.fold(-1.0, f64::max)
        };
        let before = self.beneath.as_ref().map_or(-1.0, likely);
        let back = before >= 0.0 && before > self.open.as_ref().map_or(-1.0, likely);
        let listed = matches!(item.link, Link::And | Link::Comma);
        if listed && back && !item.topped {
            let (before, head) = (self.beneath.take(), self.head);
            self.close();
            (self.open, self.head) = (before, head);
        }
    }

    /// "Thali with dal": a dish of which the open one has some by custom is that, and not another helping. Whether it was.
    pub(super) fn is_served_in(&mut self, id: DishId, item: &Item) -> bool {
        let library = self.library;
        let Some(open) = &self.open else { return false };
        let (pattern, inner) = (library.dish(open.id), library.dish(id));
        let Some(body) = inner.slots.first().map(|slot| slot.food) else {
            return false;
        };
        let free = pattern.slots.iter().zip(&open.named);
        let free: Vec<_> = free.filter(|(_, named)| named.is_empty()).collect();
        let takes = |food: FoodId, alike: bool| {
            free.iter().any(|(slot, _)| {
                let same = library.category(slot.food).id == library.category(food).id;
                slot.food == food || library.is_one_of(food, &slot.accepts) && (same || !alike)
            })
        };
        let listed = matches!(
            item.link,
            Link::With | Link::And | Link::Comma | Link::Detail
        );
        if !listed || item.topped || pattern.extras == Role::Filling || !takes(body, true) {
            return false;
        }
        // What the inner dish always has goes along where the outer has a place for it; its sides are the outer's own.
        let always = inner.slots.iter().skip(1).filter(|slot| {
            slot.chance >= 1.0
                && library.category(slot.food).group != "starch"
                && takes(slot.food, false)
        });
        let along: Vec<FoodId> = always.map(|slot| slot.food).collect();
        let mut plain = item.clone();
        plain.parts = Vec::new();
        self.fill(self.draft(body, Role::Main, &plain), item.link);
        for part in &item.parts {
            self.part_of_dish(part);
        }
        plain.amount = None;
        for food in along.into_iter().filter(|_| item.parts.is_empty()) {
            self.fill(self.draft(food, Role::Side, &plain), item.link);
        }
        true
    }
}
