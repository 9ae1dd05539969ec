//! Puts what was said on the plate: into the slots of dish patterns, beside them, or on its own.

use super::afterword::{settle, standing};
use super::by_eye::by_eye;
use super::matching::{Target, class_of, is_called, remark_matches, target_of};
use super::named;
use super::portion::{category_scale, round_median, serve, times_range};
use super::preparation::{Prepared, prepare};
use super::{Choice, Component, Origin, Plate, PlateDish, PlateOptions};
use crate::estimate::Z90;
use crate::library::schema::RoleRule;
use crate::library::{DishId, FoodId, Library, Per100g, Role, Slot, Triple, stems};
use crate::read::{Amount, Head, Item, Link, Meal, Part, Span, Stance};

/// Builds the plate of a meal.
pub fn plate(library: &Library, text: &str, meal: &Meal, options: &PlateOptions) -> Plate {
    let mut builder = Builder {
        library,
        text,
        eye: options.eye.as_ref(),
        plate: Plate::default(),
        drafts: Vec::new(),
        removals: Vec::new(),
        open: None,
        head: None,
        option: None,
        group: 0,
        setting: setting(library, options),
        plate_sizes: Vec::new(),
        last: None,
        at: 0,
        dish_starts: Vec::new(),
        modifier: None,
    };
    let mut items = meal.items.clone();
    super::either::leave_open(library, text, &mut items);
    let mut items = settle(library, text, &items);
    super::base::turn(library, text, &mut items);
    for item in &items {
        if item.group != builder.group {
            builder.close();
            builder.head = None;
            builder.last = None;
            builder.group = item.group;
        }
        builder.item(item);
    }
    builder.close();
    builder.finish(meal)
}

fn setting(library: &Library, options: &PlateOptions) -> Option<usize> {
    let settings = &library.rules.settings;
    if let Some(said) = &options.setting {
        return settings.iter().position(|setting| setting.id == *said);
    }
    let section = stems(options.section.as_deref()?);
    let matches = |words: &String| {
        let words = stems(words);
        section
            .windows(words.len().max(1))
            .any(|window| window == words.as_slice())
            .then_some(words.len())
    };
    let scored = settings.iter().enumerate().filter_map(|(index, setting)| {
        setting
            .sections
            .iter()
            .filter_map(matches)
            .max()
            .map(|length| (length, index))
    });
    // The longest heading wins; between equals the one that is listed first.
    scored
        .max_by_key(|(length, index)| (*length, std::cmp::Reverse(*index)))
        .map(|(_, index)| index)
}

/// A component before its grams are known.
#[derive(Debug, Clone)]
struct Draft {
    food: FoodId,
    role: Role,
    usual: Option<Triple>,
    amount: Option<Amount>,
    sizes: Vec<usize>,
    preparations: Vec<usize>,
    plural: bool,
    stance: Stance,
    origin: Origin,
    said: Option<(String, Span)>,
    dish: usize,
    slot: Option<String>,
    chance: f64,
    option: Option<(usize, usize)>,
    factor: f64,
    times: Option<Triple>,
    group: usize,
    /// Whether it is the middle of the plate, which several share.
    shares_middle: bool,
    /// Whether the sizes of its dish are in its factor already.
    sized: bool,
    /// σ, where the words state the weight or volume of the whole dish that it is.
    stated: Option<f64>,
}

/// A dish pattern whose parts are still being named.
struct Open {
    id: DishId,
    dish: usize,
    named: Vec<Vec<usize>>,
    sizes: Vec<usize>,
    amount: Option<Amount>,
    preparations: Vec<usize>,
    plural: bool,
    role: Option<Role>,
    option: Option<(usize, usize)>,
    factor: f64,
    extras: Vec<usize>,
    first_draft: usize,
    said: (String, Span),
    /// Whether it stands before another dish's noun and gives that its taste, without its own bread, base and sides.
    /// The slots of it that the other dish has taken up.
    modifier: Option<Vec<usize>>,
}

struct Removal {
    target: Target,
    group: usize,
    soft: bool,
}

struct Builder<'a> {
    library: &'a Library,
    text: &'a str,
    eye: Option<&'a crate::eye::EyeModel>,
    plate: Plate,
    drafts: Vec<Draft>,
    removals: Vec<Removal>,
    open: Option<Open>,
    /// The food that heads the present group, where it is no pattern.
    head: Option<usize>,
    option: Option<(usize, usize)>,
    group: usize,
    setting: Option<usize>,
    /// Sizes said in each group, which may hold for the whole plate.
    plate_sizes: Vec<(usize, usize)>,
    /// The food that was placed last in the present group.
    last: Option<usize>,
    /// Where the words of the present item start.
    at: usize,
    /// Where the words of each dish start.
    dish_starts: Vec<usize>,
    /// Where the next dish stands before another's noun: its slots that this has taken up.
    modifier: Option<Vec<usize>>,
}

impl<'a> Builder<'a> {
    fn item(&mut self, item: &Item) {
        self.at = item.span.0;
        if let Some(amount) = item.amount.filter(|amount| amount.bare) {
            let said = self.said(item.head_span).0;
            self.plate.assumptions.push(format!(
                "{} behind \"{said}\" was taken as their number, not their price",
                amount.low
            ));
        }
        if item.stance == Stance::Absent {
            if let Some(target) = target_of(self.library, self.text, item) {
                self.removals.push(Removal {
                    target,
                    group: item.group,
                    soft: item.soft,
                });
            }
            return;
        }
        let is_open_class = matches!(item.head, Some(Head::Class(_)));
        if item.alternatives.is_empty() && !is_open_class {
            self.place(item);
            return;
        }
        for _ in 0..item.picks.max(1) {
            self.choice(item);
        }
    }

    /// An open choice: each option goes on the plate, marked as one of several.
    fn choice(&mut self, item: &Item) {
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

    fn name_of(&self, item: &Item) -> String {
        match item.head {
            Some(Head::Food(food)) => self.library.food(food).name.to_lowercase(),
            Some(Head::Dish(dish)) => self.library.dish(dish).name.to_lowercase(),
            _ => self.said(item.span).0,
        }
    }

    fn said(&self, span: Span) -> (String, Span) {
        (
            self.text
                .get(span.0..span.1)
                .unwrap_or_default()
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" "),
            span,
        )
    }

    fn place(&mut self, item: &Item) {
        let group = item.group;
        self.plate_sizes
            .extend(item.sizes.iter().map(|size| (group, *size)));
        match item.head {
            None => self.tail(item),
            Some(Head::Dish(dish)) => self.dish(dish, item),
            Some(Head::Food(food)) => self.food(food, item),
            Some(Head::Class(_)) => {}
        }
    }

    /// "…, large", "…, half rack", "…, pecan-crusted": said of what stands before.
    fn tail(&mut self, item: &Item) {
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

    fn size_role(&self, size: usize) -> Option<Role> {
        self.library.rules.sizes[size]
            .role
            .as_deref()
            .and_then(Role::find)
    }

    fn sizes_role(&self, sizes: &[usize]) -> Option<Role> {
        sizes.iter().rev().find_map(|size| self.size_role(*size))
    }

    fn setting_role(&self) -> Option<Role> {
        let setting = &self.library.rules.settings[self.setting?];
        setting.role.as_deref().and_then(Role::find)
    }

    fn draft(&self, food: FoodId, role: Role, item: &Item) -> Draft {
        Draft {
            food,
            role,
            usual: None,
            amount: item.amount,
            sizes: item.sizes.clone(),
            preparations: item.preparations.clone(),
            plural: item.plural,
            stance: item.stance,
            origin: Origin::Named,
            said: Some(self.said(item.span)),
            dish: usize::MAX,
            slot: None,
            chance: 1.0,
            option: self.option,
            factor: 1.0,
            times: None,
            group: self.group,
            shares_middle: false,
            sized: false,
            stated: None,
        }
    }

    fn draft_of_part(&self, food: FoodId, role: Role, part: &Part) -> Draft {
        let mut item = Item::part_item(part);
        item.group = self.group;
        let mut draft = self.draft(food, role, &item);
        if let Some(open) = &self.open {
            draft.dish = open.dish;
        } else if let Some(head) = self.head {
            draft.dish = self.drafts[head].dish;
        }
        draft
    }

    fn new_dish(&mut self, name: String, id: Option<String>, whole: bool) -> usize {
        self.dish_starts.push(self.at);
        self.plate.dishes.push(PlateDish {
            name,
            id,
            whole,
            count: 1.0,
        });
        self.plate.dishes.len() - 1
    }

    /// A dish pattern: opened, or, inside another, a part of it.
    fn dish(&mut self, id: DishId, item: &Item) {
        let library = self.library;
        let pattern = library.dish(id);
        if let Some(open) = &mut self.open {
            // "burger: … on a burger" says the same dish again.
            if open.id == id && matches!(item.link, Link::Detail | Link::On | Link::In) {
                open.sizes.extend(&item.sizes);
                return;
            }
        }
        if self.stands_in(item) || self.is_served_in(id, item) {
            return;
        }
        let first_of_group = self.open.is_none() && self.head.is_none();
        let inside = self.open.is_some()
            && (matches!(item.link, Link::Detail)
                || matches!(item.link, Link::With) && item.topped && pattern.course != "drink");
        let outer = self.open.take_if(|_| inside);
        if !inside {
            self.close();
        }
        let dish = match &outer {
            Some(outer) => outer.dish,
            None => self.new_dish(
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
            amount: item.amount,
            preparations: item.preparations.clone(),
            plural: item.plural,
            role,
            option: self.option,
            factor,
            extras: Vec::new(),
            first_draft: self.drafts.len(),
            said: self.said(item.span),
            modifier: std::mem::take(&mut self.modifier),
        });
        for part in &item.parts {
            self.part_of_dish(part);
        }
        self.own_meat(item);
        if let Some(outer) = outer {
            self.close();
            self.open = Some(outer);
        }
    }

    /// "Burger, lettuce wrap": words that put something in the place of the open dish's base. Whether they did. Several are
    /// a dish of their own.
    fn stands_in(&mut self, item: &Item) -> bool {
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

    /// "Thali with dal": a dish of which the open one has some by custom is that, and not another helping. Whether it was.
    fn is_served_in(&mut self, id: DishId, item: &Item) -> bool {
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

    /// A food named before a dish's own noun.
    fn part_of_dish(&mut self, part: &Part) {
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
    fn made_of(&mut self, body: FoodId, part: &Part) -> Option<Option<FoodId>> {
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
    fn own_meat(&mut self, item: &Item) {
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

    /// The role of a food that no slot takes: that of the pattern, or what the rules of the trade say.
    fn extra_role(&self, extras: Role, link: Link, food: FoodId, modifier: bool) -> Role {
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

    fn rule(&self, link: Link, head: Option<FoodId>, food: FoodId) -> Option<Role> {
        self.role_rule(link, head, food)
            .and_then(|rule| Role::find(&rule.role))
    }

    fn role_rule(&self, link: Link, head: Option<FoodId>, food: FoodId) -> Option<&'a RoleRule> {
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

    /// Whether the figures of the open dish, or of the head food, already hold this food; if so, says so.
    fn held(&mut self, food: FoodId, counted: bool, said: &str) -> bool {
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

    fn push_extra(&mut self, mut draft: Draft) {
        if let Some(open) = &mut self.open {
            draft.dish = open.dish;
            draft.option = draft.option.or(open.option);
            open.extras.push(self.drafts.len());
        }
        self.drafts.push(draft);
    }

    /// A named food goes into the slot that accepts it, refines one that is named already, or becomes an extra.
    fn fill(&mut self, mut draft: Draft, link: Link) {
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
    fn put(&mut self, mut draft: Draft, slot: usize) {
        if let Some(open) = &mut self.open {
            draft.slot = Some(self.library.dish(open.id).slots[slot].name.clone());
            draft.dish = open.dish;
            draft.option = draft.option.or(open.option);
            open.named[slot].push(self.drafts.len());
        }
        self.drafts.push(draft);
    }

    /// "Bolognese over polenta": what no slot accepts, but lies under the dish, is there instead of the dish's own starch.
    fn lay_under(&mut self, draft: Draft) {
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
    fn refines(&self, old: &Draft, new: &Draft) -> bool {
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

    /// Whether a food stands beside the open pattern rather than in it.
    fn stands_beside(&self, food: FoodId, item: &Item) -> bool {
        let Some(open) = &self.open else { return false };
        let pattern = self.library.dish(open.id);
        if item.substitute {
            return true;
        }
        let category = &self.library.category(food).id;
        let accepted = pattern.slots.iter().any(|slot| {
            slot.food == food
                || self.library.is_one_of(food, &slot.accepts)
                || slot.accepts.is_empty() && self.library.category(slot.food).id == *category
        });
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

    fn food(&mut self, food: FoodId, item: &Item) {
        let library = self.library;
        let said = self.said(item.span).0;
        let entry = library.food(food);
        let counted =
            item.amount.is_some_and(|amount| !amount.share) || item.stance == Stance::Extra;
        if self.open.is_some() && self.held(food, counted, &said) {
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
        let own = entry.served_as;
        let topped = !first && item.topped && library.category(food).group != "drink";
        let role = said_role
            .or(topped.then_some(Role::Topping))
            .or(ruled)
            .unwrap_or(match (first, self.setting_role()) {
                (true, Some(Role::Starter))
                    if own == Role::Side && library.category(food).group != "protein" =>
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
    fn parts_of_food(&mut self, food: FoodId, at: usize, item: &Item) {
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

    /// "Bolognese fries": the dish before the noun lies on the food; before a sauce it is no more than its taste.
    fn taste_of(&mut self, dish: DishId, food: FoodId, at: usize, part: &Part) {
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
            draft.usual = portion.or(slot.portion);
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

    /// Ends the open pattern: its silent slots get their defaults, and everything its count and size.
    fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        let library = self.library;
        let model = &library.rules.model;
        let pattern = library.dish(open.id);
        let named_parts: usize = open.named.iter().map(Vec::len).sum::<usize>() + open.extras.len();
        let mut factor = open.factor;
        let mut times: Option<Triple> = None;
        let mut count = 1.0;
        // Only some slots: "double" is two patties, not two buns.
        let mut slot_factors: Vec<f64> = vec![1.0; pattern.slots.len()];
        let whole_first = pattern.whole;
        // σ of a weight or volume of the whole that the words state.
        let mut stated: Option<f64> = None;
        for &index in &open.sizes {
            let size = &library.rules.sizes[index];
            if size.role.is_some() {
                continue;
            }
            let hit: Vec<usize> = (0..pattern.slots.len())
                .filter(|at| size.slots.contains(&pattern.slots[*at].name))
                .collect();
            if hit.is_empty() {
                factor *= match pattern.measures.get(&size.id) {
                    Some(grams) => {
                        // A large pizza has a weight of its own, as a large apple has.
                        stated = stated.or(whole_first.then_some(model.piece_sigma));
                        grams / self.usual_weight(open.id)
                    }
                    None => size.factor,
                };
            }
            for at in hit {
                slot_factors[at] *= size.factor;
            }
        }
        match &open.amount {
            Some(amount) if amount.share => factor *= amount.middle(),
            Some(amount) => match amount.unit.map(|unit| &library.rules.units[unit]) {
                None => {
                    count = amount.middle();
                    let one_each = pattern.served.is_some() || pattern.extras == Role::Filling;
                    if one_each || count < 3.0 {
                        times = Some([amount.low, count, amount.high]);
                    } else {
                        // Many of what is no piece of an order: they are its pieces.
                        let by = (count / 6.0).sqrt();
                        times = Some([by / 1.3, by, by * 1.3]);
                    }
                }
                Some(unit) if unit.kind == "length" => match pattern.inches {
                    Some(inches) => factor *= (amount.middle() / inches.usual).powf(inches.power),
                    None => self.plate.assumptions.push(format!(
                        "a length says nothing of the size of {}",
                        pattern.name.to_lowercase()
                    )),
                },
                Some(unit) => {
                    let own = unit
                        .measures
                        .iter()
                        .chain(std::iter::once(&unit.id))
                        .find_map(|measure| {
                            pattern.measures.get(measure).or_else(|| {
                                library
                                    .food(pattern.slots.first()?.food)
                                    .measures
                                    .get(measure)
                            })
                        });
                    let usual = self.usual_weight(open.id);
                    let grams = match (unit.kind.as_str(), unit.size, own) {
                        ("mass", Some(size), _) => Some(size),
                        (_, _, Some(own)) => Some(*own),
                        ("volume", Some(size), None) => Some(size * 0.95),
                        (_, size, None) => size.filter(|_| unit.pieces.is_none()),
                    };
                    match grams {
                        // "6 oz burger" is the patty's weight, not the plate's.
                        Some(grams) if unit.kind == "mass" && !whole_first => {
                            let at = pattern.slots.iter().position(|slot| {
                                matches!(slot.name.as_str(), "patty" | "meat" | "protein")
                            });
                            let weighed = at.map(|at| {
                                let slot = &pattern.slots[at];
                                let food = open.named[at]
                                    .first()
                                    .map_or(slot.food, |draft| self.drafts[*draft].food);
                                let loss = library.category(food).cooked_yield.filter(|left| {
                                    *left < 1.0 && !library.food(food).weighed_cooked
                                });
                                let usual = slot
                                    .portion
                                    .unwrap_or_else(|| library.portion(food, slot.role))[1];
                                (at, grams * amount.middle() * loss.unwrap_or(1.0) / usual)
                            });
                            match weighed {
                                Some((at, times)) => {
                                    slot_factors[at] *= times;
                                    self.plate.assumptions.push(format!(
                                        "the stated weight was taken as the raw weight of the {}",
                                        pattern.slots[at].name
                                    ));
                                }
                                None => factor *= grams * amount.middle() / usual,
                            }
                        }
                        Some(grams) => {
                            factor *= grams * amount.middle() / usual;
                            let loose = unit.loose.map_or(0.0, |loose| loose / (2.0 * Z90));
                            let sigma = match unit.kind.as_str() {
                                "mass" | "volume" => Some(model.stated_sigma.hypot(loose)),
                                // "2 slices of pizza": pieces whose weight the library knows.
                                _ => own.map(|_| model.piece_sigma.max(loose * 0.5)),
                            };
                            stated = stated.or(sigma.filter(|_| whole_first));
                        }
                        None => factor *= amount.middle() * unit.pieces.unwrap_or(1.0),
                    }
                }
            },
            None => {
                if let (Some(served), true) = (pattern.served, open.plural) {
                    times = Some(served);
                    count = served[1];
                }
            }
        }
        let absurd = count.max(factor) > 60.0;
        if absurd {
            self.plate.assumptions.push(format!(
                "{count} of {} is more than one meal holds; it was taken as 60",
                pattern.name.to_lowercase()
            ));
            times = Some([60.0; 3]);
            factor = factor.min(60.0);
        }
        self.plate.dishes[open.dish].count =
            self.plate.dishes[open.dish].count.max(count.min(60.0));
        let weighed = open
            .amount
            .as_ref()
            .and_then(|amount| amount.unit)
            .is_some();
        let smaller = open.role.filter(|role| match role {
            Role::Side => matches!(pattern.course.as_str(), "main" | "salad" | "breakfast"),
            Role::Starter => pattern.course == "main",
            _ => false,
        });
        let smaller = smaller.filter(|_| !weighed);
        if let Some(role) = smaller.filter(|_| !whole_first) {
            factor *= model.as_role.get(role.name()).copied().unwrap_or(1.0);
        }
        let mut preparations = open.preparations.clone();
        for (index, slot) in pattern.slots.iter().enumerate() {
            let named = &open.named[index];
            let takes_preparation = !preparations.is_empty()
                && (slot.name == "patty"
                    || slot.name == "meat"
                    || slot.name == "protein"
                    || library.category(slot.food).group == "protein"
                    || pattern.slots.len() == 1);
            if !named.is_empty() {
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
                    let alike =
                        library.food(draft.food).category == library.food(slot.food).category;
                    let own = slot.portion.filter(|_| alike || slot.role != Role::Side);
                    draft.usual = draft.usual.or(own);
                    draft.sized = true;
                    draft.factor *= n.powf(model.share - 1.0) * slot_factors[index] * factor;
                    draft.times = times;
                    if takes_preparation {
                        draft.preparations.extend(&preparations);
                    }
                }
                if takes_preparation {
                    preparations.clear();
                }
                continue;
            }
            let blocked = slot.blocked_by.iter().any(|name| {
                pattern
                    .slots
                    .iter()
                    .zip(&open.named)
                    .any(|(slot, named)| slot.name == *name && !named.is_empty())
            });
            let stays_behind = open
                .modifier
                .as_ref()
                .is_some_and(|taken| taken.contains(&index) || !self.is_taste(slot));
            if slot.chance <= 0.0 || blocked || stays_behind {
                continue;
            }
            let mut chance = slot.chance;
            if chance < 1.0 && named_parts >= 3 {
                chance *= model.described;
            }
            let whole = whole_first && index == 0;
            let mut role = slot.role;
            let mut usual = slot.portion;
            if let (true, Some(smaller)) = (whole, smaller) {
                role = smaller;
                usual = None;
            }
            let mut draft = Draft {
                food: slot.food,
                role,
                usual,
                amount: None,
                sizes: Vec::new(),
                preparations: Vec::new(),
                plural: false,
                stance: Stance::Plain,
                origin: if whole {
                    Origin::WholeDish
                } else {
                    Origin::Implied
                },
                said: Some(open.said.clone()),
                dish: open.dish,
                slot: Some(slot.name.clone()),
                chance,
                option: open.option,
                factor: factor * slot_factors[index],
                times,
                group: self.group,
                shares_middle: false,
                sized: true,
                stated: if whole { stated } else { None },
            };
            if takes_preparation {
                draft.preparations.append(&mut preparations);
            }
            self.drafts.push(draft);
        }
        for &at in &open.extras {
            let draft = &mut self.drafts[at];
            if !matches!(draft.role, Role::Side | Role::Drink | Role::Main) {
                draft.factor *= factor;
                draft.sized = true;
                // In each taco there is some; over a plate of mushrooms it lies once.
                if pattern.extras == Role::Filling {
                    draft.times = times;
                }
            }
        }
        let adding: Vec<usize> = preparations
            .into_iter()
            .filter(|index| !library.rules.preparations[*index].adds.is_empty())
            .collect();
        for index in adding {
            for added in &library.rules.preparations[index].adds {
                self.add_part(added, open.dish, open.option, factor);
            }
        }
        if self.head.is_none() {
            self.head = self.drafts[open.first_draft..]
                .iter()
                .position(|draft| draft.dish == open.dish)
                .map(|offset| open.first_draft + offset);
        }
    }

    /// "Shawarma pizza": the meat of the dish before the noun fills the slot that the open dish has for meat. Its slots.
    fn meat_of(&mut self, inner: DishId, part: &Part) -> Vec<usize> {
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

    /// Whether a dish brings this slot along where it stands before another dish's noun: its meat, sauce and what goes with
    /// them, but not the bread or starch that it lies on and nothing beside it.
    fn is_taste(&self, slot: &Slot) -> bool {
        match self.library.category(slot.food).group.as_str() {
            "protein" => true,
            "starch" => !matches!(slot.role, Role::Base | Role::Side),
            _ => slot.role != Role::Side,
        }
    }

    fn add_part(
        &mut self,
        added: &crate::library::schema::AddedEntry,
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

    /// g of a pattern as it comes by default.
    fn usual_weight(&self, id: DishId) -> f64 {
        let slots = &self.library.dish(id).slots;
        let grams = slots.iter().map(|slot| {
            slot.chance
                * slot
                    .portion
                    .unwrap_or_else(|| self.library.portion(slot.food, slot.role))[1]
        });
        grams.sum::<f64>().max(1.0)
    }

    fn finish(mut self, meal: &Meal) -> Plate {
        self.remove();
        self.size_whole_plates();
        self.share_middle();
        let library = self.library;
        let model = &library.rules.model;
        let factor = self
            .setting
            .map_or(1.0, |setting| library.rules.settings[setting].factor);
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
        let mut components = Vec::with_capacity(self.drafts.len());
        for (draft, prepared) in self.drafts.iter().zip(dressed) {
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
            if draft.stated.is_some() {
                // The factor makes the usual weight the stated one; no fitted scale may move that.
                scale /= category_scale(library, prepared.food);
            } else if !served.stated {
                scale *= factor;
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
    fn remove(&mut self) {
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
    fn size_whole_plates(&mut self) {
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
    fn share_middle(&mut self) {
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

    /// Words that nothing knows: they may be a part of the plate, at what such a thing usually weighs.
    fn unknown(&mut self, meal: &Meal, components: &mut Vec<Component>) {
        let model = &self.library.rules.model;
        for word in &meal.not_understood {
            let chance = if word.item.is_some() {
                model.unknown_chance
            } else {
                model.unknown_alone_chance
            };
            let kcal = model.unknown_kcal;
            components.push(Component {
                food: None,
                name: format!("\"{}\" (not understood)", word.text),
                dish: self.plate.dishes.len().saturating_sub(1),
                slot: None,
                role: Role::Topping,
                origin: Origin::Unknown,
                said: Some((word.text.clone(), word.span)),
                count: None,
                chance,
                eaten: [1.0; 3],
                remark: None,
                grams: model.unknown_portion,
                stated: false,
                // A sixth of the energy from protein, a third from fat, the rest from carbohydrate: judgement.
                per_100g: Per100g {
                    kcal,
                    protein: kcal / 6.0 / 4.0,
                    fat: kcal / 3.0 / 9.0,
                    carbohydrate: kcal / 2.0 / 4.0,
                    fibre: 1.5,
                    alcohol: 0.0,
                },
                spread: 0.6,
                fatty: false,
                option: None,
                source: "none: the word is not known".to_owned(),
                file: "rules/model.toml".to_owned(),
                steps: vec!["an unknown word, at what such a thing usually weighs".to_owned()],
            });
        }
    }

    /// Where the words stand that put a component on the plate.
    fn start_of(&self, component: &Component) -> usize {
        match &component.said {
            Some((_, span)) => span.0,
            None => self
                .dish_starts
                .get(component.dish)
                .copied()
                .unwrap_or_default(),
        }
    }

    fn remarks(&mut self, meal: &Meal, components: &mut [Component]) {
        for (index, remark) in standing(&meal.remarks).into_iter().enumerate() {
            let mut hit = false;
            let speaks_of: Vec<bool> = components
                .iter()
                .map(|component| {
                    remark_matches(self.library, remark, component, &self.plate.dishes)
                })
                .collect();
            // "lasagne, ate half of it, and a beer": a remark on all there was speaks of what stands before it.
            let before: Vec<bool> = components
                .iter()
                .map(|component| self.start_of(component) < remark.span.0)
                .collect();
            let speaks_of: Vec<bool> = match remark.of {
                None if before.contains(&true) => before,
                _ => speaks_of,
            };
            // "the rice" of "curry and rice" is the rice: what is so called comes before what only stands in such words.
            let called: Vec<bool> = components
                .iter()
                .zip(&speaks_of)
                .map(|(component, speaks)| *speaks && is_called(remark, component))
                .collect();
            let only_called = matches!(remark.of, Some(Head::Food(_))) && called.contains(&true);
            for (at, component) in components.iter_mut().enumerate() {
                let meant = if only_called {
                    called[at]
                } else {
                    speaks_of[at]
                };
                if meant {
                    hit = true;
                    if remark.eaten[0] < remark.eaten[2] {
                        component.remark = Some(index);
                    }
                    for (eaten, share) in component.eaten.iter_mut().zip(remark.eaten) {
                        *eaten *= share;
                    }
                }
            }
            let whole = if remark.said.is_empty() {
                "the meal"
            } else {
                &remark.said
            };
            let percent = (remark.eaten[1] * 100.0).round();
            self.plate.assumptions.push(match hit {
                true => format!("{percent} % of {whole} was eaten"),
                false => {
                    format!("\"{whole}\" was said to be left or shared, but is not on the plate")
                }
            });
        }
    }
}

impl Item {
    /// A food before a head noun, as an item of its own.
    fn part_item(part: &Part) -> Item {
        Item {
            link: Link::With,
            group: 0,
            head: Some(part.head),
            parts: Vec::new(),
            preparations: part.preparations.clone(),
            sizes: Vec::new(),
            amount: part.amount,
            stance: Stance::Plain,
            alternatives: Vec::new(),
            soft: false,
            topped: false,
            weights: Vec::new(),
            substitute: false,
            picks: 1,
            span: part.span,
            head_span: part.span,
            afterword: false,
            plural: part.plural,
            unknown: 0,
        }
    }
}
