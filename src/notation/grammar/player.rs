//! Players and own instruments.

use super::head::{LEVELS, named, number_in, one_of_words};
use super::instruction::{unknown_clef, unknown_mute};
use super::timing::inside_quotes;
use super::words::{blank, gap, kind, needing, pitch_of, read_in, shown, tail, trimmed, whole, word, words};
use super::{Reads, Sheet, here, run, text_of};
use crate::brass::Mute;
use crate::music::{Clef, Pitch};
use crate::notation::fault::{Fault, FaultName};
use crate::notation::nearest::nearest;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{
    InstrumentLine, LineTree, OptionKind, OwnBuild, PlayerLine, PlayerOption, ReadIn,
};
use chumsky::error::EmptyErr;
use chumsky::prelude::*;

/// First words of player options.
const OPTIONS: [&str; 10] =
    ["level", "top", "bottom", "mutes", "valves", "doubles", "clef", "seats", "name", "signature"];
/// First words of the parts of an own instrument.
const PARTS: [&str; 8] =
    ["valved", "slide", "natural", "fundamental", "in", "valves", "range", "comfortable"];

/// Largest number of people on one part.
const SEATS: std::ops::RangeInclusive<u32> = 1..=99;
/// Largest number of semitones one valve of an own instrument adds.
const SEMITONES: std::ops::RangeInclusive<u32> = 1..=24;
/// Most valves of an own instrument: two hands and a thumb on each.
const MOST_VALVES: usize = 6;

/// Reads a player.
pub fn player(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let head = named("player", "`player Tp1 = trumpet in Bb`");
    let instrument = words().then_ignore(blank()).or_not().then(read_in().or_not()).then_ignore(blank());
    let option = option().map_with(|what, e| {
        let range: SimpleSpan<usize> = e.span();
        let span = trimmed(e.state(), range.start, range.end);
        PlayerOption { span: span.unwrap_or_else(|| e.state().bytes(range)), what }
    });
    let options = empty().to(Vec::new()).foldl_with(
        comma().then(option).map(|((), option)| option).then(junk()).repeated(),
        |mut all: Vec<PlayerOption>, (mut option, over), _| {
            if over {
                option.what = OptionKind::Bad;
            }
            all.push(option);
            all
        },
    );
    let line = head.then(instrument).then(junk()).then(options).then(tail());
    let ((((id, (instrument, read_in)), _), options), ()) = run(line, sheet)?;
    options_twice(&options, sheet);
    if instrument.is_none() && sheet.faults.is_empty() {
        let span = id.unwrap_or_default();
        sheet.fault(
            FaultName::UnknownInstrument,
            span,
            "Behind `=` the player's instrument is missing: `player Tp1 = trumpet in Bb`.",
        );
    }
    Some(LineTree::Player(Box::new(PlayerLine {
        id,
        instrument,
        read_in: read_in.flatten(),
        options: options.into(),
    })))
}

/// An option said twice of the same instrument, or of the person, is a fault.
fn options_twice(options: &[PlayerOption], sheet: &mut Sheet<'_>) {
    let mut person = Vec::new();
    let mut instrument = Vec::new();
    for (at, option) in options.iter().enumerate() {
        let kind = std::mem::discriminant(&option.what);
        let seen = match option.what {
            OptionKind::Bad => continue,
            OptionKind::Doubles { .. } => {
                instrument.clear();
                continue;
            }
            OptionKind::Level(_) | OptionKind::Seats(_) | OptionKind::Name(_) | OptionKind::SignatureNone => {
                &mut person
            }
            _ => &mut instrument,
        };
        if seen.contains(&kind) {
            let said = option.span.of(sheet.text).split([' ', '\t']).next().unwrap_or("").to_owned();
            let before =
                at.checked_sub(1).and_then(|at| options.get(at)).map_or(option.span.start, |o| o.span.end);
            let text = format!("`{said}` is said twice of the same player.");
            let gone = Span::new(before, option.span.end);
            sheet.push(Fault::new(FaultName::Unreadable, option.span, text).fixed_by(
                "Take it away",
                gone,
                "",
            ));
        } else {
            seen.push(kind);
        }
    }
}

fn comma<'t>() -> impl Reads<'t, ()> {
    any().filter(|t: &Token| matches!(t.kind, Kind::Comma | Kind::Commas)).then(blank()).map_with(
        |(t, ()), e| {
            if t.kind == Kind::Commas {
                let fault = Fault::new(
                    FaultName::Unreadable,
                    t.span,
                    "Two commas: an option is missing between them.",
                );
                let fault = fault.fixed_by("Leave one comma", t.span, ",");
                e.state().push(fault);
            }
        },
    )
}

/// What stands before the next comma and was not read; true if something does.
fn junk<'t>() -> impl Reads<'t, bool> {
    let other = any()
        .filter(|t: &Token| !matches!(t.kind, Kind::Comma | Kind::Commas | Kind::Comment | Kind::Beyond));
    other.repeated().map_with(|(), e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let Some(span) = trimmed(sheet, range.start, range.end) else { return false };
        if sheet.faults.len() > sheet.told {
            // What went wrong before it in the same option is enough.
            return true;
        }
        let said = shown(span.of(sheet.text));
        let first = said.split([' ', '\t']).next().unwrap_or("");
        let mut fault = Fault::new(FaultName::Unreadable, span, format!("`{said}` cannot be read here."));
        if OPTIONS.contains(&first) || PARTS.contains(&first) {
            fault.text = format!("Before `{first}` a comma is missing.");
            let ahead = sheet.text.get(..span.start as usize).unwrap_or("");
            let before = ahead.trim_end_matches([' ', '\t']).len() as u32;
            fault = fault.fixed_by("Set the comma", Span::new(before, span.start), ", ");
        }
        if matches!(first, "flat" | "sharp") {
            let sign = if first == "flat" { "`b` for a flat: `in Bb`" } else { "`#` for a sharp: `in F#`" };
            fault.text = format!("A key is one word, with {sign}.");
        }
        sheet.push(fault);
        true
    })
}

fn pitch<'t>() -> impl Reads<'t, Pitch> {
    kind(Kind::Pitch).try_map_with(|t, e| pitch_of(text_of(t, e)).ok_or_else(EmptyErr::default))
}

/// A pitch after a keyword, or a fault.
fn limit<'t>(said: &'static str) -> impl Reads<'t, Option<Pitch>> {
    needing(said, pitch()).map_with(move |pitch, e| {
        pitch
            .map_err(|span| {
                let text = format!("After `{said}` comes a note with its octave, such as `{said} G5`.");
                e.state().fault(FaultName::Unreadable, span, text);
            })
            .ok()
    })
}

fn option<'t>() -> impl Reads<'t, OptionKind> {
    let or_bad = |what: Option<OptionKind>| what.unwrap_or(OptionKind::Bad);
    let seats = needing("seats", kind(Kind::Number)).map_with(move |number, e| match number {
        Ok(token) => or_bad(number_in(token, SEATS, "The number of seats", e.state()).map(OptionKind::Seats)),
        Err(span) => {
            e.state().fault(
                FaultName::BadNumber,
                span,
                "After `seats` comes how many people read the part: `seats 3`.",
            );
            OptionKind::Bad
        }
    });
    let name = needing("name", kind(Kind::Quoted)).map_with(|text, e| match text {
        Ok(text) => OptionKind::Name(inside_quotes(text)),
        Err(span) => {
            let text = "After `name` comes text between quotes: `name \"Solo Cornet\"`.";
            e.state().fault(FaultName::Unreadable, span, text);
            OptionKind::Bad
        }
    });
    let signature = needing("signature", word("none")).map_with(|none, e| match none {
        Ok(_) => OptionKind::SignatureNone,
        Err(span) => {
            e.state().fault(FaultName::Unreadable, span, "The one thing to say here is `signature none`.");
            OptionKind::Bad
        }
    });
    choice((
        word("level")
            .ignore_then(blank())
            .ignore_then(one_of_words(&LEVELS, FaultName::Unreadable))
            .map(move |l| or_bad(l.map(OptionKind::Level))),
        limit("top").map(move |p| or_bad(p.map(OptionKind::Top))),
        limit("bottom").map(move |p| or_bad(p.map(OptionKind::Bottom))),
        mutes(),
        valves(),
        doubles(),
        clef(),
        seats,
        name,
        signature,
        unknown(&OPTIONS, "option of a player").map(|()| OptionKind::Bad),
    ))
}

/// What begins with no known word, up to the next comma.
fn unknown<'t>(words: &'static [&'static str], what: &'static str) -> impl Reads<'t, ()> {
    let other = any()
        .filter(|t: &Token| !matches!(t.kind, Kind::Comma | Kind::Commas | Kind::Comment | Kind::Beyond));
    other.repeated().map_with(move |(), e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let Some(span) = trimmed(sheet, range.start, range.end) else {
            let span = sheet.bytes((range.start.saturating_sub(1)..range.start).into());
            let text = format!("Behind the comma a further {what} is missing.");
            sheet.push(Fault::new(FaultName::Unreadable, span, text).fixed_by(
                "Take the comma away",
                span,
                "",
            ));
            return;
        };
        let said = span.of(sheet.text);
        let first = said.split([' ', '\t']).next().unwrap_or("");
        let word = Span::new(span.start, span.start + first.len() as u32);
        let all = words.join(" ");
        let text = format!("`{}` is no {what}. There are {all}.", shown(first));
        let fault = Fault::new(FaultName::Unreadable, word, text);
        sheet.push(match nearest(first, words.iter().copied()) {
            Some(near) => fault.fixed_by(format!("Write {near}"), word, near),
            None => fault,
        });
    })
}

fn hyphened<'t>() -> impl Reads<'t, Span> {
    let part = any().filter(|t: &Token| t.kind.is_wordlike() || t.kind == Kind::Minus || t.kind == Kind::Low);
    part.repeated().at_least(1).map_with(|(), e| here(e))
}

fn mutes<'t>() -> impl Reads<'t, OptionKind> {
    let names = gap().ignore_then(hyphened()).repeated().collect::<Vec<Span>>();
    word("mutes").then(names).map_with(|(word, names), e| {
        let sheet: &mut Sheet<'t> = e.state();
        let none = names.iter().position(|n| n.of(sheet.text) == "none");
        match (none, names.len()) {
            (_, 0) => {
                let fault = unknown_mute(word.span, false, sheet.text);
                sheet.push(fault);
                return OptionKind::Bad;
            }
            (Some(_), 1) => return OptionKind::Mutes(Box::new([])),
            (Some(_), _) => {
                sheet.fault(FaultName::Unreadable, word.span, "`mutes none` names no mutes beside it.");
                return OptionKind::Bad;
            }
            _ => {}
        }
        let mut all = Vec::with_capacity(names.len());
        for name in names {
            match Mute::from_word(name.of(sheet.text)) {
                Some(mute) => all.push(mute),
                None => {
                    let fault = unknown_mute(name, true, sheet.text);
                    sheet.push(fault);
                }
            }
        }
        OptionKind::Mutes(all.into())
    })
}

fn valves<'t>() -> impl Reads<'t, OptionKind> {
    let plain = gap().ignore_then(word("plain")).or_not();
    needing("valves", kind(Kind::Number)).then(plain).map_with(|(number, plain), e| {
        let sheet: &mut Sheet<'t> = e.state();
        let count = match number {
            Ok(token) => number_in(token, 3..=5, "The number of valves", sheet),
            Err(span) => {
                sheet.fault(
                    FaultName::BadNumber,
                    span,
                    "After `valves` comes their number: `valves 3` or `valves 4 plain`.",
                );
                None
            }
        };
        count.map_or(OptionKind::Bad, |count| OptionKind::Valves {
            count: count as u8,
            plain: plain.is_some(),
        })
    })
}

fn doubles<'t>() -> impl Reads<'t, OptionKind> {
    let what = words().then_ignore(blank()).then(read_in().or_not());
    word("doubles").then_ignore(blank()).then(what.or_not()).map_with(|(word, what), e| match what {
        Some((instrument, read_in)) => OptionKind::Doubles { instrument, read_in: read_in.flatten() },
        None => {
            let text = "After `doubles` comes an instrument: `doubles flugelhorn`.";
            e.state().fault(FaultName::UnknownInstrument, word.span, text);
            OptionKind::Bad
        }
    })
}

fn clef<'t>() -> impl Reads<'t, OptionKind> {
    word("clef").then_ignore(blank()).then(hyphened().or_not()).map_with(|(word, name), e| {
        let sheet: &mut Sheet<'t> = e.state();
        let span = name.unwrap_or(word.span);
        match name.and_then(|n| Clef::from_word(n.of(sheet.text))) {
            Some(clef) => OptionKind::Clef(clef),
            None => {
                let fault = unknown_clef(span, sheet.text);
                sheet.push(fault);
                OptionKind::Bad
            }
        }
    })
}

/// A part of an own instrument.
#[derive(Clone)]
enum Part {
    Build(OwnBuild),
    Fundamental(Span, Pitch),
    In(ReadIn),
    Valves(Vec<u8>),
    Range(Pitch, Pitch),
    Comfortable(Pitch, Pitch),
    Bad,
}

/// Reads an own instrument.
pub fn instrument(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let head = named("instrument", "`instrument Post = natural, fundamental Bb2`");
    let part = part().then_ignore(blank()).map_with(|part, e| {
        let range: SimpleSpan<usize> = e.span();
        let span = trimmed(e.state(), range.start, range.end);
        (part, span.unwrap_or_else(|| e.state().bytes(range)))
    });
    let one = part.then(junk());
    let more = comma().then(one.clone()).map(|((), one)| one).repeated();
    let all = one.map(|first| vec![first]).foldl_with(more, |mut all: Vec<((Part, Span), bool)>, next, _| {
        all.push(next);
        all
    });
    let ((id, parts), ()) = run(head.then(all).then(tail()), sheet)?;
    let mut line = InstrumentLine {
        id,
        build: None,
        fundamental: None,
        read_in: None,
        valves: None,
        range: None,
        comfortable: None,
    };
    for ((part, span), _) in parts {
        let twice = match part {
            Part::Build(build) => line.build.replace(build).is_some(),
            Part::Fundamental(span, pitch) => line.fundamental.replace((span, pitch)).is_some(),
            Part::In(read_in) => line.read_in.replace(read_in).is_some(),
            Part::Valves(valves) => line.valves.replace(valves.into()).is_some(),
            Part::Range(low, high) => line.range.replace((low, high)).is_some(),
            Part::Comfortable(low, high) => line.comfortable.replace((low, high)).is_some(),
            Part::Bad => false,
        };
        if twice {
            sheet.fault(FaultName::Unreadable, span, "This is said twice of the same instrument.");
        }
    }
    check_instrument(&line, sheet);
    Some(LineTree::Instrument(Box::new(line)))
}

fn check_instrument(line: &InstrumentLine, sheet: &mut Sheet<'_>) {
    let Some(id) = line.id.filter(|_| sheet.faults.is_empty()) else { return };
    if line.build.is_none() {
        sheet.fault(
            FaultName::Unreadable,
            id,
            "Say how the instrument changes its length: `valved`, `slide` or `natural`.",
        );
    } else if line.fundamental.is_none() {
        sheet.fault(
            FaultName::Unreadable,
            id,
            "The sounding fundamental of the open tube is missing, such as `fundamental Bb1`.",
        );
    } else if line.valves.is_some() && line.build != Some(OwnBuild::Valved) {
        sheet.fault(FaultName::Unreadable, id, "`valves` belongs to a `valved` instrument.");
    }
}

fn part<'t>() -> impl Reads<'t, Part> {
    let build = choice((
        word("valved").to(OwnBuild::Valved),
        word("slide").to(OwnBuild::Slide),
        word("natural").to(OwnBuild::Natural),
    ));
    let note = kind(Kind::Pitch).try_map_with(|t, e| {
        pitch_of(text_of(t, e)).map(|pitch| (t.span, pitch)).ok_or_else(EmptyErr::default)
    });
    let fundamental = needing("fundamental", note).map_with(|found, e| match found {
        Ok((span, pitch)) => Part::Fundamental(span, pitch),
        Err(span) => {
            let text =
                "After `fundamental` comes the sounding note of the open tube, such as `fundamental Bb1`.";
            e.state().fault(FaultName::Unreadable, span, text);
            Part::Bad
        }
    });
    let numbers = gap().ignore_then(kind(Kind::Number)).repeated().collect::<Vec<Token>>();
    let valves =
        word("valves").then(numbers).map_with(|(word, numbers), e| own_valves(word, numbers, e.state()));
    choice((
        build.map(Part::Build),
        fundamental,
        read_in().map(|r| r.map_or(Part::Bad, Part::In)),
        valves,
        span_of_pitches("range").map(|r| r.map_or(Part::Bad, |(a, b)| Part::Range(a, b))),
        span_of_pitches("comfortable").map(|r| r.map_or(Part::Bad, |(a, b)| Part::Comfortable(a, b))),
        unknown(&PARTS, "part of an instrument").map(|()| Part::Bad),
    ))
}

fn own_valves(word: Token, numbers: Vec<Token>, sheet: &mut Sheet<'_>) -> Part {
    if numbers.is_empty() || numbers.len() > MOST_VALVES {
        let text = format!(
            "After `valves` come the semitones each finger's valve adds, one to {MOST_VALVES} numbers: `valves 2 1 3`."
        );
        sheet.fault(FaultName::BadNumber, word.span, text);
        return Part::Bad;
    }
    let mut all = Vec::with_capacity(numbers.len());
    for token in numbers {
        match whole(token, sheet.text).filter(|n| SEMITONES.contains(n)) {
            Some(n) => all.push(n as u8),
            None => {
                let text = format!("A valve adds {} to {} semitones.", SEMITONES.start(), SEMITONES.end());
                sheet.fault(FaultName::BadNumber, token.span, text);
                return Part::Bad;
            }
        }
    }
    Part::Valves(all)
}

fn span_of_pitches<'t>(said: &'static str) -> impl Reads<'t, Option<(Pitch, Pitch)>> {
    let dots = kind(Kind::Dot).then(kind(Kind::Dot));
    let both = pitch().then_ignore(dots).then(pitch());
    needing(said, both).map_with(move |both, e| {
        let span = here(e);
        let sheet: &mut Sheet<'t> = e.state();
        match both {
            Ok((low, high)) if low.midi() < high.midi() => Some((low, high)),
            Ok(_) => {
                sheet.fault(
                    FaultName::BadNumber,
                    span,
                    "The lower note stands first, the higher behind the dots.",
                );
                None
            }
            Err(span) => {
                let text = format!(
                    "After `{said}` come two sounding notes with two dots between: `{said} E2..Bb4`."
                );
                sheet.fault(FaultName::Unreadable, span, text);
                None
            }
        }
    })
}
