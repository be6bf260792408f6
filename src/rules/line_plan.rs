//! What the slide or the fingers do in a player's line: the plan that the rules go by, for whoever wants to show it.
//!
//! Notes come in the order of playing, repeats played out; of a part that several read, the first seat's. Graces
//! have no place in it, nor has music without a tempo.

use super::desk::Desk;
use super::passage::{FREE_SECONDS, PlannedStep};
use crate::brass::plan::{Joined, PlanNote, Step};
use crate::brass::written::{reading_interval, written};
use crate::music::Pitch;
use crate::notation::Span;
use crate::score::event::{Event, EventKind};
use crate::score::player::PlayerInstrument;
use crate::score::score::Score;

/// A note of the plan in its place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedNote {
    /// Index in the order of play, of the block in the score, and how often the block has been played then, from 1.
    pub visit: usize,
    pub block: usize,
    pub pass: u16,
    /// Line of the file, from 0.
    pub line: u32,
    /// The entry, the member of a chord, or the `play` that brings it.
    pub span: Span,
    /// Bar of the block, from 0.
    pub bar: u32,
    /// Which of the player's instruments.
    pub instrument: u8,
    /// The player's `@…` decided the way.
    pub chosen: bool,
    pub note: PlanNote,
    /// How it is played, and how the hand gets there from the note before.
    pub step: Step,
}

impl PlannedNote {
    fn of(score: &Score, heard_in: usize, planned: &PlannedStep) -> Option<PlannedNote> {
        let visit = heard_in.checked_sub(planned.spot.back as usize)?;
        let played = score.order.visits.get(visit)?;
        let block = played.block as usize;
        Some(PlannedNote {
            visit,
            block,
            pass: played.pass,
            line: score.blocks.get(block)?.line + planned.spot.line,
            span: planned.spot.span,
            bar: planned.spot.bar,
            instrument: planned.instrument,
            chosen: planned.chosen,
            note: planned.note,
            step: planned.step,
        })
    }

    /// True if nothing leads here from the note before: hands go where they like.
    pub fn begins(&self) -> bool {
        self.note.joined == Joined::Afresh
    }

    /// Number of its bar as written.
    pub fn bar_number(&self, desk: &Desk) -> Option<i64> {
        Some(desk.score().blocks.get(self.block)?.frame.first_bar + i64::from(self.bar))
    }

    /// The instrument it is planned for.
    pub fn held<'d>(&self, desk: &'d Desk, player: usize) -> Option<&'d PlayerInstrument> {
        desk.score().head.players.get(player)?.instrument(self.instrument)
    }

    /// Its event among those of its block; of several in one place, as in a phrase, one of the same sound.
    pub fn event<'e>(&self, desk: &Desk, events: &'e [Event]) -> Option<&'e Event> {
        events.iter().find(|event| self.is(desk, event))
    }

    /// True if it is the plan of this event of its block.
    pub fn is(&self, desk: &Desk, event: &Event) -> bool {
        let header = desk.score().blocks.get(self.block).map(|placed| placed.line);
        event.kind == EventKind::Note
            && header.map(|header| header + event.line) == Some(self.line)
            && (event.span, event.bar) == (self.span, self.bar)
            && event.sounding.midi() == self.note.midi
    }
}

impl PlannedNote {
    /// What the player reads there on the instrument in hand in this pass.
    pub fn written(&self, desk: &Desk, player: usize, event: &Event) -> Option<Pitch> {
        if event.played.instrument == self.instrument {
            return Some(event.written);
        }
        let key = desk.score().blocks.get(self.block)?.frame.key;
        let reads = self.held(desk, player)?.instrument.reads;
        Some(written(event.sounding, reading_interval(reads, key)))
    }
}

/// The plan of a player's whole line; `player` is an index into the score.
pub fn of_line(desk: &Desk, player: usize) -> Vec<PlannedNote> {
    let score = desk.score();
    let mut all = Vec::new();
    desk.report().listen(score, player, &mut |visit, passage| {
        all.extend(passage.steps.iter().filter_map(|step| PlannedNote::of(score, visit, step)));
    });
    all
}

/// The plan of the notes of a block as it is first played, and nothing of what stands around it.
pub fn of_block(desk: &Desk, player: usize, block: usize) -> Vec<PlannedNote> {
    let score = desk.score();
    let mut found = Vec::new();
    let Some(visit) = score.order.visits.iter().position(|v| v.block as usize == block) else { return found };
    desk.report().listen_from(score, player, visit, &mut |at, passage| {
        for planned in passage.steps.iter().filter_map(|step| PlannedNote::of(score, at, step)) {
            if planned.visit > visit {
                return false;
            }
            if planned.visit == visit {
                found.push(planned);
            }
        }
        // Ways may still be open that notes to come decide; after a silence none is.
        let last = passage.sounds.last();
        !passage.ends && !last.is_some_and(|s| !s.sounds() && s.seconds >= FREE_SECONDS)
    });
    found
}

/// The plan of one note as it is first played, and the note after it if the hand goes on there.
pub fn of_note(
    desk: &Desk,
    player: usize,
    block: usize,
    event: &Event,
) -> Option<(PlannedNote, Option<PlannedNote>)> {
    let score = desk.score();
    let visit = score.order.visits.iter().position(|v| v.block as usize == block)?;
    let line = score.blocks.get(block)?.line + event.line;
    let (mut found, mut next) = (None, None);
    desk.report().listen_from(score, player, visit, &mut |at, passage| {
        for planned in passage.steps.iter().filter_map(|step| PlannedNote::of(score, at, step)) {
            if found.is_some() {
                next = Some(planned).filter(|n| !n.begins());
                return false;
            }
            if planned.visit > visit {
                return false;
            }
            let place = (planned.visit, planned.line, planned.span, planned.bar);
            if place == (visit, line, event.span, event.bar) && planned.note.midi == event.sounding.midi() {
                found = Some(planned);
            }
        }
        // In the visits after, the plan may still be open; after a silence nothing follows.
        let silent = passage.sounds.last().is_some_and(|s| !s.sounds() && s.seconds >= FREE_SECONDS);
        !passage.ends && !(silent && (found.is_some() || at > visit))
    });
    Some((found?, next))
}
