//! The words the library knows: the index of the files we ship, with a user's own laid over it.

use super::phrases::{
    self, CLASS, DISH, FOOD, MANY, PREPARATION, PhraseIndex, Pointer, SIZE, UNIT,
};
use super::{DishId, Entry, FoodId, Library};
pub use phrases::{stem, stems};
use std::sync::OnceLock;

/// Index of a word entry in [`super::Rules::words`].
pub type WordId = usize;

/// What a phrase may stand for. One phrase may have several, such as "cup": a size and a measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Term {
    /// A food.
    Food(FoodId),
    /// A dish pattern.
    Dish(DishId),
    /// A preparation, by index into the rules.
    Preparation(usize),
    /// A size, by index into the rules.
    Size(usize),
    /// A measure, by index into the rules.
    Unit(usize),
    /// A kind of food, by index into the rules.
    Class(usize),
    /// A word of the grammar, by index into the rules.
    Word(WordId),
}

impl Term {
    fn of((kind, index): Pointer) -> Term {
        let index = index as usize;
        match kind {
            FOOD => Term::Food(FoodId(index)),
            DISH => Term::Dish(DishId(index)),
            PREPARATION => Term::Preparation(index),
            SIZE => Term::Size(index),
            UNIT => Term::Unit(index),
            CLASS => Term::Class(index),
            _ => Term::Word(index),
        }
    }
}

static PHRASES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/phrases.fst"));
static WORDS: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/words.fst"));
static LISTS: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/lists.bin"));
static NAMES: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/names.bin"));

/// The names of the entries we ship, foods first; read only where a command shows or searches them.
pub(super) fn shipped_names() -> &'static [Vec<String>] {
    static READ: OnceLock<Vec<Vec<String>>> = OnceLock::new();
    READ.get_or_init(|| postcard::from_bytes(NAMES).unwrap_or_default())
}

/// Every phrase the library knows.
#[derive(Clone)]
pub struct Vocabulary {
    phrases: fst::Map<&'static [u8]>,
    words: fst::Map<&'static [u8]>,
    lists: Vec<Vec<Pointer>>,
    longest: usize,
    own: PhraseIndex,
}

impl std::fmt::Debug for Vocabulary {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "Vocabulary of {} phrases and {} of the user's",
            self.phrases.len(),
            self.own.phrases.len()
        )
    }
}

impl Vocabulary {
    /// The shipped index with a user's own over it; none where the embedded data is damaged.
    pub(super) fn with_own(own: PhraseIndex) -> Option<Vocabulary> {
        let (longest, lists): (usize, Vec<Vec<Pointer>>) = postcard::from_bytes(LISTS).ok()?;
        Some(Vocabulary {
            phrases: fst::Map::new(PHRASES).ok()?,
            words: fst::Map::new(WORDS).ok()?,
            lists,
            longest: longest.max(own.longest),
            own,
        })
    }

    /// What the phrase with these stems, joined, stands for. A user's own name wins over ours.
    pub fn find(&self, key: &str) -> Vec<Term> {
        let mut terms: Vec<Term> = Vec::new();
        let own = self.own.phrases.get(key).map_or(&[][..], Vec::as_slice);
        terms.extend(own.iter().map(|pointer| Term::of(*pointer)));
        let named = own.iter().any(|(kind, _)| *kind <= DISH);
        let mut add = |pointer: Pointer| {
            let term = Term::of(pointer);
            let taken = named && pointer.0 <= DISH;
            if !taken && !terms.contains(&term) {
                terms.push(term);
            }
        };
        match self.phrases.get(key) {
            Some(many) if many >= MANY => {
                for pointer in self.lists.get((many - MANY) as usize).into_iter().flatten() {
                    add(*pointer);
                }
            }
            Some(one) => add(((one >> 32) as u8, one as u32)),
            None => {}
        }
        terms
    }

    /// The number of words in the longest phrase.
    pub fn longest(&self) -> usize {
        self.longest
    }

    /// How many names the entries have together.
    pub fn len(&self) -> usize {
        self.phrases.len() + self.own.phrases.len()
    }

    /// Whether it knows no name.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The known food word that a stem is a typing error of, where there is one that is clearly nearest: one slip, which
    /// in six letters or fewer leaves the vowels as they are; see [`is_slip`].
    pub fn find_misspelt(&self, stem: &str) -> Option<String> {
        use fst::{IntoStreamer, Streamer};
        let length = stem.chars().count();
        let first = stem.chars().next()?;
        if length < 5 || stem.chars().any(|c| c.is_ascii_digit()) {
            return None;
        }
        let allowed = if length >= 8 { 2 } else { 1 };
        let mut best: Option<(usize, std::cmp::Reverse<u64>, String)> = None;
        let mut consider = |word: &str, uses: u64| {
            let letters = word.chars().count();
            if uses == 0 || letters < 4 || letters.abs_diff(length) > allowed {
                return;
            }
            let distance = strsim::damerau_levenshtein(word, stem);
            if distance <= allowed && is_slip(stem, word) {
                let candidate = (distance, std::cmp::Reverse(uses), word.to_owned());
                if best.as_ref().is_none_or(|best| candidate < *best) {
                    best = Some(candidate);
                }
            }
        };
        let mut stream = self.words.range().ge(first.to_string()).into_stream();
        while let Some((word, uses)) = stream.next() {
            let Ok(word) = std::str::from_utf8(word) else {
                continue;
            };
            if !word.starts_with(first) {
                break;
            }
            consider(word, uses);
        }
        for (word, uses) in self
            .own
            .words
            .iter()
            .filter(|(word, _)| word.starts_with(first))
        {
            consider(word, *uses);
        }
        best.map(|(_, _, word)| word)
    }
}

/// Whether a word may be a slip of the pen for a known one.
///
/// Doubled letters count once, and then one slip is left at most. In six letters or fewer, where any word is near to some
/// other, it must be a letter doubled or not doubled, two neighbours changed over, a consonant left out, or a vowel left
/// out between consonants: "chiken" is chicken and "salmn" salmon, "palmer" is no palmier, "temple" no tempeh.
pub fn is_slip(said: &str, known: &str) -> bool {
    let undoubled = |word: &str| {
        let mut letters: Vec<char> = word.chars().collect();
        letters.dedup();
        letters
    };
    let (said, known) = (undoubled(said), undoubled(known));
    let text = |letters: &[char]| letters.iter().collect::<String>();
    let distance = strsim::damerau_levenshtein(&text(&said), &text(&known));
    if distance == 0 || said.len() > 6 {
        return distance <= 1;
    }
    let sorted = |letters: &[char]| {
        let mut letters = letters.to_vec();
        letters.sort_unstable();
        letters
    };
    let vowel = |letter: Option<&char>| {
        letter.is_some_and(|letter| matches!(letter, 'a' | 'e' | 'i' | 'o' | 'u' | 'y'))
    };
    let left_out = (known.len() == said.len() + 1).then(|| {
        let same = said.iter().zip(&known).take_while(|(a, b)| a == b);
        same.count()
    });
    let may_be_left_out = left_out.is_some_and(|at| {
        let before = at.checked_sub(1).and_then(|at| known.get(at));
        !vowel(known.get(at)) || !vowel(before) && !vowel(known.get(at + 1))
    });
    distance == 1 && (may_be_left_out || sorted(&said) == sorted(&known))
}

impl Library {
    /// What menus call an entry.
    pub fn aliases(&self, entry: Entry) -> Vec<String> {
        let (at, own) = match entry {
            Entry::Food(id) => (
                Some(id.0).filter(|at| *at < self.shipped.0),
                &self.foods[id.0].aliases,
            ),
            Entry::Dish(id) => (
                Some(id.0)
                    .filter(|at| *at < self.shipped.1)
                    .map(|at| at + self.shipped.0),
                &self.dishes[id.0].aliases,
            ),
        };
        let shipped = at
            .and_then(|at| shipped_names().get(at))
            .cloned()
            .unwrap_or_default();
        shipped.into_iter().chain(own.iter().cloned()).collect()
    }

    /// Up to `most` names nearest to these words, best first.
    pub fn nearest(&self, words: &str, most: usize) -> Vec<String> {
        use fuzzy_matcher::FuzzyMatcher;
        let matcher = fuzzy_matcher::skim::SkimMatcherV2::default().ignore_case();
        let words: String = words
            .chars()
            .take(60)
            .flat_map(char::to_lowercase)
            .collect();
        let starts: Vec<String> = words
            .split_whitespace()
            .map(|word| word.chars().take(2).collect())
            .collect();
        let own = self
            .foods
            .iter()
            .flat_map(|food| &food.aliases)
            .chain(self.dishes.iter().flat_map(|dish| &dish.aliases));
        let mut scored: Vec<(f64, &String)> = shipped_names()
            .iter()
            .flatten()
            .chain(own)
            // Only names with a word that begins alike: the others could not come near.
            .filter(|name| {
                name.split(' ')
                    .any(|word| starts.iter().any(|start| word.starts_with(start.as_str())))
            })
            .filter_map(|name| {
                let near = strsim::normalized_damerau_levenshtein(name, &words);
                let fuzzy = matcher.fuzzy_match(name, &words).map_or(0.0, |score| {
                    // The matcher's score grows with length; per letter of the longer text it compares fairly.
                    score as f64 / (16.0 * name.chars().count().max(words.chars().count()) as f64)
                });
                let score = near.max(fuzzy);
                (score >= 0.6).then_some((score, name))
            })
            .collect();
        scored.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
        scored.dedup_by(|a, b| a.1 == b.1);
        scored
            .into_iter()
            .take(most)
            .map(|(_, name)| name.clone())
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_numbers_of_a_word_have_one_stem() {
        for (one, many) in [
            ("fry", "fries"),
            ("cookie", "cookies"),
            ("dish", "dishes"),
            ("potato", "potatoes"),
            ("olive", "olives"),
            ("leaf", "leaves"),
            ("cheese", "cheeses"),
            ("jalapeño", "jalapenos"),
            ("crêpe", "CRÊPES"),
        ] {
            assert_eq!(stem(one).0, stem(many).0, "{one} and {many}");
        }
    }

    #[test]
    fn a_plural_is_told_from_a_word_that_ends_in_s() {
        assert!(stem("tacos").1);
        assert!(!stem("couscous").1);
        assert!(!stem("asparagus").1);
        assert!(!stem("swiss").1);
    }

    #[test]
    fn however_it_is_joined_a_compound_has_one_key() {
        assert_eq!(
            stems("Cheese-Burgers").concat(),
            stems("cheeseburger").concat()
        );
        assert_eq!(stems("mac & cheese"), stems("mac and cheese"));
    }

    #[test]
    fn a_short_word_that_is_only_near_is_no_typing_error() {
        let slips = [
            "chiken",
            "brocolli",
            "mozarella",
            "spagetti",
            "tomatoe",
            "parmesean",
        ];
        let more = ["guacamloe", "zuchini", "sandwhich", "letuce", "samon"];
        for said in slips.into_iter().chain(more) {
            let found = Library::embedded()
                .vocabulary()
                .find_misspelt(&stem(said).0);
            assert!(found.is_some(), "{said} is mended");
        }
        for said in ["temple", "palmer", "cancha", "pazza"] {
            let found = Library::embedded().vocabulary().find_misspelt(said);
            assert_eq!(found, None, "{said} is no slip");
        }
    }

    #[test]
    fn a_typing_error_finds_its_word_and_nonsense_finds_none() {
        let library = Library::embedded();
        assert_eq!(
            library.vocabulary().find_misspelt("brocoli").as_deref(),
            Some("broccoli")
        );
        assert_eq!(library.vocabulary().find_misspelt("zzyzx"), None);
    }
}
