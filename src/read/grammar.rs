//! The text as a whole: dishes, clauses, remarks.
//!
//! ```text
//! text     = statement { [ mark | connector ] statement }
//! statement= remark | swap | choice | negation | portions | tail | item
//! portions = "for" number [ "people" ]
//! tail     = "(" amount ")"                              at the end of a line: of its first thing, or of the last
//! swap     = "swap" phrase "for" phrase | "sub" phrase [ "for" phrase ]
//! choice   = "choice of" [ number ] ( class | phrase { ( "," | "or" ) phrase } )
//! negation = ( "no" | "without" | "hold" ) phrase { ( "or" | "and" ) phrase }
//! item     = [ "extra" | "light on" ] phrase { "or" phrase }
//!            [ "on the side" | "left off" | "instead of" phrase | "swapped for" phrase ]
//! ```
//!
//! A new line or the end of a sentence starts a new dish, unless what follows goes on with "with", "no" or an amount.

use super::amount::{enclosed, ends_line, portions};
use super::phrase::{Phrase, is_price, phrase, pieces};
use super::remark::remark;
use super::segment::{Tag, TagKind};
use super::syntax::{Head, Item, Link, Meal, NotUnderstood, Remark, Span, Stance};
use super::tags::{Tags, class, does_word, is_food, size, word_value};
use crate::library::{Library, Term, stems};

/// Reads the tags of a text. Every unknown word ends up in `not_understood`.
pub fn meal(library: &Library, text: &str, tags: &[Tag]) -> Meal {
    let mut reader = Reader {
        library,
        text,
        meal: Meal::default(),
        link: Link::Start,
        group: 0,
        fresh: true,
        afterword: false,
        topped: false,
        brackets: Vec::new(),
        named_by_remark: None,
    };
    let mut rest = Tags { tags, library };
    while !rest.tags.is_empty() {
        let before = rest.tags.len();
        rest = reader.statement(rest);
        if rest.tags.len() == before {
            rest = reader.skip(rest);
        }
    }
    reader.drop_what_is_named_again();
    reader.meal.words = tags
        .iter()
        .filter(|tag| {
            matches!(tag.kind, TagKind::Unknown)
                || is_food(tag)
                || super::tags::preparation(tag).is_some()
        })
        .count();
    reader.meal
}

struct Reader<'a> {
    library: &'a Library,
    text: &'a str,
    meal: Meal,
    link: Link,
    group: usize,
    /// Whether the present dish has no item yet.
    fresh: bool,
    /// Whether the next item is the first behind a semicolon.
    afterword: bool,
    /// Whether the connector just read says that what follows lies on top or inside.
    topped: bool,
    /// Links to go back to behind closing brackets.
    brackets: Vec<Link>,
    /// Index of the item that only a remark at the start has named so far.
    named_by_remark: Option<usize>,
}

impl<'a> Reader<'a> {
    fn statement(&mut self, tags: Tags<'a>) -> Tags<'a> {
        let Some(tag) = tags.first() else { return tags };
        match tag.kind {
            TagKind::Break => {
                self.fresh = true;
                self.link = Link::Start;
                self.afterword = &self.text[tag.start..tag.end] == ";";
                return tags.skip(1);
            }
            TagKind::Comma | TagKind::Slash => {
                self.set_link(Link::Comma);
                return tags.skip(1);
            }
            TagKind::Colon => {
                self.set_link(Link::Detail);
                return tags.skip(1);
            }
            TagKind::Open => {
                if let Ok((rest, amount)) = enclosed(tags) {
                    if ends_line(tags)
                        && self
                            .meal
                            .items
                            .last()
                            .is_some_and(|item| item.head.is_some())
                    {
                        let mut item = Item::new(Link::Detail, self.group);
                        item.amount = Some(amount);
                        item.span = (tag.start, rest.end_before(tags));
                        self.meal.items.push(item);
                        return rest;
                    }
                    if let Some(item) = self
                        .meal
                        .items
                        .iter_mut()
                        .rev()
                        .find(|item| item.stance != Stance::Absent)
                        .filter(|item| item.amount.is_none())
                    {
                        item.amount = Some(amount);
                    }
                    return rest;
                }
                self.brackets.push(self.link);
                self.set_link(Link::Detail);
                return tags.skip(1);
            }
            TagKind::Close => {
                self.link = self.brackets.pop().unwrap_or(Link::Comma);
                if !self.meal.items.is_empty() {
                    self.link = Link::Comma;
                }
                return tags.skip(1);
            }
            _ => {}
        }
        if !self.meal.items.is_empty() && self.link != Link::Start && is_price(tags) {
            self.count_first(tags);
            return tags.skip(1);
        }
        if let Ok((rest, said)) = remark(tags, self.text) {
            self.remark(said.remark, said.target, said.names);
            return rest;
        }
        let does = |does: &str| does_word(tag, self.library, does);
        // "sub" is a sandwich too: it is the verb where it goes on "… for …".
        if (does("swap") || does("sub"))
            && let Some(rest) = self.swap(tags, does("sub"))
        {
            return rest;
        }
        if does("as-served") && !is_food(tag) {
            let last = self.meal.items.last_mut();
            if let Some(amount) = last.and_then(|item| item.amount.as_mut()) {
                amount.cooked = true;
                return tags.skip(1);
            }
        }
        if does("choice") && !is_food(tag) {
            return self.choice(tags.skip(1), 1);
        }
        if !self.meal.items.is_empty()
            && let Some((at, number)) = several_of_a_kind(tags)
        {
            // "Two sides: beans and slaw" names them; "two sides" leaves open which they were.
            let rest = tags.skip(at + 1);
            let line = rest
                .tags
                .iter()
                .take_while(|tag| tag.kind != TagKind::Break);
            if line.filter(|tag| is_food(tag)).count() >= number {
                self.set_link(Link::With);
                return rest;
            }
            return self.choice(tags.skip(at), number);
        }
        if does("without") && !is_food(tag) {
            return self.negation(tags);
        }
        if does("instead") {
            return self.instead(tags.skip(1));
        }
        if does("swapped") {
            return self.swapped(tags.skip(1));
        }
        if does("aside") {
            if let Some(item) = self.meal.items.last_mut() {
                item.stance = Stance::Aside;
            }
            return tags.skip(1);
        }
        if (does("extra") || does("light")) && !is_food(tag) {
            let stance = if does("extra") {
                Stance::Extra
            } else {
                Stance::Light
            };
            let link = if self.meal.items.is_empty() {
                self.link
            } else {
                Link::With
            };
            return match phrase(tags.skip(1), link, self.group) {
                Ok((rest, found)) => {
                    self.push(found, stance);
                    rest
                }
                Err(_) => tags.skip(1),
            };
        }
        if does("for")
            && let Some((rest, amount)) = portions(tags.skip(1))
        {
            let mut item = Item::new(Link::Comma, self.group);
            item.amount = Some(amount);
            item.span = (tag.start, rest.end_before(tags));
            self.meal.items.push(item);
            return rest;
        }
        for (word, link) in [
            ("with", Link::With),
            ("on", Link::On),
            ("in", Link::In),
            ("and", Link::And),
        ] {
            if does(word) && !is_food(tag) {
                self.set_link(link);
                self.topped = does("topped");
                self.bring(tag);
                return tags.skip(1);
            }
        }
        if does("or") {
            return self.alternative(tags.skip(1));
        }
        match phrase(tags, self.link, self.group) {
            Ok((rest, found)) => {
                self.push(found, Stance::Plain);
                rest
            }
            Err(_) => tags,
        }
    }

    /// "A la mode", "on white": a connector that names what it joins.
    fn bring(&mut self, tag: &Tag) {
        let rules = &self.library.rules;
        let food = tag.terms().iter().find_map(|term| match term {
            Term::Word(word) => rules.words[*word].food.as_deref(),
            _ => None,
        });
        if let Some(food) = food.and_then(|id| self.library.find_food(id)) {
            let mut item = Item::new(self.link, self.group);
            item.head = Some(Head::Food(food));
            item.span = (tag.start, tag.end);
            item.head_span = item.span;
            let found = Phrase {
                item,
                unknown: Vec::new(),
                free_of: Vec::new(),
            };
            self.push(found, Stance::Plain);
        }
    }

    /// A tag that begins nothing: grammar words are dropped, unknown words reported.
    fn skip(&mut self, tags: Tags<'a>) -> Tags<'a> {
        if let Some(tag) = tags.first()
            && tag.kind == TagKind::Unknown
        {
            self.unknown((tag.start, tag.end), None);
        }
        tags.skip(1)
    }

    /// A connector that opens a line goes on with the dish before; stronger links win over commas and "and".
    fn set_link(&mut self, link: Link) {
        self.topped = false;
        if self.fresh
            && matches!(link, Link::With | Link::On | Link::In)
            && !self.meal.items.is_empty()
        {
            self.fresh = false;
        }
        self.link = match (self.link, link) {
            (Link::With | Link::On | Link::In, Link::Comma | Link::And) if !self.fresh => self.link,
            (Link::Start, Link::Comma | Link::And | Link::Detail) if self.fresh => Link::Start,
            (Link::Detail, Link::Comma | Link::And) => Link::Detail,
            _ => link,
        };
    }

    fn push(&mut self, found: Phrase, stance: Stance) {
        let Phrase {
            mut item,
            unknown,
            free_of,
        } = found;
        item.stance = stance;
        let index = self.meal.items.len();
        let empty = item.head.is_none() && item.parts.is_empty();
        for span in unknown {
            self.unknown(span, (!empty).then_some(index));
        }
        for head in free_of {
            let mut absent = Item::new(Link::With, self.group);
            absent.head = Some(head);
            absent.stance = Stance::Absent;
            self.meal.items.push(absent);
        }
        if empty && item.sizes.is_empty() && item.amount.is_none() && item.preparations.is_empty() {
            return;
        }
        if self.fresh && item.head.is_some() {
            let goes_on = matches!(self.link, Link::With | Link::On | Link::In);
            if !goes_on && !self.meal.items.is_empty() {
                self.group += 1;
            }
            self.fresh = false;
            item.link = if goes_on { self.link } else { Link::Start };
        } else {
            item.link = self.link;
        }
        item.group = self.group;
        item.afterword = std::mem::take(&mut self.afterword);
        item.topped = std::mem::take(&mut self.topped);
        self.meal.items.push(item);
        // What follows without a connector is a list; a detail list stays one until the dish ends.
        self.link = match self.link {
            Link::Detail => Link::Detail,
            _ => Link::Comma,
        };
    }

    /// "Meatball, 1", "fish tacos with slaw, 3": a bare number behind a comma counts the first thing of the line, where
    /// that is served by pieces.
    fn count_first(&mut self, tags: Tags<'a>) {
        let Some(tag) = tags.first() else { return };
        // "wings | 12" is a column of prices.
        if !self.text[..tag.start].trim_end().ends_with(',') {
            return;
        }
        let group = self.group;
        let mut items = self.meal.items.iter_mut();
        if let Some(first) = items.find(|item| item.group == group)
            && first.amount.is_none()
            && let Some(head) = first.head
        {
            first.amount = pieces(head, first.plural, tag, tags);
        }
    }

    fn unknown(&mut self, span: Span, item: Option<usize>) {
        let text = self.text[span.0..span.1].to_owned();
        let nearest = self.library.nearest(&text, 3);
        self.meal.not_understood.push(NotUnderstood {
            text,
            span,
            nearest,
            item,
        });
    }

    fn negation(&mut self, tags: Tags<'a>) -> Tags<'a> {
        let mut rest = tags.skip(1);
        let before = self.meal.items.len();
        loop {
            if let Some(class) = rest.first().filter(|tag| !is_food(tag)).and_then(class) {
                let tag = &rest.tags[0];
                let mut item = Item::new(Link::With, self.group);
                item.head = Some(Head::Class(class));
                item.stance = Stance::Absent;
                item.span = (tag.start, tag.end);
                self.meal.items.push(item);
                rest = rest.skip(1);
                if self.list_goes_on(rest) {
                    rest = rest.skip(1);
                    continue;
                }
                break;
            }
            let Ok((after, found)) = phrase(rest, Link::With, self.group) else {
                break;
            };
            if found.item.head.is_none() && found.item.parts.is_empty() {
                break;
            }
            let mut item = found.item;
            for span in found.unknown {
                self.unknown(span, None);
            }
            item.stance = Stance::Absent;
            item.link = Link::With;
            self.meal.items.push(item);
            rest = after;
            let goes_on = self.list_goes_on(rest);
            if !goes_on {
                break;
            }
            rest = rest.skip(1);
        }
        if self.meal.items.len() == before {
            // "pickles left off": nothing follows, so it is said of what went before.
            if let Some(item) = self.meal.items.last_mut()
                && rest.first().is_none_or(|tag| {
                    matches!(tag.kind, TagKind::Comma | TagKind::Break | TagKind::Close)
                })
            {
                item.stance = Stance::Absent;
            }
        }
        self.link = Link::Comma;
        rest
    }

    /// Whether "or", "and" or a slash goes on with another thing that is not there.
    fn list_goes_on(&self, rest: Tags<'a>) -> bool {
        let joins = |tag: &Tag| {
            does_word(tag, self.library, "or")
                || does_word(tag, self.library, "and")
                || tag.kind == TagKind::Slash
        };
        rest.first().is_some_and(joins)
            && rest
                .tags
                .get(1)
                .is_some_and(|next| is_food(next) || class(next).is_some())
    }

    fn instead(&mut self, tags: Tags<'a>) -> Tags<'a> {
        if let Some(last) = self.meal.items.last_mut() {
            last.substitute = true;
        }
        self.absent(tags)
    }

    /// A phrase that is not there.
    fn absent(&mut self, tags: Tags<'a>) -> Tags<'a> {
        match phrase(tags, Link::With, self.group) {
            Ok((rest, found)) => {
                let mut item = found.item;
                item.stance = Stance::Absent;
                item.soft = true;
                for span in found.unknown {
                    self.unknown(span, None);
                }
                self.meal.items.push(item);
                rest
            }
            Err(_) => tags,
        }
    }

    fn swapped(&mut self, tags: Tags<'a>) -> Tags<'a> {
        if let Some(last) = self.meal.items.last_mut() {
            last.stance = Stance::Absent;
            last.soft = true;
        }
        match phrase(tags, Link::With, self.group) {
            Ok((rest, mut found)) => {
                found.item.substitute = true;
                self.link = Link::With;
                self.push(found, Stance::Plain);
                rest
            }
            Err(_) => tags,
        }
    }

    /// "swap fries for a salad", "sub salad for fries".
    fn swap(&mut self, tags: Tags<'a>, sub: bool) -> Option<Tags<'a>> {
        let (rest, mut first) = phrase(tags.skip(1), Link::With, self.group).ok()?;
        first.item.head?;
        let goes_for = rest.first().is_some_and(|tag| {
            does_word(tag, self.library, "for") || does_word(tag, self.library, "with")
        });
        let second = if goes_for {
            phrase(rest.skip(1), Link::With, self.group).ok()
        } else {
            None
        };
        let (rest, second) = match second {
            Some((after, second)) => (after, Some(second)),
            None => (rest, None),
        };
        if second.is_none() && (!sub || tags.first().is_some_and(is_food)) {
            return None;
        }
        self.link = Link::With;
        let (mut gone, mut come) = match second {
            Some(second) if sub => (Some(second), first),
            Some(second) => (Some(std::mem::replace(&mut first, second)), first),
            None => (None, first),
        };
        come.item.substitute = true;
        if let Some(gone) = gone.as_mut() {
            let mut item = gone.item.clone();
            item.stance = Stance::Absent;
            item.soft = true;
            item.group = self.group;
            self.meal.items.push(item);
        }
        self.push(come, Stance::Plain);
        Some(rest)
    }

    /// "choice of two sides", "choice of fries, slaw or salad".
    fn choice(&mut self, tags: Tags<'a>, picks: usize) -> Tags<'a> {
        let mut rest = tags;
        let mut picks = picks;
        if let Some(tag) = rest.first() {
            let number = match tag.kind {
                TagKind::Number { low, .. } => Some(low),
                _ => word_value(tag, self.library, "number").map(|value| value[1]),
            };
            if let Some(number) = number {
                picks = (number as usize).clamp(1, 6);
                rest = rest.skip(1);
            }
        }
        while rest.first().is_some_and(|tag| {
            !is_food(tag)
                && (does_word(tag, self.library, "of")
                    || does_word(tag, self.library, "filler") && class(tag).is_none())
        }) {
            rest = rest.skip(1);
        }
        let link = if self.meal.items.is_empty() {
            Link::Start
        } else {
            Link::With
        };
        // "two sides" names the kind; "fries or slaw" names the members.
        if let Some(class) = rest.first().and_then(class) {
            let single = rest
                .tags
                .get(1)
                .is_none_or(|next| !does_word(next, self.library, "or"));
            if single && !rest.tags.get(1).is_some_and(is_food) {
                let tag = &rest.tags[0];
                let mut item = Item::new(link, self.group);
                item.head = Some(Head::Class(class));
                item.picks = picks;
                item.chosen = true;
                item.span = (tag.start, tag.end);
                self.push(
                    Phrase {
                        item,
                        unknown: Vec::new(),
                        free_of: Vec::new(),
                    },
                    Stance::Plain,
                );
                // "choice of side: fries or salad" goes on to name them.
                let colon = rest
                    .tags
                    .get(1)
                    .is_some_and(|tag| matches!(tag.kind, TagKind::Colon | TagKind::Open));
                if !colon {
                    return rest.skip(1);
                }
                self.meal.items.pop();
                return self.members(rest.skip(2), link, picks);
            }
        }
        self.members(rest, link, picks)
    }

    fn members(&mut self, tags: Tags<'a>, link: Link, picks: usize) -> Tags<'a> {
        let mut rest = tags;
        let mut members: Vec<Item> = Vec::new();
        let mut unknown = Vec::new();
        while let Ok((after, found)) = phrase(rest, link, self.group) {
            if found.item.head.is_some() {
                members.push(found.item);
            }
            unknown.extend(found.unknown);
            rest = after;
            let mut separators = 0;
            let mut ahead = rest;
            while ahead.first().is_some_and(|tag| {
                matches!(tag.kind, TagKind::Comma | TagKind::Slash)
                    || does_word(tag, self.library, "or") && !is_food(tag)
            }) {
                ahead = ahead.skip(1);
                separators += 1;
            }
            let or_ahead = rest
                .tags
                .iter()
                .take_while(|tag| tag.kind != TagKind::Break)
                .any(|tag| does_word(tag, self.library, "or"));
            let was_or = rest.tags[..separators]
                .iter()
                .any(|tag| does_word(tag, self.library, "or"));
            if separators == 0 || !(or_ahead || was_or) {
                break;
            }
            rest = ahead;
        }
        for span in unknown {
            self.unknown(span, None);
        }
        if members.is_empty() {
            return rest;
        }
        let mut item = members.remove(0);
        item.alternatives = members;
        item.picks = picks;
        self.push(
            Phrase {
                item,
                unknown: Vec::new(),
                free_of: Vec::new(),
            },
            Stance::Plain,
        );
        rest
    }

    /// "fries or slaw": the second is an alternative to the first.
    fn alternative(&mut self, tags: Tags<'a>) -> Tags<'a> {
        let Ok((rest, found)) = phrase(tags, Link::Comma, self.group) else {
            return tags;
        };
        let Phrase {
            mut item, unknown, ..
        } = found;
        for span in unknown {
            self.unknown(span, None);
        }
        if item.head.is_none() {
            return rest;
        }
        let noun = self
            .meal
            .items
            .last()
            .and_then(|last| self.noun_of(last.span, item.span));
        match self.meal.items.last_mut() {
            Some(last) if last.head.is_some() => {
                item.link = last.link;
                item.group = last.group;
                item.stance = last.stance;
                // "grilled or fried chicken": the noun stands once.
                last.alternatives.push(item);
            }
            Some(last) if last.head.is_none() && !last.preparations.is_empty() => {
                let mut first = item.clone();
                first.preparations = last.preparations.clone();
                if let Some((head, prepared)) = noun {
                    first.head = Some(head);
                    if prepared {
                        first.preparations.clear();
                    }
                }
                first.link = last.link;
                first.group = last.group;
                first.alternatives = vec![item];
                *last = first;
            }
            _ => {
                let link = self.link;
                item.link = link;
                self.push(
                    Phrase {
                        item,
                        unknown: Vec::new(),
                        free_of: Vec::new(),
                    },
                    Stance::Plain,
                );
            }
        }
        rest
    }

    /// "did not finish the rice; salmon, rice": the rice that the remark named is the rice that follows.
    fn drop_what_is_named_again(&mut self) {
        let Some(at) = self.named_by_remark else {
            return;
        };
        let head = self.meal.items[at].head;
        let again = self
            .meal
            .items
            .iter()
            .enumerate()
            .any(|(index, item)| index != at && item.head == head);
        if again {
            self.meal.items.remove(at);
            for word in &mut self.meal.not_understood {
                word.item = match word.item {
                    Some(item) if item > at => Some(item - 1),
                    Some(item) if item == at => None,
                    item => item,
                };
            }
        }
    }

    /// The stems of an item's words.
    fn words(&self, item: &Item) -> Vec<String> {
        stems(&self.text[item.span.0..item.span.1])
    }

    /// What "grilled or fried catfish" names first: the noun of the second phrase with the first phrase's preparation, where
    /// that has a name of its own (true), or else the noun alone.
    fn noun_of(&self, prepared: Span, phrase: Span) -> Option<(Head, bool)> {
        let (first, second) = (
            stems(&self.text[prepared.0..prepared.1]),
            stems(&self.text[phrase.0..phrase.1]),
        );
        let named = |words: &[String]| {
            let terms = self.library.vocabulary().find(&words.concat());
            terms.iter().find_map(|term| match term {
                Term::Food(id) => Some(Head::Food(*id)),
                Term::Dish(id) => Some(Head::Dish(*id)),
                _ => None,
            })
        };
        (1..second.len()).find_map(|from| {
            let noun = &second[from..];
            let with = named(&[first.as_slice(), noun].concat()).map(|head| (head, true));
            with.or_else(|| named(noun).map(|head| (head, false)))
        })
    }

    fn remark(&mut self, remark: Remark, target: Option<Phrase>, names: bool) {
        // "ate 2 of the 3 tacos" names the tacos, if nothing did before.
        if let (Some(head), Some(phrase)) = (remark.of, target) {
            let noun = stems(&remark.said).pop();
            let named = self.meal.items.iter().any(|item| {
                item.head == Some(head)
                    || item.parts.iter().any(|part| part.head == head)
                    || noun
                        .as_ref()
                        .is_some_and(|noun| self.words(item).contains(noun))
            });
            let spoken = remark.eaten[1] > 0.0 && matches!(head, Head::Food(_) | Head::Dish(_));
            let first = self.meal.items.iter().all(|item| item.head.is_none());
            if !named && spoken && (first || names) {
                let mut item = phrase.item;
                item.link = if first { Link::Start } else { Link::Comma };
                item.group = self.group;
                if first {
                    self.named_by_remark = Some(self.meal.items.len());
                }
                self.meal.items.push(item);
                self.fresh = false;
            }
        }
        self.meal.remarks.push(remark);
        // "ate everything but the bread: soup, bread, salad": a remark that goes first opens no list.
        if !self.meal.items.is_empty() {
            self.link = Link::Comma;
        }
    }
}

/// "two sides", "sides": a word for a kind, in the plural, that would be a size in the singular, behind its number where it has
/// one: at which tag it stands, and how many there are.
fn several_of_a_kind(tags: Tags<'_>) -> Option<(usize, usize)> {
    let first = tags.first()?;
    let number = match first.kind {
        TagKind::Number { low, .. } => Some(low),
        _ => word_value(first, tags.library, "number").map(|value| value[1]),
    };
    let at = usize::from(number.is_some());
    let kind = tags.tags.get(at)?;
    let is_kind = kind.plural && !is_food(kind) && class(kind).is_some() && size(kind).is_some();
    is_kind.then(|| (at, number.map_or(2, |number| number as usize).clamp(1, 6)))
}
