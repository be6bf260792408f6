//! What a score sounds, in a form that does not depend on how it is written.

use super::Refusal;
use crate::music::{Dynamic, Fraction};
use crate::notation::tree::{Mark, Marks};
use crate::rules::Desk;
use crate::score::clock::Clock;
use crate::score::event::{Event, EventKind};
use crate::score::state::PlayedState;
use crate::score::trill::upper;

/// How the score after may differ from the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Expect {
    /// Nothing that is heard changes.
    Same,
    /// Some notes sound so many semitones higher.
    Moved(i32),
    /// Every length is so many times as long, and no second longer.
    Scaled(Fraction),
}

/// One thing that one person does.
#[derive(Debug, Clone, PartialEq)]
struct Sounding {
    kind: EventKind,
    /// From the beginning of the score as it is written, in whole notes.
    at: Fraction,
    length: Fraction,
    /// Sounding; of a note or grace.
    midi: Option<i32>,
    /// Semitones to the upper note of a trill.
    trill: Option<i32>,
    marks: Vec<Mark>,
    fermata: bool,
    dynamic: Option<Dynamic>,
    played: PlayedState,
}

/// Refuses what would be heard as another thing.
pub fn compare(before: &Desk, after: &Desk, expect: Expect) -> Result<(), Refusal> {
    let (old, new) = (&before.score().head.players, &after.score().head.players);
    if old.len() != new.len() {
        return Err(Refusal::new("the score would have other players"));
    }
    for (index, player) in old.iter().enumerate() {
        for seat in 0..player.seats {
            let (a, b) = (all(before, index, seat), all(after, index, seat));
            if let Some(at) = first_difference(&a, &b, expect) {
                let bar = a.get(at).map_or(Fraction::ZERO, |s| s.at);
                return Err(Refusal::new(format!(
                    "{} would play something else from the point {bar} whole notes into the score",
                    player.id
                )));
            }
        }
    }
    let (a, b) = (Clock::of(before.score()).whole(), Clock::of(after.score()).whole());
    let close = match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-6 * a.abs().max(1.0),
        (a, b) => a.is_none() == b.is_none(),
    };
    if close { Ok(()) } else { Err(Refusal::new("the score would last longer or shorter")) }
}

fn first_difference(a: &[Sounding], b: &[Sounding], expect: Expect) -> Option<usize> {
    let same = |(a, b): (&Sounding, &Sounding)| match expect {
        Expect::Same => a == b,
        Expect::Moved(by) => {
            let moved = a.midi.map(|m| m + by) == b.midi || a.midi == b.midi;
            moved && Sounding { midi: None, ..a.clone() } == Sounding { midi: None, ..b.clone() }
        }
        Expect::Scaled(by) => {
            let scaled = Sounding {
                at: a.at.times(by).unwrap_or(a.at),
                length: a.length.times(by).unwrap_or(a.length),
                ..a.clone()
            };
            scaled == *b
        }
    };
    let differs = a.iter().zip(b).position(|pair| !same(pair));
    differs.or((a.len() != b.len()).then_some(a.len().min(b.len())))
}

fn all(desk: &Desk, player: usize, seat: u32) -> Vec<Sounding> {
    let score = desk.score();
    let mut begin = Fraction::ZERO;
    let mut out = Vec::new();
    for (block, placed) in score.blocks.iter().enumerate() {
        begin = begin.plus(placed.frame.gap_length).unwrap_or(begin);
        let mut starts = Vec::with_capacity(placed.read.lengths.len());
        for length in placed.read.lengths.iter() {
            starts.push(begin);
            begin = begin.plus(*length).unwrap_or(begin);
        }
        for event in desk.report().events_of_seat(score, block, player, seat) {
            let start = starts.get(event.bar as usize).copied().unwrap_or(begin);
            out.push(sounding(&event, start, score.head.basis, placed.frame.key));
        }
    }
    out
}

fn sounding(
    event: &Event,
    start: Fraction,
    basis: crate::notation::tree::Basis,
    key: Option<crate::music::Key>,
) -> Sounding {
    let pitched = matches!(event.kind, EventKind::Note | EventKind::Grace);
    let trills = event.kind == EventKind::Note && event.marks.has(Mark::Trill);
    let to = trills.then(|| upper(event, event.trill_to, key, basis).midi() - event.sounding.midi());
    Sounding {
        kind: event.kind,
        at: start.plus(event.onset).unwrap_or(start),
        length: event.length,
        midi: pitched.then(|| event.sounding.midi()),
        trill: to,
        marks: marks(event.marks),
        fermata: event.fermata,
        dynamic: event.dynamic,
        played: event.played,
    }
}

/// A fermata counts wherever it is written.
fn marks(all: Marks) -> Vec<Mark> {
    Mark::ALL.into_iter().filter(|m| all.has(*m) && *m != Mark::Fermata).collect()
}
