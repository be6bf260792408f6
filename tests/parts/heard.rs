//! What a player does in a score and when, in a form that does not depend on how it is written.

use std::collections::BTreeSet;
use waterkey::music::{Dynamic, Fraction};
use waterkey::notation::tree::{Basis, Mark};
use waterkey::rules::{Desk, Severity};
use waterkey::score::clock::Clock;
use waterkey::score::event::{Event, EventKind, Origin};
use waterkey::score::state::PlayedState;

/// A note with all that holds it on, a grace, or an improvised bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Heard {
    pub kind: EventKind,
    pub bar: i64,
    pub onset: Fraction,
    pub length: Fraction,
    pub midi: i32,
    /// Without breaths and pauses, which everybody may be given.
    pub marks: Vec<Mark>,
    pub breath: bool,
    pub breaks: bool,
    /// Semitones to the note of a trill, where they can be told.
    pub trill: Option<i32>,
    pub choice: String,
    pub dynamic: Option<Dynamic>,
    pub state: PlayedState,
}

/// What a hold may carry; a chord's other marks are those of its notes.
const ON_HOLD: [Mark; 8] = [
    Mark::Staccato,
    Mark::Slur,
    Mark::Gliss,
    Mark::Fall,
    Mark::Doit,
    Mark::Shake,
    Mark::Trill,
    Mark::Flutter,
];
const PAUSES: [Mark; 3] = [Mark::Breath, Mark::Break, Mark::Fermata];

fn heard(event: &Event, bar: i64, basis: Basis) -> Heard {
    let row_pitch = match (event.origin, basis) {
        (Origin::Phrase, _) => None,
        (_, Basis::Concert) => Some(event.sounding),
        (_, Basis::Written) => Some(event.written),
    };
    Heard {
        kind: event.kind,
        bar,
        onset: event.onset,
        length: event.length,
        midi: event.sounding.midi(),
        marks: Mark::ALL.into_iter().filter(|m| event.marks.has(*m) && !PAUSES.contains(m)).collect(),
        breath: event.marks.has(Mark::Breath),
        breaks: event.marks.has(Mark::Break),
        trill: event.marks.trill.zip(row_pitch).map(|(trill, pitch)| trill.midi() - pitch.midi()),
        choice: format!("{:?}", event.marks.choice),
        dynamic: event.dynamic,
        state: event.played,
    }
}

/// All that one seat of a player does, in the order it is written.
pub fn all(desk: &Desk, player: usize, seat: u32) -> Vec<Heard> {
    let score = desk.score();
    let mut out: Vec<Heard> = Vec::new();
    let mut graces: Vec<Heard> = Vec::new();
    for (block, placed) in score.blocks.iter().enumerate() {
        for event in desk.report().events_of_seat(score, block, player, seat) {
            let this = heard(&event, placed.frame.first_bar + i64::from(event.bar), score.head.basis);
            match event.kind {
                EventKind::Grace => graces.push(this),
                EventKind::Rest => graces.clear(),
                EventKind::Improvised => out.push(this),
                EventKind::Note => {
                    out.append(&mut graces);
                    out.push(this);
                }
                EventKind::Hold => {
                    graces.clear();
                    if let Some(note) = out.last_mut() {
                        note.length = note.length.plus(this.length).unwrap();
                        note.marks.extend(this.marks.into_iter().filter(|m| ON_HOLD.contains(m)));
                        note.marks.sort();
                        note.marks.dedup();
                        note.breath |= this.breath;
                        note.breaks |= this.breaks;
                    }
                }
            }
        }
    }
    out
}

/// The bars as they are played, each with the second at which it begins, and the end.
pub fn played(desk: &Desk) -> Vec<(i64, Option<f64>)> {
    let (score, clock) = (desk.score(), Clock::of(desk.score()));
    let mut out = Vec::new();
    for (at, visit) in score.order.visits.iter().enumerate() {
        let block = visit.block as usize;
        let frame = &score.blocks[block].frame;
        for bar in 0..frame.bars {
            let begin = clock.visit(at).zip(clock.in_block(block, bar, Fraction::ZERO)).map(|(a, b)| a + b);
            out.push((frame.first_bar + i64::from(bar), begin));
        }
    }
    out.push((i64::MAX, clock.whole()));
    out
}

/// Rules with the numbers of bars.
pub type Found = BTreeSet<(&'static str, i64)>;

/// Rules that find something with a player, with the bars of the notes that are told and of all those
/// that stand where they are told.
pub fn found(desk: &Desk, player: usize) -> (Found, Found) {
    let score = desk.score();
    let (mut least, mut most) = (Found::new(), Found::new());
    let seats = score.head.players[player].seats;
    for (block, placed) in score.blocks.iter().enumerate() {
        let Some(Some(checked)) = desk.report().tracks[player].blocks.get(block) else { continue };
        let number = |bar: u32| placed.frame.first_bar + i64::from(bar);
        let events: Vec<Event> =
            (0..seats).flat_map(|seat| desk.report().events_of_seat(score, block, player, seat)).collect();
        for f in &checked.findings {
            least.insert((f.rule, number(f.bar)));
            most.insert((f.rule, number(f.bar)));
            for e in events.iter().filter(|e| e.line == f.line) {
                let told = f.related.iter().any(|(line, span, _)| *line == e.line && *span == e.span);
                if told && e.origin == Origin::Here {
                    least.insert((f.rule, number(e.bar)));
                }
                if told || (f.span.start <= e.span.start && e.span.end <= f.span.end) {
                    most.insert((f.rule, number(e.bar)));
                }
            }
        }
    }
    (least, most)
}

/// Names of reading faults: those that are errors, and all.
pub fn faults(desk: &Desk) -> (BTreeSet<&'static str>, BTreeSet<&'static str>) {
    let all = desk.findings();
    let reading = || all.iter().filter(|f| waterkey::rules::registry::is_reading_fault(f.rule));
    let errors = reading().filter(|f| f.severity == Severity::Error).map(|f| f.rule).collect();
    (errors, reading().map(|f| f.rule).collect())
}
