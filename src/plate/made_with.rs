//! What a thing is made with: "latte, oat milk" is an oat milk latte, not a latte and a milk beside it.
//!
//! Where the library knows the two together by a name, in any order of the words, they are that; where it does not, the
//! thing stays what it is and the figures of its own stand for both. Which things these are: `[[made_with]]` in the rules.

use crate::library::{FoodId, Library, Term, stems};
use crate::read::{Head, Item, Link, Span, Stance};

/// The items with everything that another is made with put into it, and what was assumed of those without a name.
pub fn merge(library: &Library, text: &str, items: Vec<Item>) -> (Vec<Item>, Vec<String>) {
    let mut merged: Vec<Item> = Vec::with_capacity(items.len());
    let mut assumed = Vec::new();
    for item in items {
        let mut before = merged.iter_mut().rev();
        let served = measured(library, &stems(&words(text, item.head_span)));
        let of = before
            .find(|one| one.group == item.group && !served && is_made_with(library, one, &item));
        let Some(of) = of else {
            merged.push(item);
            continue;
        };
        match together(library, text, of.head_span, item.head_span) {
            Some(head) => of.head = Some(head),
            None => {
                let (thing, with) = (words(text, of.head_span), words(text, item.head_span));
                assumed.push(format!(
                    "{with} is what the {thing} is made with; the figures are those of any {thing}"
                ));
            }
        }
    }
    (merged, assumed)
}

/// "A glass of milk" is a drink of its own.
fn measured(library: &Library, said: &[String]) -> bool {
    said.iter().any(|word| {
        let terms = library.vocabulary().find(word);
        terms.iter().any(|term| matches!(term, Term::Unit(_)))
    })
}

fn is_made_with(library: &Library, thing: &Item, item: &Item) -> bool {
    let plain = |item: &Item| item.stance == Stance::Plain && item.alternatives.is_empty();
    let joined = matches!(item.link, Link::With | Link::Comma | Link::Detail)
        && item.parts.is_empty()
        && item.amount.is_none()
        && !item.topped;
    let (Some(Head::Food(food)), Some(body)) = (item.head, body(library, thing)) else {
        return false;
    };
    joined
        && plain(thing)
        && plain(item)
        && library
            .rules
            .made_with
            .iter()
            .any(|rule| library.is_one_of(body, &rule.head) && library.is_one_of(food, &rule.food))
}

fn body(library: &Library, thing: &Item) -> Option<FoodId> {
    match thing.head? {
        Head::Food(food) => Some(food),
        Head::Dish(dish) => Some(library.dish(dish).slots.first()?.food),
        Head::Class(_) => None,
    }
}

/// What the library calls the two together: "latte with oat milk", "oat milk latte", "oat latte".
fn together(library: &Library, text: &str, thing: Span, with: Span) -> Option<Head> {
    let (thing, with) = (stems(&words(text, thing)), stems(&words(text, with)));
    let noun = &thing[thing.len().checked_sub(1)?..];
    let short = &with[..with.len().saturating_sub(1)];
    let joint = ["with".to_owned()];
    let nouns = if noun.len() < thing.len() {
        vec![&thing[..], noun]
    } else {
        vec![noun]
    };
    let mut names = nouns.iter().flat_map(|thing| {
        [
            [thing, &joint[..], &with[..]].concat(),
            [&with[..], thing].concat(),
            [short, thing].concat(),
        ]
    });
    names.find_map(|name| {
        let terms = library.vocabulary().find(&name.concat());
        terms.iter().find_map(|term| match term {
            Term::Food(food) => Some(Head::Food(*food)),
            Term::Dish(dish) => Some(Head::Dish(*dish)),
            _ => None,
        })
    })
}

fn words(text: &str, span: Span) -> String {
    let said = text.get(span.0..span.1).unwrap_or_default();
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}
