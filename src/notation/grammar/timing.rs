//! Note values, meters and tempos.

use super::words::{blank, cluster_inside, hundredths, kind, shown};
use super::{Reads, Sheet, text_of};
use crate::music::Fraction;
use crate::notation::fault::{Fault, FaultName};
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::TempoMark;
use chumsky::error::EmptyErr;
use chumsky::prelude::*;

/// The note values, for messages.
pub const VALUES: &str = "`ww` `w` `h` `q` `e` `s` `ss` `sss` (double whole to 64th)";

/// Length of a value without dots, in whole notes.
#[inline]
pub fn value_of(text: &str) -> Option<Fraction> {
    match text.as_bytes() {
        b"q" => Fraction::new(1, 4),
        b"e" => Fraction::new(1, 8),
        b"h" => Fraction::new(1, 2),
        b"w" => Some(Fraction::ONE),
        b"s" => Fraction::new(1, 16),
        b"ss" => Fraction::new(1, 32),
        b"sss" => Fraction::new(1, 64),
        b"ww" => Fraction::new(2, 1),
        _ => None,
    }
}

/// A length as written: values with dots, sums.
#[derive(Debug, Clone, Copy)]
pub struct Length {
    pub value: Fraction,
    /// True for one value without dots.
    pub plain: bool,
}

/// `q`, `h.`, `w+e`.
pub fn length<'t>() -> impl Reads<'t, Length> {
    let more = kind(Kind::Plus).ignore_then(dotted());
    dotted().foldl_with(more.repeated(), |sum: Length, next: Length, e| {
        let value = sum.value.plus(next.value).unwrap_or_else(|| {
            let range: SimpleSpan<usize> = e.span();
            let span = e.state().bytes(range);
            e.state().spoil(Fault::new(
                FaultName::BadNumber,
                span,
                "This sum of note values is too long to count.",
            ));
            sum.value
        });
        Length { value, plain: false }
    })
}

fn dotted<'t>() -> impl Reads<'t, Length> {
    let value = any().try_map_with(|t: Token, e| {
        if t.kind != Kind::Word {
            return Err(EmptyErr::default());
        }
        value_of(text_of(t, e)).ok_or_else(EmptyErr::default)
    });
    let dots = kind(Kind::Dot).repeated().count();
    value.then(dots).map_with(|(value, dots): (Fraction, usize), e| {
        if dots == 0 {
            return Length { value, plain: true };
        }
        if dots > 2 {
            let range: SimpleSpan<usize> = e.span();
            let sheet: &mut Sheet<'t> = e.state();
            let span = sheet.bytes((range.start + 3..range.end).into());
            sheet.spoil(
                Fault::new(FaultName::BadNumber, span, "A note value has at most two dots.").fixed_by(
                    "Leave two dots",
                    span,
                    "",
                ),
            );
        }
        let (num, den) = if dots == 1 { (3, 2) } else { (7, 4) };
        let factor = Fraction::new(num, den).unwrap_or(Fraction::ONE);
        Length { value: value.times(factor).unwrap_or(value), plain: false }
    })
}

/// Slowest and quickest tempo that is believed, in beats a minute.
const TEMPOS: std::ops::RangeInclusive<u32> = 1..=999;

/// `"Calm" q = 72`, after the word `tempo`; `None` where it could not be read.
pub fn tempo<'t>() -> impl Reads<'t, Option<TempoMark>> {
    let quoted = kind(Kind::Quoted).then_ignore(blank());
    let number = kind(Kind::Number);
    let speed =
        length().then_ignore(blank()).then_ignore(kind(Kind::Equals)).then_ignore(blank()).then(number);
    let good = quoted.or_not().then(speed).map_with(|(quoted, (length, number)), e| {
        let sheet: &mut Sheet<'t> = e.state();
        let text = quoted.map(inside_quotes);
        let per_minute = hundredths(number.of(sheet.text)).filter(|n| TEMPOS.contains(&(n / 100)));
        if per_minute.is_none() {
            let text = format!(
                "A tempo is {} to {} beats a minute; this says {}.",
                TEMPOS.start(),
                TEMPOS.end(),
                shown(number.of(sheet.text))
            );
            sheet.fault(FaultName::BadNumber, number.span, text);
        }
        per_minute.map(|per_minute| TempoMark { text, beat: length.value, per_minute })
    });
    // The commonest slip: all is there but the sign.
    let unequal =
        length().then_ignore(blank()).then(kind(Kind::Number)).map_with(|(_, number): (Length, Token), e| {
            let at = Span::new(number.span.start, number.span.start);
            let text = "Between the value and the number of a tempo stands `=`: `tempo q = 72`.";
            e.state().push(Fault::new(FaultName::Unreadable, number.span, text).fixed_by("Set =", at, "= "));
            None
        });
    let other = blank().ignore_then(cluster_inside()).or_not().map_with(|found, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let before = sheet.bytes((range.start.saturating_sub(1)..range.start).into());
        sheet.fault(
            FaultName::Unreadable,
            found.unwrap_or(before),
            "A tempo is a note value, `=` and beats a minute, words in quotes before it if wanted: `tempo \"Calm\" q = 72`.",
        );
        None
    });
    let bad = kind(Kind::Quoted).then(blank()).or_not().then(choice((unequal, other))).map(|(_, bad)| bad);
    choice((good, bad))
}

/// The stretch between the quotes.
pub fn inside_quotes(token: Token) -> Span {
    Span::new(token.span.start + 1, token.span.end.saturating_sub(1).max(token.span.start + 1))
}
