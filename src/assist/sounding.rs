//! Who sounds what at a moment of the score.

use crate::music::{Fraction, Pitch};
use crate::rules::Desk;
use crate::score::event::{self, Event, EventKind, Reading};
use crate::score::state::PlayedState;

/// One person's note at a moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Voice {
    /// Index of the player in the score.
    pub player: usize,
    /// From 0.
    pub seat: u32,
    /// What is heard.
    pub sounding: Pitch,
}

/// Where an event stands: block, player, seat, number among the seat's events in the block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seat {
    pub block: usize,
    pub player: usize,
    pub seat: u32,
}

/// Blocks that a held note is followed back through.
const MOST_BLOCKS: usize = 64;

/// What one seat does in one block, first time through.
pub fn events(desk: &Desk, at: Seat) -> Vec<Event> {
    desk.report().events_of_seat(desk.score(), at.block, at.player, at.seat)
}

/// What a seat does in a later pass that finds another state in hand: each such pass with its events.
pub fn later_passes(desk: &Desk, at: Seat) -> Vec<(u16, Vec<Event>)> {
    let score = desk.score();
    let checked =
        desk.report().tracks.get(at.player).and_then(|t| t.blocks.get(at.block)).and_then(|c| c.as_ref());
    let (Some(checked), Some(placed), Some(player)) =
        (checked, score.blocks.get(at.block), score.head.players.get(at.player))
    else {
        return Vec::new();
    };
    let given = checked.given();
    let reading = Reading { player, basis: score.head.basis, key: given.key, lengths: &placed.read.lengths };
    let pass = |played: PlayedState| {
        let mut out = Vec::new();
        event::events(&checked.pair, at.seat, given.written, played, &reading, &mut out, &mut Vec::new());
        out
    };
    given.later.iter().map(|(number, played)| (*number, pass(*played))).collect()
}

/// The block of a line and what the first person of the row on it does there.
pub fn events_in_row(desk: &Desk, line: u32) -> Option<(usize, Vec<Event>)> {
    let block = desk.score().block_at(line)?;
    let placed = desk.score().blocks.get(block)?;
    let below = line.checked_sub(placed.line)?;
    let row = placed.read.block.rows.iter().find(|r| r.line == below)?;
    let first = row.people.first()?;
    let at = Seat { block, player: usize::from(first.player), seat: u32::from(first.seat) };
    Some((block, events(desk, at).into_iter().filter(|e| e.line == below).collect()))
}

/// The note that a hold goes on with, and the block it stands in; for a note, the note itself.
pub fn held_from(desk: &Desk, at: Seat, all: &[Event], index: usize) -> Option<(usize, Event)> {
    if let Some(note) = last_note(all.get(..=index)?) {
        return note.map(|e| (at.block, e));
    }
    let score = desk.score();
    let mut block = at.block;
    for _ in 0..MOST_BLOCKS {
        if score.blocks.get(block)?.frame.gap > 0 {
            return None;
        }
        block = block.checked_sub(1)?;
        let before = events(desk, Seat { block, ..at });
        if before.is_empty() && score.blocks.get(block)?.frame.bars > 0 {
            return None;
        }
        if let Some(note) = last_note(&before) {
            return note.map(|e| (block, e));
        }
    }
    None
}

/// The last note of these if nothing but holds follows it; `Some(None)` if something else ended it, `None` if
/// there are only holds.
fn last_note(events: &[Event]) -> Option<Option<Event>> {
    events.iter().rev().find_map(|e| match e.kind {
        EventKind::Note => Some(Some(*e)),
        EventKind::Hold | EventKind::Grace => None,
        EventKind::Rest | EventKind::Improvised => Some(None),
    })
}

/// What follows an event as its continuation, each with its block.
pub fn held_on(desk: &Desk, at: Seat, all: &[Event], index: usize) -> Vec<(usize, Event)> {
    let mut found: Vec<(usize, Event)> = Vec::new();
    let mut rest: Vec<Event> = all.get(index + 1..).unwrap_or_default().to_vec();
    let mut block = at.block;
    for _ in 0..MOST_BLOCKS {
        for event in &rest {
            if event.kind != EventKind::Hold {
                return found;
            }
            found.push((block, *event));
        }
        block += 1;
        if desk.score().blocks.get(block).is_none_or(|b| b.frame.gap > 0) {
            return found;
        }
        rest = events(desk, Seat { block, ..at });
        if rest.is_empty() {
            return found;
        }
    }
    found
}

/// Everybody's note at a place of a block, lowest first. `seen` are events that are known already.
pub fn at_moment(desk: &Desk, block: usize, bar: u32, onset: Fraction) -> Vec<Voice> {
    let mut voices: Vec<Voice> = Vec::new();
    let Some(placed) = desk.score().blocks.get(block) else { return voices };
    for pair in &placed.read.pairs {
        let player = usize::from(pair.player);
        let seats = desk.score().head.players.get(player).map_or(1, |p| p.seats.max(1));
        for seat in 0..seats {
            let at = Seat { block, player, seat };
            let all = events(desk, at);
            let now = all.iter().position(|e| {
                let end = e.onset.plus(e.length).unwrap_or(e.onset);
                matches!(e.kind, EventKind::Note | EventKind::Hold)
                    && e.bar == bar
                    && e.onset <= onset
                    && (onset < end || e.onset == onset)
            });
            let Some(index) = now else { continue };
            let Some((_, note)) = held_from(desk, at, &all, index) else { continue };
            let sounding = note.sounding;
            if !voices.iter().any(|v| v.player == player && v.sounding == sounding) {
                voices.push(Voice { player, seat, sounding });
            }
        }
    }
    voices.sort_by_key(|v| (v.sounding.midi(), v.sounding.staff()));
    voices
}

/// What is heard of each seat's event in a row: the first event of the row that `wanted` accepts.
pub fn in_row(
    desk: &Desk,
    block: usize,
    below: u32,
    wanted: impl Fn(&Event) -> bool,
) -> Vec<(Seat, Vec<Event>, usize)> {
    let mut found = Vec::new();
    let Some(placed) = desk.score().blocks.get(block) else { return found };
    let Some(row) = placed.read.block.rows.iter().find(|r| r.line == below) else { return found };
    for person in &row.people {
        let at = Seat { block, player: usize::from(person.player), seat: u32::from(person.seat) };
        let all = events(desk, at);
        if let Some(index) = all.iter().position(|e| e.line == below && wanted(e)) {
            found.push((at, all, index));
        }
    }
    found
}
