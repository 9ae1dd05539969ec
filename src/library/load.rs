//! From TOML to a [`Library`]: the embedded files first, then the user's own, laid over them in the order given.

use super::error::{LibraryError, Place};
use super::phrases::{CLASS, DISH, FOOD, PREPARATION, PhraseIndex, SIZE, UNIT, WORD};
use super::schema::{self, File};
use super::vocabulary::Vocabulary;
use super::{
    Category, Dish, DishId, Entry, Food, FoodId, Library, Origin, Per100g, Portion, Role, Rules,
    Slot,
};
use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};
use std::{fs, io};

static EMBEDDED: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/library.bin"));

/// A file of a user's own, laid over the embedded library.
#[derive(Debug, Clone)]
pub struct Overlay {
    /// Its name, for citations and errors.
    pub name: String,
    /// Its TOML.
    pub text: String,
}

impl Overlay {
    /// Reads a TOML file, or every `*.toml` of a folder and its subfolders in the order of their names.
    ///
    /// # Errors
    /// [`LibraryError::Unreadable`] where the path or a file below it cannot be read or is not UTF-8.
    pub fn read(path: &Path) -> Result<Vec<Overlay>, LibraryError> {
        let unreadable = |path: &Path| {
            let path = path.to_owned();
            move |source: io::Error| LibraryError::Unreadable { path, source }
        };
        let mut found = Vec::new();
        let mut pending = vec![path.to_owned()];
        while let Some(path) = pending.pop() {
            if fs::metadata(&path).map_err(unreadable(&path))?.is_dir() {
                let mut inside: Vec<PathBuf> = fs::read_dir(&path)
                    .and_then(|entries| {
                        entries
                            .map(|entry| entry.map(|entry| entry.path()))
                            .collect()
                    })
                    .map_err(unreadable(&path))?;
                inside.retain(|path| {
                    path.is_dir() || path.extension().is_some_and(|ending| ending == "toml")
                });
                inside.sort();
                pending.extend(inside.into_iter().rev());
            } else {
                let text = fs::read_to_string(&path).map_err(unreadable(&path))?;
                found.push(Overlay {
                    name: path.display().to_string(),
                    text,
                });
            }
        }
        Ok(found)
    }

    fn parse(&self) -> Result<File, LibraryError> {
        toml::from_str(&self.text).map_err(|error| LibraryError::Malformed {
            place: self.place(error.span().map_or(0, |span| span.start)),
            message: error.message().trim().replace('\n', " "),
        })
    }

    fn place(&self, offset: usize) -> Place {
        let before = &self.text[..floor_boundary(&self.text, offset)];
        let line = before.matches('\n').count() + 1;
        let column = before
            .rsplit('\n')
            .next()
            .map_or(0, |last| last.chars().count())
            + 1;
        Place {
            file: self.name.clone(),
            line,
            column,
        }
    }
}

fn floor_boundary(text: &str, mut offset: usize) -> usize {
    offset = offset.min(text.len());
    while !text.is_char_boundary(offset) {
        offset -= 1;
    }
    offset
}

impl Library {
    /// The library that is embedded in the binary.
    ///
    /// # Panics
    /// Never, as long as the tests that load it pass: the data is checked when it is built.
    pub fn embedded() -> Library {
        Library::with_overlays(&[]).expect("the embedded library is sound")
    }

    /// The embedded library with a user's own files laid over it, later ones over earlier ones.
    ///
    /// # Errors
    /// The first fault that makes a file unusable; `platespan library check` lists them all.
    pub fn with_overlays(overlays: &[Overlay]) -> Result<Library, LibraryError> {
        let mut files: Vec<(String, File)> = postcard::from_bytes(EMBEDDED)
            .map_err(|error| LibraryError::Embedded(error.to_string()))?;
        let shipped = files.len();
        for overlay in overlays {
            files.push((overlay.name.clone(), overlay.parse()?));
        }
        build(files, shipped)
    }
}

/// Which file an entry came from, and whether that file is the user's.
struct Sourced<T> {
    entry: T,
    file: String,
    layer: usize,
}

fn sourced<T>(entry: T, file: &str, layer: usize) -> Sourced<T> {
    Sourced {
        entry,
        file: file.to_owned(),
        layer,
    }
}

fn build(files: Vec<(String, File)>, shipped: usize) -> Result<Library, LibraryError> {
    let mut foods: Vec<Sourced<schema::FoodEntry>> = Vec::new();
    let mut dishes: Vec<Sourced<schema::DishEntry>> = Vec::new();
    let mut categories: Vec<Sourced<schema::CategoryEntry>> = Vec::new();
    let mut aliases: Vec<Sourced<schema::AliasEntry>> = Vec::new();
    let mut rules = Rules::default();
    let mut own = PhraseIndex::default();
    let mut shipped_entries = (0, 0);
    let mut at = Places::new();
    for (index, (file, content)) in files.into_iter().enumerate() {
        let layer = (index + 1).saturating_sub(shipped);
        if layer > 0 {
            own_rules(&mut own, &rules, &content);
        }
        for entry in content.category {
            lay(&mut categories, sourced(entry, &file, layer), |category| {
                &category.id
            });
        }
        for entry in content.food {
            let id = entry.id.clone();
            place(&mut foods, &mut at, true, id, sourced(entry, &file, layer))?;
        }
        for entry in content.dish {
            let id = entry.id.clone();
            place(
                &mut dishes,
                &mut at,
                false,
                id,
                sourced(entry, &file, layer),
            )?;
        }
        let more = content.alias.into_iter();
        aliases.extend(more.map(|entry| sourced(entry, &file, layer)));
        if layer == 0 {
            shipped_entries = (foods.len(), dishes.len());
        }
        check_cooking(&file, &content.preparation, &content.fat_loss)?;
        // The index points into these lists by number, so a user's own go behind ours; their phrases win all the same.
        rules.sizes.extend(content.size);
        rules.units.extend(content.unit);
        rules.preparations.extend(content.preparation);
        rules.words.extend(content.word);
        rules.classes.extend(content.class);
        // Of these the first that fits counts: the user's come before ours.
        prepend(&mut rules.fat_loss, content.fat_loss);
        prepend(&mut rules.roles, content.role_rule);
        prepend(&mut rules.beside, content.beside);
        prepend(&mut rules.replaces, content.replaces);
        prepend(&mut rules.either, content.either);
        prepend(&mut rules.stand_ins, content.stand_in);
        prepend(&mut rules.cuts, content.cut);
        prepend(&mut rules.made_with, content.made_with);
        rules.sold_for = content
            .sold_for
            .unwrap_or(std::mem::take(&mut rules.sold_for));
        prepend(&mut rules.made_of, content.made_of);
        if let Some(explaining) = content.explaining {
            rules.explaining = explaining;
        }
        rules.counting = content.counting.unwrap_or(rules.counting);
        prepend(&mut rules.settings, content.setting);
        prepend(&mut rules.headings, content.heading);
        prepend(&mut rules.questions, content.question);
        rules.asking = content.asking.unwrap_or(rules.asking);
        super::record::lay(
            &mut rules,
            &file,
            super::record::Own {
                written: content.written,
                record: content.record,
                gathered: content.gathered,
                lines: content.lines,
                caution: content.caution,
                courtesy: content.courtesy,
            },
        )?;
        super::review::lay(&mut rules, &file, content.review, content.eye)?;
        if let Some(model) = content.model {
            rules.model = model;
        }
    }
    let categories: Vec<Category> = categories
        .into_iter()
        .map(category)
        .collect::<Result<_, _>>()?;
    let category_at: HashMap<&str, usize> = categories
        .iter()
        .enumerate()
        .map(|(index, category)| (category.id.as_str(), index))
        .collect();
    let mut ids: HashMap<String, Entry> = HashMap::with_capacity(foods.len() + dishes.len());
    ids.extend(
        foods
            .iter()
            .enumerate()
            .map(|(index, food)| (food.entry.id.clone(), Entry::Food(FoodId(index)))),
    );
    ids.extend(
        dishes
            .iter()
            .enumerate()
            .map(|(index, dish)| (dish.entry.id.clone(), Entry::Dish(DishId(index)))),
    );
    let figures = figures(&foods, &ids)?;
    let mut built_foods = Vec::with_capacity(foods.len());
    for (sourced, per_100g) in foods.into_iter().zip(figures) {
        built_foods.push(food(sourced, per_100g, &categories, &category_at, &ids)?);
    }
    let mut built_dishes = Vec::with_capacity(dishes.len());
    for sourced in dishes {
        built_dishes.push(dish(sourced, &built_foods, &ids)?);
    }
    for sourced in aliases {
        match ids.get(&sourced.entry.of) {
            Some(Entry::Food(id)) => built_foods[id.0].aliases.extend(sourced.entry.words),
            Some(Entry::Dish(id)) => built_dishes[id.0].aliases.extend(sourced.entry.words),
            None => {
                return Err(unknown(
                    &sourced.file,
                    "alias",
                    "entry",
                    &sourced.entry.of,
                    ids.keys(),
                ));
            }
        }
    }
    // A later file's name wins over an earlier one's: the first to be added keeps it.
    for (kind, names) in [
        (DISH, names_of(&built_dishes, |dish| &dish.aliases)),
        (FOOD, names_of(&built_foods, |food| &food.aliases)),
    ] {
        for (index, name) in names.into_iter().rev() {
            own.add_name((kind, index), name);
        }
    }
    let vocabulary = Vocabulary::with_own(own)
        .ok_or_else(|| LibraryError::Embedded("its index of words cannot be read".to_owned()))?;
    Ok(Library {
        foods: built_foods,
        dishes: built_dishes,
        categories,
        rules,
        ids,
        vocabulary,
        shipped: shipped_entries,
    })
}

/// Every name with the index of its entry.
fn names_of<T>(entries: &[T], names: impl Fn(&T) -> &Vec<String>) -> Vec<(u32, &str)> {
    let mut all = Vec::new();
    for (index, entry) in entries.iter().enumerate() {
        all.extend(
            names(entry)
                .iter()
                .map(|name| (index as u32, name.as_str())),
        );
    }
    all
}

/// The phrases of a user's own rules, which go behind ours in the lists.
fn own_rules(own: &mut PhraseIndex, before: &Rules, content: &File) {
    let mut add = |kind: u8, from: usize, words: Vec<&Vec<String>>| {
        for (at, words) in words.into_iter().enumerate() {
            for phrase in words {
                own.add_rule((kind, (from + at) as u32), phrase);
            }
        }
    };
    add(
        PREPARATION,
        before.preparations.len(),
        content
            .preparation
            .iter()
            .map(|entry| &entry.words)
            .collect(),
    );
    add(
        SIZE,
        before.sizes.len(),
        content.size.iter().map(|entry| &entry.words).collect(),
    );
    add(
        UNIT,
        before.units.len(),
        content.unit.iter().map(|entry| &entry.words).collect(),
    );
    add(
        CLASS,
        before.classes.len(),
        content.class.iter().map(|entry| &entry.words).collect(),
    );
    add(
        WORD,
        before.words.len(),
        content.word.iter().map(|entry| &entry.words).collect(),
    );
}

pub(super) fn prepend<T>(into: &mut Vec<T>, mut first: Vec<T>) {
    first.append(into);
    *into = first;
}

fn lay<T>(into: &mut Vec<Sourced<T>>, new: Sourced<T>, id: impl Fn(&T) -> &String) {
    match into.iter_mut().find(|old| id(&old.entry) == id(&new.entry)) {
        Some(old) => *old = new,
        None => into.push(new),
    }
}

/// Where an id stands: whether it is a food, its index, and the layer and file it came from.
type Places = HashMap<String, (bool, usize, usize, String)>;

/// Puts a food or dish in its place: a new id adds, the same id in a later layer replaces, twice in one layer or of both
/// kinds is an error.
fn place<T>(
    into: &mut Vec<Sourced<T>>,
    at: &mut Places,
    is_food: bool,
    id: String,
    new: Sourced<T>,
) -> Result<(), LibraryError> {
    let index = match at.get(&id) {
        None => into.len(),
        Some((kind, index, layer, _)) if *kind == is_food && *layer < new.layer => *index,
        Some((.., first)) => {
            return Err(LibraryError::DuplicateId {
                id,
                first: first.clone(),
                second: new.file,
            });
        }
    };
    at.insert(id, (is_food, index, new.layer, new.file.clone()));
    if index < into.len() {
        into[index] = new;
    } else {
        into.push(new);
    }
    Ok(())
}

pub(super) fn unknown<'a>(
    file: &str,
    id: &str,
    what: &'static str,
    said: &str,
    known: impl Iterator<Item = &'a String>,
) -> LibraryError {
    let nearest = known
        .map(|known| (strsim::normalized_damerau_levenshtein(known, said), known))
        .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(a.1)))
        .map_or(String::new(), |(_, known)| known.clone());
    LibraryError::Unknown {
        file: file.to_owned(),
        id: id.to_owned(),
        what,
        said: said.to_owned(),
        nearest,
    }
}

fn role(file: &str, id: &str, said: &str) -> Result<Role, LibraryError> {
    Role::find(said).ok_or_else(|| {
        let known: Vec<String> = Role::ALL
            .iter()
            .map(|(_, name)| (*name).to_owned())
            .collect();
        unknown(file, id, "role", said, known.iter())
    })
}

fn portions(
    file: &str,
    id: &str,
    said: &schema::Portions,
    measures: &BTreeMap<String, f64>,
) -> Result<BTreeMap<Role, Portion>, LibraryError> {
    said.iter()
        .map(|(name, said)| {
            Ok((
                role(file, id, name)?,
                portion(file, id, name, said, measures)?,
            ))
        })
        .collect()
}

/// A portion in grams, by the food's measures where it is written in one of them.
fn portion(
    file: &str,
    id: &str,
    what: &str,
    said: &schema::Portion,
    measures: &BTreeMap<String, f64>,
) -> Result<Portion, LibraryError> {
    match said {
        schema::Portion::Grams(grams) => {
            check_triple(file, id, what, grams)?;
            Ok(Portion {
                grams: *grams,
                measured: None,
            })
        }
        schema::Portion::Measured(number, measure) => {
            check_triple(file, id, what, number)?;
            let Some(each) = measures.get(measure) else {
                return Err(unknown(file, id, "measure", measure, measures.keys()));
            };
            Ok(Portion {
                grams: number.map(|number| number * each),
                measured: Some((*number, measure.clone())),
            })
        }
    }
}

/// Whether what is said of cooking leaves something on the plate.
fn check_cooking(
    file: &str,
    preparations: &[schema::PreparationEntry],
    losses: &[schema::FatLossEntry],
) -> Result<(), LibraryError> {
    let fault = |id: &str, what: String| LibraryError::OutOfRange {
        file: file.to_owned(),
        id: id.to_owned(),
        what,
    };
    for preparation in preparations {
        let left = preparation.finished_yield.unwrap_or(1.0);
        if !(left > 0.0 && left <= 3.0) {
            let what = format!("`yield` = {left} must be above 0, such as 0.75, and at most 3");
            return Err(fault(&preparation.id, what));
        }
    }
    for loss in losses {
        if !((0.0..=1.0).contains(&loss.share) && (0.0..=100.0).contains(&loss.above)) {
            let what = format!(
                "`above` = {} must be g of fat from 0 to 100, and `share` = {} from 0 to 1",
                loss.above, loss.share
            );
            return Err(fault("fat_loss", what));
        }
    }
    Ok(())
}

fn check_triple(
    file: &str,
    id: &str,
    what: &str,
    triple: &schema::Triple,
) -> Result<(), LibraryError> {
    let [low, likely, high] = *triple;
    if low > 0.0 && low <= likely && likely <= high && high.is_finite() {
        return Ok(());
    }
    Err(LibraryError::OutOfRange {
        file: file.to_owned(),
        id: id.to_owned(),
        what: format!("`{what}` = [{low}, {likely}, {high}] must be three rising amounts above 0"),
    })
}

fn category(sourced: Sourced<schema::CategoryEntry>) -> Result<Category, LibraryError> {
    let Sourced { entry, file, .. } = sourced;
    Ok(Category {
        served_as: role(&file, &entry.id, &entry.served_as)?,
        portions: entry
            .portions
            .iter()
            .map(|(name, grams)| {
                check_triple(&file, &entry.id, name, grams)?;
                Ok((role(&file, &entry.id, name)?, *grams))
            })
            .collect::<Result<_, LibraryError>>()?,
        evidence: entry
            .evidence
            .into_iter()
            .map(|(name, evidence)| Ok((role(&file, &entry.id, &name)?, evidence)))
            .collect::<Result<_, LibraryError>>()?,
        id: entry.id,
        name: entry.name,
        group: entry.group,
        spread: entry.spread,
        record_in: entry.record_in,
        fatty: entry.fatty,
        cooked_yield: entry.cooked_yield,
    })
}

fn food(
    sourced: Sourced<schema::FoodEntry>,
    per_100g: Per100g,
    categories: &[Category],
    category_at: &HashMap<&str, usize>,
    ids: &HashMap<String, Entry>,
) -> Result<Food, LibraryError> {
    let Sourced { entry, file, .. } = sourced;
    let Some(&category) = category_at.get(entry.category.as_str()) else {
        let known: Vec<String> = category_at.keys().map(|id| (*id).to_owned()).collect();
        return Err(unknown(
            &file,
            &entry.id,
            "category",
            &entry.category,
            known.iter(),
        ));
    };
    let defaults = &categories[category];
    let food_at = |said: &String| match ids.get(said) {
        Some(Entry::Food(id)) => Ok(*id),
        _ => Err(unknown(&file, &entry.id, "food", said, ids.keys())),
    };
    let origin = if entry.blend.is_empty() {
        Origin::Table(entry.source.clone().unwrap_or_default())
    } else {
        let parts: Vec<(FoodId, f64)> = entry
            .blend
            .iter()
            .map(|(part, grams)| Ok((food_at(part)?, *grams)))
            .collect::<Result<_, LibraryError>>()?;
        Origin::Blend(parts, entry.finished_yield.unwrap_or(1.0))
    };
    let figures = [
        ("kcal", per_100g.kcal),
        ("protein", per_100g.protein),
        ("fat", per_100g.fat),
        ("carbohydrate", per_100g.carbohydrate),
        ("fibre", per_100g.fibre),
        ("alcohol", per_100g.alcohol),
        ("spread", entry.spread.unwrap_or(0.0)),
    ];
    if let Some((name, value)) = figures
        .into_iter()
        .find(|(_, value)| !(value.is_finite() && *value >= 0.0))
    {
        let what = format!("`{name}` = {value} must be a number, 0 or above");
        return Err(LibraryError::OutOfRange {
            file,
            id: entry.id,
            what,
        });
    }
    if let Some(served) = &entry.served {
        check_triple(&file, &entry.id, "served", served)?;
    }
    if let Some((name, grams)) = entry
        .measures
        .iter()
        .find(|(_, grams)| !(grams.is_finite() && **grams > 0.0))
    {
        let what = format!("measure `{name}` = {grams} must be grams above 0");
        return Err(LibraryError::OutOfRange {
            file,
            id: entry.id,
            what,
        });
    }
    if let Some(name) = (entry.weighings.keys())
        .chain(&entry.judged)
        .find(|name| !entry.measures.contains_key(*name))
    {
        return Err(unknown(
            &file,
            &entry.id,
            "measure",
            name,
            entry.measures.keys(),
        ));
    }
    if let Some((name, (n, sd))) =
        (entry.weighings.iter()).find(|(_, (n, sd))| *n < 2 || !(sd.is_finite() && *sd >= 0.0))
    {
        let what = format!(
            "`weighings.{name}` = [{n}, {sd}] must be how many (2 or more) and their standard deviation in g"
        );
        return Err(LibraryError::OutOfRange {
            file,
            id: entry.id,
            what,
        });
    }
    Ok(Food {
        evidence_for: entry
            .evidence_for
            .iter()
            .map(|said| role(&file, &entry.id, said))
            .collect::<Result<_, LibraryError>>()?,
        variants: entry
            .variants
            .iter()
            .map(|(preparation, to)| Ok((preparation.clone(), food_at(to)?)))
            .collect::<Result<_, LibraryError>>()?,
        served_as: entry
            .served_as
            .as_deref()
            .map_or(Ok(defaults.served_as), |said| role(&file, &entry.id, said))?,
        portions: portions(&file, &entry.id, &entry.portions, &entry.measures)?,
        spread: if entry.published {
            0.0
        } else {
            entry.spread.unwrap_or(defaults.spread)
        },
        record_in: entry
            .record_in
            .unwrap_or_else(|| defaults.record_in.clone()),
        id: entry.id,
        name: entry.name,
        aliases: entry.aliases,
        category,
        per_100g,
        origin,
        evidence: entry.evidence,
        measures: entry.measures,
        weighings: entry.weighings,
        judged: entry.judged,
        raw: entry.raw,
        bone: entry.bone.unwrap_or(0.0).clamp(0.0, 0.9),
        weighed_cooked: entry.weighed.as_deref() == Some("cooked"),
        served: entry.served,
        holds: entry.holds,
        published: entry.published,
        note: entry.note,
        file,
    })
}

fn dish(
    sourced: Sourced<schema::DishEntry>,
    foods: &[Food],
    ids: &HashMap<String, Entry>,
) -> Result<Dish, LibraryError> {
    let Sourced { entry, file, .. } = sourced;
    let mut slots = Vec::with_capacity(entry.slots.len());
    for slot in entry.slots {
        let Some(Entry::Food(food)) = ids.get(&slot.food).copied() else {
            return Err(unknown(&file, &entry.id, "food", &slot.food, ids.keys()));
        };
        let filling = &foods[food.0];
        let portion = match &slot.portion {
            // A user's own food of one of our ids may do without the measure that our dish counts it by.
            Some(schema::Portion::Measured(_, measure))
                if filling.file != file
                    && !filling.measures.contains_key(measure)
                    && !super::check::is_ours(&filling.file) =>
            {
                None
            }
            said => said
                .as_ref()
                .map(|said| portion(&file, &entry.id, &slot.slot, said, &filling.measures))
                .transpose()?,
        };
        slots.push(Slot {
            role: role(&file, &entry.id, &slot.role)?,
            name: slot.slot,
            food,
            portion,
            chance: if slot.if_said {
                0.0
            } else {
                slot.chance.unwrap_or(1.0)
            },
            accepts: slot.accepts,
            blocked_by: slot.blocked_by,
        });
    }
    if let Some(served) = &entry.served {
        check_triple(&file, &entry.id, "served", served)?;
    }
    Ok(Dish {
        extras: entry
            .extras
            .as_deref()
            .map_or(Ok(Role::Topping), |said| role(&file, &entry.id, said))?,
        whole: entry.record.as_deref() == Some("whole"),
        id: entry.id,
        name: entry.name,
        aliases: entry.aliases,
        kitchen: entry.kitchen,
        course: entry.course,
        served: entry.served,
        gathers: entry.gathers,
        inches: entry.inches,
        measures: entry.measures,
        slots,
        evidence: entry.evidence,
        file,
    })
}

/// Figures of every food, blends computed from their ingredients.
fn figures(
    foods: &[Sourced<schema::FoodEntry>],
    ids: &HashMap<String, Entry>,
) -> Result<Vec<Per100g>, LibraryError> {
    enum State {
        Open,
        Busy,
        Done(Per100g),
    }
    fn visit(
        index: usize,
        foods: &[Sourced<schema::FoodEntry>],
        ids: &HashMap<String, Entry>,
        states: &mut [State],
    ) -> Result<Per100g, LibraryError> {
        let Sourced { entry, file, .. } = &foods[index];
        match states[index] {
            State::Done(figures) => return Ok(figures),
            State::Busy => {
                return Err(LibraryError::CircularBlend {
                    file: file.clone(),
                    id: entry.id.clone(),
                });
            }
            State::Open => states[index] = State::Busy,
        }
        let figures = match (entry.per_100g, entry.per_serving, entry.blend.is_empty()) {
            (Some(figures), None, true) => figures,
            (None, Some(serving), true) => per_100g_of_serving(serving, file, &entry.id)?,
            (None, None, false) => {
                let mut total = Per100g::default();
                let mut weight = 0.0;
                for (part, grams) in &entry.blend {
                    let Some(Entry::Food(FoodId(at))) = ids.get(part) else {
                        return Err(unknown(file, &entry.id, "food", part, ids.keys()));
                    };
                    let figures = visit(*at, foods, ids, states)?;
                    total = plus(total, figures, grams / 100.0);
                    weight += grams;
                }
                weight *= entry.finished_yield.unwrap_or(1.0);
                if !(weight.is_finite() && weight > 0.0) {
                    let what = "the blend's weight must come out above 0 g".to_owned();
                    return Err(LibraryError::OutOfRange {
                        file: file.clone(),
                        id: entry.id.clone(),
                        what,
                    });
                }
                plus(Per100g::default(), total, 100.0 / weight)
            }
            _ => {
                return Err(LibraryError::NoFigures {
                    file: file.clone(),
                    id: entry.id.clone(),
                });
            }
        };
        states[index] = State::Done(figures);
        Ok(figures)
    }
    let mut states: Vec<State> = foods.iter().map(|_| State::Open).collect();
    (0..foods.len())
        .map(|index| visit(index, foods, ids, &mut states))
        .collect()
}

fn per_100g_of_serving(
    serving: schema::PerServing,
    file: &str,
    id: &str,
) -> Result<Per100g, LibraryError> {
    if !(serving.grams.is_finite() && serving.grams > 0.0) {
        let what = format!("`per_serving.grams` = {} must be above 0", serving.grams);
        return Err(LibraryError::OutOfRange {
            file: file.to_owned(),
            id: id.to_owned(),
            what,
        });
    }
    let share = 100.0 / serving.grams;
    Ok(Per100g {
        kcal: serving.kcal * share,
        protein: serving.protein * share,
        fat: serving.fat * share,
        carbohydrate: serving.carbohydrate * share,
        fibre: serving.fibre * share,
        alcohol: serving.alcohol * share,
    })
}

/// `a` with `times` times `b` added.
pub(crate) fn plus(a: Per100g, b: Per100g, times: f64) -> Per100g {
    Per100g {
        kcal: a.kcal + b.kcal * times,
        protein: a.protein + b.protein * times,
        fat: a.fat + b.fat * times,
        carbohydrate: a.carbohydrate + b.carbohydrate * times,
        fibre: a.fibre + b.fibre * times,
        alcohol: a.alcohol + b.alcohol * times,
    }
}
