//! A row of a block: names, figures, entries, free things.

use super::word::{told as word, under_cursor};
use super::{Asked, Hover, bars, chord, instrument, length, note, player};
use crate::assist::glossary::Class;
use crate::brass::Mute;
use crate::notation::token::Kind;
use crate::notation::tree::{Bar, Instruction, Item, Row, RowKind, What};

/// Tells of what stands under the cursor.
pub fn told(asked: Asked<'_>, row: &Row) -> Option<Hover> {
    if let Some(name) = row.names.iter().find(|s| asked.here(**s)) {
        return player::name(asked, *name);
    }
    let Some((index, bar)) = row.bars.iter().enumerate().find(|(_, b)| asked.here(b.span)) else {
        let (text, span) = under_cursor(asked)?;
        return (row.kind != RowKind::Music).then(|| word(asked, &[Class::Line], text, span))?;
    };
    match row.kind {
        RowKind::Chords => {
            let symbol = bar.items.of(&row.symbols).iter().find(|s| asked.here(s.span));
            symbol.and_then(|s| chord::told(asked, s)).or_else(|| length::told(asked, row, index, bar))
        }
        RowKind::Rhythm | RowKind::Music => in_bar(asked, row, index, bar),
    }
}

fn in_bar(asked: Asked<'_>, row: &Row, index: usize, bar: &Bar) -> Option<Hover> {
    let Some(item) = bar.items.of(&row.items).iter().find(|i| asked.here(i.span)) else {
        return length::told(asked, row, index, bar).or_else(|| length::sign(asked, bar));
    };
    if let Some(hover) = touching(asked, row, item) {
        return Some(hover);
    }
    match item.what {
        What::Rests(_) | What::Play(_) | What::Improvise(_) => bars::told(asked, row, index, item),
        What::Again(_) if row.kind == RowKind::Music => bars::told(asked, row, index, item),
        What::Again(_) => word(asked, &[Class::Bars], "%", item.span),
        _ => entry(asked, row, item).or_else(|| free(asked, row, item)),
    }
}

fn entry(asked: Asked<'_>, row: &Row, item: &Item) -> Option<Hover> {
    let timed = item.what.is_entry() || matches!(item.what, What::GraceNote(_) | What::GraceChord(_));
    timed.then(|| note::told(asked, row, item))?
}

/// A mark or a number that touches an entry.
pub fn touching(asked: Asked<'_>, row: &Row, item: &Item) -> Option<Hover> {
    let token = asked.token()?;
    let text = asked.text(token.span);
    let begins = token.span.start == item.span.start
        || row.members.iter().any(|m| m.span.start == token.span.start && item.span.start < m.span.end);
    if begins || item.what.is_free() {
        return (token.kind == Kind::Slash).then(|| word(asked, &[Class::Bars], "/", token.span))?;
    }
    match token.kind {
        Kind::Technique
        | Kind::Dot
        | Kind::Minus
        | Kind::Greater
        | Kind::Caret
        | Kind::Low
        | Kind::Comma
        | Kind::Commas => word(asked, &[Class::Mark], text, token.span),
        Kind::Times => word(asked, &[Class::Bars], "*", token.span),
        _ => None,
    }
}

/// Dynamics, words, instructions.
pub fn free(asked: Asked<'_>, row: &Row, item: &Item) -> Option<Hover> {
    match item.what {
        What::Dynamic(d) => word(asked, &[Class::Dynamic], d.word(), item.span),
        What::Crescendo => word(asked, &[Class::Dynamic], "cresc", item.span),
        What::Diminuendo => word(asked, &[Class::Dynamic], "dim", item.span),
        What::Words => {
            let mut telling = super::telling::Telling::new("Printed words");
            telling.text("They stand in the part and are read by people only.");
            Some(telling.hover(asked.place.line, item.span))
        }
        What::Instruction(instruction) => instructed(asked, row, item, instruction),
        _ => None,
    }
}

fn instructed(asked: Asked<'_>, row: &Row, item: &Item, instruction: Instruction) -> Option<Hover> {
    if let Instruction::Switch(i) = instruction
        && let Some(switch) = row.switches.get(i as usize)
    {
        let whole = switch.read_in.map_or(switch.instrument, |r| switch.instrument.to(r.span));
        if asked.here(whole) {
            return instrument::switched(asked, switch, whole);
        }
    }
    let (text, span) = under_cursor(asked)?;
    if let Instruction::Mute(mute) = instruction
        && Mute::from_word(text) == Some(mute)
    {
        return instrument::mute(asked, mute, span);
    }
    let first = asked.text(item.span).trim_start_matches('[').split([' ', '\t', ']']).next().unwrap_or("");
    word(asked, &[Class::Instruction, Class::Clef, Class::Value], text, span)
        .or_else(|| word(asked, &[Class::Instruction], first, item.span))
}
