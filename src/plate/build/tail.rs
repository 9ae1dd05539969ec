//! What is said of the thing before: "…, large", "…, half rack", "…, pecan-crusted".

use super::Builder;
use crate::library::Role;
use crate::plate::Origin;
use crate::read::{Head, Item};

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
        let unit_measures = item
            .amount
            .and_then(|amount| amount.unit)
            .map(|unit| &self.library.rules.units[unit])
            .filter(|unit| unit.kind == "piece")
            .map(|unit| unit.measures.clone())
            .unwrap_or_default();
        let group = item.group;
        let measured = self.drafts.iter().rposition(|draft| {
            draft.group == group
                && draft.origin != Origin::Implied
                && unit_measures
                    .iter()
                    .any(|measure| self.library.food(draft.food).measures.contains_key(measure))
        });
        if let Some(at) = measured {
            self.drafts[at].amount = self.drafts[at].amount.or(item.amount);
            self.drafts[at].sizes.extend(&item.sizes);
            return;
        }
        if let Some(open) = &mut self.open {
            open.sizes.extend(&item.sizes);
            open.amount = open.amount.or(item.amount);
            open.preparations.extend(&item.preparations);
            return;
        }
        // Said of the middle of the plate where there is one, else of what stands just before.
        let target = self
            .head
            .filter(|head| self.drafts[*head].role == Role::Main)
            .or(self.last)
            .or_else(|| self.drafts.iter().rposition(|draft| draft.group == group));
        if let Some(at) = target {
            let roles: Vec<Role> = item
                .sizes
                .iter()
                .filter_map(|size| self.size_role(*size))
                .collect();
            let draft = &mut self.drafts[at];
            draft.sizes.extend(&item.sizes);
            draft.amount = draft.amount.or(item.amount);
            draft.preparations.extend(&item.preparations);
            if let Some(role) = roles.last() {
                draft.role = *role;
            }
        }
    }
}
