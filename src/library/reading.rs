//! Faults of the rules that say what words mean in their place.

use super::Library;
use super::check::{Finding, fault, is_kind};

/// Lists every id that is nowhere, and every list of weights that does not go with its options.
pub(super) fn check(library: &Library, found: &mut Vec<Finding>) {
    let rules = &library.rules;
    let mut say = |id: &str, message: String| found.push(fault("rules", id, message));
    for entry in &rules.either {
        let name = entry.words.first().map_or("either", String::as_str);
        for id in &entry.options {
            if library.find(id).is_none() {
                say(name, format!("its option `{id}` is no food or dish"));
            }
        }
        let weights = entry.when.iter().map(|when| &when.weights);
        let alone = Some(&entry.alone).filter(|alone| !alone.is_empty());
        for weights in weights.chain(alone) {
            let sound = weights
                .iter()
                .all(|weight| *weight >= 0.0 && weight.is_finite());
            if weights.len() != entry.options.len() || !sound || weights.iter().sum::<f64>() <= 0.0
            {
                say(
                    name,
                    format!(
                        "weights {weights:?} must be one for each of its {} options, at least one above 0",
                        entry.options.len()
                    ),
                );
            }
        }
    }
    for entry in &rules.stand_ins {
        let name = entry.words.first().map_or("stand_in", String::as_str);
        if library.find_food(&entry.food).is_none() {
            say(name, format!("`{}` is no food", entry.food));
        }
        let [low, likely, high] = entry.portion;
        if !(0.0 < low && low <= likely && likely <= high) {
            say(name, "its portion must rise and be above 0".to_owned());
        }
    }
    for entry in &rules.cuts {
        let [low, likely, high] = entry.whole;
        if !(0.0 < low && low <= likely && likely <= high) {
            let name = entry.nouns.first().map_or("cut", String::as_str);
            say(
                name,
                "the weight of a whole one must rise and be above 0".to_owned(),
            );
        }
    }
    for id in &rules.sold_for.two {
        if library.find(id).is_none() {
            say(id, "is no food and no dish".to_owned());
        }
    }
    for entry in &rules.words {
        if let Some(food) = &entry.food
            && library.find_food(food).is_none()
        {
            let name = entry.words.first().map_or("word", String::as_str);
            say(name, format!("`{food}` is no food"));
        }
    }
    let beside = rules
        .beside
        .iter()
        .flat_map(|rule| rule.food.iter().chain(&rule.not));
    let replaced = rules.replaces.iter();
    let replaced = replaced.flat_map(|rule| rule.head.iter().chain(&rule.food).chain(&rule.within));
    let bases = rules.stand_ins.iter().flat_map(|entry| &entry.instead_of);
    let cuts = rules.cuts.iter().flat_map(|entry| &entry.of);
    let made = rules.made_with.iter();
    let made = made.flat_map(|entry| entry.head.iter().chain(&entry.food));
    let headings = rules.headings.iter().flat_map(|entry| &entry.of);
    for kind in (beside.chain(replaced).chain(bases).chain(cuts))
        .chain(made)
        .chain(headings)
    {
        if !is_kind(library, kind) {
            say(kind, "is no category, group or food".to_owned());
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Library, Overlay};

    #[test]
    fn weights_that_do_not_go_with_the_options_are_a_fault() {
        let overlay = Overlay {
            name: "mine.toml".to_owned(),
            text: "[[either]]\nwords = [\"biscuit\"]\noptions = [\"nowhere\", \"cookie\"]\nalone = [1.0]\n"
                .to_owned(),
        };
        let library = Library::with_overlays(&[overlay]).unwrap();
        let mut found = Vec::new();
        super::check(&library, &mut found);
        let of_it: Vec<_> = found.iter().filter(|one| one.id == "biscuit").collect();
        assert!(of_it.iter().any(|one| one.message.contains("`nowhere`")));
        assert!(
            of_it
                .iter()
                .any(|one| one.message.contains("one for each of its 2"))
        );
    }
}
