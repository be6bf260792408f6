//! Who plays the row somebody is typing in, what they have in their hands there, and what they played last.

use crate::assist::hover::length;
use crate::assist::sounding::{Seat, events};
use crate::assist::typing::{OpenBar, Typing};
use crate::brass::written::reading_interval;
use crate::music::{Interval, Key, Pitch};
use crate::notation::token::Kind;
use crate::notation::tree::{Instruction, LineTree, RowKind, What};
use crate::score::event::{Event, EventKind, Origin};
use crate::score::pair::played_change;
use crate::score::player::{Player, PlayerInstrument};
use crate::score::row::bar_span;
use crate::score::state::{PlayedChange, PlayedState};

/// A player of the row.
#[derive(Clone, Copy)]
pub struct Reader<'a> {
    pub player: &'a Player,
    /// Index in the score.
    pub index: usize,
    /// In force at the cursor.
    pub played: PlayedState,
    /// In hand at the cursor.
    pub held: Option<&'a PlayerInstrument>,
    /// From written to sounding there.
    pub reading: Interval,
}

/// The players of the row and, in the order in which chords are dealt, each person's place among them and
/// seat.
pub struct Row<'a> {
    pub readers: Vec<Reader<'a>>,
    pub people: Vec<(usize, u32)>,
    /// Concert key in force.
    pub key: Option<Key>,
    /// Bar of the block, from 0.
    pub bar: u32,
}

/// More blocks than these are not looked through for somebody's last note.
const MOST_BLOCKS: usize = 256;

/// The row of the line.
pub fn row<'a>(typing: &Typing<'a>, bar: &OpenBar) -> Row<'a> {
    let head = &typing.score().head;
    let key = typing.block().and_then(|(_, placed, _)| placed.frame.key);
    let here = bar_of_block(typing, bar);
    let mut row = Row { readers: Vec::new(), people: Vec::new(), key, bar: here };
    let names = typing.line.tokens.iter().take_while(|t| !t.kind.is_barline());
    let words = typing.words(0, |t| t.kind.is_barline());
    if names.clone().any(|t| t.kind == Kind::Comment) || typing.line_word() == "phrase" {
        return row;
    }
    for span in &words.all {
        for index in head.names.players(typing.text(*span)).unwrap_or_default() {
            let index = usize::from(index);
            let Some(player) = head.players.get(index) else { continue };
            if row.readers.iter().any(|r| r.index == index) {
                continue;
            }
            let played = played(typing, player, index, here);
            let held = player.instrument(played.instrument);
            let reading = held.map_or(Interval::UNISON, |h| reading_interval(h.instrument.reads, key));
            let at = row.readers.len();
            row.people.extend((0..player.seats.max(1)).map(|seat| (at, seat)));
            row.readers.push(Reader { player, index, played, held, reading });
        }
    }
    row
}

/// Bar of the block, from 0, that a bar of the line is.
pub fn bar_of_block(typing: &Typing<'_>, bar: &OpenBar) -> u32 {
    let (LineTree::Row(row), Some((_, placed, below))) = (&typing.line.tree, typing.block()) else {
        return bar.index as u32;
    };
    let before = row.bars.get(..bar.index).unwrap_or(&row.bars);
    let found = match row.kind {
        RowKind::Music => {
            let phrases = &typing.score().head.phrases;
            let span = |b| bar_span(b, row, &typing.line.text, phrases);
            Some(before.iter().fold(0u32, |sum, b| sum.saturating_add(span(b))))
        }
        RowKind::Rhythm | RowKind::Chords => length::bar_of(placed, below, row, bar.index),
    };
    found.unwrap_or(bar.index as u32)
}

/// A seat's events of the cursor's block before the cursor.
fn before(typing: &Typing<'_>, player: usize, seat: u32, bar: u32) -> Vec<Event> {
    let Some((block, _, below)) = typing.block() else { return Vec::new() };
    let mut all = events(typing.desk, Seat { block, player, seat });
    let is_later = |e: &Event| {
        let here = e.line == below && e.origin != Origin::Again;
        e.bar > bar || (here && e.span.end >= typing.at)
    };
    let end = all.iter().position(is_later).unwrap_or(all.len());
    all.truncate(end);
    all
}

/// What the player has in their hands at the cursor.
fn played(typing: &Typing<'_>, player: &Player, index: usize, bar: u32) -> PlayedState {
    let Some((block, _, below)) = typing.block() else { return PlayedState::default() };
    let track = typing.desk.report().tracks.get(index);
    let checked = |block: usize| track.and_then(|t| t.blocks.get(block)).and_then(|c| c.as_ref());
    let last = before(typing, index, 0, bar).last().copied();
    let entering = || match checked(block) {
        Some(checked) => checked.given().played,
        None => {
            let earlier = (0..block).rev().find_map(checked);
            earlier.map_or(PlayedState::default(), |c| c.pair.played.after(c.given().played))
        }
    };
    let mut state = last.map_or_else(entering, |e| e.played);
    let from = last.filter(|e| e.line == below && e.origin == Origin::Here).map_or(0, |e| e.span.end);
    let LineTree::Row(row) = &typing.line.tree else { return state };
    for item in row.items.iter().filter(|i| i.span.start >= from && i.span.end <= typing.at) {
        let What::Instruction(instruction) = item.what else { continue };
        let change = match instruction {
            Instruction::Switch(i) => row.switches.get(i as usize).and_then(|switch| {
                let called = player.instrument_called(typing.text(switch.instrument), switch.read_in)?;
                Some(PlayedChange::switch(called))
            }),
            other => played_change(other),
        };
        state = change.map_or(state, |change| change.after(state));
    }
    state
}

/// The last note of a person before the cursor, as it sounded.
pub fn last_note(typing: &Typing<'_>, reader: &Reader<'_>, seat: u32, bar: u32) -> Option<Pitch> {
    let note = |events: &[Event]| events.iter().rev().find(|e| e.kind == EventKind::Note).map(|e| e.sounding);
    let (block, ..) = typing.block()?;
    note(&before(typing, reader.index, seat, bar)).or_else(|| {
        let track = typing.desk.report().tracks.get(reader.index)?;
        let played = |block: &usize| track.blocks.get(*block).is_some_and(Option::is_some);
        (0..block)
            .rev()
            .take(MOST_BLOCKS)
            .filter(played)
            .find_map(|block| note(&events(typing.desk, Seat { block, player: reader.index, seat })))
    })
}
