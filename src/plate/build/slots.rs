//! Slots: which of them a named food fills.

use super::{Builder, Draft};
use crate::library::{FoodId, Role, stems};
use crate::plate::matching::class_of;
use crate::read::{Link, Stance};

impl Builder<'_> {
    /// Whether the figures of the open dish, or of the head food, already hold this food; if so, says so.
    pub(super) fn held(&mut self, food: FoodId, counted: bool, said: &str) -> bool {
        let holder = match (&self.open, self.head) {
            (Some(open), _) => self
                .library
                .dish(open.id)
                .slots
                .first()
                .map(|slot| slot.food),
            (None, Some(head)) => Some(self.drafts[head].food),
            _ => None,
        };
        let Some(holder) = holder else { return false };
        let slotted = self.open.as_ref().is_some_and(|open| {
            let others = self.library.dish(open.id).slots.iter().skip(1);
            others
                .into_iter()
                .any(|slot| slot.food == food || self.library.is_one_of(food, &slot.accepts))
        });
        if counted
            || slotted
            || !self
                .library
                .is_one_of(food, &self.library.food(holder).holds)
        {
            return false;
        }
        let name = self.library.food(holder).name.to_lowercase();
        self.plate.assumptions.push(format!(
            "{said} is part of the figures for {name} and was not added again"
        ));
        true
    }

    pub(super) fn push_extra(&mut self, mut draft: Draft) {
        if let Some(open) = &mut self.open {
            draft.dish = open.dish;
            draft.option = draft.option.or(open.option);
            open.extras.push(self.drafts.len());
        }
        self.drafts.push(draft);
    }

    /// A named food goes into the slot that accepts it, refines one that is named already, or becomes an extra.
    pub(super) fn fill(&mut self, mut draft: Draft, link: Link) {
        let library = self.library;
        let Some(open) = &self.open else { return };
        let pattern = library.dish(open.id);
        draft.dish = open.dish;
        draft.option = draft.option.or(open.option);
        // "chicken salad: … smoked chicken": the second is the first, said more precisely.
        let named: Vec<usize> = open
            .named
            .iter()
            .flatten()
            .chain(&open.extras)
            .copied()
            .collect();
        for at in named {
            if self.refines(&self.drafts[at], &draft) {
                let old = &mut self.drafts[at];
                if draft.said.as_ref().map(|said| said.0.len())
                    >= old.said.as_ref().map(|said| said.0.len())
                {
                    old.food = draft.food;
                    old.said = draft.said;
                }
                old.preparations.extend(draft.preparations);
                old.amount = old.amount.or(draft.amount);
                if draft.stance != Stance::Plain {
                    old.stance = draft.stance;
                }
                return;
            }
        }
        let category = &library.category(draft.food).id;
        let group = &library.category(draft.food).group;
        let score = |index: usize| {
            let slot = &pattern.slots[index];
            let id = &library.food(draft.food).id;
            let fit = if slot.food == draft.food || slot.accepts.contains(id) {
                4
            } else if slot.accepts.contains(category)
                || slot.accepts.is_empty() && library.category(slot.food).id == *category
            {
                3
            } else if slot.accepts.contains(group) {
                2
            } else {
                return None;
            };
            let same_kind = library.category(slot.food).id == *category;
            let free = open.named[index].is_empty();
            Some((fit, free, same_kind, std::cmp::Reverse(index)))
        };
        let best = (0..pattern.slots.len())
            .filter_map(|index| score(index).map(|score| (score, index)))
            .max();
        match best {
            Some((_, index)) => {
                let slot = &pattern.slots[index];
                // "lamb" of a lamb kofta wrap is the kofta: the slot's own food says it more precisely.
                let said = draft.said.as_ref().map(|(said, _)| stems(said));
                let own = stems(&library.food(slot.food).name);
                if library.food(slot.food).category == library.food(draft.food).category
                    && said.is_some_and(|said| {
                        !said.is_empty() && said.iter().all(|word| own.contains(word))
                    })
                {
                    draft.food = slot.food;
                }
                draft.slot = Some(slot.name.clone());
                draft.role = slot.role;
                // "extra dressing" on a caesar salad is more of its own: a word for the whole kind leaves the food as it is.
                let said = draft.said.as_ref().map(|(said, _)| said.as_str());
                let kinds = class_of(library, &stems(said.unwrap_or_default()));
                if library.is_one_of(slot.food, &kinds) {
                    draft.food = slot.food;
                }
                let at = self.drafts.len();
                self.drafts.push(draft);
                if let Some(open) = &mut self.open {
                    open.named[index].push(at);
                }
            }
            None => {
                if draft.role == Role::Main {
                    draft.role = self.extra_role(pattern.extras, link, draft.food, false);
                }
                if link == Link::On && draft.role == Role::Base {
                    self.lay_under(draft);
                } else {
                    self.push_extra(draft);
                }
            }
        }
    }

    /// Puts a draft into a slot of the open pattern, as the words name it.
    pub(super) fn put(&mut self, mut draft: Draft, slot: usize) {
        if let Some(open) = &mut self.open {
            draft.slot = Some(self.library.dish(open.id).slots[slot].name.clone());
            draft.dish = open.dish;
            draft.option = draft.option.or(open.option);
            open.named[slot].push(self.drafts.len());
        }
        self.drafts.push(draft);
    }

    /// "Bolognese over polenta": what no slot accepts, but lies under the dish, is there instead of the dish's own starch.
    pub(super) fn lay_under(&mut self, draft: Draft) {
        let library = self.library;
        let slot = self.open.as_ref().and_then(|open| {
            let pattern = library.dish(open.id);
            let mut slots = pattern.slots.iter().zip(&open.named);
            let under = slots.position(|(slot, named)| {
                named.is_empty()
                    && matches!(slot.role, Role::Base | Role::Side)
                    && library.category(slot.food).group == "starch"
            });
            under.filter(|_| pattern.extras != Role::Filling)
        });
        match slot {
            Some(slot) => self.put(draft, slot),
            None => self.push_extra(draft),
        }
    }

    /// Whether a new draft says an old one again, more precisely or less: same category, the words of one within the other's.
    pub(super) fn refines(&self, old: &Draft, new: &Draft) -> bool {
        if self.library.food(old.food).category != self.library.food(new.food).category
            || new.option != old.option
        {
            return false;
        }
        if old.food == new.food {
            return new.amount.is_none() || old.amount.is_none();
        }
        let words = |draft: &Draft| {
            draft
                .said
                .as_ref()
                .map(|(said, _)| stems(said))
                .unwrap_or_default()
        };
        let (old, new) = (words(old), words(new));
        !old.is_empty()
            && !new.is_empty()
            && (old.iter().all(|word| new.contains(word))
                || new.iter().all(|word| old.contains(word)))
    }
}
