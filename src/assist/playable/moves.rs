//! The moves that clear a finding: what could be offered for it, and what clears it by moving more than its notes.

use crate::assist::cure::{Cures, OfferKind, Trial};
use crate::assist::place::{Extent, Place, TextEdit};
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Finding, Severity};
use crate::score::event::EventKind;
use std::ops::Range;

/// A move made.
pub struct Made {
    pub title: String,
    pub desk: Desk,
}

/// All moves that clear a finding and stay inside the blocks.
pub fn of(desk: &Desk, finding: &Finding, blocks: &Range<usize>) -> Vec<Made> {
    let cures = Cures::of(desk);
    let at = |byte| Place { line: finding.line, byte };
    let here = Extent { from: at(finding.span.start), to: at(finding.span.end) };
    let mut offers: Vec<_> =
        cures.offers(finding).into_iter().filter(|o| o.kind != OfferKind::Allow).collect();
    offers.extend(cures.moves(here));
    offers.extend(cures.wider_moves(here));
    let mut tried: Vec<Vec<TextEdit>> = Vec::new();
    let mut made = Vec::new();
    for offer in offers {
        if tried.contains(&offer.edits) || !inside(desk, &offer.edits, blocks) {
            continue;
        }
        let trial = Trial::of(desk, &offer.edits);
        tried.push(offer.edits);
        // One that clears something else is not for this finding.
        let Some(trial) = trial.filter(|t| t.is_gone(finding)) else { continue };
        let same = trial.desk().score().blocks.len() == desk.score().blocks.len();
        let slip = |new: &Finding| is_reading_fault(new.rule) && new.severity > Severity::Hint;
        let weight = (finding.severity, finding.grade);
        let milder = trial.came().all(|new| (new.severity, new.grade) < weight && !slip(new));
        let (before, after) = trial.tallies();
        if same && milder && after < before && sounds_alike(desk, trial.desk(), blocks) {
            made.push(Made { title: offer.title, desk: trial.into_desk() });
        }
    }
    made
}

/// True if the same notes are heard at the same times, whoever plays them and in whichever octave: what was not in
/// the tube is not made playable by another note.
fn sounds_alike(before: &Desk, after: &Desk, blocks: &Range<usize>) -> bool {
    let heard = |desk: &Desk, block: usize| {
        let people = 0..desk.score().head.players.len();
        let events = people.flat_map(|p| desk.report().events(desk.score(), block, p));
        let notes = events.filter(|e| e.kind == EventKind::Note);
        let mut all: Vec<_> = notes.map(|e| (e.bar, e.onset, e.sounding.midi().rem_euclid(12))).collect();
        all.sort_unstable();
        all.dedup();
        all
    };
    blocks.clone().all(|block| heard(before, block) == heard(after, block))
}

/// True if nothing is edited but lines of the blocks: another range in the head is no move.
fn inside(desk: &Desk, edits: &[TextEdit], blocks: &Range<usize>) -> bool {
    let all = &desk.score().blocks;
    let first = all.get(blocks.start).map_or(u32::MAX, |b| b.line);
    let end = all.get(blocks.end).map_or(u32::MAX, |b| b.line);
    edits.iter().all(|e| first <= e.line && (e.line < end || e.line == end && e.span.end == 0))
}
