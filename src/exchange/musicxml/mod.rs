//! MusicXML 4.0: the score for everybody at concert pitch or as its parts are read, and the part of one player.
//!
//! What the standard has a sign for is written as that sign; the rest is written as words, so that nothing is lost
//! for whoever reads it. A road map is words too: the order in which sections come round has no sign that fits
//! every map.

mod accidentals;
mod attributes;
mod beams;
mod clefs;
mod container;
mod cues;
mod directions;
mod harmony;
mod head;
mod marks;
mod measure;
mod note;
mod part;
mod phrasing;
mod pieces;
mod rests;
mod sounds;
mod tones;
mod xml;

pub use clefs::asks_for_another;

pub use container::compressed;
pub use sounds::{Voice, voice};

use super::paper::bars;
use crate::rules::Desk;
use crate::score::clock::Clock;
use xml::Element;

/// In which pitch a score is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pitches {
    /// As each player reads it.
    Written,
    /// As it sounds.
    Concert,
}

/// The score for everybody.
pub fn score(desk: &Desk, pitches: Pitches) -> String {
    let sheet = bars(desk.score());
    let clock = Clock::of(desk.score());
    let players: Vec<usize> = (0..desk.score().head.players.len()).collect();
    let mut root = head::root(desk, &players, pitches, false);
    for player in &players {
        let shows = part::Shows { leads: *player == 0, alone: false, cues: false, pitches };
        root.push(part::part(desk, &clock, &sheet, *player, shows));
    }
    xml::document(&root)
}

/// What one player reads, by index into the score's players; of nobody, the head alone. Before entries after long
/// silences there are cues.
pub fn part(desk: &Desk, player: usize) -> String {
    part_with(desk, player, true)
}

/// The same, with cues or without.
pub fn part_with(desk: &Desk, player: usize, cues: bool) -> String {
    let sheet = bars(desk.score());
    let clock = Clock::of(desk.score());
    let mut root = head::root(desk, &[player], Pitches::Written, true);
    let shows = part::Shows { leads: true, alone: true, cues, pitches: Pitches::Written };
    root.push(part::part(desk, &clock, &sheet, player, shows));
    xml::document(&root)
}

fn element(name: &'static str) -> Element {
    Element::new(name)
}

fn text(name: &'static str, text: impl ToString) -> Element {
    Element::new(name).text(text)
}
