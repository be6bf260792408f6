//! Everything an instrument can and cannot play, worked out once, looked up by sounding pitch.

use super::build::Build;
use super::hand;
use super::tube::Tube;
use super::usual::usual;
use super::way::{Way, ways};

/// Pitches held: MIDI 0 to 127.
const PITCHES: usize = 128;

/// Cents off from which the all-valves note of a compensating instrument counts as its weak one.
const COMPENSATED_WEAK: f32 = 35.0;

/// What kind of note a pitch is on an instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Nature {
    /// Played as a matter of course.
    Ordinary,
    /// Only 60 to 80 cents off, or the one note of a compensating instrument that needs all its valves.
    Weak,
    /// Only as the fundamental of its tube.
    Pedal,
    /// No way: it lies between these two, the nearest that can be played.
    Gap { below: i32, above: i32 },
    /// No way: lower than the lowest pedal, which is `lowest`.
    Below { lowest: i32 },
    /// A natural tube, and none of its harmonics.
    OffSeries {
        /// Nearest pitch that is a harmonic.
        nearest: i32,
        /// That harmonic's number.
        partial: u16,
        /// A hand in the bell lowers a harmonic to it.
        by_hand: bool,
    },
}

impl Nature {
    /// True if there is a way to play it, the hand in a natural horn's bell included.
    pub fn is_playable(self) -> bool {
        match self {
            Nature::Ordinary | Nature::Weak | Nature::Pedal => true,
            Nature::OffSeries { by_hand, .. } => by_hand,
            Nature::Gap { .. } | Nature::Below { .. } => false,
        }
    }
}

/// One pitch on one instrument.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Note {
    pub nature: Nature,
    /// The usual way; `None` if there is none.
    pub usual: Option<Way>,
    start: u32,
    end: u32,
}

/// The notes of an instrument.
#[derive(Debug, Clone, PartialEq)]
pub struct Compass {
    notes: Box<[Note]>,
    ways: Box<[Way]>,
    below: Note,
}

impl Compass {
    /// Works out every note of a tube.
    pub fn of(tube: Tube, build: &Build) -> Compass {
        let mut all = Vec::new();
        let mut notes: Vec<Note> =
            (0..PITCHES as i32).map(|midi| note(tube, build, midi, &mut all)).collect();
        let playable: Vec<(i32, Way)> =
            (0..).zip(&notes).filter_map(|(midi, note)| Some((midi, note.usual?))).collect();
        let lowest = playable.first().map_or(0, |p| p.0);
        for (midi, note) in (0..).zip(&mut notes) {
            if note.usual.is_none() {
                note.nature = lacking(tube, build, midi, &playable, lowest);
            }
        }
        let below = Note { nature: Nature::Below { lowest }, usual: None, start: 0, end: 0 };
        Compass { notes: notes.into(), ways: all.into(), below }
    }

    /// A sounding pitch, C4 = 60.
    #[inline]
    pub fn at(&self, midi: i32) -> &Note {
        let place = midi.min(PITCHES as i32 - 1);
        usize::try_from(place).ok().and_then(|place| self.notes.get(place)).unwrap_or(&self.below)
    }

    /// Every way to play it, the usual one first, then the shortest tube first. Ways 60 to 80 cents off are
    /// among them only where there is nothing better.
    #[inline]
    pub fn ways(&self, midi: i32) -> &[Way] {
        let note = self.at(midi);
        self.ways.get(note.start as usize..note.end as usize).unwrap_or(&[])
    }

    /// Lowest pitch with an ordinary note that is not a pedal.
    pub fn lowest_ordinary(&self) -> Option<i32> {
        (0..).zip(self.notes.iter()).find(|(_, n)| n.nature == Nature::Ordinary).map(|(midi, _)| midi)
    }
}

fn note(tube: Tube, build: &Build, midi: i32, all: &mut Vec<Way>) -> Note {
    let mut found = ways(tube, build, midi);
    if found.iter().any(|way| !way.is_weak()) {
        found.retain(|way| !way.is_weak());
    }
    let start = all.len() as u32;
    let usual = usual(build, midi, &found).map(|place| found.swap_remove(place));
    if let Some(way) = usual {
        found.sort_by(|a, b| a.length.total_cmp(&b.length).then(a.slide.total_cmp(&b.slide)));
        all.push(way);
        all.append(&mut found);
    }
    let note_ways = all.get(start as usize..).unwrap_or(&[]);
    let nature = match usual {
        Some(way) if way.is_weak() || is_compensated_weak(build, &way) => Nature::Weak,
        Some(_) if note_ways.iter().all(Way::is_pedal) => Nature::Pedal,
        _ => Nature::Ordinary,
    };
    Note { nature, usual, start, end: all.len() as u32 }
}

fn is_compensated_weak(build: &Build, way: &Way) -> bool {
    let Build::Valved(valves) = build else { return false };
    valves.compensates()
        && !way.is_pedal()
        && way.how.digits == valves.all()
        && way.cents.abs() > COMPENSATED_WEAK
}

/// Why a pitch has no way.
fn lacking(tube: Tube, build: &Build, midi: i32, playable: &[(i32, Way)], lowest: i32) -> Nature {
    let split = playable.partition_point(|(pitch, _)| *pitch < midi);
    let below = split.checked_sub(1).and_then(|i| playable.get(i));
    let above = playable.get(split);
    let (Some(below), Some(above)) = (below, above) else {
        return Nature::Below { lowest };
    };
    match build {
        Build::Natural { hand } => {
            let near = if midi - below.0 <= above.0 - midi { below } else { above };
            let by_hand = *hand && hand::lowered(tube, midi).is_some();
            Nature::OffSeries { nearest: near.0, partial: near.1.partial, by_hand }
        }
        _ => Nature::Gap { below: below.0, above: above.0 },
    }
}
