//! Fills the wordings of `rules/review.toml`.

use super::{Case, Finding, Sureness};
use crate::estimate::{Nutrient, Range};
use crate::library::schema::WordingEntry;
use crate::questions::listed;
use crate::report::{grouped, round_to};

/// What stands for the names in braces.
pub(super) type Blanks = Vec<(&'static str, String)>;

/// A text with its blanks filled, its first letter a capital.
pub(super) fn fill(text: &str, blanks: &Blanks) -> String {
    let filled = blanks.iter().fold(text.to_owned(), |text, (name, words)| {
        text.replace(&format!("{{{name}}}"), words)
    });
    let mut letters = filled.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => filled,
    }
}

impl Case<'_> {
    /// A finding in the words of its kind.
    pub(super) fn finding(&self, kind: &str, sure: Sureness, blanks: &Blanks) -> Finding {
        let wording = self.library.rules.review.wording.get(kind);
        let text = |pick: fn(&WordingEntry) -> &String| {
            wording.map_or_else(|| kind.to_owned(), |wording| fill(pick(wording), blanks))
        };
        Finding {
            kind: kind.to_owned(),
            title: text(|wording| &wording.title),
            seen: text(|wording| &wording.seen),
            question: text(|wording| &wording.question),
            sure,
        }
    }

    /// Written energy, as it stands.
    fn written_energy(&self, kcal: f64) -> String {
        let energy = grouped(kcal * self.unit.factor());
        format!("{energy} {}", self.unit.symbol())
    }

    fn figure(&self, kcal: f64) -> String {
        grouped(round_to(kcal * self.unit.factor(), self.unit.step()))
    }

    /// Estimated energy, rounded to what is known.
    pub(super) fn about(&self, kcal: f64) -> String {
        format!("{} {}", self.figure(kcal), self.unit.symbol())
    }

    /// `{energy}`, `{likely}`, `{come_to}`.
    pub(super) fn energies(&self) -> Blanks {
        let range = self.estimate.total(Nutrient::Energy);
        vec![
            (
                "energy",
                self.written_energy(self.figures.kcal.unwrap_or(0.0)),
            ),
            ("likely", self.about(range.likely)),
            (
                "come_to",
                format!("{} to {}", self.figure(range.low), self.about(range.high)),
            ),
        ]
    }

    /// `40 g protein, 12 g fat and 50 g carbohydrate`: those that were written.
    pub(super) fn macros_in_words(&self) -> String {
        let alcohol = (Nutrient::Alcohol, self.figures.alcohol);
        let all: Vec<String> = self
            .macros()
            .into_iter()
            .chain([alcohol])
            .filter_map(|(nutrient, grams)| {
                Some(format!("{} {}", grams_in_words(grams?), nutrient.name()))
            })
            .collect();
        listed(&all, "and")
    }
}

/// Grams as they were written.
pub(super) fn grams_in_words(grams: f64) -> String {
    if (grams - grams.round()).abs() < 0.05 {
        format!("{} g", grouped(grams))
    } else {
        format!("{grams:.1} g")
    }
}

/// `20 to 35 g`.
pub(super) fn span_in_words(range: Range) -> String {
    format!("{} to {} g", grouped(range.low), grouped(range.high))
}

/// Where a figure stands among such plates: `lower than 97 in 100 such plates`.
pub(super) fn standing_in_words(below: f64) -> String {
    let (side, share) = if below < 0.5 {
        ("lower", 1.0 - below)
    } else {
        ("higher", below)
    };
    match (100.0 * share).round() {
        all if all >= 100.0 => format!("{side} than nearly all such plates"),
        number => format!("{side} than {number:.0} in 100 such plates"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_standing_reads_from_the_nearer_end() {
        assert_eq!(standing_in_words(0.03), "lower than 97 in 100 such plates");
        assert_eq!(standing_in_words(0.96), "higher than 96 in 100 such plates");
        assert_eq!(
            standing_in_words(0.0001),
            "lower than nearly all such plates"
        );
    }

    #[test]
    fn amounts_and_blanks_read_as_english() {
        assert_eq!(grams_in_words(12.5), "12.5 g");
        assert_eq!(grams_in_words(12.0), "12 g");
        let blanks = vec![("parts", "rice".to_owned())];
        assert_eq!(fill("{parts} and {parts}?", &blanks), "Rice and rice?");
    }
}
