//! A person's eye as a picture and in words: how far each guess lay from the scales, and what the groups say.

use super::{Look, wrapped};
use crate::estimate::Z90;
use crate::eye::{EyeModel, Weighing, moving_median, weighings};
use crate::library::schema::EyeEntry;

/// Rows of the picture above the middle, and as many below.
const REACH: i32 = 4;

/// Columns of the picture's scale.
const SCALE: usize = 9;

/// The ends a scale may have, as shares of the weight; a guess beyond the last is marked at the edge.
const ENDS: [f64; 5] = [0.1, 0.2, 0.4, 0.6, 1.0];

/// The guesses over time, and each group's bias and scatter.
pub fn eye_table(rules: &EyeEntry, model: &EyeModel, seen: &[&Weighing], look: &Look) -> String {
    let (Some(first), Some(last)) = (seen.first(), seen.last()) else {
        let how = "No weighings yet. Guess a portion, put it on the scales, and write both down: platespan eye add --food chicken --guess \"5 oz\" --weighed \"4.5 oz\"";
        return said(how, "", look);
    };
    let errors: Vec<f64> = seen.iter().map(|weighing| weighing.error()).collect();
    let mut out = said(
        &format!(
            "{}: how far each guess lay from the scales, oldest first (● a guess, ─ median of {})",
            weighings(seen.len()),
            rules.window
        ),
        "",
        look,
    );
    out.push_str(&format!(
        "\n{}\n{}{} to {}\n\n",
        chart(&errors, rules.window, look.width),
        " ".repeat(SCALE),
        first.date,
        last.date
    ));
    for sentence in progress(rules, &errors) {
        out.push_str(&said(&sentence, "", look));
    }
    for (group, eye) in model.groups() {
        out.push('\n');
        let title = format!("{}: {}", model.name(group), weighings(eye.number));
        out.push_str(&said(&title, "", look));
        let habit = if eye.number >= rules.enough {
            model.sentence(group)
        } else {
            "too few to tell a habit; the published scatter of people's guesses stands in for now"
                .to_owned()
        };
        out.push_str(&said(&habit, "  ", look));
        let reach = Z90 * eye.sigma;
        let width = format!(
            "with that taken off, 8 in 10 weights lie from {:.0} % below to {:.0} % above a guess",
            -100.0 * (-reach).exp_m1(),
            100.0 * reach.exp_m1()
        );
        out.push_str(&said(&width, "  ", look));
    }
    out
}

/// Lines behind an indent, no wider than the page.
fn said(text: &str, indent: &str, look: &Look) -> String {
    wrapped(text, look.width.saturating_sub(indent.len() + 2))
        .iter()
        .map(|line| format!("{indent}{}\n", line.trim_end()))
        .collect()
}

/// What the guesses say of themselves, in kind words.
fn progress(rules: &EyeEntry, errors: &[f64]) -> Vec<String> {
    let last = &errors[errors.len().saturating_sub(10)..];
    let good = last
        .iter()
        .filter(|error| error.abs() <= rules.good_eye)
        .count();
    let of = if last.len() == errors.len() {
        last.len().to_string()
    } else {
        format!("the last {}", last.len())
    };
    let near = 100.0 * rules.good_eye;
    let mut said = vec![if 2 * good > last.len() {
        format!("{good} of {of} within {near:.0} % of the scales: a good eye.")
    } else {
        format!("{good} of {of} within {near:.0} % of the scales. Each weighing trains the eye.")
    }];
    if errors.len() >= 10 {
        let typical = |errors: &[f64]| {
            let mut sizes: Vec<f64> = errors.iter().map(|error| error.abs()).collect();
            sizes.sort_by(f64::total_cmp);
            100.0 * sizes[sizes.len() / 2]
        };
        let (before, after) = errors.split_at(errors.len() / 2);
        let (before, after) = (typical(before), typical(after));
        if after < before - 1.0 {
            said.push(format!(
                "Your guesses have come closer: typically {before:.0} % off at first, {after:.0} % of late."
            ));
        }
    }
    said
}

/// A column or more for each guess, as high or low as its error; the latest ones where not all fit.
fn chart(errors: &[f64], window: usize, width: usize) -> String {
    let room = width.saturating_sub(SCALE).max(8);
    let medians = moving_median(errors, window);
    let from = errors.len().saturating_sub(room);
    let (errors, medians) = (&errors[from..], &medians[from..]);
    let step = (room / errors.len().max(1)).clamp(1, 4);
    let widest = errors
        .iter()
        .fold(0.0, |widest: f64, error| widest.max(error.abs()));
    let end = ENDS
        .into_iter()
        .find(|end| widest <= *end)
        .unwrap_or(ENDS[ENDS.len() - 1]);
    let row_of =
        |error: f64| ((error / end * f64::from(REACH)).round() as i32).clamp(-REACH, REACH);
    let mut lines = Vec::new();
    for row in (-REACH..=REACH).rev() {
        let share = 100.0 * end * f64::from(row) / f64::from(REACH);
        let label = match row {
            0 => "level".to_owned(),
            row if row % 2 == 0 => format!("{share:+.0} %"),
            _ => String::new(),
        };
        let (axis, blank) = if row == 0 {
            ('┼', '·')
        } else {
            ('┤', ' ')
        };
        let mut line = format!("{label:>7} {axis}");
        for (error, median) in errors.iter().zip(medians) {
            let trail = if row_of(*median) == row { '─' } else { blank };
            line.push(match row_of(*error) == row {
                true if *error > end => '▲',
                true => '●',
                false => trail,
            });
            line.extend(std::iter::repeat_n(trail, step - 1));
        }
        lines.push(line.trim_end().to_owned());
    }
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_guess_stands_at_its_error_and_the_median_trails_it() {
        insta::assert_snapshot!(chart(&[0.2, 0.1, -0.1, 0.0, 1.5], 3, 24), @r#"
        +100 % ┤            ▲
               ┤
         +50 % ┤
               ┤●─────
         level ┼···●··●──●─────
               ┤
         -50 % ┤
               ┤
        -100 % ┤
        "#);
        insta::assert_snapshot!(chart(&[0.0], 5, 10), @r#"
        +10 % ┤
              ┤
         +5 % ┤
              ┤
        level ┼●───
              ┤
         -5 % ┤
              ┤
        -10 % ┤
        "#);
    }

    #[test]
    fn of_more_guesses_than_columns_the_latest_are_shown() {
        let mut many = vec![0.0; 200];
        many[199] = 0.2;
        let chart = chart(&many, 5, 30);
        assert!(chart.lines().all(|line| line.chars().count() <= 30));
        assert_eq!(chart.matches('●').count(), 21);
    }
}
