//! Ends a pattern: its silent slots get their defaults, and everything its count and size.

use super::measure::Measured;
use super::{Builder, Draft, Open};
use crate::library::schema::AddedEntry;
use crate::library::{Role, Slot};
use crate::plate::Origin;
use crate::read::Stance;

impl Builder<'_> {
    /// Ends the open pattern, and the one that waited behind it.
    pub(super) fn close(&mut self) {
        if let Some(before) = self.beneath.take() {
            let last = self.open.replace(before);
            self.close_open();
            self.open = last;
        }
        self.close_open();
    }

    fn close_open(&mut self) {
        let Some(open) = self.open.take() else { return };
        let library = self.library;
        let pattern = library.dish(open.id);
        let mut measured = self.measure(&open);
        let count = &mut self.plate.dishes[open.dish].count;
        *count = count.max(measured.count.min(60.0));
        let smaller = self.smaller(&open);
        if let Some(role) = smaller.filter(|_| !pattern.whole) {
            let as_role = &library.rules.model.as_role;
            measured.factor *= as_role.get(role.name()).copied().unwrap_or(1.0);
        }
        let mut preparations = open.preparations.clone();
        for (index, slot) in pattern.slots.iter().enumerate() {
            let takes_preparation = !preparations.is_empty()
                && (matches!(slot.name.as_str(), "patty" | "meat" | "protein")
                    || library.category(slot.food).group == "protein"
                    || pattern.slots.len() == 1);
            let taken = if takes_preparation {
                preparations.as_slice()
            } else {
                &[]
            };
            let filled = if open.named[index].is_empty() {
                self.by_custom(&open, index, &measured, smaller, taken)
            } else {
                self.as_named(&open, index, &measured, taken);
                true
            };
            if filled && takes_preparation {
                preparations.clear();
            }
        }
        self.size_extras(&open, &measured);
        let adding = preparations
            .into_iter()
            .flat_map(|index| &library.rules.preparations[index].adds);
        for added in adding {
            self.add_part(added, open.dish, open.option, measured.factor);
        }
        if self.head.is_none() {
            self.head = self.drafts[open.first_draft..]
                .iter()
                .position(|draft| draft.dish == open.dish)
                .map(|offset| open.first_draft + offset);
        }
    }

    /// The role that makes the whole pattern smaller than a main: a side or a starter, unless the words weigh it.
    fn smaller(&self, open: &Open) -> Option<Role> {
        let course = self.library.dish(open.id).course.as_str();
        let weighed = open.amount.is_some_and(|amount| amount.unit.is_some());
        open.role.filter(|role| {
            !weighed
                && match role {
                    Role::Side => matches!(course, "main" | "salad" | "breakfast"),
                    Role::Starter => course == "main",
                    _ => false,
                }
        })
    }

    /// Sizes what the words put into a slot.
    fn as_named(&mut self, open: &Open, index: usize, measured: &Measured, taken: &[usize]) {
        let library = self.library;
        let slot = &library.dish(open.id).slots[index];
        let named = &open.named[index];
        for &at in named {
            let alike = named.iter().filter(|other| {
                let option = self.drafts[**other].option;
                option.is_none()
                    || option == self.drafts[at].option
                    || self.drafts[at].option.is_none()
            });
            let n = alike.count().max(1) as f64;
            let draft = &mut self.drafts[at];
            // A side of another kind keeps its own portion: crisps where chips would be are not 140 g.
            let alike = library.food(draft.food).category == library.food(slot.food).category;
            let own = slot
                .portion
                .as_ref()
                .map(|own| own.grams)
                .filter(|_| alike || slot.role != Role::Side);
            draft.usual = draft.usual.or(own);
            draft.sized = true;
            let share = n.powf(library.rules.model.share - 1.0);
            draft.factor *= share * measured.slots[index] * measured.factor;
            draft.times = measured.times;
            draft.preparations.extend(taken);
        }
    }

    /// Puts what is in a slot by custom on the plate; whether there is any.
    fn by_custom(
        &mut self,
        open: &Open,
        index: usize,
        measured: &Measured,
        smaller: Option<Role>,
        taken: &[usize],
    ) -> bool {
        let pattern = self.library.dish(open.id);
        let slot = &pattern.slots[index];
        if self.stays_away(open, index, slot) {
            return false;
        }
        let named = open.named.iter().map(Vec::len).sum::<usize>() + open.extras.len();
        let certain = open.certain.contains(&index);
        let mut chance = if certain { 1.0 } else { slot.chance };
        if chance < 1.0 && named >= 3 {
            chance *= self.library.rules.model.described;
        }
        let whole = pattern.whole && index == 0;
        let smaller = smaller.filter(|_| whole);
        let origin = if whole {
            Origin::WholeDish
        } else {
            Origin::Implied
        };
        self.drafts.push(Draft {
            food: slot.food,
            role: smaller.unwrap_or(slot.role),
            usual: slot
                .portion
                .as_ref()
                .map(|own| own.grams)
                .filter(|_| smaller.is_none()),
            amount: None,
            sizes: Vec::new(),
            preparations: taken.to_vec(),
            plural: false,
            stance: Stance::Plain,
            origin,
            said: Some(open.said.clone()),
            dish: open.dish,
            slot: Some(slot.name.clone()),
            chance,
            option: open.option,
            factor: measured.factor * measured.slots[index],
            times: measured.times,
            group: self.group,
            shares_middle: false,
            sized: true,
            stated: measured.stated.filter(|_| whole),
        });
        true
    }

    /// Whether a slot that the words are silent about is empty: only there when named, emptied by another, or not brought
    /// along by a dish that stands before another's noun.
    fn stays_away(&self, open: &Open, index: usize, slot: &Slot) -> bool {
        let slots = &self.library.dish(open.id).slots;
        let blocked = slot.blocked_by.iter().any(|name| {
            let mut pairs = slots.iter().zip(&open.named);
            pairs.any(|(slot, named)| slot.name == *name && !named.is_empty())
                || open.taken.iter().any(|at| slots[*at].name == *name)
        });
        let stays_behind = open
            .modifier
            .as_ref()
            .is_some_and(|taken| taken.contains(&index) || !self.is_taste(slot));
        let certain = open.certain.contains(&index);
        (slot.chance <= 0.0 || open.only && slot.chance < 1.0) && !certain
            || blocked
            || stays_behind
            || open.taken.contains(&index)
    }

    fn size_extras(&mut self, open: &Open, measured: &Measured) {
        let extras = self.library.dish(open.id).extras;
        for &at in &open.extras {
            let draft = &mut self.drafts[at];
            if !matches!(draft.role, Role::Side | Role::Drink | Role::Main) {
                draft.factor *= measured.factor;
                draft.sized = true;
                // In each taco there is some; over a plate of mushrooms it lies once.
                if extras == Role::Filling {
                    draft.times = measured.times;
                }
            }
        }
    }

    /// A part that a preparation adds.
    pub(super) fn add_part(
        &mut self,
        added: &AddedEntry,
        dish: usize,
        option: Option<(usize, usize)>,
        factor: f64,
    ) {
        let Some(food) = self.library.find_food(&added.food) else {
            return;
        };
        let role = Role::find(&added.role).unwrap_or(Role::Topping);
        // Said in so many words as well ("BBQ ribs with barbecue sauce"), it is there once.
        if self
            .drafts
            .iter()
            .any(|draft| draft.food == food && draft.dish == dish && draft.option == option)
        {
            return;
        }
        self.drafts.push(Draft {
            food,
            role,
            usual: added.portion,
            amount: None,
            sizes: Vec::new(),
            preparations: Vec::new(),
            plural: false,
            stance: Stance::Plain,
            origin: Origin::Implied,
            said: None,
            dish,
            slot: None,
            chance: added.chance.unwrap_or(1.0),
            option,
            factor,
            times: None,
            group: self.group,
            shares_middle: false,
            sized: false,
            stated: None,
        });
    }
}
