use super::*;
use crate::{Library, PlateOptions, estimate_text};
use jiff::civil::date;

fn meal(at: Date, text: &str, place: Option<&str>) -> Meal {
    let library = Library::embedded();
    let estimate = estimate_text(&library, text, &PlateOptions::default()).expect("is read");
    Meal::estimated(1, at, place.map(str::to_owned), &estimate)
}

fn recorded(at: Date, kcal: f64) -> Meal {
    let mut figures = [None; 6];
    figures[0] = Some(kcal);
    Meal::recorded(1, at, String::new(), figures)
}

#[test]
fn likely_values_add_and_ends_do_not() {
    let monday = date(2026, 3, 2);
    let (a, b) = (
        meal(monday, "mushroom risotto", None),
        meal(monday, "cod, mashed potatoes, peas", None),
    );
    let (one, two) = (sum(&[&a])[0].unwrap(), sum(&[&b])[0].unwrap());
    let both = sum(&[&a, &b])[0].unwrap();
    assert!((both.likely - one.likely - two.likely).abs() < 1e-6 * both.likely);
    assert!(
        both.low > one.low + two.low,
        "the low ends of two meals seldom fall together"
    );
    assert!(both.high < one.high + two.high);
}

#[test]
fn the_range_of_a_sum_is_that_of_the_summed_variances() {
    let monday = date(2026, 3, 2);
    let (a, b) = (
        meal(monday, "lasagne", None),
        meal(monday, "lentil soup", None),
    );
    let (mean, variance) = [&a, &b]
        .iter()
        .map(|meal| meal.moments[0].unwrap())
        .fold((0.0, 0.0), |sum, one| (sum.0 + one.0, sum.1 + one.1));
    let by_hand = Range::of(&Distribution::mixture([(1.0, mean, variance)]));
    assert_eq!(sum(&[&a, &b])[0].unwrap(), by_hand);
}

#[test]
fn one_place_serves_alike_on_all_its_days() {
    let days = [date(2026, 3, 2), date(2026, 3, 3)];
    let at = |place: [Option<&str>; 2]| {
        let meals: Vec<Meal> = days
            .iter()
            .zip(place)
            .map(|(day, place)| meal(*day, "lasagne, side salad", place))
            .collect();
        sum(&meals.iter().collect::<Vec<_>>())[0].unwrap()
    };
    let apart = at([None, None]);
    let same = at([Some("The Copper Ladle"), Some("The Copper Ladle")]);
    let other = at([Some("The Copper Ladle"), Some("Hill Street Table")]);
    assert!(same.width() > 1.02 * apart.width(), "{same:?} {apart:?}");
    assert_eq!(apart, other);
    assert!((same.likely - apart.likely).abs() < 1e-6);
}

#[test]
fn recorded_figures_are_exact_and_what_they_do_not_state_is_not_known() {
    let monday = date(2026, 3, 2);
    let day = sum(&[&recorded(monday, 450.0), &recorded(monday, 250.0)]);
    let energy = day[0].unwrap();
    assert!((energy.low - 700.0).abs() < 1e-3 && (energy.high - 700.0).abs() < 1e-3);
    assert_eq!(day[1], None);
}

#[test]
fn a_recorded_zero_is_zero() {
    let energy = sum(&[&recorded(date(2026, 3, 2), 0.0)])[0].unwrap();
    assert_eq!((energy.low, energy.likely, energy.high), (0.0, 0.0, 0.0));
}

#[test]
fn days_without_a_record_are_not_zero() {
    let tally = tally(&[
        recorded(date(2026, 3, 6), 600.0),
        recorded(date(2026, 3, 2), 500.0),
    ]);
    assert_eq!(tally.days.len(), 3);
    let gap = Stretch::NotRecorded(date(2026, 3, 3), date(2026, 3, 5));
    assert_eq!(tally.days[1], gap);
    let week = &tally.weeks[0];
    assert_eq!((week.recorded, week.meals), (2, 2));
    assert!((week.per_day[0].unwrap().likely - 550.0).abs() < 1e-6);
}

#[test]
fn weeks_run_from_monday_to_sunday_across_the_year() {
    // ISO 8601: 2024-12-30 is the Monday of 2025-W01.
    let tally = tally(&[
        recorded(date(2024, 12, 29), 1.0),
        recorded(date(2024, 12, 30), 2.0),
        recorded(date(2025, 1, 5), 3.0),
        recorded(date(2025, 1, 6), 4.0),
    ]);
    let weeks: Vec<(&str, Date, Date, usize)> = tally
        .weeks
        .iter()
        .map(|week| (week.name.as_str(), week.from, week.to, week.meals))
        .collect();
    assert_eq!(
        weeks,
        [
            ("2024-W52", date(2024, 12, 23), date(2024, 12, 29), 1),
            ("2025-W01", date(2024, 12, 30), date(2025, 1, 5), 2),
            ("2025-W02", date(2025, 1, 6), date(2025, 1, 12), 1),
        ]
    );
}

#[test]
fn nothing_adds_up_to_nothing() {
    assert_eq!(tally(&[]), Tally::default());
}

#[test]
fn the_first_and_last_days_that_can_be_written_are_no_panic() {
    let tally = tally(&[recorded(Date::MIN, 1.0), recorded(Date::MAX, 1.0)]);
    assert_eq!((tally.days.len(), tally.weeks.len()), (3, 2));
}
