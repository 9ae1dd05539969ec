//! What a portion rests on, best first: weighings, a survey, a standard, published menu figures, a table's household measure, judgement.

use super::{Dish, Food, FoodId, Library, Origin, Portion, Role, Slot};

/// What counts as evidence for a portion, best first. An evidence line begins with one of them and a colon.
pub const KINDS: [&str; 6] = [
    "weighed",
    "survey",
    "standard",
    "fitted",
    "table",
    "judgement",
];

/// What a portion rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Evidence {
    /// One of [`KINDS`].
    pub kind: &'static str,
    /// The whole line, which begins with the kind.
    pub line: String,
}

/// `weighed`, `survey` …: the kind of an evidence line.
pub fn kind(line: Option<&str>) -> Option<&'static str> {
    let line = line?;
    KINDS.iter().copied().find(|kind| {
        line.strip_prefix(kind)
            .is_some_and(|rest| rest.starts_with(':'))
    })
}

impl Evidence {
    fn stated(line: Option<&str>) -> Evidence {
        Evidence {
            kind: kind(line).unwrap_or("judgement"),
            line: line.unwrap_or("judgement: nothing is stated").to_owned(),
        }
    }
}

impl Food {
    /// The evidence line for the food's own portion in a role, in grams.
    pub fn evidence_as(&self, role: Role) -> Option<&str> {
        if self.evidence_for.is_empty() || self.evidence_for.contains(&role) {
            self.evidence.as_deref()
        } else {
            Some("judgement: by its portion in other roles")
        }
    }
}

impl Library {
    /// What the usual portion of a food in a role rests on: its own evidence, or its category's.
    pub fn evidence(&self, food: FoodId, role: Role) -> Evidence {
        let (own, category) = (self.food(food), self.category(food));
        for role in std::iter::once(role).chain(role.stand_ins().iter().copied()) {
            if let Some(portion) = own.portions.get(&role) {
                return self.own(food, portion, own.evidence_as(role));
            }
            if let Some(stated) = self
                .plate_role(food, role)
                .filter(|_| category.portions.contains_key(&role))
            {
                let own = self.evidence(food, stated);
                let line = format!("{}, in the proportion of its category's", own.line);
                return Evidence { line, ..own };
            }
            if category.portions.contains_key(&role) {
                let line = category.evidence.get(&role).map(String::as_str);
                return Evidence::stated(line.or(Some("judgement: common practice, no source")));
            }
        }
        Evidence::stated(None)
    }

    /// What the portion of a slot rests on: its own evidence, or that of its food.
    pub fn slot_evidence(&self, dish: &Dish, slot: &Slot) -> Evidence {
        match &slot.portion {
            Some(portion) => self.own(slot.food, portion, dish.evidence.as_deref()),
            None => self.evidence(slot.food, slot.role),
        }
    }

    /// A portion in a household measure rests on what that measure weighs; one in grams on the line beside it.
    fn own(&self, id: FoodId, portion: &Portion, line: Option<&str>) -> Evidence {
        let food = self.food(id);
        let Some(([low, likely, high], measure)) = &portion.measured else {
            return Evidence::stated(line);
        };
        let each = food.measures.get(measure).copied().unwrap_or_default();
        let what = format!("{likely} ({low} to {high}) {measure} of {each:.0} g");
        let by = |kind: &'static str, rest: String| Evidence {
            kind,
            line: format!("{kind}: {what}{rest}"),
        };
        match self.measure_kind(id, measure) {
            MeasureKind::Weighed(n, sd) => by(
                "weighed",
                format!(" by {}, n {n}, sd {sd} g", self.citation(id)),
            ),
            MeasureKind::Table => by("table", format!(" by {}", self.citation(id))),
            MeasureKind::Parts => by("table", " by the measures of its parts".to_owned()),
            MeasureKind::Judged => by("judgement", String::new()),
        }
    }

    /// What a measure of a food rests on.
    fn measure_kind(&self, id: FoodId, measure: &str) -> MeasureKind {
        let food = self.food(id);
        if let Some((n, sd)) = food.weighings.get(measure) {
            return MeasureKind::Weighed(*n, *sd);
        }
        if food.judged.iter().any(|judged| judged == measure) {
            return MeasureKind::Judged;
        }
        if matches!(food.origin, Origin::Table(_)) {
            return MeasureKind::Table;
        }
        let stated = self.volume(measure).zip(food.measures.get(measure));
        match (stated, self.published_density(id, 0)) {
            (Some((millilitres, grams)), Some(density))
                if (grams / millilitres / density).ln().abs() <= NEAR_PARTS =>
            {
                MeasureKind::Parts
            }
            _ => MeasureKind::Judged,
        }
    }

    /// mL of a measure of volume.
    fn volume(&self, measure: &str) -> Option<f64> {
        let unit = self.rules.units.iter().find(|unit| unit.id == measure)?;
        unit.size.filter(|_| unit.kind == "volume")
    }

    /// g per mL by published measures: a food's own, or those of the parts of a blend that make up most of it.
    fn published_density(&self, id: FoodId, depth: usize) -> Option<f64> {
        let food = self.food(id);
        let Origin::Blend(parts, _) = &food.origin else {
            return food.measures.iter().find_map(|(measure, grams)| {
                let is_published = !food.judged.contains(measure);
                Some(grams / self.volume(measure).filter(|_| is_published)?)
            });
        };
        let (mut weight, mut known, mut volume) = (0.0, 0.0, 0.0);
        for (part, grams) in parts {
            weight += grams;
            if depth < MOST_DEPTH
                && let Some(density) = self.published_density(*part, depth + 1)
            {
                known += grams;
                volume += grams / density;
            }
        }
        (known >= KNOWN_PARTS * weight && volume > 0.0).then(|| known / volume)
    }
}

/// What a measure rests on: weighings (how many, sd in g), a table's row, the tables' measures of a blend's parts, judgement.
enum MeasureKind {
    Weighed(u32, f64),
    Table,
    Parts,
    Judged,
}

/// ln: so near must a blend's measure come to what its parts' measures give.
const NEAR_PARTS: f64 = 0.15;
/// The share of a blend's weight whose volume must be known.
const KNOWN_PARTS: f64 = 0.8;
/// Blends of blends are followed so far.
const MOST_DEPTH: usize = 8;

/// Counts of entries by kind of evidence, for `library check --report`.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tally {
    /// Foods, dishes, names.
    pub sizes: [usize; 3],
    /// Foods by origin: table, blend.
    pub origins: [usize; 2],
    /// Portions of foods, of dish slots and of categories, by kind of evidence in the order of [`KINDS`].
    pub portions: [[usize; 6]; 3],
    /// What the slots of all dishes are served by, their own portion or their food's, by kind of evidence.
    pub served: [usize; 6],
    /// Measures of foods: weighed, from a table, judged.
    pub measures: [usize; 3],
    /// Foods that take all portions from their category.
    pub by_category: usize,
    /// Slots that take the portion of their food.
    pub by_food: usize,
}

/// Counts a library.
pub fn tally(library: &Library) -> Tally {
    let mut tally = Tally {
        sizes: [
            library.foods.len(),
            library.dishes.len(),
            library.vocabulary().len(),
        ],
        ..Tally::default()
    };
    let at = |kind: &str| KINDS.iter().position(|known| *known == kind).unwrap_or(5);
    for (index, food) in library.foods.iter().enumerate() {
        for role in food.portions.keys() {
            tally.portions[0][at(library.evidence(FoodId(index), *role).kind)] += 1;
        }
        tally.origins[usize::from(matches!(food.origin, Origin::Blend(..)))] += 1;
        tally.by_category += usize::from(food.portions.is_empty());
        for measure in food.measures.keys() {
            let kind = match library.measure_kind(FoodId(index), measure) {
                MeasureKind::Weighed(..) => 0,
                MeasureKind::Table | MeasureKind::Parts => 1,
                MeasureKind::Judged => 2,
            };
            tally.measures[kind] += 1;
        }
    }
    for dish in &library.dishes {
        for slot in &dish.slots {
            let kind = at(library.slot_evidence(dish, slot).kind);
            tally.served[kind] += 1;
            match slot.portion {
                Some(_) => tally.portions[1][kind] += 1,
                None => tally.by_food += 1,
            }
        }
    }
    for category in &library.categories {
        for role in category.portions.keys() {
            let line = category.evidence.get(role).map(String::as_str);
            tally.portions[2][at(kind(line).unwrap_or("judgement"))] += 1;
        }
    }
    tally
}
