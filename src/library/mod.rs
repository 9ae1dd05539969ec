//! The component library: foods with their composition and portions, dish patterns, and the rules of the trade.
//!
//! The data is TOML under `component-library/`, embedded in a prepared form; a user's own files are laid over it. An entry
//! of the same id replaces, a new id adds, an alias of a later file takes a name over. Nothing here knows the command line.

pub mod check;
mod error;
pub mod evidence;
mod load;
#[allow(missing_docs, reason = "the build script includes it too")]
mod phrases;
mod reading;
mod record;
mod review;
#[allow(
    missing_docs,
    reason = "the keys are documented in component-library/SCHEMA.md"
)]
pub mod schema;
mod vocabulary;

pub use error::{LibraryError, Place};
pub use load::Overlay;
pub(crate) use load::plus;
pub use schema::{Per100g, Triple};
pub use vocabulary::{Term, Vocabulary, WordId, stem, stems};

use std::collections::{BTreeMap, HashMap};

/// Index of a food in its [`Library`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FoodId(pub usize);

/// Index of a dish pattern in its [`Library`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct DishId(pub usize);

/// What a component is on the plate; it sets the usual portion (30 g of cheese on a burger, 120 g as a starter).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// The middle of the plate.
    Main,
    /// Beside the main.
    Side,
    /// Before the main, or a small plate.
    Starter,
    /// Inside a sandwich, taco, omelette.
    Filling,
    /// On top of a dish or salad.
    Topping,
    /// Under or around: a bun, a bed of rice or leaves.
    Base,
    /// A sauce with it.
    Sauce,
    /// A salad's dressing.
    Dressing,
    /// Herbs, a wedge of lemon.
    Garnish,
    /// What gives a name its taste: the walnut of "walnut-crusted".
    Flavouring,
    /// After the main.
    Dessert,
    /// A drink.
    Drink,
}

impl Role {
    /// Every role with the name the data gives it.
    pub const ALL: [(Role, &'static str); 12] = [
        (Role::Main, "main"),
        (Role::Side, "side"),
        (Role::Starter, "starter"),
        (Role::Filling, "filling"),
        (Role::Topping, "topping"),
        (Role::Base, "base"),
        (Role::Sauce, "sauce"),
        (Role::Dressing, "dressing"),
        (Role::Garnish, "garnish"),
        (Role::Flavouring, "flavouring"),
        (Role::Dessert, "dessert"),
        (Role::Drink, "drink"),
    ];

    /// The role of this name, if there is one.
    pub fn find(name: &str) -> Option<Role> {
        Role::ALL
            .iter()
            .find(|(_, known)| *known == name)
            .map(|(role, _)| *role)
    }

    /// Its name in the data and in reports.
    pub fn name(self) -> &'static str {
        Role::ALL
            .iter()
            .find(|(role, _)| *role == self)
            .map_or("main", |(_, name)| name)
    }

    /// The roles whose portion stands in, nearest first, where a food and its category have none for this one.
    fn stand_ins(self) -> &'static [Role] {
        use Role::*;
        match self {
            Main => &[Side, Starter, Drink, Dessert, Sauce, Topping, Garnish],
            Side => &[Starter, Main, Topping, Dessert, Drink],
            Starter => &[Side, Main, Dessert],
            Filling => &[Topping, Side, Flavouring],
            Topping => &[Filling, Garnish, Side, Flavouring],
            Base => &[Side, Main],
            Sauce => &[Dressing, Topping, Side, Flavouring],
            Dressing => &[Sauce, Topping],
            Garnish => &[Flavouring, Topping],
            Flavouring => &[Garnish, Topping],
            Dessert => &[Main, Side],
            Drink => &[Main, Side],
        }
    }
}

/// A trade category with its usual portions.
#[derive(Debug, Clone)]
pub struct Category {
    /// Kebab-case id.
    pub id: String,
    /// Plain name.
    pub name: String,
    /// The wider group (`protein`, `starch` …).
    pub group: String,
    /// Role of a food that stands alone in the words.
    pub served_as: Role,
    /// Coefficient of variation of energy density.
    pub spread: f64,
    /// The unit the trade records it in.
    pub record_in: String,
    /// Whether the kitchen's hand with fat decides the amount.
    pub fatty: bool,
    /// Cooked weight / raw weight.
    pub cooked_yield: Option<f64>,
    /// Usual portions.
    pub portions: BTreeMap<Role, Triple>,
    /// What they rest on; judgement where nothing is said.
    pub evidence: BTreeMap<Role, String>,
}

/// A usual portion.
#[derive(Debug, Clone, PartialEq)]
pub struct Portion {
    /// g: 10th, 50th and 90th percentile.
    pub grams: Triple,
    /// The number of a household measure that they were written as, and the measure.
    pub measured: Option<(Triple, String)>,
}

/// Where a food's figures come from.
#[derive(Debug, Clone, PartialEq)]
pub enum Origin {
    /// A published table's row, or a label, by citation.
    Table(String),
    /// A recipe by weight: (food, g), and finished weight / sum of weights.
    Blend(Vec<(FoodId, f64)>, f64),
}

/// A food, ready to be put on a plate.
#[derive(Debug, Clone)]
pub struct Food {
    /// Kebab-case id, unique among foods and dishes.
    pub id: String,
    /// A plain name one could search for.
    pub name: String,
    /// Names that a user's own files give it; see [`Library::aliases`] for all.
    pub aliases: Vec<String>,
    /// Index into [`Library::categories`].
    pub category: usize,
    /// Figures per 100 g as served.
    pub per_100g: Per100g,
    /// Source of the figures.
    pub origin: Origin,
    /// Coefficient of variation of energy density between kitchens.
    pub spread: f64,
    /// Its own portions, where they differ from its category's.
    pub portions: BTreeMap<Role, Portion>,
    /// Evidence for the portions that are given in grams.
    pub evidence: Option<String>,
    /// The roles that the evidence is for; empty for all.
    pub evidence_for: Vec<Role>,
    /// g of one piece, slice, cup …
    pub measures: BTreeMap<String, f64>,
    /// Published weighings of a measure: how many, and their standard deviation in g.
    pub weighings: BTreeMap<String, (u32, f64)>,
    /// Measures that stand in no published table.
    pub judged: Vec<String>,
    /// Foods that preparations turn it into.
    pub variants: BTreeMap<String, FoodId>,
    /// Whether the figures are of raw food.
    pub raw: bool,
    /// Share of a stated weight that is bone and other waste, 0 to 1.
    pub bone: f64,
    /// Whether a weight that a menu states is the weight as served.
    pub weighed_cooked: bool,
    /// Role when it stands alone.
    pub served_as: Role,
    /// Pieces in an order.
    pub served: Option<Triple>,
    /// Categories, groups or foods already inside its figures.
    pub holds: Vec<String>,
    /// Unit the trade records it in.
    pub record_in: String,
    /// A place's own published figures, used with no spread.
    pub published: bool,
    /// Note of the editor.
    pub note: Option<String>,
    /// The file it came from.
    pub file: String,
}

/// A slot of a dish pattern.
#[derive(Debug, Clone)]
pub struct Slot {
    /// Its name (`bun`, `patty`).
    pub name: String,
    /// What is there by default.
    pub food: FoodId,
    /// Its role.
    pub role: Role,
    /// Its portion; none means the food's own.
    pub portion: Option<Portion>,
    /// How often it is there when the words are silent.
    pub chance: f64,
    /// Categories, groups or ids that fill it.
    pub accepts: Vec<String>,
    /// Slots whose naming empties it.
    pub blocked_by: Vec<String>,
}

/// A dish pattern.
#[derive(Debug, Clone)]
pub struct Dish {
    /// Kebab-case id.
    pub id: String,
    /// Plain name.
    pub name: String,
    /// Names that a user's own files give it; see [`Library::aliases`] for all.
    pub aliases: Vec<String>,
    /// Its kitchen.
    pub kitchen: String,
    /// `main`, `side`, `starter` …
    pub course: String,
    /// The role of a named food that no slot takes.
    pub extras: Role,
    /// Pieces in an order; the slots describe one piece.
    pub served: Option<Triple>,
    /// Whether it takes the list before it ("ham and cheese omelette").
    pub gathers: bool,
    /// Whether it is recorded as one line.
    pub whole: bool,
    /// How a stated length scales it.
    pub inches: Option<schema::InchesEntry>,
    /// g of the whole pattern by measure.
    pub measures: BTreeMap<String, f64>,
    /// Its slots.
    pub slots: Vec<Slot>,
    /// Evidence for the portions.
    pub evidence: Option<String>,
    /// The file it came from.
    pub file: String,
}

/// The rules of the trade that are data.
#[derive(Debug, Clone, Default)]
pub struct Rules {
    /// Words that scale a portion.
    pub sizes: Vec<schema::SizeEntry>,
    /// Measures.
    pub units: Vec<schema::UnitEntry>,
    /// What a cook does.
    pub preparations: Vec<schema::PreparationEntry>,
    /// Fat that runs out of raw meat; the first that fits counts.
    pub fat_loss: Vec<schema::FatLossEntry>,
    /// Which role a named food takes.
    pub roles: Vec<schema::RoleRule>,
    /// What stands beside a dish rather than in it.
    pub beside: Vec<schema::BesideRule>,
    /// What is named before a dish instead of what it is made of.
    pub replaces: Vec<schema::ReplaceRule>,
    /// Words that mean one food or another.
    pub either: Vec<schema::EitherEntry>,
    /// Words that put something in the place of a base.
    pub stand_ins: Vec<schema::StandInEntry>,
    /// How much a whole bird is.
    pub cuts: Vec<schema::CutEntry>,
    /// What is named beside a thing that is made with it.
    pub made_with: Vec<schema::MadeWithEntry>,
    /// What is an order for several already.
    pub sold_for: schema::SoldForEntry,
    /// Plain nouns that are another dish with certain foods before them.
    pub made_of: Vec<schema::MadeOfEntry>,
    /// When a second name explains the first.
    pub explaining: schema::ExplainingEntry,
    /// When a bare number counts pieces.
    pub counting: schema::CountingEntry,
    /// Words of the grammar.
    pub words: Vec<schema::WordEntry>,
    /// Words for whole kinds of food.
    pub classes: Vec<schema::ClassEntry>,
    /// Kinds of place or occasion.
    pub settings: Vec<schema::SettingEntry>,
    /// Sections whose lines leave out a noun.
    pub headings: Vec<schema::HeadingEntry>,
    /// What may be asked of a meal.
    pub questions: Vec<schema::QuestionEntry>,
    /// How much is asked.
    pub asking: schema::AskingEntry,
    /// Fitted and chosen numbers.
    pub model: schema::ModelEntry,
    /// Units as a person writes them.
    pub written: Vec<schema::WrittenEntry>,
    /// The units that a food is written in; the first that fits counts.
    pub record: Vec<schema::RecordEntry>,
    /// Plain words for kinds of food.
    pub gathered: Vec<schema::GatheredEntry>,
    /// Which parts have no line of their own.
    pub lines: schema::LinesEntry,
    /// What in a message calls for a caution.
    pub cautions: Vec<schema::CautionEntry>,
    /// Words that a name follows.
    pub courtesy: schema::CourtesyEntry,
    /// What a record is held against.
    pub review: schema::ReviewEntry,
    /// How guesses and weighings become a correction.
    pub eye: schema::EyeEntry,
}

/// The whole library with its vocabulary.
#[derive(Debug, Clone)]
pub struct Library {
    /// Every food.
    pub foods: Vec<Food>,
    /// Every dish pattern.
    pub dishes: Vec<Dish>,
    /// Every category.
    pub categories: Vec<Category>,
    /// Rules that are data.
    pub rules: Rules,
    ids: HashMap<String, Entry>,
    vocabulary: Vocabulary,
    /// How many foods and dishes we ship: their names are read only where they are shown.
    shipped: (usize, usize),
}

/// A food or a dish.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Entry {
    /// A food.
    Food(FoodId),
    /// A dish pattern.
    Dish(DishId),
}

impl Library {
    /// The food at this index.
    pub fn food(&self, id: FoodId) -> &Food {
        &self.foods[id.0]
    }

    /// The dish at this index.
    pub fn dish(&self, id: DishId) -> &Dish {
        &self.dishes[id.0]
    }

    /// The category of a food.
    pub fn category(&self, id: FoodId) -> &Category {
        &self.categories[self.food(id).category]
    }

    /// The entry of this id.
    pub fn find(&self, id: &str) -> Option<Entry> {
        self.ids.get(id).copied()
    }

    /// The food of this id.
    pub fn find_food(&self, id: &str) -> Option<FoodId> {
        match self.find(id) {
            Some(Entry::Food(food)) => Some(food),
            _ => None,
        }
    }

    /// The words it knows.
    pub fn vocabulary(&self) -> &Vocabulary {
        &self.vocabulary
    }

    /// Whether a food is of one of these categories, groups or ids. An empty list is never met.
    pub fn is_one_of(&self, food: FoodId, kinds: &[String]) -> bool {
        kinds.iter().any(|kind| self.is(food, kind))
    }

    /// Whether a food is of this category, group or id.
    pub fn is(&self, food: FoodId, kind: &str) -> bool {
        let category = self.category(food);
        category.id == kind || category.group == kind || self.food(food).id == kind
    }

    /// The usual portion of a food in a role, g: its own, its category's, or that of the role that stands in.
    ///
    /// Main, side and starter go together: a food whose main is larger than its category's has a larger starter too.
    pub fn portion(&self, food: FoodId, role: Role) -> Triple {
        let (own, category) = (&self.food(food).portions, &self.category(food).portions);
        std::iter::once(role)
            .chain(role.stand_ins().iter().copied())
            .find_map(|role| match own.get(&role) {
                Some(portion) => Some(portion.grams),
                None => {
                    let usual = category.get(&role)?;
                    let times = self
                        .plate_role(food, role)
                        .map_or(1.0, |stated| own[&stated].grams[1] / category[&stated][1]);
                    Some(usual.map(|grams| grams * times))
                }
            })
            .or_else(|| category.values().next().copied())
            .unwrap_or([50.0, 100.0, 200.0])
    }

    /// Of main, side and starter, the one whose own portion says how the others compare with their category's.
    fn plate_role(&self, food: FoodId, role: Role) -> Option<Role> {
        let plate = [Role::Main, Role::Side, Role::Starter];
        let entry = self.food(food);
        if !plate.contains(&role) {
            return None;
        }
        std::iter::once(entry.served_as)
            .chain(plate)
            .filter(|stated| plate.contains(stated) && *stated != role)
            .find(|stated| {
                entry.portions.contains_key(stated)
                    && self.category(food).portions.contains_key(stated)
            })
    }

    /// The usual portion of a slot, g: its own, or its food's.
    pub fn slot_portion(&self, slot: &Slot) -> Triple {
        match &slot.portion {
            Some(portion) => portion.grams,
            None => self.portion(slot.food, slot.role),
        }
    }

    /// σ of a meal as a whole, of what is this on the menu.
    pub fn plate_sigma(&self, course: &str) -> f64 {
        let model = &self.rules.model;
        model.plate_sigma * model.plate_widening.get(course).copied().unwrap_or(1.0)
    }

    /// The source citation of a food as people read it.
    pub fn citation(&self, food: FoodId) -> String {
        match &self.food(food).origin {
            Origin::Table(source) => source.clone(),
            Origin::Blend(parts, _) => {
                let names: Vec<&str> = parts
                    .iter()
                    .map(|(part, _)| self.food(*part).id.as_str())
                    .collect();
                format!("blend of {}", names.join(", "))
            }
        }
    }
}
