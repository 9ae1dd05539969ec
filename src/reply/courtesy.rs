//! What of a message is no food: a name behind a greeting, and words that call for a caution.

use crate::library::Library;
use crate::read;

/// A message made ready to be read.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    /// The message, spaces in place of what is no food, so that places in it stay the same.
    pub text: String,
    /// The cautions that its words call for, each once.
    pub cautions: Vec<String>,
}

/// A word of the message: its place, and its lower-case letters without apostrophes.
struct Word {
    start: usize,
    end: usize,
    plain: String,
    /// Whether a mark stands between it and the next word.
    ends: bool,
}

/// Takes out what is no food (a caution's words, chatter, the name behind a greeting), and finds the cautions.
pub fn hear(library: &Library, message: &str) -> Heard {
    let words = words_of(message);
    let mut struck: Vec<(usize, usize)> = Vec::new();
    for phrase in &library.rules.courtesy.chatter {
        for (first, last) in found(&words, phrase) {
            struck.push((words[first].start, words[last].end));
        }
    }
    let mut cautions = Vec::new();
    for caution in &library.rules.cautions {
        let mut called = false;
        for phrase in &caution.words {
            for (first, last) in found(&words, phrase) {
                called = true;
                struck.push((words[first].start, words[last].end));
            }
        }
        called |= caution
            .hints
            .iter()
            .any(|phrase| !found(&words, phrase).is_empty());
        if called && !cautions.contains(&caution.text) {
            cautions.push(caution.text.clone());
        }
    }
    let mut text = blank(message, &struck);
    if let Some(name) = greeted(library, message, &words) {
        text = blank(&text, &[name]);
    }
    Heard { text, cautions }
}

fn words_of(message: &str) -> Vec<Word> {
    let mut words: Vec<Word> = Vec::new();
    let mut start = None;
    let apostrophe = |c: char| matches!(c, '\'' | '’');
    for (at, c) in message.char_indices().chain([(message.len(), '.')]) {
        let inside = c.is_alphanumeric() || start.is_some() && apostrophe(c);
        match (inside, start) {
            (true, None) => start = Some(at),
            (false, Some(first)) => {
                let plain = message[first..at]
                    .chars()
                    .filter(|c| !apostrophe(*c))
                    .flat_map(char::to_lowercase)
                    .collect();
                words.push(Word {
                    start: first,
                    end: at,
                    plain,
                    ends: false,
                });
                start = None;
            }
            _ => {}
        }
        if (!inside && !c.is_whitespace() && c != '-' || c == '\n')
            && let Some(last) = words.last_mut()
        {
            last.ends = true;
        }
    }
    words
}

/// Where a phrase stands: first and last word. `*` is any one word; a phrase does not cross a mark.
fn found(words: &[Word], phrase: &str) -> Vec<(usize, usize)> {
    let wanted: Vec<&str> = phrase.split_whitespace().collect();
    if wanted.is_empty() || wanted.len() > words.len() {
        return Vec::new();
    }
    (0..=words.len() - wanted.len())
        .filter(|at| {
            let here = &words[*at..*at + wanted.len()];
            let fits = here
                .iter()
                .zip(&wanted)
                .all(|(word, wanted)| *wanted == "*" || word.plain == *wanted);
            fits && here[..here.len() - 1].iter().all(|word| !word.ends)
        })
        .map(|at| (at, at + wanted.len() - 1))
        .collect()
}

/// The name behind a greeting that opens the message: "Hi Rosa, …", where a mark follows it or nothing knows it.
fn greeted(library: &Library, message: &str, words: &[Word]) -> Option<(usize, usize)> {
    let greeting = library
        .rules
        .courtesy
        .greetings
        .iter()
        .filter_map(|phrase| {
            found(words, phrase)
                .into_iter()
                .find(|(first, _)| *first == 0)
        })
        .map(|(_, last)| last)
        .max()?;
    if words[greeting].ends {
        return None;
    }
    let name = words.get(greeting + 1)?;
    let place = (name.start, name.end);
    if name.ends && words.len() > greeting + 2 {
        return Some(place);
    }
    let meal = read::read(library, message).ok()?;
    meal.not_understood
        .iter()
        .any(|unknown| unknown.span == place)
        .then_some(place)
}

/// The text with spaces in these places, byte for byte.
fn blank(text: &str, places: &[(usize, usize)]) -> String {
    text.char_indices()
        .map(|(at, c)| {
            if places
                .iter()
                .any(|(start, end)| (*start..*end).contains(&at))
            {
                " ".repeat(c.len_utf8())
            } else {
                c.to_string()
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heard(message: &str) -> Heard {
        hear(&Library::embedded(), message)
    }

    #[test]
    fn a_caution_s_words_are_no_food() {
        let heard = heard("I have a peanut allergy. Had the satay, no peanut sauce");
        assert!(!heard.text.contains("allergy"), "{}", heard.text);
        assert!(heard.text.contains("satay, no peanut sauce"));
        assert_eq!(heard.cautions.len(), 1, "{:?}", heard.cautions);
        assert!(heard.cautions[0].contains("kitchen"));
    }

    #[test]
    fn places_stay_the_same() {
        let message = "Crème brûlée; I’m diabetic… how much insulin?";
        let heard = heard(message);
        assert_eq!(heard.text.len(), message.len());
        assert_eq!(heard.text.find("brûlée"), message.find("brûlée"));
    }

    #[test]
    fn a_phrase_does_not_cross_a_mark() {
        assert!(found(&words_of("lentil soup. Allergy?"), "* allergy").is_empty());
        assert_eq!(found(&words_of("a nut allergy"), "* allergy"), [(1, 2)]);
        assert!(found(&words_of(""), "a b").is_empty());
    }

    #[test]
    fn a_name_behind_a_greeting_is_no_food() {
        assert!(!heard("Hi Olive, had the ramen").text.contains("Olive"));
        assert!(
            heard("Hi, olive bread and soup")
                .text
                .contains("olive bread")
        );
        assert!(heard("Hey ramen tonight").text.contains("ramen"));
        assert!(
            !heard("Hey Xandrine had the ramen")
                .text
                .contains("Xandrine")
        );
    }

    #[test]
    fn plain_messages_call_for_nothing() {
        for message in [
            "ramen and gyoza",
            "hello! chilli con carne, rice",
            "kids' pasta with peas, kidney bean salad",
            "",
            "…",
        ] {
            assert!(heard(message).cautions.is_empty(), "{message}");
        }
    }

    #[test]
    fn each_caution_is_given_once() {
        let heard = heard("diabetic on insulin, blood sugar high; soup");
        assert_eq!(heard.cautions.len(), 1);
    }
}
