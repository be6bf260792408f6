//! Lists: what happens. Notes, chords, rests, holds, graces, dynamics, words, whole bars.

use super::instruction::instruction;
use super::marks::{keep_allowed, marks, marks_and_times, times};
use super::timing::value_of;
use super::unread;
use super::words::{any_word, gap, kind, name, pitch_of, shown, whole, word};
use super::{Reads, Sheet, here, text_of};
use crate::music::{Dynamic, Interval, Pitch};
use crate::notation::fault::{Fault, FaultName};
use crate::notation::pairing::separates;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Item, Mark, Marks, Member, MemberKind, Play, What};
use chumsky::error::EmptyErr;
use chumsky::prelude::*;

/// How many bars `rest`, `improvise` may last.
pub const BARS: std::ops::RangeInclusive<u32> = 1..=9999;

/// What a grace may carry.
const ON_GRACE: [Mark; 3] = [Mark::Staccato, Mark::Accent, Mark::Slur];

/// The list of a bar, up to the barline or comment.
pub fn list<'t>() -> impl Reads<'t, ()> {
    let entry = choice((
        note(),
        free_word(),
        rest(),
        hold(),
        chord_item(),
        instruction(),
        quoted(),
        grace(),
        again(),
        bars(),
        bad(),
    ))
    .map_with(|item: Item, e| {
        let range: SimpleSpan<usize> = e.span();
        push(item, range.end, e.state());
    });
    empty().foldl_with(choice((kind(Kind::Blank).ignored(), entry)).repeated(), |(), (), _| ())
}

#[inline]
fn push(item: Item, end: usize, sheet: &mut Sheet<'_>) {
    sheet.items.push(item);
    if sheet.kind_at(end).is_some_and(|kind| !separates(kind)) {
        touching(end, item, sheet);
    }
}

/// A thing that stands alone touches nothing.
#[cold]
fn touching(end: usize, item: Item, sheet: &mut Sheet<'_>) {
    let Some(next) = sheet.tokens.get(end) else { return };
    let last = end.checked_sub(1).and_then(|at| sheet.kind_at(at));
    let begins = next.kind.is_wordlike()
        || matches!(next.kind, Kind::Minus | Kind::Equals | Kind::Slash | Kind::Percent | Kind::Technique);
    if item.what == What::Bad || !begins || last.is_some_and(separates) {
        return;
    }
    let at = Span::new(next.span.start, next.span.start);
    let text = format!(
        "`{}` and what follows touch; things that stand alone have a blank between them.",
        shown(item.span.of(sheet.text))
    );
    sheet.spoil(Fault::new(FaultName::Unreadable, next.span, text).fixed_by(
        "Put a blank between them",
        at,
        " ",
    ));
}

fn item(span: Span, what: What, marks: Marks, times: u16) -> Item {
    Item { span, what, marks, times, after: 0 }
}

fn pitch<'t>() -> impl Reads<'t, Pitch> {
    kind(Kind::Pitch).map_with(|t, e| {
        let text = text_of(t, e);
        pitch_of(text).unwrap_or_else(|| Pitch::plain(60, true))
    })
}

fn note<'t>() -> impl Reads<'t, Item> {
    pitch().then(marks_and_times()).map_with(|(pitch, (marks, times)), e| {
        let range: SimpleSpan<usize> = e.span();
        item(e.state().bytes(range), What::Note(pitch), marks, times)
    })
}

fn rest<'t>() -> impl Reads<'t, Item> {
    kind(Kind::Minus).then(marks_and_times()).map_with(|(_, (mut marks, times)), e| {
        let span = here(e);
        let sheet: &mut Sheet<'t> = e.state();
        if !marks.is_empty() {
            keep_allowed(&mut marks, &Mark::ON_REST, false, "A rest", span, sheet);
        }
        item(span, What::Rest, marks, times)
    })
}

fn hold<'t>() -> impl Reads<'t, Item> {
    kind(Kind::Equals).then(marks_and_times()).map_with(|(_, (mut marks, times)), e| {
        let span = here(e);
        let sheet: &mut Sheet<'t> = e.state();
        if !marks.is_empty() {
            keep_allowed(&mut marks, &Mark::ON_HOLD, false, "A held note", span, sheet);
        }
        item(span, What::Hold, marks, times)
    })
}

/// `(…)`, without marks of the whole.
fn chord<'t>() -> impl Reads<'t, What> {
    let note = pitch().map(MemberKind::Note);
    let other = choice((kind(Kind::Minus).to(MemberKind::Rest), kind(Kind::Equals).to(MemberKind::Hold)));
    let member = choice((note.then(marks()), other.map(|what| (what, Marks::default())))).map_with(
        |(what, marks): (MemberKind, Marks), e| {
            let range: SimpleSpan<usize> = e.span();
            let sheet: &mut Sheet<'t> = e.state();
            let span = sheet.bytes(range);
            sheet.members.push(Member { span, what, marks });
            let next = sheet.tokens.get(range.end).copied();
            if let Some(next) =
                next.filter(|n| n.kind.is_wordlike() || matches!(n.kind, Kind::Minus | Kind::Equals))
            {
                let at = Span::new(next.span.start, next.span.start);
                sheet.spoil(
                    Fault::new(
                        FaultName::Unreadable,
                        next.span,
                        "The notes of a chord have blanks between them.",
                    )
                    .fixed_by("Put a blank between them", at, " "),
                );
            }
        },
    );
    let ends = |kind: Kind| kind == Kind::ParenClose || kind.is_barline() || kind == Kind::Comment;
    let first = any().filter(move |t: &Token| !ends(t.kind));
    let more = any().filter(|t: &Token| !separates(t.kind)).repeated();
    let bad = first.then(more).map_with(|_, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        if let Some(fault) = unread::in_chord(sheet, range.start, range.end) {
            sheet.push(fault);
        }
        sheet.bar.faulty = true;
    });
    let members = choice((kind(Kind::Blank).ignored(), member, bad)).repeated();
    let start = kind(Kind::ParenOpen).map_with(|_, e| e.state().members.len());
    start.foldl_with(members, |start, (), _| start).then_ignore(kind(Kind::ParenClose)).map_with(
        |start, e| {
            let range: SimpleSpan<usize> = e.span();
            let sheet: &mut Sheet<'t> = e.state();
            let members = sheet.members_from(start);
            if members.len() < 2 && !sheet.bar.faulty {
                let span = sheet.bytes(range);
                let inner =
                    Span::new(span.start + 1, span.end.saturating_sub(1)).of(sheet.text).trim().to_owned();
                let mut fault = Fault::new(
                    FaultName::Unreadable,
                    span,
                    "A chord has at least two notes between its brackets.",
                );
                if !inner.is_empty() {
                    fault = fault.fixed_by("Take the brackets away", span, inner);
                }
                sheet.spoil(fault);
            }
            What::Chord(members)
        },
    )
}

fn chord_item<'t>() -> impl Reads<'t, Item> {
    chord().then(marks_and_times()).map_with(|(what, (marks, times)), e| {
        let range: SimpleSpan<usize> = e.span();
        item(e.state().bytes(range), what, marks, times)
    })
}

fn grace<'t>() -> impl Reads<'t, Item> {
    let what = choice((pitch().map(What::Note), chord()));
    kind(Kind::Slash).ignore_then(what).then(marks()).then(kind(Kind::Times).or_not()).map_with(
        |((what, mut marks), times), e| {
            let span = here(e);
            let sheet: &mut Sheet<'t> = e.state();
            if !marks.is_empty() {
                keep_allowed(&mut marks, &ON_GRACE, true, "A grace", span, sheet);
            }
            if let Some(times) = times {
                sheet.push(
                    Fault::new(FaultName::Unreadable, times.span, "A grace is written out, never with `*`.")
                        .fixed_by("Take it away", times.span, ""),
                );
            }
            let what = match what {
                What::Note(pitch) => What::GraceNote(pitch),
                What::Chord(members) => What::GraceChord(members),
                other => other,
            };
            item(span, what, marks, 1)
        },
    )
}

/// Dynamics and hairpins.
pub fn free_word<'t>() -> impl Reads<'t, Item> {
    any().try_map_with(|t: Token, e| {
        if t.kind != Kind::Word {
            return Err(EmptyErr::default());
        }
        let what = match text_of(t, e) {
            "cresc" => What::Crescendo,
            "dim" => What::Diminuendo,
            word => What::Dynamic(dynamic(word).ok_or_else(EmptyErr::default)?),
        };
        Ok(item(t.span, what, Marks::default(), 1))
    })
}

fn dynamic(word: &str) -> Option<Dynamic> {
    // Only these letters make dynamics, and the longest have four.
    if word.len() > 4 || !matches!(word.as_bytes().first(), Some(b'p' | b'm' | b'f' | b's' | b'r')) {
        return None;
    }
    Dynamic::from_word(word)
}

/// Printed words.
pub fn quoted<'t>() -> impl Reads<'t, Item> {
    let curly = kind(Kind::Curly).map_with(|t, e| {
        let fault = unread::curly(t, e.state());
        e.state().push(fault);
        t
    });
    choice((kind(Kind::Quoted), curly)).map(|t| item(t.span, What::Words, Marks::default(), 1))
}

/// `%` and `%*n`.
pub fn again<'t>() -> impl Reads<'t, Item> {
    kind(Kind::Percent).then(times()).map_with(|(_, times), e| {
        let range: SimpleSpan<usize> = e.span();
        item(e.state().bytes(range), What::Again(times), Marks::default(), 1)
    })
}

/// `rest n`, `improvise n`, `play …`.
fn bars<'t>() -> impl Reads<'t, Item> {
    let counted = |name: &'static str, what: fn(u16) -> What| {
        word(name).then(gap().ignore_then(kind(Kind::Number)).or_not()).map_with(move |(word, number), e| {
            let span = here(e);
            let sheet: &mut Sheet<'t> = e.state();
            let what = bar_count(word, number, sheet).map_or(What::Bad, what);
            item(span, what, Marks::default(), 1)
        })
    };
    choice((counted("rest", What::Rests), play(), counted("improvise", What::Improvise)))
}

fn bar_count(word: Token, number: Option<Token>, sheet: &mut Sheet<'_>) -> Option<u16> {
    let said = word.of(sheet.text);
    let Some(number) = number else {
        let mut fault = Fault::new(
            FaultName::Unreadable,
            word.span,
            format!("After `{said}` comes a number of bars, such as `{said} 4`."),
        );
        if said == "rest" {
            fault.text.push_str(" One bar's rest is `-`.");
            fault = fault.fixed_by("Write - for one bar", word.span, "-");
        }
        sheet.spoil(fault);
        return None;
    };
    let count = whole(number, sheet.text).filter(|n| BARS.contains(n));
    if count.is_none() {
        let text = format!("`{said}` lasts from {} to {} bars.", BARS.start(), BARS.end());
        sheet.spoil(Fault::new(FaultName::BadNumber, number.span, text));
    }
    count.map(|n| n as u16)
}

fn play<'t>() -> impl Reads<'t, Item> {
    let direction = choice((word("up").to(false), word("down").to(true)));
    let shift = gap().ignore_then(direction).then(gap().ignore_then(any_word()).or_not()).map_with(
        |(down, interval), e| {
            let range: SimpleSpan<usize> = e.span();
            let sheet: &mut Sheet<'t> = e.state();
            match interval.and_then(|t: Token| Interval::parse(t.of(sheet.text))) {
                Some(interval) if down => interval.inverse(),
                Some(interval) => interval,
                None => {
                    let span = interval.map_or_else(|| sheet.bytes((range.end - 1..range.end).into()), |t| t.span);
                    sheet.spoil(Fault::new(
                        FaultName::Unreadable,
                        span,
                        "After `up` or `down` comes an interval: `P` `M` `m` `A` or `d` and a number, such as `m3` or `P5`.",
                    ));
                    Interval::UNISON
                }
            }
        },
    );
    let phrase = gap().ignore_then(name());
    word("play").then(phrase.then(shift.or_not()).or_not()).then(times()).map_with(
        |((word, said), times), e| {
            let span = here(e);
            let sheet: &mut Sheet<'t> = e.state();
            let what = match said {
                Some((phrase, shift)) => {
                    sheet.plays.push(Play { phrase, shift: shift.unwrap_or(Interval::UNISON), times });
                    What::Play((sheet.plays.len() - 1) as u32)
                }
                None => {
                    sheet.spoil(Fault::new(
                    FaultName::Unreadable,
                    word.span,
                    "After `play` comes the name of a phrase, such as `play riff` or `play riff up m3*2`.",
                ));
                    What::Bad
                }
            };
            item(span, what, Marks::default(), 1)
        },
    )
}

/// What is nothing known: whatever touches it is read with it.
fn bad<'t>() -> impl Reads<'t, Item> {
    let first =
        any().filter(|t: &Token| !t.kind.is_barline() && !matches!(t.kind, Kind::Comment | Kind::Beyond));
    let rest = any().filter(|t: &Token| !separates(t.kind)).repeated();
    first.then(rest).map_with(|_, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        if let Some(fault) = unread::in_list(sheet, range.start, range.end) {
            sheet.faults.push(fault);
        }
        sheet.bar.faulty = true;
        item(sheet.bytes(range), What::Bad, Marks::default(), 1)
    })
}

/// True for a word that is a note value.
pub fn is_value(token: Token, text: &str) -> bool {
    token.kind == Kind::Word && value_of(token.of(text)).is_some()
}
