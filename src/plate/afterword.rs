//! What is remembered of a meal, behind a semicolon: "ribeye, mash; 8 oz ribeye" says more of the ribeye that is there.
//!
//! ```text
//! afterword = ";" ( amount | size | preparation )... thing     of a thing named before: said of it
//!           | ";" thing                                        that was an open choice before: settles it
//!           | ";" thing                                        that a dish has by custom: fills its slot
//! ```
//!
//! All else behind a semicolon is a dish of its own, as before. Two amounts of one thing are two of it.

use crate::library::{DishId, Entry, FoodId, Library, stems};
use crate::read::{Head, Item, Link, Part, Remark, Span, Stance};

/// The items with every afterword put where it belongs.
pub fn settle(library: &Library, text: &str, items: &[Item]) -> Vec<Item> {
    let mut settled: Vec<Item> = Vec::with_capacity(items.len());
    let reader = Reader { library, text };
    // "; tuna sandwich with crisps": what goes on behind an afterword goes on with the thing that it spoke of.
    let mut goes_on: Option<(usize, usize)> = None;
    for item in items {
        if let Some((_, of)) = goes_on.filter(|(from, _)| *from == item.group) {
            let mut item = item.clone();
            item.group = of;
            let last = settled.iter().rposition(|before| before.group == of);
            settled.insert(last.map_or(settled.len(), |last| last + 1), item);
            continue;
        }
        let speaks = item.afterword
            && item.stance != Stance::Absent
            && item.alternatives.is_empty()
            && matches!(item.head, Some(Head::Food(_) | Head::Dish(_)));
        let of = if speaks {
            reader.place(&mut settled, item)
        } else {
            None
        };
        match of {
            Some(of) => goes_on = Some((item.group, of)),
            None => settled.push(item.clone()),
        }
    }
    settled
}

/// Remarks that stand: a vague share ("ate most of it") gives way to a later exact one of the same thing.
pub fn standing(remarks: &[Remark]) -> Vec<&Remark> {
    let vague = |remark: &Remark| remark.eaten[0] < remark.eaten[2];
    remarks
        .iter()
        .enumerate()
        .filter(|(at, remark)| {
            let later = &remarks[at + 1..];
            !(vague(remark)
                && later
                    .iter()
                    .any(|other| other.of == remark.of && !vague(other)))
        })
        .map(|(_, remark)| remark)
        .collect()
}

struct Reader<'a> {
    library: &'a Library,
    text: &'a str,
}

impl Reader<'_> {
    /// Puts an afterword to what it speaks of, and says to which dish of the text that belongs; none where there is no such
    /// thing.
    fn place(&self, before: &mut Vec<Item>, new: &Item) -> Option<usize> {
        let choice = before
            .iter()
            .rposition(|item| item.stance != Stance::Absent && self.is_an_option(item, new));
        if let Some(at) = choice {
            self.choose(before, at, new);
            return Some(before[at].group);
        }
        if let Some(old) = before.iter_mut().rev().find(|old| self.clarifies(old, new)) {
            self.merge(old, new);
            return Some(old.group);
        }
        for old in before.iter_mut().rev() {
            if let Some(part) = old.parts.iter_mut().find(|part| self.speaks_of(part, new)) {
                part.amount = part.amount.or(new.amount);
                part.preparations.extend(&new.preparations);
                return Some(old.group);
            }
        }
        let implied = before.iter().rposition(|old| match (old.head, new.head) {
            (Some(Head::Dish(dish)), Some(Head::Food(food))) => {
                old.stance != Stance::Absent && self.has_by_custom(dish, food, new)
            }
            _ => false,
        });
        let at = implied?;
        let mut part = new.clone();
        part.link = Link::With;
        part.group = before[at].group;
        before.insert(at + 1, part);
        Some(before[at].group)
    }

    fn words(&self, span: Span) -> Vec<String> {
        stems(self.text.get(span.0..span.1).unwrap_or_default())
    }

    /// Whether `new` is one of the things of which `old` leaves open which it was.
    fn is_an_option(&self, old: &Item, new: &Item) -> bool {
        match (old.head, new.head) {
            (Some(Head::Class(class)), Some(head)) => {
                let class = &self.library.rules.classes[class];
                let usual = class.usual.iter().any(|id| match self.library.find(id) {
                    Some(Entry::Food(food)) => head == Head::Food(food),
                    Some(Entry::Dish(dish)) => head == Head::Dish(dish),
                    None => false,
                });
                let of_class = match head {
                    Head::Food(food) => self.library.is_one_of(food, &class.of),
                    _ => false,
                };
                usual || of_class
            }
            (Some(_), Some(_)) if !old.alternatives.is_empty() => {
                std::iter::once(old)
                    .chain(&old.alternatives)
                    .filter(|member| same_option(member, new))
                    .count()
                    == 1
            }
            _ => false,
        }
    }

    /// Settles an open choice, or one pick of several.
    fn choose(&self, before: &mut Vec<Item>, at: usize, new: &Item) {
        let open = &before[at];
        let mut chosen = std::iter::once(open)
            .chain(&open.alternatives)
            .find(|member| same_option(member, new))
            .map_or_else(|| new.clone(), Item::clone);
        chosen.alternatives = Vec::new();
        chosen.picks = 1;
        chosen.amount = new.amount.or(chosen.amount).or(open.amount);
        for size in open.sizes.iter().chain(&new.sizes) {
            if !chosen.sizes.contains(size) {
                chosen.sizes.push(*size);
            }
        }
        (chosen.link, chosen.group) = (open.link, open.group);
        chosen.afterword = false;
        if new.stance != Stance::Plain {
            chosen.stance = new.stance;
        }
        if open.picks > 1 {
            before[at].picks -= 1;
            before.insert(at + 1, chosen);
        } else {
            before[at] = chosen;
        }
    }

    /// Whether `new` says more of the thing that `old` names.
    fn clarifies(&self, old: &Item, new: &Item) -> bool {
        let (Some(before), Some(now)) = (old.head, new.head) else {
            return false;
        };
        if old.stance == Stance::Absent
            || !old.alternatives.is_empty()
            || old.amount.is_some_and(|amount| !amount.bare) && new.amount.is_some()
        {
            return false;
        }
        let has = |item: &Item, part: &Part| item.parts.iter().any(|own| own.head == part.head);
        let same_parts = old.parts.iter().all(|part| has(new, part));
        let known_parts = new.parts.iter().all(|part| has(old, part));
        if !(known_parts || old.parts.is_empty()) {
            return false;
        }
        // A "side salad" behind a chicken salad is another salad.
        let takes_a_role = new
            .sizes
            .iter()
            .any(|size| self.library.rules.sizes[*size].role.is_some());
        if takes_a_role && !same_parts {
            return false;
        }
        let more = new.amount.is_some()
            || !new.sizes.is_empty()
            || !new.preparations.is_empty()
            || new.stance != Stance::Plain
            || new.parts.len() > old.parts.len();
        let (old_words, new_words) = (self.words(old.head_span), self.words(new.head_span));
        let alike = within(&old_words, &new_words);
        // "chicken; grilled chicken" says more even where both are one food.
        if before == now {
            return more || alike && old_words != new_words;
        }
        alike && self.same_kind(before, now)
    }

    /// Whether two heads may name one thing with more words or fewer: foods of one category, or dishes of one course that
    /// have their body of one category; a plain food may turn out to be the base of a dish ("pasta; pasta marinara").
    fn same_kind(&self, a: Head, b: Head) -> bool {
        let library = self.library;
        let alike = |a: FoodId, b: FoodId| library.food(a).category == library.food(b).category;
        let body = |dish: DishId| library.dish(dish).slots.first().map(|slot| slot.food);
        let is_body = |dish: DishId, food: FoodId| body(dish).is_some_and(|own| alike(own, food));
        match (a, b) {
            (Head::Food(a), Head::Food(b)) => alike(a, b),
            (Head::Dish(a), Head::Dish(b)) => {
                library.dish(a).course == library.dish(b).course
                    && body(a).is_some_and(|food| is_body(b, food))
            }
            (Head::Food(food), Head::Dish(dish)) | (Head::Dish(dish), Head::Food(food)) => {
                is_body(dish, food)
            }
            _ => false,
        }
    }

    fn merge(&self, old: &mut Item, new: &Item) {
        let fewer = |few: &[String], many: &[String]| few.iter().all(|word| many.contains(word));
        let vaguer = fewer(&self.words(new.head_span), &self.words(old.head_span));
        if old.head != new.head && !vaguer {
            old.head = new.head;
            old.head_span = new.head_span;
            old.span = new.span;
        }
        old.amount = match old.amount {
            Some(amount) if amount.bare => new.amount.or(old.amount),
            amount => amount.or(new.amount),
        };
        old.sizes.extend(&new.sizes);
        old.preparations.extend(&new.preparations);
        old.plural |= new.plural;
        if old.parts.is_empty() {
            old.parts = new.parts.clone();
        }
        if new.stance != Stance::Plain {
            old.stance = new.stance;
        }
    }

    fn speaks_of(&self, part: &Part, new: &Item) -> bool {
        let more = new.amount.is_some() || !new.preparations.is_empty();
        let same = new.head.is_some_and(|head| {
            head == part.head
                || self.same_kind(head, part.head)
                    && within(&self.words(part.span), &self.words(new.head_span))
        });
        same && more
            && new.parts.is_empty()
            && new.sizes.is_empty()
            && new.stance == Stance::Plain
            && !(part.amount.is_some() && new.amount.is_some())
    }

    /// Whether a dish has this food by custom: its slot's own, or one of the same category that shares the noun.
    fn has_by_custom(&self, dish: DishId, food: FoodId, new: &Item) -> bool {
        let words = self.words(new.head_span);
        self.library.dish(dish).slots.iter().any(|slot| {
            let alike = self.library.food(slot.food).category == self.library.food(food).category
                && words
                    .last()
                    .is_some_and(|noun| stems(&self.library.food(slot.food).name).contains(noun));
            slot.chance > 0.0 && (slot.food == food || alike)
        })
    }
}

fn same_option(member: &Item, new: &Item) -> bool {
    member.head == new.head
        && member.parts.len() == new.parts.len()
        && member
            .parts
            .iter()
            .zip(&new.parts)
            .all(|(a, b)| a.head == b.head)
        && member.preparations == new.preparations
}

/// Whether the words of one hold all the words of the other.
fn within(a: &[String], b: &[String]) -> bool {
    !a.is_empty()
        && !b.is_empty()
        && (a.iter().all(|word| b.contains(word)) || b.iter().all(|word| a.contains(word)))
}

#[cfg(test)]
mod tests;
