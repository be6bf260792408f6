//! Instructions in square brackets: what holds from here on.

use super::timing::tempo;
use super::words::{blank, gap, kind, read_in, shown, word, words};
use super::{Reads, Sheet, here};
use crate::brass::Mute;
use crate::music::Clef;
use crate::notation::fault::{Fault, FaultName};
use crate::notation::nearest::nearest;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Instruction, Item, Marks, RowKind, Switch, What};
use chumsky::prelude::*;

/// First words of instructions, for the nearest.
const WORDS: [&str; 14] = [
    "mute", "open", "stopped", "hand", "flutter", "plain", "switch", "solo", "tutti", "clef", "tempo", "rit",
    "accel", "a-tempo",
];

/// `[…]`.
pub fn instruction<'t>() -> impl Reads<'t, Item> {
    let inside = choice((
        word("mute").ignore_then(mute()),
        word("open").to(Instruction::Open),
        word("stopped").to(Instruction::Stopped),
        word("hand").to(Instruction::Hand),
        word("flutter").to(Instruction::Flutter),
        word("plain").to(Instruction::Plain),
        word("switch").ignore_then(switch()),
        word("solo").to(Instruction::Solo),
        word("tutti").to(Instruction::Tutti),
        word("clef").ignore_then(clef()),
        word("tempo").ignore_then(blank()).ignore_then(tempo()).map_with(|tempo, e| match tempo {
            Some(tempo) => {
                let sheet: &mut Sheet<'t> = e.state();
                sheet.tempos.push(tempo);
                Instruction::Tempo((sheet.tempos.len() - 1) as u32)
            }
            None => Instruction::Bad,
        }),
        word("rit").to(Instruction::Rit),
        word("accel").to(Instruction::Accel),
        word("a").then(kind(Kind::Minus)).then(word("tempo")).to(Instruction::ATempo),
        unknown(),
    ));
    let over = until_close().map_with(|over, e| {
        if let Some(span) = over {
            e.state().spoil(Fault::new(
                FaultName::Unreadable,
                span,
                "This is more than the instruction takes.",
            ));
        }
        over
    });
    kind(Kind::SquareOpen)
        .ignore_then(blank())
        .ignore_then(inside)
        .then(over)
        .then_ignore(kind(Kind::SquareClose))
        .map_with(|(said, over), e| {
            let span = here(e);
            let sheet: &mut Sheet<'t> = e.state();
            let said = if over.is_some() { Instruction::Bad } else { said };
            sheet.bar.faulty |= said == Instruction::Bad;
            in_its_row(said, span, sheet);
            Item { span, what: What::Instruction(said), marks: Marks::default(), times: 1, after: 0 }
        })
}

/// Tempos concern everybody and stand in the rhythm row; the rest concerns one player and stands in theirs.
fn in_its_row(said: Instruction, span: Span, sheet: &mut Sheet<'_>) {
    let everybody =
        matches!(said, Instruction::Tempo(_) | Instruction::Rit | Instruction::Accel | Instruction::ATempo);
    let rhythm = sheet.kind == RowKind::Rhythm;
    if said == Instruction::Bad || everybody == rhythm {
        return;
    }
    let text = if everybody {
        format!(
            "`{}` concerns everybody: it stands in the rhythm row of the block.",
            shown(span.of(sheet.text))
        )
    } else {
        format!("`{}` concerns one player: it stands in the player's own row.", shown(span.of(sheet.text)))
    };
    sheet.push(Fault::new(FaultName::Unreadable, span, text));
}

/// What is left before the closing bracket, without blanks around it.
fn until_close<'t>() -> impl Reads<'t, Option<Span>> {
    let any_inside = any().filter(|t: &Token| t.kind != Kind::SquareClose && !t.kind.is_barline());
    let stretch = any_inside.repeated().at_least(1).map_with(|(), e| {
        let range: SimpleSpan<usize> = e.span();
        super::words::trimmed(e.state(), range.start, range.end)
    });
    stretch.or_not().map(Option::flatten)
}

/// A name of several words joined by hyphens.
fn hyphened<'t>() -> impl Reads<'t, Span> {
    let part = any().filter(|t: &Token| t.kind.is_wordlike() || t.kind == Kind::Minus || t.kind == Kind::Low);
    part.repeated().at_least(1).map_with(|(), e| here(e))
}

fn mute<'t>() -> impl Reads<'t, Instruction> {
    gap().ignore_then(hyphened()).or_not().map_with(|name, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let span = name.unwrap_or_else(|| sheet.bytes((range.start.saturating_sub(1)..range.start).into()));
        match name.and_then(|n| Mute::from_word(n.of(sheet.text))) {
            Some(mute) => Instruction::Mute(mute),
            None => {
                let fault = unknown_mute(span, name.is_some(), sheet.text);
                sheet.spoil(fault);
                Instruction::Bad
            }
        }
    })
}

/// A fault for a mute that does not exist.
pub fn unknown_mute(span: Span, named: bool, text: &str) -> Fault {
    let all = Mute::ALL.map(Mute::word);
    let known = all.join(", ");
    if !named {
        return Fault::new(FaultName::UnknownName, span, format!("Name the mute: {known}."));
    }
    let near = nearest(span.of(text), all);
    let said = format!("No mute is called `{}`. Mutes are {known}.", shown(span.of(text)));
    let fault = Fault::new(FaultName::UnknownName, span, said);
    match near {
        Some(near) => fault.fixed_by(format!("Write {near}"), span, near),
        None => fault,
    }
}

fn switch<'t>() -> impl Reads<'t, Instruction> {
    let target = words().then(gap().ignore_then(read_in()).or_not());
    gap().ignore_then(target).or_not().map_with(|said, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        match said {
            Some((instrument, read_in)) => {
                sheet.switches.push(Switch { instrument, read_in: read_in.flatten() });
                Instruction::Switch((sheet.switches.len() - 1) as u32)
            }
            None => {
                let span = sheet.bytes((range.start.saturating_sub(1)..range.start).into());
                sheet.spoil(Fault::new(
                    FaultName::Unreadable,
                    span,
                    "Name the instrument to take up, one of the player's own: `[switch flugelhorn]`.",
                ));
                Instruction::Bad
            }
        }
    })
}

fn clef<'t>() -> impl Reads<'t, Instruction> {
    gap().ignore_then(hyphened()).or_not().map_with(|name, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let span = name.unwrap_or_else(|| sheet.bytes((range.start.saturating_sub(1)..range.start).into()));
        match name.and_then(|n| Clef::from_word(n.of(sheet.text))) {
            Some(clef) => Instruction::Clef(clef),
            None => {
                let fault = unknown_clef(span, sheet.text);
                sheet.spoil(fault);
                Instruction::Bad
            }
        }
    })
}

/// A fault for a clef that does not exist.
pub fn unknown_clef(span: Span, text: &str) -> Fault {
    let fault = Fault::new(FaultName::UnknownName, span, "A clef is `treble`, `bass`, `tenor` or `alto`.");
    match nearest(span.of(text), Clef::ALL.map(Clef::word)) {
        Some(near) => fault.fixed_by(format!("Write {near}"), span, near),
        None => fault,
    }
}

fn unknown<'t>() -> impl Reads<'t, Instruction> {
    until_close().map_with(|found, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let span =
            found.unwrap_or_else(|| sheet.bytes((range.start.saturating_sub(1)..range.start + 1).into()));
        let fault = unknown_instruction(span, found.is_some(), sheet);
        sheet.spoil(fault);
        Instruction::Bad
    })
}

fn unknown_instruction(span: Span, named: bool, sheet: &Sheet<'_>) -> Fault {
    if !named {
        return Fault::new(FaultName::Unreadable, span, "The square brackets hold no instruction.");
    }
    let said = span.of(sheet.text);
    if Mute::from_word(said).is_some() {
        return Fault::new(FaultName::UnknownName, span, format!("A mute is put in with `[mute {said}]`."))
            .fixed_by(format!("Write mute {said}"), span, format!("mute {said}"));
    }
    let text = format!("No instruction is called `{}`. Instructions are {}.", shown(said), WORDS.join(", "));
    let fault = Fault::new(FaultName::UnknownName, span, text);
    let first = said.split([' ', '\t']).next().unwrap_or(said);
    match nearest(first, WORDS) {
        Some(near) => fault.fixed_by(
            format!("Write {near}"),
            Span::new(span.start, span.start + first.len() as u32),
            near,
        ),
        None => fault,
    }
}
