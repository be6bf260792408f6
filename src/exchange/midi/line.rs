//! What a player sounds, in ticks.

use super::length::sixteenths;
use super::stage::Stage;
use crate::notation::tree::{Mark, Marks};
use crate::rules::Desk;
use crate::score::event::{Event, EventKind, Reading, events};
use crate::score::state::PlayedState;

/// A note that sounds.
#[derive(Debug, Clone, Copy)]
pub struct Sound {
    pub start: u64,
    /// As it is written, and as it sounds.
    pub ends: u64,
    pub stops: u64,
    /// C4 = 60.
    pub midi: i32,
    pub marks: Marks,
    pub dynamic: Option<crate::music::Dynamic>,
    pub played: PlayedState,
    /// Where it is written, in whole notes from the beginning of the score.
    pub place: f64,
}

/// Notes beyond this are not played: a few repeats of repeats fill any memory.
const MOST_SOUNDS: usize = 1 << 20;

/// All notes of a player in the order of their beginning. Where several read one part and have the same note, it
/// sounds once, and is struck when anybody strikes it.
pub fn sounds(desk: &Desk, stage: &Stage, player: usize) -> Vec<Sound> {
    let seats = desk.score().head.players.get(player).map_or(0, |p| p.seats.max(1));
    let mut all: Vec<Sound> = Vec::new();
    for seat in 0..seats {
        all.extend(of_seat(desk, stage, player, seat));
    }
    all.sort_by_key(|s| (s.midi, s.start, std::cmp::Reverse(s.stops)));
    all.dedup_by(|b, a| {
        let same = a.midi == b.midi && a.start == b.start;
        if same {
            a.ends = a.ends.max(b.ends);
        }
        same
    });
    // One that others still hold goes on from the new stroke.
    let mut out: Vec<Sound> = Vec::with_capacity(all.len());
    for mut this in all {
        if let Some(before) = out.last_mut().filter(|b| b.midi == this.midi && b.stops > this.start) {
            this.stops = this.stops.max(before.stops);
            before.stops = this.start;
        }
        out.push(this);
    }
    out.sort_by_key(|s| (s.start, s.midi));
    out
}

fn of_seat(desk: &Desk, stage: &Stage, player: usize, seat: u32) -> Vec<Sound> {
    let score = desk.score();
    let mut out: Vec<Sound> = Vec::new();
    let Some(of) = score.head.players.get(player) else { return out };
    let mut played = PlayedState::default();
    let mut scratch: Vec<Event> = Vec::new();
    let mut graces: Vec<Event> = Vec::new();
    for stay in &stage.visits {
        let Some(placed) = score.blocks.get(stay.block) else { continue };
        let checked = desk.report().tracks.get(player).and_then(|t| t.blocks.get(stay.block)?.as_ref());
        let Some(checked) = checked else { continue };
        let reading = Reading {
            player: of,
            basis: score.head.basis,
            key: placed.frame.key,
            lengths: &placed.read.lengths,
        };
        scratch.clear();
        let written = checked.given().written;
        events(&checked.pair, seat, written, played, &reading, &mut scratch, &mut Vec::new());
        played = checked.pair.played.after(played);
        for event in &scratch {
            if out.len() > MOST_SOUNDS {
                return out;
            }
            let Some(bar) = stay.bars.get(event.bar as usize) else { continue };
            let start = bar + stage.ticks(event.onset);
            // What a fault made too long ends with the bar.
            let length = placed.read.lengths.get(event.bar as usize).copied().unwrap_or_default();
            let end = event.onset.plus(event.length).map_or(length, |end| end.min(length));
            let end = bar + stage.ticks(end);
            match event.kind {
                EventKind::Grace => graces.push(*event),
                EventKind::Note if end <= start => graces.clear(),
                EventKind::Note => {
                    let at = stay.first + event.bar as usize;
                    let place = stage.starts.get(at).copied().unwrap_or(0.0) + event.onset.to_f64();
                    let start = before(stage, start, end, place, &mut graces, &mut out);
                    out.push(sound(event, start, end, place));
                }
                EventKind::Hold => {
                    graces.clear();
                    if let Some(last) = out.last_mut().filter(|last| last.ends == start) {
                        last.ends = end;
                        last.marks = last.marks.with(event.marks);
                    }
                }
                EventKind::Rest | EventKind::Improvised => graces.clear(),
            }
        }
        // In a break nobody sounds: it is the sixteenth before its place.
        let silent = |s: &&mut Sound| stay.breaks.contains(&s.ends);
        let from = stay.bars.first().copied().unwrap_or(0);
        for sound in out.iter_mut().rev().take_while(|s| s.start >= from).filter(silent) {
            let room = (sound.ends - sound.start) / 2;
            sound.ends -= stage.sixteenth().min(room);
        }
    }
    for sound in &mut out {
        let length = sound.ends - sound.start;
        sound.stops = sound.start + (length * sixteenths(sound.marks) / 16).max(1);
    }
    out
}

fn sound(event: &Event, start: u64, ends: u64, place: f64) -> Sound {
    Sound {
        start,
        ends,
        stops: ends,
        midi: event.sounding.midi(),
        marks: event.marks,
        dynamic: event.dynamic,
        played: event.played,
        place,
    }
}

/// Plays graces before a note, each a thirty-second or what room there is; the note before makes room. Where there is
/// none, at the very beginning, they are played on the beat and their note follows: gives the tick of the note.
fn before(
    stage: &Stage,
    start: u64,
    end: u64,
    place: f64,
    graces: &mut Vec<Event>,
    out: &mut Vec<Sound>,
) -> u64 {
    let many = graces.len() as u64;
    if many == 0 {
        return start;
    }
    let usual = stage.sixteenth() / 2;
    let last = out.last().map_or(0, |s| s.start + (s.ends - s.start) / 2);
    let room = start.saturating_sub(last) / many;
    let (first, each) = if room > 0 {
        let each = usual.min(room).max(1);
        (start - each * many, each)
    } else {
        (start, usual.min((end - start) / (2 * many)))
    };
    if let Some(last) = out.last_mut().filter(|last| last.ends > first) {
        last.ends = first.max(last.start + 1);
    }
    for (at, grace) in (0u64..).zip(graces.drain(..)) {
        if each > 0 {
            let from = first + at * each;
            let mut sound = sound(&grace, from, from + each, place);
            // They run into their note.
            sound.marks = Marks::default();
            sound.marks.add(Mark::Slur);
            out.push(sound);
        }
    }
    start.max(first + each * many)
}
