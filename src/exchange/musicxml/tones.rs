//! What a player's slots are on paper: chords, rests, graces, in the pitch that is written, with their ties.

use crate::brass::written::reading_interval;
use crate::exchange::paper::{Line, SheetBar, Slot, Written};
use crate::music::{Fraction, Interval, Key, Pitch};
use crate::notation::tree::{Basis, Mark, Marks};
use crate::score::event::{Event, EventKind};
use crate::score::player::Player;
use crate::score::state::PlayedState;
use crate::score::trill;

/// A slot on paper.
#[derive(Debug, Clone)]
pub struct Chord {
    pub onset: Fraction,
    pub length: Fraction,
    pub written: Option<Written>,
    pub kind: ChordKind,
    /// From the lowest.
    pub tones: Vec<Tone>,
    pub graces: Vec<Grace>,
    /// Of all who sound.
    pub marks: Marks,
    pub fermata: bool,
    /// The written upper note of a trill.
    pub trill: Option<Pitch>,
    pub played: PlayedState,
    /// Slurs and glissandos.
    pub lines: Lines,
    /// Somebody else plays it: it is shown small.
    pub cue: bool,
}

/// Which.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChordKind {
    Sound,
    Rest,
    Improvised,
}

/// A note of a chord.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tone {
    pub pitch: Pitch,
    /// Sounding, C4 = 60.
    pub midi: i32,
    /// Tied to what is before, and to what follows.
    pub tied: bool,
    pub ties: bool,
}

/// A grace note, or a chord of them.
#[derive(Debug, Clone)]
pub struct Grace {
    pub pitches: Vec<Pitch>,
    pub marks: Marks,
    pub lines: Lines,
    pub played: PlayedState,
}

/// Lines that begin or end with a note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Lines {
    pub slur_starts: bool,
    pub slur_stops: bool,
    pub glide_starts: bool,
    pub glide_stops: bool,
}

/// How a player's pitches are read.
pub struct Reading<'a> {
    pub player: &'a Player,
    pub basis: Basis,
    /// Everything as it sounds.
    pub concert: bool,
}

impl Reading<'_> {
    /// From written to sounding, for the instrument in hand.
    pub fn interval(&self, instrument: u8, key: Option<Key>) -> Interval {
        if self.concert {
            return Interval::UNISON;
        }
        let held = self.player.instrument(instrument);
        held.map_or(Interval::UNISON, |i| reading_interval(i.instrument.reads, key))
    }
}

/// The chords of a line, bar by bar.
pub fn chords(line: &Line, sheet: &[SheetBar], reading: &Reading<'_>) -> Vec<Vec<Chord>> {
    // What each seat sounds, and how it was written.
    let mut seats: Vec<Option<Struck>> = vec![None; reading.player.seats.max(1) as usize];
    let mut all: Vec<Vec<Chord>> = Vec::with_capacity(line.len());
    for (bar, over) in line.iter().zip(sheet) {
        let mut chords = Vec::with_capacity(bar.slots.len());
        let mut end = Fraction::ZERO;
        for slot in &bar.slots {
            if slot.onset > end {
                seats.fill(None);
            }
            end = slot.onset.plus(slot.length).unwrap_or(end);
            chords.push(chord(slot, over.key, reading, &mut seats));
        }
        if end < over.length {
            seats.fill(None);
        }
        all.push(chords);
    }
    ties(&mut all);
    super::phrasing::lines(&mut all);
    all
}

#[derive(Clone, Copy)]
struct Struck {
    sounding: Pitch,
    written: Pitch,
    interval: Interval,
}

fn chord(slot: &Slot, key: Option<Key>, reading: &Reading<'_>, seats: &mut [Option<Struck>]) -> Chord {
    let mut tones: Vec<(Tone, bool)> = Vec::new();
    let mut marks = Marks::default();
    let mut upper: Option<(i32, Pitch)> = None;
    let mut kind = ChordKind::Rest;
    let mut fermata = false;
    for (event, seat) in slot.seats.iter().zip(seats) {
        let interval = reading.interval(event.played.instrument, key);
        fermata |= event.fermata;
        let struck = match event.kind {
            EventKind::Note => {
                let written = if reading.concert { event.sounding } else { event.written };
                *seat = Some(Struck { sounding: event.sounding, written, interval });
                true
            }
            EventKind::Hold => {
                if let Some(held) = seat.as_mut().filter(|held| held.interval != interval) {
                    held.written = interval.inverse().apply_respelled(held.sounding);
                    held.interval = interval;
                }
                false
            }
            EventKind::Improvised => {
                kind = ChordKind::Improvised;
                *seat = None;
                false
            }
            EventKind::Rest | EventKind::Grace => {
                *seat = None;
                // A pause after a rest is everybody's.
                let pauses = [Mark::Breath, Mark::Break, Mark::Fermata];
                for mark in pauses.into_iter().filter(|m| event.marks.has(*m)) {
                    marks.add(mark);
                }
                false
            }
        };
        let Some(held) = seat else { continue };
        kind = ChordKind::Sound;
        let mut own = event.marks;
        if !struck {
            // In a chord whoever holds has the marks of the others there, which nobody hears.
            Mark::ALL.into_iter().filter(|m| !Mark::ON_HOLD.contains(m)).for_each(|m| own.remove(m));
        }
        marks = marks.with(own);
        let midi = held.sounding.midi();
        // The signs of a chord stand at its lowest note.
        if own.has(Mark::Trill) && upper.is_none_or(|(lowest, _)| midi < lowest) {
            let in_row = if reading.basis == Basis::Written { held.written } else { held.sounding };
            let to = event.trill_to.unwrap_or_else(|| trill::above(held.sounding, in_row, key));
            upper = Some((midi, next_letter(held.written, interval.inverse().apply_respelled(to))));
        }
        match tones.iter_mut().find(|(tone, _)| tone.midi == midi) {
            Some((_, before)) => *before |= struck,
            None => {
                tones.push((Tone { pitch: on_paper(held.written), midi, tied: false, ties: false }, struck));
            }
        }
    }
    tones.sort_by_key(|(tone, _)| (tone.midi, tone.pitch.staff()));
    if fermata {
        marks.add(Mark::Fermata);
    }
    Chord {
        onset: slot.onset,
        length: slot.length,
        written: slot.written.clone(),
        kind,
        tones: tones.into_iter().map(|(tone, struck)| Tone { tied: !struck, ..tone }).collect(),
        graces: graces(slot, reading),
        marks,
        fermata,
        trill: upper.map(|(_, upper)| upper),
        played: slot.seats.first().map(|e| e.played).unwrap_or_default(),
        lines: Lines::default(),
        cue: false,
    }
}

/// The upper note of a trill on the letter above its note, where its sign is looked for.
fn next_letter(note: Pitch, upper: Pitch) -> Pitch {
    Pitch::at(note.staff() + 1, upper.midi()).unwrap_or(upper)
}

fn graces(slot: &Slot, reading: &Reading<'_>) -> Vec<Grace> {
    let most = slot.graces.iter().map(Vec::len).max().unwrap_or(0);
    let nth = |n: usize| -> Option<Grace> {
        let together: Vec<&Event> = slot.graces.iter().filter_map(|seat| seat.get(n)).collect();
        let first = together.first()?;
        let mut all: Vec<Pitch> = Vec::new();
        let mut marks = Marks::default();
        for event in &together {
            let written = if reading.concert { event.sounding } else { event.written };
            marks = marks.with(event.marks);
            if !all.iter().any(|p| p.midi() == written.midi()) {
                all.push(on_paper(written));
            }
        }
        all.sort_by_key(|p| p.midi());
        Some(Grace { pitches: all, marks, lines: Lines::default(), played: first.played })
    };
    (0..most).filter_map(nth).collect()
}

/// The standard has octaves 0 to 9; what lies beyond is shown in the last one.
fn on_paper(pitch: Pitch) -> Pitch {
    Pitch { octave: pitch.octave.clamp(0, 9), ..pitch }
}

/// A held note is tied to the same note of the chord before, across barlines too.
fn ties(all: &mut [Vec<Chord>]) {
    let mut before: Option<(usize, usize)> = None;
    for bar in 0..all.len() {
        for at in 0..all.get(bar).map_or(0, Vec::len) {
            let held: Vec<i32> = tones(all, bar, at).iter().filter(|t| t.tied).map(|t| t.midi).collect();
            let there = before.map_or(&mut [][..], |(bar, at)| tones(all, bar, at));
            let mut found = Vec::new();
            for tone in there.iter_mut().filter(|t| held.contains(&t.midi)) {
                tone.ties = true;
                found.push(tone.midi);
            }
            tones(all, bar, at).iter_mut().for_each(|tone| tone.tied &= found.contains(&tone.midi));
            before = Some((bar, at));
        }
    }
}

fn tones(all: &mut [Vec<Chord>], bar: usize, at: usize) -> &mut [Tone] {
    all.get_mut(bar).and_then(|bar| bar.get_mut(at)).map_or(&mut [][..], |chord| &mut chord.tones)
}
