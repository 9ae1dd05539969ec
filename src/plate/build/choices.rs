//! Open choices: each option goes on the plate, marked as one of several.

use super::Builder;
use crate::plate::Choice;
use crate::read::{Head, Item};

impl Builder<'_> {
    /// An open choice: each option goes on the plate, marked as one of several.
    pub(super) fn choice(&mut self, item: &Item) {
        let mut options: Vec<Item> = Vec::new();
        for member in std::iter::once(item).chain(&item.alternatives) {
            match member.head {
                Some(Head::Class(class)) => {
                    for id in &self.library.rules.classes[class].usual {
                        let head = match self.library.find(id) {
                            Some(crate::library::Entry::Food(food)) => Head::Food(food),
                            Some(crate::library::Entry::Dish(dish)) => Head::Dish(dish),
                            None => continue,
                        };
                        let mut option = member.clone();
                        option.head = Some(head);
                        option.plural = false;
                        options.push(option);
                    }
                }
                _ => options.push(member.clone()),
            }
        }
        for option in &mut options {
            option.alternatives = Vec::new();
            if option.amount.is_none() {
                option.amount = item.amount;
            }
            if option.sizes.is_empty() {
                option.sizes = item.sizes.clone();
            }
        }
        if options.is_empty() {
            // A class without usual members says nothing of energy: it is reported as a word not understood.
            let (text, span) = self.said(item.span);
            self.plate.not_understood.push(crate::read::NotUnderstood {
                text,
                span,
                nearest: Vec::new(),
                item: None,
            });
            return;
        }
        if options.len() == 1 {
            self.place(&options[0]);
            return;
        }
        let index = self.plate.choices.len();
        let names: Vec<String> = options.iter().map(|option| self.name_of(option)).collect();
        let about = names.join(" or ");
        let said = self.said(item.span).0;
        let is_class = matches!(item.head, Some(Head::Class(_)));
        let mut weights = item.weights.clone();
        if weights.len() != options.len() {
            weights.clear();
        }
        let choice = Choice {
            about: about.clone(),
            options: names,
            weights,
        };
        self.plate.assumptions.push(if is_class {
            format!("which {said} was not said: {about} were each taken as equally likely")
        } else if choice.weights.is_empty() {
            format!("{about}: each was taken as equally likely")
        } else {
            let shares = choice.options.iter().enumerate();
            let shares = shares.map(|(at, name)| {
                format!(
                    "{name} in {:.0} of 100 such plates",
                    choice.share(at) * 100.0
                )
            });
            format!(
                "\"{said}\" was taken as {}",
                shares.collect::<Vec<_>>().join(", ")
            )
        });
        self.plate.choices.push(choice);
        let (head_before, outer) = (self.head, self.option);
        let opens = options
            .iter()
            .any(|option| matches!(option.head, Some(Head::Dish(_))));
        if opens {
            self.close();
        }
        for (number, option) in options.iter().enumerate() {
            self.option = Some((index, number));
            self.place(option);
            if matches!(option.head, Some(Head::Dish(_))) {
                self.close();
            }
            if number + 1 < options.len() {
                self.head = head_before;
            }
        }
        self.option = outer;
    }

    pub(super) fn name_of(&self, item: &Item) -> String {
        match item.head {
            Some(Head::Food(food)) => self.library.food(food).name.to_lowercase(),
            Some(Head::Dish(dish)) => self.library.dish(dish).name.to_lowercase(),
            _ => self.said(item.span).0,
        }
    }
}
