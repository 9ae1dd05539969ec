//! Which role a food takes, by its size, the setting and the rules of the trade; what stands beside a dish.

use super::Builder;
use crate::library::schema::RoleRule;
use crate::library::{FoodId, Role};
use crate::read::{Item, Link};

impl<'a> Builder<'a> {
    pub(super) fn size_role(&self, size: usize) -> Option<Role> {
        self.library.rules.sizes[size]
            .role
            .as_deref()
            .and_then(Role::find)
    }

    pub(super) fn sizes_role(&self, sizes: &[usize]) -> Option<Role> {
        sizes.iter().rev().find_map(|size| self.size_role(*size))
    }

    pub(super) fn setting_role(&self) -> Option<Role> {
        let setting = &self.library.rules.settings[self.setting?];
        setting.role.as_deref().and_then(Role::find)
    }

    /// Whether the setting leaves a food its own role: a bread among the baked goods is no dessert.
    pub(super) fn keeps_role(&self, food: FoodId) -> bool {
        let setting = self.setting.map(|at| &self.library.rules.settings[at]);
        setting.is_some_and(|setting| self.library.is_one_of(food, &setting.keeps))
    }

    /// "Onion dip with crisps": what stands first is the thing itself where the rules say so of what follows.
    pub(super) fn leads(&mut self, food: FoodId) {
        let library = self.library;
        let Some(head) = self.head.and_then(|head| self.drafts.get_mut(head)) else {
            return;
        };
        let rule = library.rules.roles.iter().find(|rule| {
            rule.link.iter().any(|link| link == "leads")
                && library.is_one_of(head.food, &rule.food)
                && library.is_one_of(food, &rule.head)
        });
        if let Some(role) = rule.and_then(|rule| Role::find(&rule.role))
            && head.amount.is_none()
            && head.sizes.is_empty()
        {
            head.role = role;
        }
    }

    /// What is never alone on a plate but is all that a line under a heading names: served whole.
    pub(super) fn serve_what_stands_alone(&mut self) {
        let library = self.library;
        let [draft] = &mut self.drafts[..] else {
            return;
        };
        let rule = library.rules.roles.iter().find(|rule| {
            rule.link.iter().any(|link| link == "alone")
                && library.is_one_of(draft.food, &rule.food)
        });
        let line = self.setting.is_some() && draft.slot.is_none();
        if let Some(rule) = rule.filter(|_| line) {
            draft.role = Role::find(&rule.role).unwrap_or(draft.role);
            draft.usual = draft.usual.or(rule.portion);
        }
    }

    /// The role of a food that no slot takes: that of the pattern, or what the rules of the trade say.
    pub(super) fn extra_role(
        &self,
        extras: Role,
        link: Link,
        food: FoodId,
        modifier: bool,
    ) -> Role {
        let category = self.library.category(food);
        let flavour = category.group == "herb"
            || modifier
                && matches!(
                    category.id.as_str(),
                    "fruit" | "nut" | "beer" | "wine" | "spirit"
                );
        if flavour {
            return Role::Flavouring;
        }
        if extras == Role::Filling || modifier {
            return extras;
        }
        let base = self
            .open
            .as_ref()
            .and_then(|open| self.library.dish(open.id).slots.first())
            .map(|slot| slot.food);
        base.and_then(|base| self.rule(link, Some(base), food))
            .unwrap_or(extras)
    }

    pub(super) fn rule(&self, link: Link, head: Option<FoodId>, food: FoodId) -> Option<Role> {
        self.role_rule(link, head, food)
            .and_then(|rule| Role::find(&rule.role))
    }

    pub(super) fn role_rule(
        &self,
        link: Link,
        head: Option<FoodId>,
        food: FoodId,
    ) -> Option<&'a RoleRule> {
        let name = match link {
            Link::With | Link::Detail => "with",
            Link::On => "on",
            Link::In => "in",
            Link::And | Link::Comma => "and",
            Link::Start => "modifier",
        };
        let meets = |kinds: &[String], food: FoodId| {
            kinds.is_empty() || self.library.is_one_of(food, kinds)
        };
        self.library.rules.roles.iter().find(|rule| {
            (rule.link.is_empty() && name != "modifier"
                || rule.link.iter().any(|link| link == name))
                && (rule.head.is_empty() || head.is_some_and(|head| meets(&rule.head, head)))
                && meets(&rule.food, food)
        })
    }

    /// Whether a slot of the open pattern is for such a food.
    pub(super) fn accepted(&self, food: FoodId) -> bool {
        let category = &self.library.category(food).id;
        let slots = self
            .open
            .iter()
            .flat_map(|open| &self.library.dish(open.id).slots);
        slots.into_iter().any(|slot| {
            slot.food == food
                || self.library.is_one_of(food, &slot.accepts)
                || slot.accepts.is_empty() && self.library.category(slot.food).id == *category
        })
    }

    /// Whether a food stands beside the open pattern rather than in it.
    pub(super) fn stands_beside(&self, food: FoodId, item: &Item) -> bool {
        let Some(open) = &self.open else { return false };
        let pattern = self.library.dish(open.id);
        if item.substitute {
            return true;
        }
        let accepted = self.accepted(food);
        let link = match item.link {
            Link::Detail => "detail",
            Link::On => "on",
            Link::In => "in",
            // What is topped with something has that on it.
            Link::With if item.topped => "on",
            Link::With | Link::Start => "with",
            Link::And => "and",
            Link::Comma => "comma",
        };
        let container = pattern.extras == Role::Filling;
        let numbered = |number: Option<&str>| match number {
            Some("stated") => item.amount.is_some(),
            Some(_) => item.amount.is_some() || item.plural,
            None => true,
        };
        self.library.rules.beside.iter().any(|rule| {
            rule.accepted == accepted
                && (container || !rule.container)
                && rule.link.iter().any(|one| one == link)
                && self.library.is_one_of(food, &rule.food)
                && !self.library.is_one_of(food, &rule.not)
                && numbered(rule.number.as_deref())
        })
    }
}
