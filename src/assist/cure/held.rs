//! A hold with nothing before it: the note that may have been meant.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use super::notes::written;
use crate::notation::tree::Basis;
use crate::score::event::{Event, EventKind, Origin};

/// Blocks that are looked through for the note before.
const MOST_BLOCKS: usize = 64;

/// The player's last note before the sign, struck again.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    draft(case).into_iter().collect()
}

fn draft(case: &Case<'_>) -> Option<Draft> {
    let (block, _, below) = case.block()?;
    let (player, of) = case.player()?;
    if case.said() != "=" {
        return None;
    }
    let events = |block: usize| case.desk.report().events(case.score(), block, player);
    let here = events(block);
    let at = here
        .iter()
        .position(|e| e.line == below && e.origin == Origin::Here && e.span == case.finding.span)?;
    let note = last_note(here.get(..at)?).or_else(|| {
        (block.saturating_sub(MOST_BLOCKS)..block).rev().find_map(|block| last_note(&events(block)))
    })?;
    let pitch = match case.score().head.basis {
        Basis::Concert => note.sounding,
        Basis::Written => note.written,
    };
    let with = written(pitch)?;
    let title = format!("Write {with}, the last note of {}", of.id);
    let edits = fitted(case, vec![(case.finding.span, with)]);
    Some(Draft::of_line(title, case.finding.line, edits).unlikely())
}

fn last_note(events: &[Event]) -> Option<Event> {
    events.iter().rfind(|e| e.kind == EventKind::Note).copied()
}
