//! Figures in the free words of a record: `grilled cod, 620 kcal, 40 g protein` is 620 kcal, 40 g, and "grilled cod".
//!
//! ```text
//! figure = number [ "g" ] name                  "40 g protein", "620 kcal", "40p"
//!        | name [ ":" | "=" ] number [ "g" ]    "protein: 40 g", "carbs 50"
//! ```
//!
//! A number whose name is followed by another word belongs to the food ("30 g protein bar"), but for energy, whose name
//! is no food. What is left over are the words of the record. Figures of one kind are summed: a record may list its parts.

use crate::estimate::KJ_PER_KCAL;
use crate::library::schema::ReviewEntry;

/// What was written down, as figures.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Figures {
    /// kcal.
    pub kcal: Option<f64>,
    /// g.
    pub protein: Option<f64>,
    /// g.
    pub fat: Option<f64>,
    /// g.
    pub carbohydrate: Option<f64>,
    /// g of ethanol.
    pub alcohol: Option<f64>,
}

impl Figures {
    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        *self == Figures::default()
    }

    /// These, with what is missing taken from others.
    pub fn or(self, other: Figures) -> Figures {
        Figures {
            kcal: self.kcal.or(other.kcal),
            protein: self.protein.or(other.protein),
            fat: self.fat.or(other.fat),
            carbohydrate: self.carbohydrate.or(other.carbohydrate),
            alcohol: self.alcohol.or(other.alcohol),
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Token<'a> {
    Number(f64),
    Word(&'a str),
    Mark(char),
}

/// A token with the bytes it stands at: first, and behind the last.
type Placed<'a> = (Token<'a>, usize, usize);

fn tokens(text: &str) -> Vec<Placed<'_>> {
    let mut found = Vec::new();
    let mut start = 0;
    while let Some(first) = text[start..].chars().next() {
        let rest = &text[start..];
        let length = match first {
            first if first.is_ascii_digit() => number_length(rest),
            first if first.is_alphabetic() => rest
                .find(|c: char| !(c.is_alphabetic() || matches!(c, '\'' | '’')))
                .unwrap_or(rest.len()),
            first => first.len_utf8(),
        };
        let end = start + length;
        let said = &text[start..end];
        if first.is_ascii_digit() {
            let number = said.replace(',', "").parse().unwrap_or(f64::INFINITY);
            found.push((Token::Number(number), start, end));
        } else if first.is_alphabetic() {
            found.push((Token::Word(said), start, end));
        } else if !first.is_whitespace() {
            found.push((Token::Mark(first), start, end));
        }
        start = end;
    }
    found
}

/// Bytes of the number a text begins with: "1,050" groups thousands, "12.5" has a fraction, and "40, 12" ends at the comma.
fn number_length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits_at = |at: usize| {
        bytes[at.min(bytes.len())..]
            .iter()
            .take_while(|byte| byte.is_ascii_digit())
            .count()
    };
    let mut at = digits_at(0);
    while bytes.get(at) == Some(&b',') && digits_at(at + 1) == 3 {
        at += 4;
    }
    if bytes.get(at) == Some(&b'.') && digits_at(at + 1) > 0 {
        at += 1 + digits_at(at + 1);
    }
    at
}

/// The figures of a text, and the words that are left.
pub fn read_figures(rules: &ReviewEntry, text: &str) -> (Figures, String) {
    let tokens = tokens(text);
    let word_at = |at: usize| match tokens.get(at) {
        Some((Token::Word(word), ..)) => *word,
        _ => "",
    };
    let is_among =
        |word: &str, known: &[String]| known.iter().any(|known| known.eq_ignore_ascii_case(word));
    let name_at = |at: usize| {
        rules
            .figure
            .iter()
            .find(|figure| is_among(word_at(at), &figure.words))
            .map(|figure| figure.of.as_str())
    };
    let is_gram = |at: usize| matches!(word_at(at), "g" | "gr" | "gram" | "grams");
    let is_filler = |at: usize| is_among(word_at(at), &rules.fillers);
    let is_other_word = |at: usize| !word_at(at).is_empty() && !is_filler(at);
    let mut used = vec![false; tokens.len()];
    let mut sums: Vec<(&str, f64)> = Vec::new();
    for at in 0..tokens.len() {
        let Token::Number(number) = tokens[at].0 else {
            continue;
        };
        let behind = at + 1 + usize::from(is_gram(at + 1));
        let steps_back = match at.checked_sub(1).map(|before| tokens[before].0) {
            Some(Token::Mark(':' | '=')) => 2,
            _ => 1,
        };
        let before = at
            .checked_sub(steps_back)
            .filter(|name| !used[*name] && name_at(*name).is_some());
        let unit = name_at(behind).filter(|of| matches!(*of, "kcal" | "kj"));
        let (of, span) = match (before, unit, name_at(behind)) {
            // "energy 620 kcal": the unit behind says more than the name before.
            (Some(name), Some(unit), _) => (unit, name..behind + 1),
            (Some(name), None, _) => (name_at(name).unwrap_or_default(), name..behind),
            (None, Some(unit), _) => (unit, at..behind + 1),
            (None, None, Some(of)) if !is_other_word(behind + 1) => (of, at..behind + 1),
            _ => continue,
        };
        used[span].fill(true);
        match sums.iter_mut().find(|(known, _)| *known == of) {
            Some((_, sum)) => *sum += number,
            None => sums.push((of, number)),
        }
    }
    // "620 kcal in total", "40 g protein and 12 g fat": connecting words beside a figure are no food.
    for at in 0..tokens.len() {
        let is_beside = at > 0 && used[at - 1] || used.get(at + 1) == Some(&true);
        if is_filler(at) && is_beside {
            used[at] = true;
        }
    }
    let sum = |of: &str| {
        sums.iter()
            .find(|(known, sum)| *known == of && sum.is_finite())
            .map(|(_, sum)| *sum)
    };
    let figures = Figures {
        // Where both are written, they are the same energy twice.
        kcal: sum("kcal").or(sum("kj").map(|kj| kj / KJ_PER_KCAL)),
        protein: sum("protein"),
        fat: sum("fat"),
        carbohydrate: sum("carbohydrate"),
        alcohol: sum("alcohol"),
    };
    (figures, left_over(text, &tokens, &used))
}

/// The text without its figures and the marks that stood between them; empty where no word is left.
fn left_over(text: &str, tokens: &[Placed<'_>], used: &[bool]) -> String {
    const SEPARATORS: [char; 8] = [',', ';', '/', '|', '+', ':', '=', '('];
    let mut words = String::new();
    let mut end_before = 0;
    for ((token, start, end), _) in tokens.iter().zip(used).filter(|(_, used)| !**used) {
        let is_separator = matches!(token, Token::Mark(mark) if SEPARATORS.contains(mark));
        let is_needed = !(words.is_empty() || words.ends_with(SEPARATORS));
        if is_separator && !is_needed || matches!(token, Token::Mark(')')) && !words.contains('(') {
            continue;
        }
        if !words.is_empty() && end_before < *start && (!is_separator || *token == Token::Mark('('))
        {
            words.push(' ');
        }
        words.push_str(&text[*start..*end]);
        end_before = *end;
    }
    if !words.chars().any(char::is_alphabetic) {
        return String::new();
    }
    words
        .trim_end_matches(SEPARATORS)
        .trim_matches([' ', '.'])
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::Library;

    #[track_caller]
    fn read(text: &str) -> ([Option<f64>; 5], String) {
        let library = Library::embedded();
        let (found, words) = read_figures(&library.rules.review, text);
        let all = [
            found.kcal,
            found.protein,
            found.fat,
            found.carbohydrate,
            found.alcohol,
        ];
        (all, words)
    }

    #[test]
    fn the_name_may_stand_before_or_behind_the_number() {
        let all = [Some(620.0), Some(40.0), Some(12.0), Some(50.0), None];
        for text in [
            "620 kcal, 40 g protein, 12 g fat, 50 g carb",
            "energy 620 kcal protein 40 g fat 12 g carbs 50 g",
            "Kcal: 620; P: 40, F: 12, C: 50",
            "620 cal 40p 12f 50c",
            "620 kcal (40 g protein, 12 g fat and 50 g carbohydrate)",
            "620kcal in total. 40g protein/12g fat/50g carbs",
        ] {
            assert_eq!(read(text), (all, String::new()), "{text}");
        }
    }

    #[test]
    fn what_is_no_figure_is_food() {
        let energy = [Some(1250.0), None, None, None, None];
        assert_eq!(
            read("grilled cod 6 oz, 1,250 kcal"),
            (energy, "grilled cod 6 oz".to_owned())
        );
        assert_eq!(
            read("cod (6 oz), rice; 1250 kcal"),
            (energy, "cod (6 oz), rice".to_owned())
        );
        for food in [
            "30 g protein bar",
            "a cup of fat free yoghurt",
            "cod and rice",
        ] {
            assert_eq!(read(food), ([None; 5], food.to_owned()));
        }
    }

    #[test]
    fn parts_are_summed_and_kilojoules_are_the_same_energy() {
        assert_eq!(read("cod 200 kcal, rice 150 kcal").0[0], Some(350.0));
        assert_eq!(read("cod 200 kcal, rice 150 kcal").1, "cod, rice");
        assert_eq!(read("2594 kJ / 620 kcal").0[0], Some(620.0));
        // 1 kcal = 4.184 kJ.
        let kcal = read("418.4 kJ").0[0].unwrap();
        assert!((kcal - 100.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_read_from_nothing() {
        for text in ["", " , ;", "620", "kcal", "…€", "9".repeat(400).as_str()] {
            assert!(read(text).0.iter().all(Option::is_none), "{text}");
        }
        let huge = format!("{} kcal", "9".repeat(400));
        assert_eq!(read(&huge).0[0], None);
    }
}
