//! A hold with nothing before it: the note that may have been meant.

use super::case::Case;
use super::draft::Draft;
use super::given::fitted;
use super::notes::written;
use crate::notation::tree::Basis;
use crate::score::event::{Event, EventKind, Origin};
use crate::score::figure::value_letters;

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
    let note = written(pitch)?;
    let title = format!("Write {note}, the last note of {}", of.id);
    // Alone in its bar it needs a value.
    let row = case.row()?;
    let (source, bar) = row.bar_at(case.finding.span.start)?;
    let alone = !bar.has_figure && row.items(bar).iter().filter(|i| i.what.is_entry()).count() == 1;
    let with =
        if alone { format!("{} : {note}", value_letters(row.length(row.first_bar(source))?)?) } else { note };
    let edits = fitted(case, vec![(case.finding.span, with)]);
    Some(Draft::of_line(title, case.finding.line, edits).unlikely())
}

fn last_note(events: &[Event]) -> Option<Event> {
    events.iter().rfind(|e| e.kind == EventKind::Note).copied()
}
