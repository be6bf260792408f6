//! How well notes would lie, in words.

use super::notes::Sung;
use crate::rules::Desk;
use crate::rules::lie::{Lie, lie};
use crate::score::player::PlayerInstrument;

/// `inside Tp2's comfortable range`, where every note moved by so many semitones would be; `None` where one
/// would not lie well.
pub fn told(desk: &Desk, notes: &[Sung], semitones: i32) -> Option<String> {
    let mut comfortable = true;
    let mut who: Vec<u16> = Vec::new();
    for note in notes {
        let player = desk.score().head.players.get(usize::from(note.player))?;
        let instrument: &PlayerInstrument = player.instrument(note.event.played.instrument)?;
        let midi = note.event.sounding.midi() + semitones;
        if lie(instrument, midi) != Lie::Fine {
            return None;
        }
        comfortable &= midi <= instrument.limits.comfortable;
        if !who.contains(&note.player) {
            who.push(note.player);
        }
    }
    let range = if comfortable { "comfortable range" } else { "usual range" };
    Some(match who.as_slice() {
        [] => return None,
        [only] => {
            let id = desk.score().head.players.get(usize::from(*only)).map_or("", |p| p.id.as_str());
            format!("inside {id}'s {range}")
        }
        [_, _] => format!("inside both players' {range}"),
        several => format!("inside the {range} of all {} players", several.len()),
    })
}

/// `Down an octave`, `Up two octaves`.
pub fn direction(octaves: i32) -> String {
    let way = if octaves < 0 { "Down" } else { "Up" };
    match octaves.abs() {
        1 => format!("{way} an octave"),
        2 => format!("{way} two octaves"),
        n => format!("{way} {n} octaves"),
    }
}

/// `Down an octave: 4 notes, all inside Tp2's comfortable range`.
pub fn title(octaves: i32, notes: usize, effect: Option<&str>) -> String {
    let way = direction(octaves);
    match (notes, effect) {
        (1, Some(effect)) => format!("{way}: 1 note, {effect}"),
        (n, Some(effect)) => format!("{way}: {n} notes, all {effect}"),
        (1, None) => format!("{way}: 1 note"),
        (n, None) => format!("{way}: {n} notes"),
    }
}

/// Notes as they stand in the text, a repeated phrase counted out.
pub fn count(notes: &[Sung]) -> usize {
    let mut seen: Vec<_> =
        notes.iter().map(|n| (n.event.span, n.event.bar, n.event.onset.to_f64().to_bits())).collect();
    seen.sort_unstable();
    seen.dedup();
    seen.len()
}
