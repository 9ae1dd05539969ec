//! The answer as people read it: a headline, the plate, a picture of its range, and what it rests on.

use super::bar::{range_bar, share_bar};
use super::lines::lines_section;
use super::number::{grouped, round_to, shares_of_total};
use super::{CAUTION, Look, main_cause};
use crate::entries::Line;
use crate::estimate::{Estimate, Nutrient, Range, Row};
use crate::plate::Origin;
use anstyle::{AnsiColor, Style};
use std::fmt::Write;
use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::width::Wrap;
use tabled::settings::{Alignment, Modify, Style as Frame};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// Below this many columns the macros leave the table and stand in a line of their own.
pub(super) const WIDE: usize = 64;

/// The whole answer.
pub fn table(estimate: &Estimate, look: &Look) -> String {
    table_with_lines(estimate, &[], look)
}

/// The whole answer, with the lines to record as a section of it.
pub fn table_with_lines(estimate: &Estimate, lines: &[Line], look: &Look) -> String {
    let mut out = String::new();
    headline(&mut out, estimate, look);
    out.push('\n');
    plate(&mut out, estimate, look);
    out.push('\n');
    picture(&mut out, estimate, look);
    out.push_str(&lines_section(lines, look));
    notes(&mut out, estimate, look);
    out
}

pub(super) fn paint(look: &Look, style: Style, text: &str) -> String {
    if look.colour {
        format!("{style}{text}{style:#}")
    } else {
        text.to_owned()
    }
}

pub(super) fn strong() -> Style {
    Style::new().bold()
}

pub(super) fn faint() -> Style {
    Style::new().dimmed()
}

fn headline(out: &mut String, estimate: &Estimate, look: &Look) {
    let energy = estimate.total(Nutrient::Energy).times(look.energy.factor());
    let unit = look.energy.symbol();
    let step = look.energy.step();
    let likely = paint(
        look,
        strong().fg_color(Some(AnsiColor::Green.into())),
        &format!("{} {unit}", grouped(round_to(energy.likely, step))),
    );
    let _ = writeln!(
        out,
        "about {likely}; 8 plates in 10 lie between {} and {}",
        grouped(round_to(energy.low, 2.0 * step)),
        grouped(round_to(energy.high, 2.0 * step))
    );
    let mut macros: Vec<String> = [
        Nutrient::Protein,
        Nutrient::Fat,
        Nutrient::Carbohydrate,
        Nutrient::Fibre,
    ]
    .iter()
    .map(|nutrient| grams_of(*nutrient, estimate.total(*nutrient)))
    .collect();
    let alcohol = estimate.total(Nutrient::Alcohol);
    if alcohol.likely >= 0.5 {
        macros.push(grams_of(Nutrient::Alcohol, alcohol));
    }
    for line in wrap(&macros.join(", "), look.width, "") {
        let _ = writeln!(out, "{line}");
    }
}

fn grams_of(nutrient: Nutrient, range: Range) -> String {
    format!(
        "{} {} g ({}–{})",
        nutrient.name(),
        grouped(range.likely),
        grouped(range.low),
        grouped(range.high)
    )
}

fn plate(out: &mut String, estimate: &Estimate, look: &Look) {
    let rows = shown(estimate);
    let wide = look.width >= WIDE;
    let factor = look.energy.factor();
    let step = look.energy.step();
    let column = |nutrient: Nutrient, by: f64, step: f64| {
        shares_of_total(
            &rows
                .iter()
                .map(|row| row.nutrients[nutrient as usize].likely * by)
                .collect::<Vec<_>>(),
            step,
        )
    };
    let energy = column(Nutrient::Energy, factor, step);
    let protein = column(Nutrient::Protein, 1.0, 1.0);
    let fat = column(Nutrient::Fat, 1.0, 1.0);
    let carbohydrate = column(Nutrient::Carbohydrate, 1.0, 1.0);
    let mut builder = Builder::default();
    let unit = look.energy.symbol();
    let mut heading = vec!["".to_owned(), "amount".to_owned(), unit.to_owned()];
    if wide {
        heading.extend(["low–high", "protein", "fat", "carb"].map(str::to_owned));
    }
    builder.push_record(heading);
    for (at, row) in rows.iter().enumerate() {
        let mut record = vec![row.label.clone(), row.amount.clone(), grouped(energy[at])];
        if wide {
            let range = row.nutrients[0].times(factor);
            record.push(format!(
                "{}–{}",
                grouped(round_to(range.low, step)),
                grouped(round_to(range.high, step))
            ));
            record.extend([protein[at], fat[at], carbohydrate[at]].map(grouped));
        }
        builder.push_record(record);
    }
    let mut total = vec![
        "plate".to_owned(),
        String::new(),
        grouped(energy.iter().sum()),
    ];
    if wide {
        let range = estimate.total(Nutrient::Energy).times(factor);
        total.push(format!(
            "{}–{}",
            grouped(round_to(range.low, 2.0 * step)),
            grouped(round_to(range.high, 2.0 * step))
        ));
        total.extend(
            [
                protein.iter().sum::<f64>(),
                fat.iter().sum(),
                carbohydrate.iter().sum(),
            ]
            .map(grouped),
        );
    }
    builder.push_record(total);
    let mut table = builder.build();
    let names = if wide {
        look.width.saturating_sub(54).clamp(14, 40)
    } else {
        look.width.saturating_sub(21).clamp(8, 30)
    };
    table
        .with(Frame::empty())
        .with(Modify::new(Columns::first()).with(Wrap::new(names).keep_words(true)))
        .with(Modify::new(Columns::new(1..)).with(Alignment::right()));
    ruled(out, &table.to_string(), look);
}

/// Prints a table with a rule below its heading and above its total.
pub(super) fn ruled(out: &mut String, table: &str, look: &Look) {
    let lines: Vec<&str> = table.lines().map(str::trim_end).collect();
    let rule = "─".repeat(lines.iter().map(|line| line.width()).max().unwrap_or(0));
    for (at, line) in lines.iter().enumerate() {
        if at + 1 == lines.len() {
            let _ = writeln!(out, "{}", paint(look, faint(), &rule));
        }
        let _ = writeln!(out, "{line}");
        if at == 0 {
            let _ = writeln!(out, "{}", paint(look, faint(), &rule));
        }
    }
}

/// What the table shows as one line: a component, or all of a dish that is one option of an open choice.
struct Shown {
    label: String,
    name: String,
    amount: String,
    nutrients: [Range; 6],
}

/// The lines of the table. A dish that may have been chosen is one line: its parts say nothing more.
fn shown(estimate: &Estimate) -> Vec<Shown> {
    let mut lines: Vec<Shown> = Vec::new();
    let mut options: Vec<((usize, usize), usize, usize)> = Vec::new();
    for row in &estimate.rows {
        let part = &row.component;
        let one = Shown {
            label: label(row),
            name: part.name.clone(),
            amount: amount(row),
            nutrients: row.nutrients,
        };
        let Some(option) = part.option else {
            lines.push(one);
            continue;
        };
        match options
            .iter()
            .find(|(known, dish, _)| *known == option && *dish == part.dish)
        {
            Some((_, _, at)) => {
                let line = &mut lines[*at];
                let of_dish = estimate
                    .plate
                    .dishes
                    .get(part.dish)
                    .map_or(part.name.as_str(), |dish| dish.name.as_str());
                let choice = estimate.plate.choices.get(option.0);
                let odds = choice.map_or_else(String::new, |choice| choice.odds(option.1));
                line.label = format!("{of_dish} ({odds})");
                line.name = of_dish.to_owned();
                line.amount = String::new();
                for (sum, range) in line.nutrients.iter_mut().zip(row.nutrients) {
                    // An upper and lower bound are not added up exactly; in a line that may not be there they only show the reach.
                    *sum = Range {
                        low: sum.low + range.low,
                        likely: sum.likely + range.likely,
                        high: sum.high + range.high,
                    };
                }
            }
            None => {
                let choice = estimate.plate.choices.get(option.0);
                let odds = choice.map_or_else(String::new, |choice| choice.odds(option.1));
                options.push((option, part.dish, lines.len()));
                lines.push(Shown {
                    label: format!("{} ({odds})", part.name),
                    ..one
                });
            }
        }
    }
    lines
}

/// A component's name, with how sure it is that it was there.
fn label(row: &Row) -> String {
    let part = &row.component;
    let mut label = part.name.clone();
    if part.origin == Origin::Unknown || part.chance >= 0.995 {
        return label;
    }
    let odds = match part.chance {
        chance if chance >= 0.75 => "usually",
        chance if chance >= 0.4 => "often",
        chance if chance > 0.0 => "at times",
        _ => "not there",
    };
    let _ = write!(label, " ({odds})");
    label
}

fn amount(row: &Row) -> String {
    let grams = row.grams.likely;
    let weight = if grams >= 10.0 {
        format!("{:.0} g", round_to(grams, 5.0))
    } else {
        format!("{grams:.0} g")
    };
    match row.component.count {
        Some(count) if count >= 1.5 && (count - count.round()).abs() < 0.01 => {
            format!("{count:.0}, {weight}")
        }
        _ => weight,
    }
}

fn picture(out: &mut String, estimate: &Estimate, look: &Look) {
    let factor = look.energy.factor();
    let energy = estimate.total(Nutrient::Energy).times(factor);
    let scale = energy.high * 1.12;
    let bar = look.width.saturating_sub(2).min(60);
    let _ = writeln!(
        out,
        "{}",
        range_bar(energy.low, energy.likely, energy.high, scale, bar)
    );
    let end = format!(
        "{} {}",
        grouped(round_to(scale, look.energy.step())),
        look.energy.symbol()
    );
    let _ = writeln!(
        out,
        "{}",
        paint(look, faint(), &format!("0{:>rest$}", end, rest = bar - 1))
    );
    let total = energy.likely.max(1e-9);
    let rows = shown(estimate);
    let mut order: Vec<&Shown> = rows
        .iter()
        .filter(|row| row.nutrients[0].likely * factor >= 0.015 * total)
        .collect();
    order.sort_by(|a, b| b.nutrients[0].likely.total_cmp(&a.nutrients[0].likely));
    let names = (look.width / 3).clamp(12, 28);
    let room = look.width.saturating_sub(names + 8).clamp(6, 34);
    for row in order {
        let share = row.nutrients[0].likely * factor / total;
        let name = cut(&row.name, names);
        let pad = " ".repeat(names.saturating_sub(name.width()));
        let _ = writeln!(
            out,
            "{name}{pad} {:>3.0} % {}",
            share * 100.0,
            share_bar(share, room)
        );
    }
}

/// The first `columns` columns of a name.
pub(crate) fn cut(name: &str, columns: usize) -> String {
    if name.width() <= columns {
        return name.to_owned();
    }
    let mut used = 0;
    let kept: String = name
        .chars()
        .take_while(|c| {
            used += c.width().unwrap_or(0);
            used < columns
        })
        .collect();
    format!("{}…", kept.trim_end_matches([' ', ',']))
}

fn notes(out: &mut String, estimate: &Estimate, look: &Look) {
    let mut section = |title: &str, lines: Vec<String>| {
        if lines.is_empty() {
            return;
        }
        let _ = writeln!(out, "\n{}", paint(look, strong(), title));
        for line in lines {
            for line in wrap(&line, look.width.saturating_sub(2), "  ") {
                let _ = writeln!(out, "{line}");
            }
        }
    };
    section("Range", main_cause(estimate).into_iter().collect());
    section("Assumed", estimate.plate.assumptions.clone());
    section(
        "Not understood",
        estimate
            .plate
            .not_understood
            .iter()
            .map(|word| {
                let place = estimate
                    .text
                    .get(..word.span.0)
                    .map_or(0, |before| before.chars().count())
                    + 1;
                let nearest = if word.nearest.is_empty() {
                    String::new()
                } else {
                    format!("; nearest: {}", word.nearest.join(", "))
                };
                format!("\"{}\" at character {place}{nearest}", word.text)
            })
            .collect(),
    );
    let _ = writeln!(out);
    for line in wrap(CAUTION, look.width, "")
        .iter()
        .map(|line| line.trim_start())
    {
        let _ = writeln!(out, "{}", paint(look, faint(), line));
    }
}

/// Lines of at most `width` columns, each behind `indent`.
pub(crate) fn wrap(text: &str, width: usize, indent: &str) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = indent.to_owned();
    for word in text.split_whitespace() {
        let fits = line.width() + 1 + word.width() <= width.max(10) + indent.width();
        if line.width() > indent.width() && !fits {
            lines.push(std::mem::replace(&mut line, format!("{indent}  ")));
        } else if line.width() > indent.width() {
            line.push(' ');
        }
        line.push_str(word);
    }
    lines.push(line);
    lines
}
