//! Blanks, words, names, numbers, keys and tempos: what more than one kind of line is made of.

use super::{Reads, Sheet, here, text_of};
use crate::music::pitch::parse_accidental;
use crate::music::{Pitch, Step};
use crate::notation::fault::{Fault, FaultName};
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{ReadIn, Register};
use chumsky::error::EmptyErr;
use chumsky::prelude::*;
use unicode_normalization::char::is_combining_mark;

/// A token of this kind.
pub fn kind<'t>(kind: Kind) -> impl Reads<'t, Token> {
    any().filter(move |t: &Token| t.kind == kind)
}

/// Blanks, or none.
pub fn blank<'t>() -> impl Reads<'t, ()> {
    kind(Kind::Blank).repeated()
}

/// At least one blank.
pub fn gap<'t>() -> impl Reads<'t, ()> {
    kind(Kind::Blank).repeated().at_least(1)
}

/// This word.
pub fn word<'t>(word: &'static str) -> impl Reads<'t, Token> {
    any().try_map_with(move |t: Token, e| {
        let same = t.kind.is_wordlike() && text_of(t, e) == word;
        if same { Ok(t) } else { Err(EmptyErr::default()) }
    })
}

/// Any word, whatever it looks like.
pub fn any_word<'t>() -> impl Reads<'t, Token> {
    any().filter(|t: &Token| t.kind.is_wordlike())
}

/// A name or a piece of text that touches itself: word-like, with `_` behind it.
pub fn name<'t>() -> impl Reads<'t, Span> {
    any_word().then_ignore(kind(Kind::Low).repeated()).map_with(|_, e| here(e))
}

/// Whatever touches: tokens up to a blank, a comma or the end.
pub fn cluster<'t>() -> impl Reads<'t, Span> {
    any().filter(|t: &Token| !ends_cluster(t.kind)).repeated().at_least(1).map_with(|(), e| here(e))
}

/// What ends a stretch of touching tokens in a head line.
pub fn ends_cluster(kind: Kind) -> bool {
    matches!(kind, Kind::Blank | Kind::Comment | Kind::Beyond | Kind::Comma | Kind::Commas)
}

/// The rest of the line before a comment, without blanks at either end; `None` if there is nothing.
pub fn rest<'t>() -> impl Reads<'t, Option<Span>> {
    any().filter(|t: &Token| !matches!(t.kind, Kind::Comment | Kind::Beyond)).repeated().map_with(|(), e| {
        let range: SimpleSpan<usize> = e.span();
        trimmed(e.state(), range.start, range.end)
    })
}

/// A stretch of tokens without the blanks at either end.
pub fn trimmed(sheet: &Sheet<'_>, mut start: usize, mut end: usize) -> Option<Span> {
    while start < end && sheet.kind_at(start) == Some(Kind::Blank) {
        start += 1;
    }
    while start < end && sheet.kind_at(end - 1) == Some(Kind::Blank) {
        end -= 1;
    }
    (start < end).then(|| sheet.bytes((start..end).into()))
}

/// The comment and what lies beyond the cap.
pub fn tail<'t>() -> impl Reads<'t, ()> {
    kind(Kind::Comment).or_not().ignore_then(kind(Kind::Beyond).or_not()).ignored()
}

/// What is left over at the end of a head line is a fault.
pub fn over<'t>() -> impl Reads<'t, ()> {
    rest()
        .map_with(|rest, e| {
            if let Some(span) = rest {
                let sheet: &mut Sheet<'t> = e.state();
                let text = format!(
                    "`{}` does not belong here: the line is complete before it. A remark begins with `//`.",
                    shown(span.of(sheet.text))
                );
                sheet.push(Fault::new(FaultName::Unreadable, span, text));
            }
        })
        .then(tail())
        .map(|_| ())
}

/// The text for a message: cut where it is long.
pub fn shown(text: &str) -> String {
    match text.char_indices().nth(40) {
        Some((at, _)) => format!("{}…", text.get(..at).unwrap_or("")),
        None => text.to_owned(),
    }
}

/// A whole number.
pub fn whole(token: Token, text: &str) -> Option<u32> {
    token.of(text).parse().ok()
}

/// A number in hundredths; at most two decimals count.
pub fn hundredths(text: &str) -> Option<u32> {
    let (whole, decimals) = text.split_once('.').unwrap_or((text, ""));
    let whole: u32 = whole.parse().ok()?;
    let two: u32 = decimals.chars().chain("00".chars()).take(2).collect::<String>().parse().ok()?;
    whole.checked_mul(100)?.checked_add(two)
}

/// A pitch token's pitch.
#[inline]
pub fn pitch_of(text: &str) -> Option<Pitch> {
    if let [letter @ b'A'..=b'G', middle @ .., digit @ b'0'..=b'9'] = text.as_bytes() {
        let alter = match middle {
            b"" => 0,
            b"b" => -1,
            b"#" => 1,
            _ => return Pitch::parse(text),
        };
        let step = match letter {
            b'C' => Step::C,
            b'D' => Step::D,
            b'E' => Step::E,
            b'F' => Step::F,
            b'G' => Step::G,
            b'A' => Step::A,
            _ => Step::B,
        };
        return Some(Pitch { step, alter, octave: (digit - b'0') as i8 });
    }
    None
}

/// The pitch class a key name gives, in octave 4.
pub fn class_of(text: &str) -> Option<Pitch> {
    let mut chars = text.chars();
    let step = Step::from_letter(chars.next()?)?;
    Pitch::new(step, parse_accidental(chars.as_str())?, 4)
}

/// A note name without octave: a word or a letter with a sharp.
pub fn class<'t>() -> impl Reads<'t, (Span, Pitch)> {
    any().try_map_with(|t: Token, e| {
        let text = text_of(t, e);
        let fits = matches!(t.kind, Kind::Word | Kind::Sharp);
        match class_of(text) {
            Some(pitch) if fits => Ok((t.span, pitch)),
            _ => Err(EmptyErr::default()),
        }
    })
}

/// `in KEY`, with a register word where one stands; a fault where the key is missing.
pub fn read_in<'t>() -> impl Reads<'t, Option<ReadIn>> {
    let register = choice((
        word("alto").to(Register::Alto),
        word("basso").to(Register::Basso),
        word("up").to(Register::Up),
    ));
    let register = gap().ignore_then(register);
    let key = class().then(register.or_not()).map_with(|((_, key), register), e| {
        let range = e.span();
        Some(ReadIn { span: e.state().bytes(range), key, register })
    });
    let none = cluster_inside().or_not().map_with(|found, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let span = found.unwrap_or_else(|| sheet.bytes((range.start.saturating_sub(1)..range.start).into()));
        sheet.fault(
            FaultName::Unreadable,
            span,
            "After `in` comes the key the part is read in: a capital letter with `b` or `#` where needed, such as `in Bb`.",
        );
        None
    });
    word("in").ignore_then(blank()).ignore_then(choice((key, none)))
}

/// A cluster that also ends at a closing bracket or a barline.
pub fn cluster_inside<'t>() -> impl Reads<'t, Span> {
    any()
        .filter(|t: &Token| !ends_cluster(t.kind) && !t.kind.is_barline() && t.kind != Kind::SquareClose)
        .repeated()
        .at_least(1)
        .map_with(|(), e| here(e))
}

/// Words with blanks between, up to `in`, a comma or a bracket: an instrument's name.
pub fn words<'t>() -> impl Reads<'t, Span> {
    let one = any().try_map_with(|t: Token, e| {
        if t.kind.is_wordlike() && text_of(t, e) != "in" { Ok(()) } else { Err(EmptyErr::default()) }
    });
    let part = choice((one, kind(Kind::Minus).ignored(), kind(Kind::Low).ignored()));
    let run = part.clone().repeated().at_least(1);
    one.then(part.repeated()).then(gap().then(run).repeated()).map_with(|_, e| here(e))
}

/// True if the text may name a player, group, phrase or instrument.
pub fn is_id(text: &str) -> bool {
    let mut chars = text.chars();
    chars.next().is_some_and(char::is_alphabetic)
        && chars.all(|c| c == '_' || c.is_alphanumeric() || is_combining_mark(c))
}

/// A word and what it needs behind it, or the stretch that stands there instead: the next cluster, else
/// the word itself.
pub fn needing<'t, T>(said: &'static str, what: impl Reads<'t, T>) -> impl Reads<'t, Result<T, Span>> {
    let found = blank().ignore_then(what).map(|what| (Some(what), None));
    let other = blank().ignore_then(cluster().or_not()).map(|found: Option<Span>| (None, found));
    word(said).then(choice((found, other))).map(
        |(word, (what, found)): (Token, (Option<T>, Option<Span>))| what.ok_or(found.unwrap_or(word.span)),
    )
}
