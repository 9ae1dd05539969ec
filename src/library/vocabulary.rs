//! The words the library knows, found by a key that is blind to plurals, accents and how a compound is joined:
//! "cheese burgers", "cheese-burger" and "Cheeseburger" have one key.

use super::{DishId, Entry, FoodId, Library, Takeover};
use std::collections::HashMap;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

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

/// Every phrase the library knows.
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    phrases: HashMap<String, Vec<Term>>,
    longest: usize,
    /// Single words of names of foods and dishes, with how many phrases use them: what a typing error is measured against.
    words: HashMap<String, usize>,
    /// Names as written, for suggestions.
    names: Vec<String>,
}

/// A word's key: lower case, without accents or apostrophes, plural endings folded. Not a real singular, only the same
/// for both forms: "fries" and "fry", "cookies" and "cookie", "dishes" and "dish".
pub fn stem(word: &str) -> (String, bool) {
    let folded: String = word
        .nfkd()
        .filter(|c| !is_combining_mark(*c) && !matches!(c, '\'' | '’' | '‘' | '`'))
        .flat_map(char::to_lowercase)
        .flat_map(|c| match c {
            'ø' => vec!['o'],
            'ß' => vec!['s', 's'],
            'æ' => vec!['a', 'e'],
            'œ' => vec!['o', 'e'],
            'ł' => vec!['l'],
            'ı' => vec!['i'],
            other => vec![other],
        })
        .collect();
    fold_plural(folded)
}

fn fold_plural(word: String) -> (String, bool) {
    let ends = |suffix: &str| word.ends_with(suffix);
    let cut = |n: usize, add: &str| format!("{}{add}", &word[..word.len() - n]);
    if word.len() <= 3 {
        return match word.as_str() {
            "pie" => ("py".to_owned(), false),
            _ => (word, false),
        };
    }
    if !word.is_ascii() {
        return (word, false);
    }
    match () {
        () if word == "leaves" => ("leaf".to_owned(), true),
        () if word == "loaves" => ("loaf".to_owned(), true),
        () if word == "halves" => ("half".to_owned(), true),
        () if ends("ies") => (cut(3, "y"), true),
        () if ends("ie") => (cut(2, "y"), false),
        () if ends("oes")
            || ends("sses")
            || ends("shes")
            || ends("ches")
            || ends("xes")
            || ends("zes") =>
        {
            (cut(2, ""), true)
        }
        () if ends("ss") || ends("us") || ends("is") => (word, false),
        () if ends("s") => (cut(1, ""), true),
        () => (word, false),
    }
}

/// The stems of a phrase's words; `&` is "and", everything that is neither letter nor digit parts words.
pub fn stems(phrase: &str) -> Vec<String> {
    phrase
        .replace('&', " and ")
        .split(|c: char| !(c.is_alphanumeric() || is_combining_mark(c) || matches!(c, '\'' | '’')))
        .filter(|word| !word.is_empty())
        .map(|word| stem(word).0)
        .filter(|word| !word.is_empty())
        .collect()
}

impl Vocabulary {
    /// Collects every phrase of a library. A later layer (see `layers`: foods first, then dishes) takes a name over.
    pub(super) fn build(library: &Library, layers: &[usize]) -> (Vocabulary, Vec<Takeover>) {
        let mut vocabulary = Vocabulary::default();
        let mut takeovers = Vec::new();
        let mut owner: HashMap<String, Entry> = HashMap::new();
        let foods = library
            .foods
            .iter()
            .enumerate()
            .map(|(index, food)| (Entry::Food(FoodId(index)), &food.aliases));
        let dishes = library
            .dishes
            .iter()
            .enumerate()
            .map(|(index, dish)| (Entry::Dish(DishId(index)), &dish.aliases));
        for (entry, aliases) in foods.chain(dishes) {
            for alias in aliases {
                let stems = stems(alias);
                let key = stems.concat();
                if key.is_empty() {
                    continue;
                }
                vocabulary.longest = vocabulary.longest.max(stems.len());
                for word in &stems {
                    *vocabulary.words.entry(word.clone()).or_default() += 1;
                }
                let rank = |entry: Entry| match entry {
                    Entry::Food(id) => layers[id.0],
                    Entry::Dish(id) => layers[library.foods.len() + id.0],
                };
                let describe = |entry: Entry| match entry {
                    Entry::Food(id) => (library.food(id).id.clone(), library.food(id).file.clone()),
                    Entry::Dish(id) => (library.dish(id).id.clone(), library.dish(id).file.clone()),
                };
                match owner.get(&key).copied() {
                    Some(old) if old == entry => {}
                    Some(old) => {
                        // A dish pattern is the fuller reading of a name that a food has too.
                        let dish_wins = matches!((old, entry), (Entry::Food(_), Entry::Dish(_)));
                        let wins =
                            rank(entry) > rank(old) || (rank(entry) == rank(old) && dish_wins);
                        let (winner, loser) = if wins { (entry, old) } else { (old, entry) };
                        takeovers.push(Takeover {
                            alias: alias.clone(),
                            winner: describe(winner),
                            loser: describe(loser),
                        });
                        owner.insert(key, winner);
                    }
                    None => {
                        vocabulary.names.push(alias.clone());
                        owner.insert(key, entry);
                    }
                }
            }
        }
        vocabulary.phrases = owner
            .into_iter()
            .map(|(key, entry)| {
                let term = match entry {
                    Entry::Food(id) => Term::Food(id),
                    Entry::Dish(id) => Term::Dish(id),
                };
                (key, vec![term])
            })
            .collect();
        let rules = &library.rules;
        vocabulary.add(
            rules.preparations.iter().map(|entry| &entry.words),
            Term::Preparation,
        );
        vocabulary.add(rules.sizes.iter().map(|entry| &entry.words), Term::Size);
        vocabulary.add(rules.units.iter().map(|entry| &entry.words), Term::Unit);
        vocabulary.add(rules.classes.iter().map(|entry| &entry.words), Term::Class);
        vocabulary.add(rules.words.iter().map(|entry| &entry.words), Term::Word);
        (vocabulary, takeovers)
    }

    fn add<'a>(
        &mut self,
        entries: impl Iterator<Item = &'a Vec<String>>,
        term: impl Fn(usize) -> Term,
    ) {
        for (index, words) in entries.enumerate() {
            for phrase in words {
                let stems = stems(phrase);
                self.longest = self.longest.max(stems.len());
                for word in &stems {
                    self.words.entry(word.clone()).or_default();
                }
                self.phrases
                    .entry(stems.concat())
                    .or_default()
                    .push(term(index));
            }
        }
    }

    /// What the phrase with these stems, joined, stands for.
    pub fn find(&self, key: &str) -> &[Term] {
        self.phrases.get(key).map_or(&[], Vec::as_slice)
    }

    /// The number of words in the longest phrase.
    pub fn longest(&self) -> usize {
        self.longest
    }

    /// Whether the stem is a word of any known phrase.
    pub fn has_word(&self, stem: &str) -> bool {
        self.words.contains_key(stem)
    }

    /// How many names there are.
    pub fn len(&self) -> usize {
        self.names.len()
    }

    /// Whether it knows no name.
    pub fn is_empty(&self) -> bool {
        self.names.is_empty()
    }

    /// The known food word that a stem is a typing error of, where there is one that is clearly nearest: one slip in
    /// four to seven letters, two in eight or more, with the same first letter.
    pub fn find_misspelt(&self, stem: &str) -> Option<String> {
        let length = stem.chars().count();
        if length < 4 || stem.chars().any(|c| c.is_ascii_digit()) {
            return None;
        }
        let allowed = if length >= 8 { 2 } else { 1 };
        let first = stem.chars().next();
        let mut best: Option<(usize, std::cmp::Reverse<usize>, &str)> = None;
        for (word, uses) in &self.words {
            let letters = word.chars().count();
            if *uses == 0
                || letters < 4
                || letters.abs_diff(length) > allowed
                || word.chars().next() != first
            {
                continue;
            }
            let distance = strsim::damerau_levenshtein(word, stem);
            if distance <= allowed {
                let candidate = (distance, std::cmp::Reverse(*uses), word.as_str());
                best = Some(best.map_or(candidate, |best| best.min(candidate)));
            }
        }
        best.map(|(_, _, word)| word.to_owned())
    }

    /// Up to `most` names nearest to these words, best first.
    pub fn nearest(&self, words: &str, most: usize) -> Vec<String> {
        use fuzzy_matcher::FuzzyMatcher;
        let matcher = fuzzy_matcher::skim::SkimMatcherV2::default().ignore_case();
        let words: String = words.chars().take(60).collect();
        let mut scored: Vec<(f64, &String)> = self
            .names
            .iter()
            .filter_map(|name| {
                let near = strsim::normalized_damerau_levenshtein(
                    &name.to_lowercase(),
                    &words.to_lowercase(),
                );
                let fuzzy = matcher.fuzzy_match(name, &words).map_or(0.0, |score| {
                    // The matcher's score grows with length; per letter of the name it compares fairly.
                    score as f64 / (16.0 * name.chars().count().max(words.chars().count()) as f64)
                });
                let score = near.max(fuzzy);
                (score >= 0.6).then_some((score, name))
            })
            .collect();
        scored.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.cmp(b.1)));
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
}
