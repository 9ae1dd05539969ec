//! Units that changed places: kJ for kcal, ounces for grams, 100 g for the portion or the piece, raw for cooked.
//!
//! A slip is thought of where the written energy is far out in the estimate's distribution, and in the middle of it once
//! the slip is undone. Written macros must agree with it: changed too where the slip is one of weight, unchanged where it
//! is one of energy alone. Where the record's own words state amounts, they are asked first: they say more than a menu.

use super::energy::given;
use super::parts::name;
use super::wording::fill;
use super::{Case, Finding, Sureness};
use crate::estimate::{Estimate, Nutrient, Row};
use crate::library::schema::SlipEntry;

/// What a slip makes of a plate.
struct Slipped<'a> {
    rule: &'a SlipEntry,
    /// What energy, protein, fat and carbohydrate are multiplied by.
    times: [f64; 4],
    /// The part it happened to, where it is one.
    part: Option<String>,
}

/// The likeliest slip.
pub(super) fn slip(case: &Case<'_>) -> Option<Finding> {
    let kcal = case.figures.kcal.filter(|kcal| *kcal > 0.0)?;
    if let Some(finding) = by_arithmetic(case, kcal) {
        return Some(finding);
    }
    let own_words = case
        .written
        .filter(|written| written.rows.iter().any(|row| row.component.stated));
    // A weight of one's own words leaves little else that could have led to the figure.
    let own = own_words.and_then(|written| by_estimate(case, written, kcal));
    if let Some(finding) = own {
        let sure = finding.sure.max(Sureness::Likely);
        return Some(Finding { sure, ..finding });
    }
    by_estimate(case, case.estimate, kcal)
}

/// Energy that is a fixed factor from what the written macros give: no estimate is needed to see that.
fn by_arithmetic(case: &Case<'_>, kcal: f64) -> Option<Finding> {
    let rules = &case.library.rules.review;
    // Of a few kcal, rounding is all there is to compare.
    let given = given(rules, &case.figures, 0.0, 0.0).filter(|given| given.low > 50.0)?;
    let fits = |energy: f64| (given.low..=given.high).contains(&energy);
    rules
        .slip
        .iter()
        .filter(|slip| slip.on == "energy")
        .find_map(|rule| {
            let factor = rule.factor?;
            let by = [factor, 1.0 / factor]
                .into_iter()
                .find(|by| fits(kcal / by))?;
            Some(finding(
                case,
                rule,
                given.likely * by,
                None,
                Sureness::Certain,
            ))
        })
}

fn by_estimate(case: &Case<'_>, base: &Estimate, kcal: f64) -> Option<Finding> {
    let rules = &case.library.rules.review;
    // How far from the middle of such plates, 0 to 0.5.
    let off = |kcal: f64| (base.distribution(Nutrient::Energy).below(kcal) - 0.5).abs();
    if off(kcal) < 0.5 - rules.slip_far {
        return None;
    }
    candidates(case, base)
        .into_iter()
        .map(|slipped| (off(kcal / slipped.times[0]), slipped))
        .filter(|(off, _)| *off <= 0.5 - rules.slip_near)
        .filter_map(|(off, slipped)| Some((macros_agree(case, base, &slipped)?, off, slipped)))
        .max_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)))
        .map(|(sure, _, slipped)| {
            let energy = base.total(Nutrient::Energy).likely * slipped.times[0];
            finding(case, slipped.rule, energy, slipped.part, sure)
        })
}

/// How sure the written macros make a slip; none where they speak against it.
fn macros_agree(case: &Case<'_>, base: &Estimate, slipped: &Slipped<'_>) -> Option<Sureness> {
    let within = case.library.rules.review.slip_macros;
    let rounding = case.library.rules.review.rounding_g;
    let mut compared = 0;
    if !case.are_macros_zero() {
        for ((nutrient, grams), times) in case.macros().into_iter().zip(&slipped.times[1..]) {
            let Some(grams) = grams else { continue };
            let wanted = base.total(nutrient).likely * times;
            if wanted < 3.0 && grams < 3.0 {
                continue;
            }
            let ratio = (grams + rounding) / (wanted + rounding);
            if !(1.0 / within..=within).contains(&ratio) {
                return None;
            }
            compared += 1;
        }
    }
    Some(if compared >= 2 {
        Sureness::Likely
    } else {
        Sureness::Possible
    })
}

/// Every slip of the rules on this plate.
fn candidates<'a>(case: &Case<'a>, base: &Estimate) -> Vec<Slipped<'a>> {
    let library = case.library;
    let rows: Vec<&Row> = base
        .rows
        .iter()
        .filter(|row| row.component.chance >= library.rules.review.part_chance)
        .filter(|row| row.component.option.is_none() && row.grams.likely > 0.0)
        .collect();
    let mut all = Vec::new();
    for rule in &library.rules.review.slip {
        let plate = |times: [f64; 4]| Slipped {
            rule,
            times,
            part: None,
        };
        match (rule.on.as_str(), rule.factor) {
            ("energy", Some(by)) => {
                all.extend([by, 1.0 / by].map(|by| plate([by, 1.0, 1.0, 1.0])));
            }
            ("plate", Some(by)) => all.extend([by, 1.0 / by].map(|by| plate([by; 4]))),
            ("per-100g", _) => {
                let grams: f64 = rows.iter().map(|row| row.grams.likely).sum();
                if grams > 0.0 {
                    all.push(plate([100.0 / grams; 4]));
                }
            }
            ("cooked-yield", _) => all.extend(rows.iter().filter_map(|row| {
                let by = library.category(row.component.food?).cooked_yield?;
                Some(on_part(case, rule, base, row, by))
            })),
            ("piece-100g", _) => all.extend(rows.iter().filter_map(|row| {
                let count = row.component.count.filter(|count| *count >= 1.0)?;
                let by = 100.0 * count / row.grams.likely;
                Some(on_part(case, rule, base, row, by))
            })),
            _ => {}
        }
    }
    all
}

/// A slip in one part of the plate: the rest stays as it is.
fn on_part<'a>(
    case: &Case<'a>,
    rule: &'a SlipEntry,
    base: &Estimate,
    row: &Row,
    by: f64,
) -> Slipped<'a> {
    let times = [
        Nutrient::Energy,
        Nutrient::Protein,
        Nutrient::Fat,
        Nutrient::Carbohydrate,
    ]
    .map(|nutrient| {
        let (part, total) = (
            row.nutrients[nutrient as usize].likely,
            base.total(nutrient).likely,
        );
        if total > 0.0 {
            1.0 + (by - 1.0) * part / total
        } else {
            1.0
        }
    });
    Slipped {
        rule,
        times,
        part: Some(name(case.library, row)),
    }
}

fn finding(
    case: &Case<'_>,
    rule: &SlipEntry,
    slipped: f64,
    part: Option<String>,
    sure: Sureness,
) -> Finding {
    let mut blanks = case.energies();
    blanks.push(("slipped", case.about(slipped)));
    blanks.push(("parts", part.unwrap_or_default()));
    Finding {
        kind: rule.id.clone(),
        title: fill(&rule.title, &blanks),
        seen: fill(&rule.seen, &blanks),
        question: fill(&rule.question, &blanks),
        sure,
    }
}
