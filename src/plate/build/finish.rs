//! From drafts to components: what was taken away, who shares the plate, and grams.

use super::{Builder, Draft};
use crate::library::Role;
use crate::plate::by_eye::by_eye;
use crate::plate::portion::{category_scale, round_median, serve, times_range};
use crate::plate::preparation::{Prepared, prepare};
use crate::plate::{Component, Origin, Plate};
use crate::read::{Meal, Stance};

impl Builder<'_> {
    pub(super) fn finish(mut self, meal: &Meal) -> Plate {
        self.remove();
        self.size_whole_plates();
        self.share_middle();
        self.serve_what_stands_alone();
        let library = self.library;
        let model = &library.rules.model;
        let setting = self.setting.map(|at| &library.rules.settings[at]);
        // "Kids' quesadilla" in a kids' menu: the size and the heading say the same.
        let said_twice: Vec<usize> = self
            .plate_sizes
            .iter()
            .filter(|(_, size)| {
                setting.is_some_and(|setting| setting.id == library.rules.sizes[*size].id)
            })
            .map(|(group, _)| *group)
            .collect();
        let of_setting = setting.map_or(1.0, |setting| setting.factor);
        let beside = setting.and_then(|setting| setting.beside).unwrap_or(1.0);
        // Parts that preparations add need their hosts' dishes: find them before the drafts are used up.
        let mut dressed: Vec<Prepared> = Vec::with_capacity(self.drafts.len());
        while let Some(draft) = self.drafts.get(dressed.len()).cloned() {
            let prepared = prepare(library, draft.food, &draft.preparations);
            for &adding in &prepared.adding {
                for added in &library.rules.preparations[adding].adds {
                    let times = if draft.shares_middle || draft.role == Role::Main {
                        1.0
                    } else {
                        draft.factor
                    };
                    let group = self.group;
                    self.group = draft.group;
                    self.add_part(added, draft.dish, draft.option, times);
                    self.group = group;
                }
            }
            dressed.push(prepared);
        }
        for &(dish, share) in &self.shares {
            let held = self.drafts.iter_mut().filter(|draft| draft.dish == dish);
            held.for_each(|draft| draft.factor *= share);
        }
        let mut components = Vec::with_capacity(self.drafts.len());
        for (at, (draft, prepared)) in self.drafts.iter().zip(dressed).enumerate() {
            let entry = library.food(prepared.food);
            let guessed = self
                .eye
                .zip(draft.amount.as_ref())
                .and_then(|(eye, amount)| by_eye(library, prepared.food, amount, eye));
            let mut served = guessed.unwrap_or_else(|| {
                serve(
                    library,
                    prepared.food,
                    draft.role,
                    draft.usual,
                    draft.amount.as_ref(),
                    &draft.sizes,
                    draft.plural,
                )
            });
            let mut scale = draft.factor;
            let factor = match said_twice.contains(&draft.group) {
                true => 1.0,
                false => of_setting,
            };
            if draft.stated.is_some() {
                // The factor makes the usual weight the stated one; no fitted scale may move that.
                scale /= category_scale(library, prepared.food, draft.role);
            } else if !served.stated {
                let is_side = draft.role == Role::Side && self.head.is_some_and(|head| head != at);
                scale *= factor * if is_side { beside } else { 1.0 };
            } else if draft.shares_middle || draft.slot.is_some() {
                // What is stated is not shared out.
                scale = 1.0;
            }
            match draft.stance {
                Stance::Extra if !served.stated => scale *= model.extra_factor,
                Stance::Light => scale *= model.light_factor,
                _ => {}
            }
            served.grams = served.grams.map(|grams| grams * scale);
            if let Some(sigma) = draft.stated {
                served.grams = round_median(served.grams[1], sigma);
                served.stated = true;
            }
            if (scale - 1.0).abs() > 1e-9 {
                served
                    .steps
                    .push(format!("× {scale:.2} for its place on the plate"));
            }
            if let Some([low, likely, high]) = draft
                .times
                .filter(|_| draft.amount.is_none() || draft.slot.is_some())
            {
                served.grams = times_range(served.grams, low, likely, high);
                served.count = Some(likely * served.count.unwrap_or(1.0));
                served.steps.push(format!("× {likely} pieces"));
            }
            if let Some(note) = served.note.take() {
                self.plate.assumptions.push(note);
            }
            let aside = draft.stance == Stance::Aside
                && matches!(
                    library.category(prepared.food).group.as_str(),
                    "sauce" | "fat" | "sweet" | "dairy"
                );
            let category = library.category(prepared.food);
            let mut steps = prepared.steps;
            steps.append(&mut served.steps);
            components.push(Component {
                food: Some(prepared.food),
                name: prepared.name,
                dish: draft.dish.min(self.plate.dishes.len().saturating_sub(1)),
                slot: draft.slot.clone(),
                role: draft.role,
                origin: draft.origin,
                said: draft.said.clone(),
                count: served.count,
                chance: draft.chance,
                eaten: if aside { model.aside_eaten } else { [1.0; 3] },
                remark: None,
                grams: served.grams,
                stated: served.stated || entry.published,
                per_100g: prepared.per_100g,
                spread: entry.spread.hypot(prepared.spread),
                fatty: category.fatty,
                option: draft.option,
                source: library.citation(prepared.food),
                file: entry.file.clone(),
                steps,
            });
        }
        // A dish at a time, its body first, so that reports read from the middle of the plate outwards.
        components.sort_by_key(|component| (component.dish, component.origin != Origin::WholeDish));
        self.unknown(meal, &mut components);
        self.remarks(meal, &mut components);
        if self.plate.dishes.is_empty() && !components.is_empty() {
            self.new_dish("plate".to_owned(), None, false);
        }
        let mut plate = self.plate;
        plate.components = components;
        plate.corrections = meal.corrections.clone();
        for correction in &meal.corrections {
            plate.assumptions.push(format!(
                "\"{}\" was read as \"{}\"",
                correction.said, correction.read
            ));
        }
        let mut unknown = meal.not_understood.clone();
        // Whatever the reason, a plate with nothing on it says so.
        let taken_away = meal.items.iter().any(|item| item.stance == Stance::Absent);
        if plate.components.is_empty() && plate.not_understood.is_empty() && !taken_away {
            plate.not_understood.push(crate::read::NotUnderstood {
                text: crate::read::opening(self.text),
                span: (0, self.text.len()),
                nearest: Vec::new(),
                item: None,
            });
        }
        unknown.extend(meal.unheeded.iter().cloned());
        unknown.append(&mut plate.not_understood);
        plate.unknown_share = if meal.words == 0 {
            0.0
        } else {
            unknown.len() as f64 / meal.words.max(unknown.len()) as f64
        };
        plate.not_understood = unknown;
        plate.assumptions.dedup();
        plate
    }

    /// Takes away what was negated: from its own dish, or, where that has none of it, from the whole meal.
    pub(super) fn remove(&mut self) {
        for removal in std::mem::take(&mut self.removals) {
            let hits = |draft: &Draft| {
                removal.target.matches(
                    self.library,
                    draft.food,
                    draft.said.as_ref(),
                    draft.origin == Origin::Implied,
                )
            };
            let here: Vec<bool> = self
                .drafts
                .iter()
                .map(|draft| draft.group == removal.group && hits(draft))
                .collect();
            let gone = if here.contains(&true) {
                here
            } else {
                self.drafts.iter().map(hits).collect()
            };
            if gone.contains(&true) {
                let mut index = 0;
                self.drafts.retain(|_| {
                    index += 1;
                    !gone[index - 1]
                });
            } else if !removal.soft && !removal.target.is_kind() {
                self.plate.assumptions.push(format!(
                    "no {}: there was none to take away",
                    removal.target.said()
                ));
            }
        }
    }

    /// "Kids' burger and fries": the size of the first thing is that of all beside it, unless they have one of their own.
    pub(super) fn size_whole_plates(&mut self) {
        let whole = |size: &usize| self.library.rules.sizes[*size].whole_plate;
        let mut of_group: Vec<(usize, usize)> = self.plate_sizes.clone();
        of_group.retain(|(_, size)| whole(size));
        for (group, size) in of_group {
            for at in 0..self.drafts.len() {
                let draft = &self.drafts[at];
                let patterned = draft.sized;
                if draft.group == group && draft.sizes.is_empty() && !patterned {
                    self.drafts[at].sizes.push(size);
                }
            }
        }
    }

    /// Several mains of one dish share the middle of the plate.
    pub(super) fn share_middle(&mut self) {
        let share = self.library.rules.model.share;
        let groups: Vec<usize> = self.drafts.iter().map(|draft| draft.group).collect();
        for at in 0..self.drafts.len() {
            if !self.drafts[at].shares_middle
                || self.drafts[at].amount.is_some_and(|amount| !amount.share)
            {
                continue;
            }
            let n = self
                .drafts
                .iter()
                .zip(&groups)
                .filter(|(other, group)| {
                    **group == groups[at]
                        && other.shares_middle
                        && (other.option.is_none() || other.option == self.drafts[at].option)
                })
                .count();
            if n > 1 {
                self.drafts[at].factor *= (n as f64).powf(share - 1.0);
            }
        }
    }
}
