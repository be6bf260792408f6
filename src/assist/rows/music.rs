//! What everybody plays in a block, to be compared.

use crate::music::{Dynamic, Fraction, Pitch};
use crate::notation::tree::{Choice, Mark};
use crate::rules::Desk;
use crate::score::event::{Event, EventKind, Origin};
use crate::score::state::PlayedState;

/// Seats of one part that are compared; a section of more plays from as many notes.
const MOST_SEATS: u32 = 99;

/// An event without its place in the text.
#[derive(PartialEq)]
struct Heard {
    kind: EventKind,
    bar: u32,
    onset: Fraction,
    length: Fraction,
    /// What sounds, and what a trill goes to.
    pitches: Option<(Pitch, Option<Pitch>)>,
    marks: Vec<Mark>,
    choice: Option<Choice>,
    dynamic: Option<Dynamic>,
    played: PlayedState,
    phrase: bool,
    fermata: bool,
}

/// True if all players in question play the same in this block of both texts.
pub fn same(one: &Desk, other: &Desk, block: usize, who: &dyn Fn(usize) -> bool) -> bool {
    let players = &one.score().head.players;
    players.iter().enumerate().filter(|(player, _)| who(*player)).all(|(player, of)| {
        (0..of.seats.clamp(1, MOST_SEATS)).all(|seat| {
            let heard = |desk: &Desk| {
                let events = desk.report().events_of_seat(desk.score(), block, player, seat);
                events.iter().map(heard).collect::<Vec<_>>()
            };
            heard(one) == heard(other)
        })
    })
}

/// Faults of reading in a block, those of one person counted for each: a hold of several who have nothing to hold
/// is told once where they share an entry, and once for each where they do not.
pub fn faults(desk: &Desk, block: usize) -> usize {
    let text = desk.score().blocks.get(block).map_or(0, |b| b.faults.len() + b.read.faults.len());
    let of_people = desk.report().tracks.iter().filter_map(|t| t.blocks.get(block)?.as_ref());
    text + of_people.map(|checked| checked.faults.len()).sum::<usize>()
}

fn heard(event: &Event) -> Heard {
    // Whoever rests or holds in a chord has marks of the others there, which nobody hears.
    let means = |mark: &Mark| match event.kind {
        EventKind::Rest => Mark::ON_REST.contains(mark),
        EventKind::Hold => Mark::ON_HOLD.contains(mark),
        _ => true,
    };
    let sounds = matches!(event.kind, EventKind::Note | EventKind::Grace);
    Heard {
        kind: event.kind,
        bar: event.bar,
        onset: event.onset,
        length: event.length,
        pitches: sounds.then_some((event.sounding, event.trill_to)),
        marks: Mark::ALL.into_iter().filter(|m| event.marks.has(*m)).filter(means).collect(),
        choice: event.marks.choice.filter(|_| sounds),
        dynamic: event.dynamic,
        played: event.played,
        phrase: event.origin == Origin::Phrase,
        fermata: event.fermata,
    }
}
