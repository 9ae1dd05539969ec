//! From text to tokens with byte spans. Nothing is lost: what is neither word, number nor mark is a [`Kind::Noise`].
//!
//! ```text
//! token    = price | number | word | mark | noise
//! price    = currency number
//! number   = range | simple [ "x" | "×" ] [ "%" ]
//! range    = simple ( "-" | "–" ) simple
//! simple   = digits " " fraction | fraction | digits [ "." digits ]
//! fraction = digits "/" digits | "½" | "¼" | …
//! word     = letter { letter | digit | "'" }
//! mark     = "," | ";" | ":" | "(" | ")" | "/" | "." | "|" | "-" | newline | bullet
//! ```

use crate::library::stem;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while, take_while1};
use nom::character::complete::{char, digit1, one_of, space0};
use nom::combinator::{map, not, opt, recognize, value, verify};
use nom::sequence::{pair, preceded, terminated};
use nom::{IResult, Parser};

/// A token and where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Token {
    /// What it is.
    pub kind: Kind,
    /// Byte offset of its first byte.
    pub start: usize,
    /// Byte offset behind its last byte.
    pub end: usize,
    /// Whether a hyphen joins it to the token before.
    pub joined: bool,
}

/// What a token is.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// A word with its stem.
    Word {
        /// See [`crate::library::stem`].
        stem: String,
        /// Whether a plural ending was folded.
        plural: bool,
    },
    /// A number, or the two ends of a range.
    Number {
        /// Low end.
        low: f64,
        /// High end, the same for a single number.
        high: f64,
        /// Whether it is written with exactly two decimals, as prices are.
        money: bool,
        /// Written with a times sign: "3x", "x3".
        times: bool,
    },
    /// `50%`, as a fraction.
    Percent(f64),
    /// A price, an allergen code: no food.
    Noise,
    /// `,`, `|`, a dash between spaces.
    Comma,
    /// `:`.
    Colon,
    /// `(`.
    Open,
    /// `)`.
    Close,
    /// `/` between words.
    Slash,
    /// A new line, bullet, `;` or the end of a sentence.
    Break,
}

/// Splits a text. Every byte that is not white space is inside exactly one token.
pub fn lex(text: &str) -> Vec<Token> {
    let mut tokens: Vec<Token> = Vec::new();
    let mut at = 0;
    let mut joined = false;
    while at < text.len() {
        let rest = &text[at..];
        let Some(first) = rest.chars().next() else {
            break;
        };
        if first == '\n' || first == '\r' {
            push(&mut tokens, Kind::Break, at, at + first.len_utf8(), false);
            at += first.len_utf8();
            joined = false;
            continue;
        }
        if first.is_whitespace() {
            at += first.len_utf8();
            joined = false;
            continue;
        }
        let before_is_space = text[..at]
            .chars()
            .next_back()
            .is_none_or(char::is_whitespace);
        if matches!(first, '-' | '–' | '—' | '‑') {
            let end = at + first.len_utf8();
            let after_is_space = text[end..].chars().next().is_none_or(char::is_whitespace);
            if before_is_space && tokens.last().is_none_or(|last| last.kind == Kind::Break) {
                push(&mut tokens, Kind::Break, at, end, false);
            } else if before_is_space || after_is_space || first == '—' {
                push(&mut tokens, Kind::Comma, at, end, false);
            } else {
                joined = true;
            }
            at = end;
            continue;
        }
        if first == '.' && abbreviates(text, at, tokens.last()) {
            if let Some(last) = tokens.last_mut() {
                last.end = at + 1;
            }
            at += 1;
            continue;
        }
        let (kind, length) = match token(rest) {
            Ok((left, kind)) => (kind, rest.len() - left.len()),
            Err(_) => (mark(first, rest), first.len_utf8()),
        };
        push(&mut tokens, kind, at, at + length, joined);
        joined = false;
        at += length;
    }
    drop_allergen_codes(&mut tokens, text);
    tokens
}

/// "St. Louis", "8 oz. Sirloin": a full stop behind a word of one or two letters ends no sentence.
fn abbreviates(text: &str, at: usize, last: Option<&Token>) -> bool {
    let word = last.filter(|last| last.end == at && matches!(last.kind, Kind::Word { .. }));
    let goes_on = text[at + 1..].chars().any(|c| !c.is_whitespace());
    let line_ends = text[at + 1..]
        .chars()
        .take_while(|c| c.is_whitespace())
        .any(|c| c == '\n' || c == '\r');
    goes_on
        && !line_ends
        && text[at + 1..].starts_with(char::is_whitespace)
        && word.is_some_and(|word| text[word.start..word.end].chars().count() <= 2)
}

fn push(tokens: &mut Vec<Token>, kind: Kind, start: usize, end: usize, joined: bool) {
    tokens.push(Token {
        kind,
        start,
        end,
        joined,
    });
}

fn mark(first: char, rest: &str) -> Kind {
    let next = rest[first.len_utf8()..].chars().next();
    match first {
        ',' | '|' | '，' | '、' => Kind::Comma,
        ':' => Kind::Colon,
        '(' | '[' | '{' | '（' => Kind::Open,
        ')' | ']' | '}' | '）' => Kind::Close,
        '/' | '\\' => Kind::Slash,
        ';' | '!' | '?' | '•' | '·' | '●' | '▪' | '◦' | '*' | '。' | '…' | '~' => {
            Kind::Break
        }
        '.' if next.is_none_or(char::is_whitespace) => Kind::Break,
        _ => Kind::Noise,
    }
}

fn token(text: &str) -> IResult<&str, Kind> {
    alt((value(Kind::Noise, price), number, with_sign, word)).parse(text)
}

fn price(text: &str) -> IResult<&str, ()> {
    let amount = (digit1, opt(pair(one_of(".,"), digit1)));
    value((), (one_of("$€£¥₹₩"), space0, amount)).parse(text)
}

/// `w/`, `w/o`, `&`, `+`: words in the clothes of marks.
fn with_sign(text: &str) -> IResult<&str, Kind> {
    let made = |stem: &str| Kind::Word {
        stem: stem.to_owned(),
        plural: false,
    };
    let without = alt((tag("w/o"), tag("W/O"), tag("W/o")));
    let with = alt((tag("w/"), tag("W/")));
    alt((
        value(made("without"), without),
        value(made("with"), with),
        value(made("and"), alt((tag("&"), tag("+")))),
    ))
    .parse(text)
}

fn number(text: &str) -> IResult<&str, Kind> {
    // "x3" and "× 3" say how many just as "3x" does.
    let (text, before) = opt(terminated(one_of("xX×"), space0)).parse(text)?;
    let (rest, (low, money)) = simple(text)?;
    let (rest, high) = opt(preceded(
        pair(alt((tag("-"), tag("–"))), space0),
        map(simple, |(n, _)| n),
    ))
    .parse(rest)?;
    if let Ok((rest, _)) = pair(space0::<&str, nom::error::Error<&str>>, char('%')).parse(rest) {
        return Ok((rest, Kind::Percent(low / 100.0)));
    }
    // "2x" and "2 x": the sign is part of the number, the letter of a longer word is not.
    let (rest, behind) = opt(times_sign).parse(rest)?;
    let high = high.filter(|high| *high > low).unwrap_or(low);
    let times = before.is_some() || behind.is_some();
    Ok((
        rest,
        Kind::Number {
            low,
            high,
            money,
            times,
        },
    ))
}

fn times_sign(text: &str) -> IResult<&str, ()> {
    value(
        (),
        terminated(
            preceded(space0, one_of("xX×")),
            not(take_while1(char::is_alphanumeric)),
        ),
    )
    .parse(text)
}

/// A number, and whether it is written as prices are.
fn simple(text: &str) -> IResult<&str, (f64, bool)> {
    let mixed = map(
        (whole, preceded(opt(one_of(" -")), fraction)),
        |(whole, part)| (whole + part, false),
    );
    alt((mixed, map(fraction, |part| (part, false)), decimal)).parse(text)
}

fn whole(text: &str) -> IResult<&str, f64> {
    map(digit1, |digits: &str| {
        digits.parse().unwrap_or(f64::INFINITY)
    })
    .parse(text)
}

fn decimal(text: &str) -> IResult<&str, (f64, bool)> {
    let thousands = verify(recognize((digit1, tag(","), digit1)), |run: &str| {
        run.split(',').nth(1).is_some_and(|last| last.len() == 3)
            && run.split(',').next().is_some_and(|head| head.len() <= 3)
    });
    let (rest, head) = alt((thousands, digit1)).parse(text)?;
    let (rest, tail) = opt(preceded(one_of(".,"), digit1)).parse(rest)?;
    let tail: Option<&str> = tail;
    let joined = format!("{}.{}", head.replace(',', ""), tail.unwrap_or("0"));
    Ok((
        rest,
        (
            joined.parse().unwrap_or(f64::INFINITY),
            tail.is_some_and(|tail| tail.len() == 2),
        ),
    ))
}

fn fraction(text: &str) -> IResult<&str, f64> {
    let written = map(
        (digit1, one_of("/⁄"), digit1),
        |(over, _, under): (&str, _, &str)| {
            (over.parse().unwrap_or(0.0), under.parse().unwrap_or(1.0))
        },
    );
    let written = verify(written, |(_, under): &(f64, f64)| *under > 0.0);
    alt((map(written, |(over, under)| over / under), vulgar)).parse(text)
}

fn vulgar(text: &str) -> IResult<&str, f64> {
    const VULGAR: [(char, f64); 15] = [
        ('½', 0.5),
        ('⅓', 1.0 / 3.0),
        ('⅔', 2.0 / 3.0),
        ('¼', 0.25),
        ('¾', 0.75),
        ('⅕', 0.2),
        ('⅖', 0.4),
        ('⅗', 0.6),
        ('⅘', 0.8),
        ('⅙', 1.0 / 6.0),
        ('⅚', 5.0 / 6.0),
        ('⅛', 0.125),
        ('⅜', 0.375),
        ('⅝', 0.625),
        ('⅞', 0.875),
    ];
    let known = |c: char| {
        VULGAR
            .iter()
            .find(|(sign, _)| *sign == c)
            .map(|(_, number)| *number)
    };
    nom::combinator::map_opt(nom::character::complete::anychar, known).parse(text)
}

fn word(text: &str) -> IResult<&str, Kind> {
    let inside = |c: char| c.is_alphanumeric() || matches!(c, '\'' | '’' | '‘' | '`') || is_mark(c);
    let (rest, found) =
        recognize(pair(take_while1(char::is_alphabetic), take_while(inside))).parse(text)?;
    // `8"` and `8”` are inches; the quotation mark before a word is noise.
    let (stem, plural) = stem(found);
    Ok((rest, Kind::Word { stem, plural }))
}

fn is_mark(c: char) -> bool {
    unicode_normalization::char::is_combining_mark(c)
}

/// `(GF)`, `(v, n)`, `(1,3,7)`: codes of a menu's legend, not food.
fn drop_allergen_codes(tokens: &mut [Token], text: &str) {
    let mut open = None;
    for index in 0..tokens.len() {
        match tokens[index].kind {
            Kind::Open => open = Some(index),
            Kind::Close => {
                if let Some(start) = open.take() {
                    let inside = &tokens[start + 1..index];
                    let is_code = |token: &Token| match &token.kind {
                        Kind::Word { .. } => {
                            let said = &text[token.start..token.end];
                            said.len() <= 3 && said.chars().all(|c| c.is_ascii_uppercase())
                        }
                        Kind::Comma | Kind::Slash | Kind::Noise => true,
                        _ => false,
                    };
                    let numbers = inside
                        .iter()
                        .filter(|token| matches!(token.kind, Kind::Number { .. }))
                        .count();
                    let commas = inside
                        .iter()
                        .filter(|token| token.kind == Kind::Comma)
                        .count();
                    let legend = numbers >= 2 && numbers + commas == inside.len();
                    if !inside.is_empty() && (inside.iter().all(is_code) || legend) {
                        for token in &mut tokens[start..=index] {
                            token.kind = Kind::Noise;
                        }
                    }
                }
            }
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn numbers(text: &str) -> Vec<(f64, f64)> {
        lex(text)
            .into_iter()
            .filter_map(|token| match token.kind {
                Kind::Number { low, high, .. } => Some((low, high)),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn numbers_are_read_however_they_are_written() {
        assert_eq!(numbers("2"), [(2.0, 2.0)]);
        assert_eq!(numbers("2x tacos"), [(2.0, 2.0)]);
        assert_eq!(numbers("tacos x3, tostadas × 2"), [(3.0, 3.0), (2.0, 2.0)]);
        assert_eq!(numbers("1 1/2 cups"), [(1.5, 1.5)]);
        assert_eq!(numbers("1½ cups"), [(1.5, 1.5)]);
        assert_eq!(numbers("½ rack"), [(0.5, 0.5)]);
        assert_eq!(numbers("6-8 oz"), [(6.0, 8.0)]);
        assert_eq!(numbers("6–8 wings"), [(6.0, 8.0)]);
        assert_eq!(numbers("10oz sirloin"), [(10.0, 10.0)]);
        assert_eq!(numbers("1,200 g"), [(1200.0, 1200.0)]);
        assert_eq!(numbers("0.5 lb"), [(0.5, 0.5)]);
    }

    #[test]
    fn prices_and_legends_are_noise() {
        assert_eq!(numbers("soup $12.50"), []);
        assert_eq!(numbers("soup (1,3,7)"), []);
        let kinds: Vec<Kind> = lex("soup (GF)")
            .into_iter()
            .map(|token| token.kind)
            .skip(1)
            .collect();
        assert_eq!(kinds, [Kind::Noise, Kind::Noise, Kind::Noise]);
    }

    #[test]
    fn every_byte_that_is_not_space_is_in_one_token() {
        let text = "½ rack w/o fries — $9, “the best” 🍔 crème brûlée; 8\" sub";
        let tokens = lex(text);
        assert!(tokens.windows(2).all(|pair| pair[0].end <= pair[1].start));
        let covered: usize = tokens.iter().map(|token| token.end - token.start).sum();
        assert_eq!(
            covered,
            text.chars()
                .filter(|c| !c.is_whitespace())
                .map(char::len_utf8)
                .sum::<usize>()
        );
    }
}
