//! Who gets which note of a row for several people.

use super::telling::Telling;
use super::{Asked, Hover, fingering, sonority};
use crate::assist::sounding::{Seat, held_from, in_row};
use crate::notation::Span;
use crate::score::event::{Event, EventKind, Origin};

/// Tells how the chord of this stretch is dealt.
pub fn told(asked: Asked<'_>, block: usize, below: u32, span: Span) -> Option<Hover> {
    let inside = |e: &Event| {
        e.origin == Origin::Here && span.start <= e.span.start && e.span.end <= span.end && !e.span.is_empty()
    };
    let found = in_row(asked.desk, block, below, inside);
    let (_, events, index) = found.first()?;
    let event = events.get(*index)?;
    let mut telling = Telling::new("Who gets which note");
    for (label, words) in lines(asked, &found) {
        telling.fact(label, words);
    }
    sonority::told(asked, block, event.bar, event.onset, 2, &mut telling);
    Some(telling.hover(asked.place.line, span))
}

/// Adds the others who play the same entry.
pub fn others(asked: Asked<'_>, found: &[(Seat, Vec<Event>, usize)], telling: &mut Telling) {
    let first = found.first().map(|f| f.0.player);
    let others: Vec<_> = found.iter().filter(|f| Some(f.0.player) != first).cloned().collect();
    for (label, words) in lines(asked, &others) {
        telling.fact(format!("Also {label}"), words);
    }
}

/// Each player, or each seat of a part whose seats differ, and the note.
fn lines(asked: Asked<'_>, found: &[(Seat, Vec<Event>, usize)]) -> Vec<(String, String)> {
    let mut all: Vec<(usize, String, String)> = Vec::new();
    for (at, events, index) in found {
        let Some(player) = asked.score().head.players.get(at.player) else { continue };
        let words = words(asked, *at, events, *index);
        // Seats of one part that play the same are one line.
        if all.last().is_some_and(|(p, _, w)| *p == at.player && *w == words) {
            continue;
        }
        let label =
            if player.seats > 1 { format!("{} seat {}", player.id, at.seat + 1) } else { player.id.clone() };
        all.push((at.player, label, words));
    }
    let single = |p: usize| all.iter().filter(|(other, ..)| *other == p).count() == 1;
    let short = |p: usize| asked.score().head.players.get(p).map(|p| p.id.clone());
    all.iter()
        .map(|(p, label, words)| match short(*p) {
            Some(id) if single(*p) => (id, words.clone()),
            _ => (label.clone(), words.clone()),
        })
        .collect()
}

fn words(asked: Asked<'_>, at: Seat, events: &[Event], index: usize) -> String {
    let Some(event) = events.get(index) else { return String::new() };
    let held = event.kind == EventKind::Hold;
    let note = match event.kind {
        EventKind::Note | EventKind::Grace => Some(*event),
        EventKind::Hold => held_from(asked.desk, at, events, index).map(|(_, e)| e),
        EventKind::Rest | EventKind::Improvised => None,
    };
    let Some(note) = note else { return "rests".to_owned() };
    let mut all = vec![note.sounding.to_string()];
    if note.written != note.sounding {
        all.push(format!("written {}", note.written));
    }
    let player = asked.score().head.players.get(at.player);
    let usual = player
        .and_then(|p| p.instrument(note.played.instrument))
        .map(|i| fingering::usual(i, &note))
        .unwrap_or_default();
    if held {
        all.push("held".to_owned());
    } else if !usual.is_empty() {
        all.push(usual);
    }
    all.join(", ")
}
