//! What an offer is called: who takes what.

use super::people::Who;
use super::task::{Task, Unit};
use crate::assist::cure::bars;
use crate::notation::tree::MemberKind;
use crate::section::harmony::Role;
use crate::section::share::{Passage, Taken};

/// Notes of one player that are named.
const MOST_NOTES: usize = 3;
/// Players that are named.
const MOST_PEOPLE: usize = 8;

/// `Share the chord of bar 12 out: Tb1 D4, Tb2 Bb3, Tb3 F3`.
pub fn title(task: &Task<'_>, who: &[Who], shares: &[Taken], passage: &Passage) -> String {
    let what = match task.units.as_slice() {
        [_] => "the chord".to_owned(),
        all => format!("{} chords", all.len()),
    };
    let mut title = format!("Share {what} of {} out: ", bars(task.desk, &task.stretch));
    let mut said: Vec<(String, i32)> = Vec::new();
    for (at, of) in who.iter().enumerate() {
        let notes: Vec<(String, i32)> = task
            .units
            .iter()
            .zip(shares)
            .filter_map(|(unit, taken)| note(unit, (*taken.get(at)?)?))
            .collect();
        let Some((_, top)) = notes.first() else { continue };
        let mut words: Vec<&str> = notes.iter().take(MOST_NOTES).map(|(name, _)| name.as_str()).collect();
        if notes.len() > MOST_NOTES {
            words.push("…");
        }
        said.push((format!("{} {}", id(task, *of), words.join(" ")), *top));
    }
    // From the top down, as the chord sounds.
    said.sort_by_key(|(_, top)| std::cmp::Reverse(*top));
    let more = said.len().saturating_sub(MOST_PEOPLE);
    let words: Vec<&str> = said.iter().take(MOST_PEOPLE).map(|(words, _)| words.as_str()).collect();
    title += &words.join(", ");
    if more > 0 {
        title += &format!(" and {more} more");
    }
    if let Some(doubled) = doubled(passage, shares) {
        title += &format!("; {doubled} doubled");
    }
    title
}

/// A player's ID, with the seat where several read the part.
fn id(task: &Task<'_>, who: Who) -> String {
    let Some(player) = task.desk.score().head.players.get(who.player) else { return String::new() };
    if player.seats > 1 { format!("{} seat {}", player.id, who.seat + 1) } else { player.id.clone() }
}

/// As it stands in the row, and how high it sounds.
fn note(unit: &Unit<'_>, tone: usize) -> Option<(String, i32)> {
    let (sounding, member) = unit.tones.get(tone)?;
    let MemberKind::Note(pitch) = unit.members.get(*member)?.what else { return None };
    Some((pitch.to_string(), sounding.midi()))
}

/// What is doubled in the one chord.
fn doubled(passage: &Passage, shares: &[Taken]) -> Option<&'static str> {
    let ([chord], [taken]) = (passage.chords.as_slice(), shares) else { return None };
    let twice = |tone: &usize| taken.iter().filter(|t| **t == Some(*tone)).count() > 1;
    let mut all = (0..chord.tones.len()).filter(twice).filter_map(|tone| chord.tones.get(tone));
    match (all.next()?.role, all.next()) {
        (Role::Root, None) => Some("the root is"),
        (Role::Fifth, None) => Some("the fifth is"),
        (Role::Third, None) => Some("the third is"),
        _ => None,
    }
}
