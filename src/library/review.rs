//! The rules of `[review]` and `[eye]`, and what they must hold before anything relies on them.

use super::schema::{EyeEntry, ReviewEntry, TailEntry, Triple};
use super::{LibraryError, Rules};

/// The kinds of finding that need a wording.
const KINDS: [&str; 12] = [
    "energy-above-macros",
    "energy-below-macros",
    "macros-zero",
    "macros-missing",
    "energy-missing",
    "energy-low",
    "energy-high",
    "macro-low",
    "macro-high",
    "parts-named",
    "parts-implied",
    "only-meat",
];

/// What may stand in braces in a wording.
const BLANKS: [&str; 12] = [
    "energy", "macros", "given", "gap", "come_to", "likely", "standing", "parts", "nutrient",
    "grams", "range", "slipped",
];

/// What a slip of units may act on.
const SLIPS: [&str; 5] = ["energy", "plate", "per-100g", "cooked-yield", "piece-100g"];

/// What a figure of a record may be.
const FIGURES: [&str; 6] = ["kcal", "kj", "protein", "fat", "carbohydrate", "alcohol"];

/// Lays a file's own over what is there, each as a whole.
///
/// # Errors
/// [`LibraryError::OutOfRange`] with the first number or wording that cannot be.
pub(super) fn lay(
    rules: &mut Rules,
    file: &str,
    review: Option<ReviewEntry>,
    eye: Option<EyeEntry>,
) -> Result<(), LibraryError> {
    let fault = |id: &str, what: String| LibraryError::OutOfRange {
        file: file.to_owned(),
        id: id.to_owned(),
        what,
    };
    if let Some(review) = review {
        check_numbers(&review)
            .and_then(|()| check_slips(&review))
            .and_then(|()| check_wordings(&review))
            .map_err(|what| fault("review", what))?;
        rules.review = review;
    }
    if let Some(eye) = eye {
        check_eye(&eye).map_err(|what| fault("eye", what))?;
        rules.eye = eye;
    }
    Ok(())
}

fn check_numbers(rules: &ReviewEntry) -> Result<(), String> {
    let factors = &rules.factors;
    let all: [(&str, Triple); 4] = [
        ("protein", factors.protein),
        ("fat", factors.fat),
        ("carbohydrate", factors.carbohydrate),
        ("alcohol", factors.alcohol),
    ];
    for (name, [low, general, high]) in all {
        if !(low > 0.0 && low <= general && general <= high && high < 20.0) {
            return Err(format!(
                "`factors.{name}` = [{low}, {general}, {high}] must be three rising kcal per g"
            ));
        }
    }
    for (name, TailEntry { possible, likely }) in [
        ("energy_tail", &rules.energy_tail),
        ("macro_tail", &rules.macro_tail),
    ] {
        if !(*likely > 0.0 && likely <= possible && *possible < 0.5) {
            return Err(format!(
                "`{name}` must have 0 < likely <= possible < 0.5; it has likely = {likely}, possible = {possible}"
            ));
        }
    }
    for (name, share) in [("slip_far", rules.slip_far), ("slip_near", rules.slip_near)] {
        if !(share > 0.0 && share < 0.5) {
            return Err(format!("`{name}` = {share} must lie between 0 and 0.5"));
        }
    }
    if !(rules.slip_macros >= 1.0 && rules.slip_macros.is_finite()) {
        return Err(format!(
            "`slip_macros` = {} is a factor; give 1 or more",
            rules.slip_macros
        ));
    }
    for (name, value) in [
        ("fibre_kcal", rules.fibre_kcal),
        ("rounding_g", rules.rounding_g),
        ("rounding_kcal", rules.rounding_kcal),
        ("macro_slack", rules.macro_slack),
        ("slack", rules.slack),
        ("part_chance", rules.part_chance),
        ("part_kcal", rules.part_kcal),
    ] {
        if !(value >= 0.0 && value.is_finite()) {
            return Err(format!("`{name}` = {value} must be 0 or more"));
        }
    }
    Ok(())
}

fn check_slips(rules: &ReviewEntry) -> Result<(), String> {
    for slip in &rules.slip {
        if !SLIPS.contains(&slip.on.as_str()) {
            return Err(format!(
                "slip `{}` is `on` \"{}\"; choose one of {}",
                slip.id,
                slip.on,
                SLIPS.join(", ")
            ));
        }
        let is_fixed = matches!(slip.on.as_str(), "energy" | "plate");
        let is_sound = slip
            .factor
            .is_some_and(|factor| factor > 1.0 && factor.is_finite());
        if is_fixed && !is_sound {
            return Err(format!("slip `{}` needs a `factor` above 1", slip.id));
        }
    }
    match rules
        .figure
        .iter()
        .find(|figure| !FIGURES.contains(&figure.of.as_str()))
    {
        Some(figure) => Err(format!(
            "a `[[review.figure]]` is `of` \"{}\"; choose one of {}",
            figure.of,
            FIGURES.join(", ")
        )),
        None => Ok(()),
    }
}

fn check_wordings(rules: &ReviewEntry) -> Result<(), String> {
    if let Some(kind) = KINDS
        .iter()
        .find(|kind| !rules.wording.contains_key(**kind))
    {
        return Err(format!("there is no `[review.wording.{kind}]`"));
    }
    let findings = rules.wording.iter().flat_map(|(kind, wording)| {
        [&wording.title, &wording.seen, &wording.question].map(|text| (kind, text))
    });
    let slips = rules
        .slip
        .iter()
        .flat_map(|slip| [&slip.title, &slip.seen, &slip.question].map(|text| (&slip.id, text)));
    for (kind, text) in findings.chain(slips) {
        let unknown = text
            .split('{')
            .skip(1)
            .map(|rest| rest.split('}').next().unwrap_or(rest))
            .find(|blank| !BLANKS.contains(blank));
        if let Some(blank) = unknown {
            return Err(format!(
                "the wording of `{kind}` has `{{{blank}}}`; it may have {}",
                BLANKS.join(", ")
            ));
        }
    }
    Ok(())
}

fn check_eye(rules: &EyeEntry) -> Result<(), String> {
    for (name, value) in [
        ("published_cv", rules.published_cv),
        ("scatter_strength", rules.scatter_strength),
        ("bias_sigma", rules.bias_sigma),
        ("good_eye", rules.good_eye),
        ("level", rules.level),
    ] {
        if !(value > 0.0 && value.is_finite()) {
            return Err(format!("`{name}` = {value} must be above 0"));
        }
    }
    Ok(())
}
