//! Music in another key: notes, keys, chord symbols.
//!
//! The interval is chosen for each block from its key: where letters kept would give a signature of more than
//! six accidentals, the block goes to the enharmonic key and its notes with it.

use super::Refusal;
use super::draft::Draft;
use super::faults::{sound_everywhere, sound_in};
use super::hands::{Readings, readings};
use super::numbered;
use super::pitch::{Change, View};
use super::selected::Selected;
use crate::assist::cure::notes::tokens;
use crate::brass::written::{MOST_ACCIDENTALS, reading_interval};
use crate::music::{Interval, Key, chord_symbol::ChordSymbol};
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::{
    Basis, BlockLine, Item, LineTree, Play, Row, RowKind, SettingKind, SymbolKind, What,
};
use crate::rules::Desk;
use crate::score::score::Placed;
use std::ops::RangeInclusive;

/// The interval that takes a key to one that can be read, as near to this one as can be.
pub fn within(by: Interval, key: Option<Key>) -> Interval {
    let Some(key) = key.filter(|_| by.semitones.rem_euclid(12) != 0) else { return by };
    let accidentals = |i: Interval| key.moved(i).map_or(i32::MAX, |k| k.fifths().abs());
    if accidentals(by) <= MOST_ACCIDENTALS {
        return by;
    }
    let near = [0, 1, -1].into_iter().map(|d| Interval { steps: by.steps + d, ..by });
    near.min_by_key(|i| accidentals(*i)).unwrap_or(by)
}

/// The whole score.
pub fn score<'a>(desk: &'a Desk, by: Interval) -> Result<Draft<'a>, Refusal> {
    sound_everywhere(desk)?;
    let score = desk.score();
    let mut draft = Draft::of(desk);
    for (at, line) in score.head.lines.iter().enumerate() {
        let LineTree::Phrase(phrase) = &line.tree else { continue };
        // The key of a phrase is that of where it is played; its letters follow the first key of the score.
        let key = score.blocks.first().and_then(|b| b.frame.key);
        let by = within(by, key);
        let view = View { sounds: Interval::UNISON, key: None, basis: Basis::Written };
        let change = Change { old: view, new: view, row: by, keeps_fingerings: false, names_trills: false };
        for item in &phrase.row.items {
            let edits =
                change.item(line, &phrase.row, item).map_err(|why| why.at(format!("line {}", at + 1)))?;
            draft.put_all(at as u32, edits);
            if let Some((span, with)) = brought(desk, line, &phrase.row, item, by) {
                draft.put(at as u32, span, with?);
            }
        }
    }
    for block in 0..score.blocks.len() {
        of_block(desk, block, by, true, &mut draft)?;
    }
    Ok(draft)
}

/// Some blocks with their keys; the block behind them keeps its own.
pub fn blocks<'a>(desk: &'a Desk, which: RangeInclusive<usize>, by: Interval) -> Result<Draft<'a>, Refusal> {
    let all: Vec<usize> = which.clone().collect();
    sound_in(desk, &all)?;
    let mut draft = Draft::of(desk);
    let blocks = &desk.score().blocks;
    for block in which.clone() {
        of_block(desk, block, by, false, &mut draft)?;
    }
    let key_named = |placed: &Placed| header_key(placed).is_some();
    if let Some(first) = blocks.get(*which.start()).filter(|b| !key_named(b))
        && let Some(key) = first.frame.key
        && let Some(moved) = key.moved(within(by, Some(key)))
    {
        add_key(first, &moved, &mut draft);
    }
    if let Some(next) = blocks.get(*which.end() + 1).filter(|b| !key_named(b))
        && let Some(key) = next.frame.key
    {
        add_key(next, &key, &mut draft);
    }
    Ok(draft)
}

/// The notes of a selection; the keys stay.
pub fn selection<'a>(desk: &'a Desk, selected: &Selected, by: Interval) -> Result<Draft<'a>, Refusal> {
    sound_in(desk, &[selected.block])?;
    let mut draft = Draft::of(desk);
    let Some(placed) = desk.score().blocks.get(selected.block) else { return Ok(draft) };
    selected.copies(desk)?;
    let readings = written_readings(desk, selected.block)?;
    let key = placed.frame.key;
    let mut notes = 0;
    for row in &selected.rows {
        let Some(line) = placed.read.block.text.lines.get(row.line as usize) else { continue };
        let LineTree::Row(tree) = &line.tree else { continue };
        for at in row.items.iter().copied() {
            let Some(item) = tree.items.get(at as usize) else { continue };
            let (old, new) = views(desk, &readings, (row.line, at), (key, key));
            let change =
                Change { old, new, row: by, keeps_fingerings: by == Interval::UNISON, names_trills: true };
            let edits = change
                .item(line, tree, item)
                .map_err(|why| numbered(desk, selected.block, row.line, item.span, why))?;
            notes += edits.len();
            draft.put_all(placed.line + row.line, edits);
            if let What::Play(play) = item.what
                && let Some(play) = tree.plays.get(play as usize)
            {
                let (span, with) = played(line, item, play, by)?;
                draft.put(placed.line + row.line, span, with);
                notes += 1;
            }
        }
    }
    if notes == 0 {
        return Err(Refusal::idle("there are no notes in the selection"));
    }
    Ok(draft)
}

/// In a written score: how each entry is read.
fn written_readings(desk: &Desk, block: usize) -> Result<Readings, Refusal> {
    match desk.score().head.basis {
        Basis::Concert => Ok(Readings::new()),
        Basis::Written => readings(desk, block),
    }
}

fn views(desk: &Desk, readings: &Readings, at: (u32, u32), keys: (Option<Key>, Option<Key>)) -> (View, View) {
    let basis = desk.score().head.basis;
    let reading = readings.get(&at);
    let player = reading.and_then(|r| desk.score().head.players.get(r.player)?.instrument(r.instrument));
    let sounds = |key: Option<Key>| match (basis, player) {
        (Basis::Written, Some(hand)) => reading_interval(hand.instrument.reads, key),
        _ => Interval::UNISON,
    };
    let view = |key| View { sounds: sounds(key), key, basis };
    (view(keys.0), view(keys.1))
}

fn of_block(
    desk: &Desk,
    block: usize,
    by: Interval,
    whole: bool,
    draft: &mut Draft<'_>,
) -> Result<(), Refusal> {
    let Some(placed) = desk.score().blocks.get(block) else { return Ok(()) };
    let key = placed.frame.key;
    let by = within(by, key);
    let new_key = match key {
        Some(key) => Some(key.moved(by).ok_or_else(|| Refusal::new(format!("{key} cannot be moved so")))?),
        None => None,
    };
    if let (Some(span), Some(new_key)) = (header_key(placed), new_key) {
        draft.put(placed.line, span, new_key.to_string());
    }
    let readings = written_readings(desk, block)?;
    for row in &placed.read.block.rows {
        let Some(line) = placed.read.block.text.lines.get(row.line as usize) else { continue };
        let LineTree::Row(tree) = &line.tree else { continue };
        match row.kind {
            RowKind::Rhythm => {}
            RowKind::Chords => draft.put_all(placed.line + row.line, symbols(line, tree, by)),
            RowKind::Music => {
                for (at, item) in tree.items.iter().enumerate() {
                    let (old, new) = views(desk, &readings, (row.line, at as u32), (key, new_key));
                    let interval = old.sounds.then(by).then(new.sounds.inverse());
                    let change = Change {
                        old,
                        new,
                        row: interval,
                        keeps_fingerings: by.semitones == 0,
                        names_trills: true,
                    };
                    let edits = change
                        .item(line, tree, item)
                        .map_err(|why| numbered(desk, block, row.line, item.span, why))?;
                    draft.put_all(placed.line + row.line, edits);
                    let plays = if whole {
                        brought(desk, line, tree, item, by)
                    } else {
                        match item.what {
                            What::Play(at) => tree.plays.get(at as usize).map(|play| {
                                played(line, item, play, by)
                                    .map_or_else(|why| (item.span, Err(why)), |(span, with)| (span, Ok(with)))
                            }),
                            _ => None,
                        }
                    };
                    if let Some((span, with)) = plays {
                        draft.put(placed.line + row.line, span, with?);
                    }
                }
            }
        }
    }
    Ok(())
}

/// A `play` of a phrase that another file has: that file stays as it is, and the `play` moves.
fn brought(
    desk: &Desk,
    line: &Line,
    row: &Row,
    item: &Item,
    by: Interval,
) -> Option<(Span, Result<String, Refusal>)> {
    let What::Play(at) = item.what else { return None };
    let play = row.plays.get(at as usize)?;
    let phrase = desk.score().head.phrases.find(play.phrase.of(&line.text))?;
    let own = desk.score().head.lines.iter().any(|l| std::sync::Arc::ptr_eq(l, &phrase.line));
    if own {
        return None;
    }
    Some(match played(line, item, play, by) {
        Ok((span, with)) => (span, Ok(with)),
        Err(why) => (item.span, Err(why)),
    })
}

/// A `play` moved by an interval.
fn played(line: &Line, item: &Item, play: &Play, by: Interval) -> Result<(Span, String), Refusal> {
    let words = shift_words(play.shift.then(by)).ok_or_else(|| {
        Refusal::new(format!(
            "the phrase {} would have to be played at a distance that has no short name; write it out first",
            play.phrase.of(&line.text)
        ))
    })?;
    let times = tokens(line, item.span).find(|t| t.kind == Kind::Times);
    let end = times.map_or(item.span.end, |t| t.span.start);
    Ok((Span::new(play.phrase.end, end), words))
}

/// ` up m3`, ` down P4`, or nothing; `None` for an interval that the notation cannot name.
pub fn shift_words(shift: Interval) -> Option<String> {
    if shift == Interval::UNISON {
        return Some(String::new());
    }
    let down = shift.steps < 0 || (shift.steps == 0 && shift.semitones < 0);
    let size = if down { shift.inverse() } else { shift };
    let said = size.to_string();
    (Interval::parse(&said) == Some(size)).then(|| format!(" {} {said}", if down { "down" } else { "up" }))
}

/// The stretch of the key in a header, the word `key` left out.
pub fn header_key(placed: &Placed) -> Option<Span> {
    let line = placed.read.block.text.lines.first()?;
    let LineTree::Block(header) = &line.tree else { return None };
    let setting = header.settings.iter().find(|s| matches!(s.what, SettingKind::Key(_)))?;
    let said = setting.span.of(&line.text);
    let rest = said.strip_prefix("key")?;
    let blanks = (rest.len() - rest.trim_start().len()) as u32;
    Some(Span::new(setting.span.start + 3 + blanks, setting.span.end))
}

/// A key for a block that has none of its own: behind its meter, else behind its number.
fn add_key(placed: &Placed, key: &Key, draft: &mut Draft<'_>) {
    let Some(line) = placed.read.block.text.lines.first() else { return };
    let LineTree::Block(header) = &line.tree else { return };
    let at = setting_place(line, header);
    draft.put(placed.line, Span::new(at, at), format!("  key {key}"));
}

/// Where a new meter or key of a header goes.
pub fn setting_place(line: &Line, header: &BlockLine) -> u32 {
    let meter = header.settings.iter().find(|s| matches!(s.what, SettingKind::Meter(_)));
    let word = line.tokens.iter().find(|t| t.kind == Kind::Word).map_or(0, |t| t.span.end);
    meter.map(|s| s.span.end).or(header.number.map(|(span, _)| span.end)).unwrap_or(word)
}

fn symbols(line: &Line, row: &Row, by: Interval) -> Vec<(Span, String)> {
    let chords = row.symbols.iter().filter(|s| s.what == SymbolKind::Chord);
    let moved = |span: Span| {
        let said = span.of(&line.text);
        Some((span, ChordSymbol::parse(said)?.moved(by).to_string()))
    };
    chords.filter_map(|s| moved(s.span)).filter(|(span, with)| span.of(&line.text) != with).collect()
}
