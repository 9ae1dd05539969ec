//! Meals added up to days and weeks, with ranges that add properly.
//!
//! - Likely values add. Low and high do not: means and variances add, and the range is that of a lognormal of that mean and
//!   variance. What was recorded by weight or from a label is taken as it is and adds no variance.
//! - Meals are independent of each other, within a day and between days, with one exception: where the diary says that two were had
//!   at the same `place`, that house's portion size and its kitchen's hand with fat are one draw for both, whichever day it was,
//!   so that their variances add with the covariance that this makes.
//! - A day without a record is not recorded. It is never 0, and is left out of a week's mean per day.
//! - A nutrient that one of the meals does not state is not known for the day or week: no cell, rather than too small a figure.

mod diary;

pub use diary::{Diary, DiaryError, Fault, read_diary};

use crate::estimate::{Distribution, Estimate, Nutrient, Range};
use jiff::civil::{Date, Weekday};

/// What a record adds to each nutrient.
#[derive(Debug, Clone, PartialEq)]
pub struct Meal {
    /// Line of the diary.
    pub line: u64,
    /// The day.
    pub date: Date,
    /// Its words, or none for bare figures.
    pub text: String,
    /// Where it was had.
    pub place: Option<String>,
    /// (mean, variance) by [`Nutrient::ALL`]; none where it is not known.
    moments: [Option<(f64, f64)>; 6],
    /// By component: σ shared with the place, and means by nutrient.
    parts: Vec<([f64; 2], [f64; 6])>,
}

impl Meal {
    /// An estimated meal.
    pub fn estimated(line: u64, date: Date, place: Option<String>, estimate: &Estimate) -> Meal {
        let moments = Nutrient::ALL.map(|nutrient| {
            let of = estimate.distribution(nutrient);
            Some((of.mean(), of.variance()))
        });
        let parts = estimate.rows.iter().map(|row| {
            let means = Nutrient::ALL.map(|nutrient| row.nutrients[nutrient as usize].likely);
            (row.shared, means)
        });
        Meal {
            line,
            date,
            text: estimate.text.clone(),
            place,
            moments,
            parts: parts.collect(),
        }
    }

    /// Recorded figures by [`Nutrient::ALL`], taken as they are.
    pub fn recorded(line: u64, date: Date, text: String, figures: [Option<f64>; 6]) -> Meal {
        Meal {
            line,
            date,
            text,
            place: None,
            moments: figures.map(|figure| figure.map(|mean| (mean, 0.0))),
            parts: Vec::new(),
        }
    }

    /// The covariance of two meals of one nutrient: 0 unless they were had at the same place.
    fn covariance(&self, other: &Meal, nutrient: Nutrient) -> f64 {
        if self.place.is_none() || self.place != other.place {
            return 0.0;
        }
        let mut sum = 0.0;
        for (mine, means) in &self.parts {
            for (theirs, others) in &other.parts {
                let shared = mine[0] * theirs[0] + mine[1] * theirs[1];
                sum += means[nutrient as usize] * others[nutrient as usize] * shared.exp_m1();
            }
        }
        sum
    }
}

/// Energy and macros by [`Nutrient::ALL`]; none where one of the meals does not say.
pub type Totals = [Option<Range>; 6];

/// The sum of meals.
pub fn sum(meals: &[&Meal]) -> Totals {
    Nutrient::ALL.map(|nutrient| {
        let (mut mean, mut variance) = (0.0, 0.0);
        for (at, meal) in meals.iter().enumerate() {
            let (own_mean, own_variance) = meal.moments[nutrient as usize]?;
            mean += own_mean;
            variance += own_variance;
            for other in &meals[..at] {
                variance += 2.0 * meal.covariance(other, nutrient);
            }
        }
        Some(Range::of(&Distribution::mixture([(1.0, mean, variance)])))
    })
}

/// A recorded day, or days in a row that are not.
#[derive(Debug, Clone, PartialEq)]
pub enum Stretch {
    /// A recorded day.
    Day(Day),
    /// The first and the last of days without a record.
    NotRecorded(Date, Date),
}

/// A recorded day.
#[derive(Debug, Clone, PartialEq)]
pub struct Day {
    /// Which.
    pub date: Date,
    /// How many meals.
    pub meals: usize,
    /// Their sum.
    pub total: Totals,
}

/// A week with at least one recorded day: Monday to Sunday, as ISO 8601 counts them.
#[derive(Debug, Clone, PartialEq)]
pub struct Week {
    /// "2026-W10".
    pub name: String,
    /// Its Monday.
    pub from: Date,
    /// Its Sunday.
    pub to: Date,
    /// How many of its days are recorded.
    pub recorded: usize,
    /// How many meals.
    pub meals: usize,
    /// The sum over its recorded days.
    pub total: Totals,
    /// The mean of a recorded day.
    pub per_day: Totals,
}

/// Days and weeks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Tally {
    /// From the first recorded day to the last.
    pub days: Vec<Stretch>,
    /// Weeks with a record.
    pub weeks: Vec<Week>,
}

/// Adds meals up; their order does not matter.
pub fn tally(meals: &[Meal]) -> Tally {
    let mut sorted: Vec<&Meal> = meals.iter().collect();
    sorted.sort_by_key(|meal| (meal.date, meal.line));
    let mut tally = Tally::default();
    let mut last: Option<Date> = None;
    for of_day in sorted.chunk_by(|a, b| a.date == b.date) {
        let date = of_day[0].date;
        if let Some((from, to)) = last.and_then(|last| between(last, date)) {
            tally.days.push(Stretch::NotRecorded(from, to));
        }
        last = Some(date);
        tally.days.push(Stretch::Day(Day {
            date,
            meals: of_day.len(),
            total: sum(of_day),
        }));
    }
    for of_week in sorted.chunk_by(|a, b| monday(a.date) == monday(b.date)) {
        tally.weeks.push(week(of_week));
    }
    tally
}

/// The days between two, where there are any.
fn between(last: Date, next: Date) -> Option<(Date, Date)> {
    let (from, to) = (last.tomorrow().ok()?, next.yesterday().ok()?);
    (from <= to).then_some((from, to))
}

/// The Monday of a date's week.
fn monday(date: Date) -> Date {
    let week = date.iso_week_date();
    jiff::civil::ISOWeekDate::new(week.year(), week.week(), Weekday::Monday)
        .map_or(date, |monday| monday.date())
}

fn week(meals: &[&Meal]) -> Week {
    let date = meals[0].date;
    let iso = date.iso_week_date();
    let from = monday(date);
    let sunday = jiff::civil::ISOWeekDate::new(iso.year(), iso.week(), Weekday::Sunday);
    let recorded = meals.chunk_by(|a, b| a.date == b.date).count();
    let total = sum(meals);
    Week {
        name: format!("{}-W{:02}", iso.year(), iso.week()),
        from,
        to: sunday.map_or(date, |sunday| sunday.date()),
        recorded,
        meals: meals.len(),
        total,
        per_day: total.map(|range| range.map(|range| range.times(1.0 / recorded as f64))),
    }
}

#[cfg(test)]
mod tests;
