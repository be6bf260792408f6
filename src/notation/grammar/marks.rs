//! Marks that touch a note: signs, techniques, the player's choice of fingering, `*n`.

use super::words::{kind, pitch_of, shown};
use super::{Reads, Sheet};
use crate::music::Pitch;
use crate::notation::fault::{Fault, FaultName};
use crate::notation::nearest::nearest;
use crate::notation::pairing::separates;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Choice, Mark, Marks};
use chumsky::error::EmptyErr;
use chumsky::prelude::*;

/// How often `*n` may repeat.
pub const TIMES: std::ops::RangeInclusive<u32> = 2..=64;

/// Any marks, in any order.
pub fn marks<'t>() -> impl Reads<'t, Marks> {
    let sign = any().filter(|t: &Token| is_sign(t.kind)).map(|t| (t, None));
    let named = kind(Kind::Equals).then(kind(Kind::Pitch).or_not()).map_with(|(_, pitch), e| {
        let range: SimpleSpan<usize> = e.span();
        (e.state().bytes(range), pitch)
    });
    let technique = kind(Kind::Technique).then(named.or_not());
    empty().to(Marks::default()).foldl_with(
        choice((sign, technique)).repeated(),
        |mut marks, (token, named), e| {
            add(&mut marks, token, named, e.state());
            marks
        },
    )
}

fn is_sign(kind: Kind) -> bool {
    matches!(
        kind,
        Kind::Dot
            | Kind::Minus
            | Kind::Greater
            | Kind::Caret
            | Kind::Low
            | Kind::Comma
            | Kind::Commas
            | Kind::Choice
    )
}

/// What stands behind a technique's `=`: its stretch and the pitch, if it is one.
type Named = Option<(Span, Option<Token>)>;

fn add(marks: &mut Marks, token: Token, named: Named, sheet: &mut Sheet<'_>) {
    let mark = match token.kind {
        Kind::Dot => Mark::Staccato,
        Kind::Minus => Mark::Tenuto,
        Kind::Greater => Mark::Accent,
        Kind::Caret => Mark::Marcato,
        Kind::Low => Mark::Slur,
        Kind::Comma => Mark::Breath,
        Kind::Commas => Mark::Break,
        Kind::Choice => return choose(marks, token, sheet),
        _ => match technique(token, sheet) {
            Some(mark) => mark,
            None => return,
        },
    };
    if !marks.add(mark) {
        let text = format!("The mark `{}` stands twice on the same note.", mark.sign());
        sheet.push(Fault::new(FaultName::Unreadable, token.span, text).fixed_by(
            "Leave it once",
            token.span,
            "",
        ));
    }
    match named {
        Some((_, Some(pitch))) if mark == Mark::Trill => marks.trill = trill_pitch(pitch, sheet),
        Some((span, _)) if mark == Mark::Trill => {
            sheet.spoil(Fault::new(
                FaultName::Unreadable,
                span,
                "After `:trill=` comes the upper note with its octave, such as `:trill=Eb5`.",
            ));
        }
        Some((span, _)) => {
            let text = format!("Only `:trill` names a note with `=`; `{}` stands alone.", mark.sign());
            sheet.spoil(Fault::new(FaultName::Unreadable, span, text).fixed_by("Take it away", span, ""));
        }
        None => {}
    }
}

fn trill_pitch(token: Token, sheet: &Sheet<'_>) -> Option<Pitch> {
    pitch_of(token.of(sheet.text))
}

fn technique(token: Token, sheet: &mut Sheet<'_>) -> Option<Mark> {
    let word = token.of(sheet.text).strip_prefix(':').unwrap_or("");
    if let Some(mark) = Mark::from_technique(word) {
        return Some(mark);
    }
    let words = Mark::ALL.into_iter().filter_map(|m| m.sign().strip_prefix(':'));
    let near = nearest(word, words).map(str::to_owned);
    let mut fault = Fault::new(
        FaultName::UnknownName,
        token.span,
        match &near {
            Some(near) => format!("No technique is called `:{}`. Did you mean `:{near}`?", shown(word)),
            None => format!("No technique is called `:{}`.", shown(word)),
        },
    );
    if let Some(near) = near {
        fault = fault.fixed_by(format!("Write :{near}"), token.span, format!(":{near}"));
    }
    sheet.spoil(fault);
    None
}

fn choose(marks: &mut Marks, token: Token, sheet: &mut Sheet<'_>) {
    let text = token.of(sheet.text);
    match read_choice(text) {
        Some(choice) if marks.choice.is_none() => marks.choice = Some(choice),
        Some(_) => sheet.push(
            Fault::new(
                FaultName::Unreadable,
                token.span,
                "This note has two fingerings or positions; one holds.",
            )
            .fixed_by("Leave the first", token.span, ""),
        ),
        None => {
            let mut fault = Fault::new(
                FaultName::Unreadable,
                token.span,
                "After `@` come the valves (`@12`, `@0` open), with `T` or `G` before them for the thumb valve or \
                 an attachment (`@T13`, `@G2`, `@TG3`), or one slide position 1 to 7 (`@4`).",
            );
            if matches!(text, "@T" | "@G" | "@TG") {
                fault = fault.fixed_by(format!("Write {text}0"), token.span, format!("{text}0"));
            }
            sheet.spoil(fault);
        }
    }
}

fn read_choice(text: &str) -> Option<Choice> {
    let rest = text.strip_prefix('@')?;
    let (thumb, rest) = rest.strip_prefix('T').map_or((false, rest), |r| (true, r));
    let (second, rest) = rest.strip_prefix('G').map_or((false, rest), |r| (true, r));
    if rest == "0" {
        return Some(Choice { thumb, second, digits: 0 });
    }
    let mut digits = 0u8;
    for c in rest.bytes() {
        let bit = 1u8 << c.checked_sub(b'1').filter(|n| *n < 7)?;
        if digits & bit != 0 {
            return None;
        }
        digits |= bit;
    }
    (digits != 0).then_some(Choice { thumb, second, digits })
}

/// Marks and `*n` behind a thing. Most have neither: one look at the next token settles that.
pub fn marks_and_times<'t>() -> impl Reads<'t, (Marks, u16)> {
    let bare = custom(|inp| match inp.peek() {
        Some(Token { kind, .. }) if !separates(kind) => Err(EmptyErr::default()),
        _ => Ok((Marks::default(), 1)),
    });
    choice((bare, marks().then(times())))
}

/// `*n`, 1 where it is absent.
pub fn times<'t>() -> impl Reads<'t, u16> {
    kind(Kind::Times).or_not().map_with(|token, e| match token {
        None => 1,
        Some(token) => count(token, e.state()),
    })
}

fn count(token: Token, sheet: &mut Sheet<'_>) -> u16 {
    let number = token.of(sheet.text).strip_prefix('*').and_then(|n| n.parse::<u32>().ok());
    match number.filter(|n| TIMES.contains(n)) {
        Some(n) => n as u16,
        None => {
            let mut fault = Fault::new(
                FaultName::BadNumber,
                token.span,
                format!("After `*` comes a number from {} to {}.", TIMES.start(), TIMES.end()),
            );
            if number == Some(1) {
                fault = fault.fixed_by("Take `*1` away", token.span, "");
            }
            sheet.spoil(fault);
            1
        }
    }
}

/// Faults for marks that this thing cannot carry; they are taken off it.
pub fn keep_allowed(
    marks: &mut Marks,
    allowed: &[Mark],
    choice: bool,
    what: &str,
    item: Span,
    sheet: &mut Sheet<'_>,
) {
    for mark in Mark::ALL {
        if !marks.has(mark) || allowed.contains(&mark) {
            continue;
        }
        marks.remove(mark);
        let signs: Vec<String> = allowed.iter().map(|m| format!("`{}`", m.sign())).collect();
        let span = find(sheet, item, mark.sign()).unwrap_or(item);
        let text = format!("{what} cannot carry `{}`; it may have {}.", mark.sign(), signs.join(" "));
        sheet.push(Fault::new(FaultName::Unreadable, span, text).fixed_by("Take the mark away", span, ""));
    }
    if !marks.has(Mark::Trill) {
        marks.trill = None;
    }
    if marks.choice.is_some() && !choice {
        marks.choice = None;
        let span = find(sheet, item, "@").unwrap_or(item);
        let text = format!("{what} has no fingering or position to choose.");
        sheet.push(Fault::new(FaultName::Unreadable, span, text).fixed_by("Take it away", span, ""));
    }
}

/// The first token of the item behind its first sign that is this mark.
fn find(sheet: &Sheet<'_>, item: Span, sign: &str) -> Option<Span> {
    let from = sheet.tokens.partition_point(|t| t.span.start <= item.start);
    let mut inside = sheet.tokens.get(from..)?.iter().take_while(|t| t.span.end <= item.end);
    inside
        .find(|t| {
            let text = t.of(sheet.text);
            text == sign || (sign == "@" && t.kind == Kind::Choice)
        })
        .map(|t| t.span)
}
