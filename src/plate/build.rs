//! Puts what was said on the plate: into the slots of dish patterns, beside them, or on its own.

mod choices;
mod close;
mod dish;
mod finish;
mod food;
mod held;
mod measure;
mod modifier;
mod remarks;
mod roles;
mod slots;
mod tail;

use super::afterword::settle;
use super::matching::{Target, target_of};
use super::{Origin, Plate, PlateDish, PlateOptions};
use crate::library::{DishId, Entry, FoodId, Library, Role, Triple, stems};
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
        named: None,
        beneath: None,
        shares: Vec::new(),
        at: 0,
        dish_starts: Vec::new(),
        modifier: None,
    };
    let mut items = meal.items.clone();
    super::explained::leave_out(library, text, &mut items);
    super::either::leave_open(library, text, &mut items);
    let mut items = settle(library, text, &items);
    super::base::turn(library, text, &mut items);
    let (items, assumed) = super::made_with::merge(library, text, items);
    builder.plate.assumptions.extend(assumed);
    for item in &items {
        if item.group != builder.group {
            builder.close();
            builder.head = None;
            builder.last = None;
            builder.named = None;
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
    /// Slots whose place a dish beside it has.
    taken: Vec<usize>,
    /// Slots whose own food the words name, so that it is there for sure.
    certain: Vec<usize>,
    /// Whether the words say that nothing else is there ("meat and vegetables only").
    only: bool,
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
    /// The dish that goes on behind the open one: "falafel bowl with cucumber salad, rice and tahini".
    beneath: Option<Open>,
    /// (dish, share): "half turkey and avocado on rye" is half of all that the dish holds.
    shares: Vec<(usize, f64)>,
    /// The food that heads the present group, where it is no pattern.
    head: Option<usize>,
    option: Option<(usize, usize)>,
    group: usize,
    setting: Option<usize>,
    /// Sizes said in each group, which may hold for the whole plate.
    plate_sizes: Vec<(usize, usize)>,
    /// The food that was placed last in the present group.
    last: Option<usize>,
    /// The words of the first thing of the present group, and of the last before the present item with its link.
    named: Option<(Span, Span, Link)>,
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
        let joined = !matches!(item.link, Link::Start);
        if let Some(open) = self.open.as_mut().filter(|_| item.only && joined) {
            open.only = true;
        }
        if self.is_there_already(item) {
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
        if item.head.is_some() {
            let first = self.named.map_or(item.span, |(first, ..)| first);
            self.named = Some((first, item.span, item.link));
        }
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
        let entry = id.as_deref().and_then(|id| self.library.find(id));
        let course = match entry {
            Some(Entry::Dish(id)) if self.library.dish(id).extras == Role::Filling => "sandwich",
            Some(Entry::Dish(id)) => &self.library.dish(id).course,
            Some(Entry::Food(id)) => self.library.food(id).served_as.name(),
            None => Role::Main.name(),
        };
        self.plate.dishes.push(PlateDish {
            name,
            course: course.to_owned(),
            id,
            whole,
            count: 1.0,
        });
        self.plate.dishes.len() - 1
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
            only: false,
            chosen: false,
            span: part.span,
            head_span: part.span,
            afterword: false,
            plural: part.plural,
            unknown: 0,
        }
    }
}
