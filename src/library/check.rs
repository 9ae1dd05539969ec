//! `library check`: every fault of every entry, not just the first, and what an editor should look at.
//!
//! A **fault** makes a file wrong; a **warning** asks a person to look. The command and the test
//! `every_entry_we_ship_is_sound` share this one function.

use super::{DishId, Entry, Food, FoodId, Library, Origin, Slot, evidence};
use std::collections::BTreeMap;
use std::fmt;

/// Something that `library check` found.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Finding {
    /// The file.
    pub file: String,
    /// The entry.
    pub id: String,
    /// What is wrong, and what is expected.
    pub message: String,
    /// Whether it is a fault rather than a warning.
    pub is_fault: bool,
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kind = if self.is_fault { "fault" } else { "look at" };
        write!(f, "{}: {kind}: `{}`: {}", self.file, self.id, self.message)
    }
}

/// Energy may differ from what the general Atwater factors give by this share, or by [`ATWATER_SLACK`], whichever is more:
/// the specific factors of a food differ from the general ones by up to a fifth (USDA Handbook 74).
const ATWATER_SHARE: f64 = 0.2;
const ATWATER_SLACK: f64 = 18.0;

/// The most that 100 g of food can hold: pure fat is 9 kcal/g (21 CFR 101.9(c)(1)(i)(B)).
const MOST_KCAL: f64 = 902.0;

/// Lists every fault and warning of a library, in the order of its files.
pub fn check(library: &Library) -> Vec<Finding> {
    let mut found = Vec::new();
    for (index, food) in library.foods.iter().enumerate() {
        check_food(library, FoodId(index), food, &mut found);
    }
    for dish in &library.dishes {
        check_dish(library, dish, &mut found);
    }
    names(library, &mut found);
    twins(library, &mut found);
    super::reading::check(library, &mut found);
    for (kind, known) in rule_words(library) {
        if known.is_empty() {
            found.push(fault("rules", kind, "has no words".to_owned()));
        }
    }
    found.sort();
    found
}

fn rule_words(library: &Library) -> Vec<(&str, &[String])> {
    let rules = &library.rules;
    let sizes = rules
        .sizes
        .iter()
        .map(|entry| (entry.id.as_str(), entry.words.as_slice()));
    let units = rules
        .units
        .iter()
        .map(|entry| (entry.id.as_str(), entry.words.as_slice()));
    let preparations = rules
        .preparations
        .iter()
        .map(|entry| (entry.id.as_str(), entry.words.as_slice()));
    sizes.chain(units).chain(preparations).collect()
}

pub(super) fn fault(file: &str, id: &str, message: String) -> Finding {
    Finding {
        file: file.to_owned(),
        id: id.to_owned(),
        message,
        is_fault: true,
    }
}

fn warning(file: &str, id: &str, message: String) -> Finding {
    Finding {
        is_fault: false,
        ..fault(file, id, message)
    }
}

fn check_food(library: &Library, id: FoodId, food: &Food, found: &mut Vec<Finding>) {
    let mut say = |message: String| found.push(fault(&food.file, &food.id, message));
    let figures = &food.per_100g;
    if let Origin::Table(source) = &food.origin
        && source.trim().is_empty()
    {
        say("has figures but no `source`; cite the row of the table or the label".to_owned());
    }
    for (name, value) in [
        ("protein", figures.protein),
        ("fat", figures.fat),
        ("carbohydrate", figures.carbohydrate),
        ("fibre", figures.fibre),
        ("alcohol", figures.alcohol),
    ] {
        if !(0.0..=100.5).contains(&value) {
            say(format!(
                "{name} is {value} g in 100 g; 0 to 100 is possible"
            ));
        }
    }
    if !(0.0..=MOST_KCAL).contains(&figures.kcal) {
        say(format!(
            "energy is {} kcal in 100 g; pure fat has 902",
            figures.kcal
        ));
    }
    let sum = figures.protein + figures.fat + figures.carbohydrate + figures.alcohol;
    if sum > 103.0 {
        say(format!("its macros weigh {sum:.0} g in 100 g"));
    }
    let by_macros = 4.0 * figures.protein
        + 9.0 * figures.fat
        + 4.0 * figures.carbohydrate
        + 7.0 * figures.alcohol;
    if (by_macros - figures.kcal).abs() > ATWATER_SLACK.max(ATWATER_SHARE * figures.kcal)
        && food.note.is_none()
    {
        say(format!(
            "energy is {:.0} kcal but its macros give {by_macros:.0} by the Atwater factors; correct it, or say why in `note`",
            figures.kcal
        ));
    }
    if !(0.0..=1.0).contains(&food.spread) {
        say(format!(
            "`spread` is {}; a coefficient of variation is 0 to 1",
            food.spread
        ));
    }
    if (food.portions.values()).any(|portion| portion.measured.is_none())
        && evidence::kind(food.evidence.as_deref()).is_none()
        && !food.published
    {
        say(format!(
            "has portions without `evidence`; begin it with one of {}",
            evidence::KINDS.join(", ")
        ));
    }
    if food.name.trim().is_empty() {
        say("has no name".to_owned());
    }
    let likely = library.portion(id, food.served_as)[1] * figures.kcal / 100.0;
    if likely > 3500.0 {
        found.push(warning(
            &food.file,
            &food.id,
            format!("its usual portion has {likely:.0} kcal; is that one serving?"),
        ));
    }
}

fn check_dish(library: &Library, dish: &super::Dish, found: &mut Vec<Finding>) {
    let mut energy = 0.0;
    for slot in &dish.slots {
        if !(0.0..=1.0).contains(&slot.chance) {
            found.push(fault(
                &dish.file,
                &dish.id,
                format!(
                    "slot `{}` has chance {}; it is 0 to 1",
                    slot.name, slot.chance
                ),
            ));
        }
        let grams = library.slot_portion(slot)[1];
        energy += slot.chance * grams * library.food(slot.food).per_100g.kcal / 100.0;
        for kind in slot.accepts.iter().filter(|kind| !is_kind(library, kind)) {
            found.push(fault(
                &dish.file,
                &dish.id,
                format!(
                    "slot `{}` accepts `{kind}`, which is no category, group or food",
                    slot.name
                ),
            ));
        }
    }
    if dish.slots.is_empty() {
        found.push(fault(&dish.file, &dish.id, "has no slots".to_owned()));
    }
    let in_grams = |slot: &Slot| (slot.portion.as_ref()).is_some_and(|own| own.measured.is_none());
    if dish.slots.iter().any(in_grams) && evidence::kind(dish.evidence.as_deref()).is_none() {
        found.push(fault(
            &dish.file,
            &dish.id,
            format!(
                "has portions without `evidence`; begin it with one of {}",
                evidence::KINDS.join(", ")
            ),
        ));
    }
    let order = energy * dish.served.map_or(1.0, |served| served[1]);
    let floor = if matches!(dish.course.as_str(), "main" | "breakfast") {
        50.0
    } else {
        3.0
    };
    if !(floor..=3500.0).contains(&order) {
        found.push(warning(
            &dish.file,
            &dish.id,
            format!("its usual plate has {order:.0} kcal; {floor:.0} to 3,500 is plausible"),
        ));
    }
}

pub(super) fn is_kind(library: &Library, kind: &str) -> bool {
    library
        .categories
        .iter()
        .any(|category| category.id == kind || category.group == kind)
        || library.find_food(kind).is_some()
}

/// Names that stand on two entries: only one of them can be meant.
fn names(library: &Library, found: &mut Vec<Finding>) {
    let foods = (0..library.foods.len()).map(|at| Entry::Food(FoodId(at)));
    let dishes = (0..library.dishes.len()).map(|at| Entry::Dish(DishId(at)));
    let mut owners: BTreeMap<String, (Entry, String)> = BTreeMap::new();
    for entry in foods.chain(dishes) {
        for alias in library.aliases(entry) {
            let key = super::stems(&alias).concat();
            match owners.get(&key) {
                Some((other, _)) if *other == entry => {}
                Some((other, said)) => {
                    let ((id, file), (other_id, other_file)) =
                        (place(library, entry), place(library, *other));
                    // A user's own name may win over ours; within our files, or within theirs, one of the two is a slip.
                    let same_side = is_ours(file) == is_ours(other_file);
                    let message = format!(
                        "the name \"{alias}\" (\"{said}\") also stands on `{other_id}` in {other_file}; take it off one"
                    );
                    found.push(Finding {
                        file: file.to_owned(),
                        id: id.to_owned(),
                        message,
                        is_fault: same_side,
                    });
                }
                None => {
                    owners.insert(key, (entry, alias));
                }
            }
        }
    }
}

fn place(library: &Library, entry: Entry) -> (&str, &str) {
    match entry {
        Entry::Food(id) => (&library.food(id).id, &library.food(id).file),
        Entry::Dish(id) => (&library.dish(id).id, &library.dish(id).file),
    }
}

/// Whether a file is of the library we ship.
pub(super) fn is_ours(file: &str) -> bool {
    file.starts_with("foods/") || file.starts_with("dishes/")
}

/// Foods with the same figures: one food with more names, or a slip of the pen.
fn twins(library: &Library, found: &mut Vec<Finding>) {
    let mut by_source: BTreeMap<&str, Vec<&Food>> = BTreeMap::new();
    for food in &library.foods {
        if let Origin::Table(source) = &food.origin {
            by_source.entry(source).or_default().push(food);
        }
    }
    for foods in by_source.values().filter(|foods| foods.len() > 1) {
        let key = |food: &Food| {
            (
                food.category,
                food.served_as,
                format!("{:?}{:?}", food.portions, food.measures),
            )
        };
        for (at, food) in foods.iter().enumerate() {
            if let Some(twin) = foods[..at].iter().find(|twin| key(twin) == key(food)) {
                found.push(warning(
                    &food.file,
                    &food.id,
                    format!("has the figures, portions and measures of `{}`: one food with more names would do", twin.id),
                ));
            }
        }
    }
}
