//! The index of phrases: which words stand for which entry or rule.
//!
//! The build script includes this file and leaves the index of the files we ship as two finite-state maps, which need no
//! reading at a start; a user's own files get a small index of the same kind at run time, which is asked first.
//!
//! A key is blind to plurals, accents and how a compound is joined: "cheese burgers", "cheese-burger" and "Cheeseburger"
//! have one.

use std::collections::BTreeMap;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

/// What an index entry points to; the number is part of the prepared form.
pub const FOOD: u8 = 0;
pub const DISH: u8 = 1;
pub const PREPARATION: u8 = 2;
pub const SIZE: u8 = 3;
pub const UNIT: u8 = 4;
pub const CLASS: u8 = 5;
pub const WORD: u8 = 6;

/// A kind and an index into the library's list of that kind.
pub type Pointer = (u8, u32);

/// Phrases by key, and the single words of names of foods and dishes.
#[derive(Debug, Clone, Default)]
pub struct PhraseIndex {
    /// What each key stands for; at most one of them is a food or a dish.
    pub phrases: BTreeMap<String, Vec<Pointer>>,
    /// Words of names, with how many names use them: what a typing error is measured against. Grammar words count 0.
    pub words: BTreeMap<String, u64>,
    /// Words in the longest phrase.
    pub longest: usize,
    /// Names that stand on two entries: the words, the entry that has them, the entry that lost them.
    pub conflicts: Vec<(String, Pointer, Pointer)>,
}

impl PhraseIndex {
    /// A name of a food or a dish. Of two entries with one name a dish has it before a food, else the first.
    pub fn add_name(&mut self, entry: Pointer, name: &str) {
        let stems = stems(name);
        let key = stems.concat();
        if key.is_empty() {
            return;
        }
        self.longest = self.longest.max(stems.len());
        for word in stems {
            *self.words.entry(word).or_default() += 1;
        }
        let known = self.phrases.entry(key).or_default();
        match known.iter().position(|(kind, _)| *kind <= DISH) {
            None => known.insert(0, entry),
            Some(at) if known[at] == entry => {}
            Some(at) => {
                // A dish pattern is the fuller reading of a name that a food has too.
                let wins = known[at].0 == FOOD && entry.0 == DISH;
                let loser = if wins {
                    std::mem::replace(&mut known[at], entry)
                } else {
                    entry
                };
                let winner = known[at];
                self.conflicts.push((name.to_owned(), winner, loser));
            }
        }
    }

    /// A word or phrase of a rule.
    pub fn add_rule(&mut self, rule: Pointer, phrase: &str) {
        let stems = stems(phrase);
        let key = stems.concat();
        if key.is_empty() {
            return;
        }
        self.longest = self.longest.max(stems.len());
        for word in stems {
            self.words.entry(word).or_default();
        }
        let known = self.phrases.entry(key).or_default();
        if !known.contains(&rule) {
            known.push(rule);
        }
    }
}

/// A word's key: lower case, without accents or apostrophes, plural endings folded, and whether one was. Not a real
/// singular, only the same for both forms: "fries" and "fry", "cookies" and "cookie", "dishes" and "dish".
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

#[allow(dead_code, reason = "the build script packs, the crate unpacks")]
/// A pointer as a value of a finite-state map; lists of several are numbered from [`MANY`] on.
pub fn packed((kind, index): Pointer) -> u64 {
    (u64::from(kind) << 32) | u64::from(index)
}

/// First value that stands for a list of pointers.
pub const MANY: u64 = 1 << 40;
