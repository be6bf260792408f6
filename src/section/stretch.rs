//! A stretch of one player's line: from one place of a block to another.

use crate::music::Fraction;
use crate::notation::tree::Mark;
use crate::rules::Desk;
use crate::score::event::{Event, EventKind};

/// A place of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct At {
    /// Bar of the block, from 0.
    pub bar: u32,
    /// In the bar, in whole notes.
    pub onset: Fraction,
}

/// What one player does between two places of a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// Index of the block.
    pub block: usize,
    /// Index of the player.
    pub player: usize,
    pub from: At,
    /// Exclusive.
    pub to: At,
}

/// Why a stretch cannot be closed: it hangs on something outside its block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Open {
    /// Its first note is held over from the block before.
    HeldInto,
    /// Its last note is held or slurred on into the next block.
    HeldOn,
    /// No note begins in it.
    Empty,
}

/// Where an event begins.
pub fn begins(event: &Event) -> At {
    At { bar: event.bar, onset: event.onset }
}

/// Where an event ends, at the latest the end of its bar.
pub fn ends(event: &Event) -> At {
    At { bar: event.bar, onset: event.onset.plus(event.length).unwrap_or(event.onset) }
}

/// True for what is heard.
pub fn sounds(event: &Event) -> bool {
    !matches!(event.kind, EventKind::Rest)
}

impl Stretch {
    /// Whole bars of a block, the last one included.
    pub fn bars(desk: &Desk, player: usize, block: usize, first: u32, last: u32) -> Option<Stretch> {
        let lengths = &desk.score().blocks.get(block)?.read.lengths;
        let onset = lengths.get(last as usize).copied()?;
        let from = At { bar: first, onset: Fraction::ZERO };
        Some(Stretch { block, player, from, to: At { bar: last, onset } })
    }

    /// From the first to the last of some events of a player.
    pub fn of_events(block: usize, player: usize, events: &[Event]) -> Option<Stretch> {
        let (first, last) = (events.first()?, events.last()?);
        Some(Stretch { block, player, from: begins(first), to: ends(last) })
    }

    /// True if the event begins in it.
    pub fn has(&self, event: &Event) -> bool {
        let at = begins(event);
        self.from <= at && at < self.to
    }

    /// Its events, in order.
    pub fn events(&self, desk: &Desk) -> Vec<Event> {
        let mut all = desk.report().events(desk.score(), self.block, self.player);
        all.retain(|e| self.has(e));
        all
    }

    /// Seconds that it lasts; `None` without a tempo.
    pub fn seconds(&self, desk: &Desk) -> Option<f64> {
        let clock = &desk.report().clock;
        let at = |at: At| clock.in_block(self.block, at.bar, at.onset);
        Some(at(self.to)? - at(self.from)?)
    }

    /// The smallest stretch with this one in it that cuts no note, no slur and no glissando.
    pub fn closed(&self, desk: &Desk) -> Result<Stretch, Open> {
        let events = desk.report().events(desk.score(), self.block, self.player);
        let inside =
            |e: &Event| sounds(e) && begins(e) < self.to && (self.from < ends(e) || self.from <= begins(e));
        let mut first = events.iter().position(inside).ok_or(Open::Empty)?;
        let mut last = events.iter().rposition(inside).ok_or(Open::Empty)?;
        let joined = |at: usize| {
            let (Some(a), Some(b)) = (events.get(at), events.get(at + 1)) else { return false };
            let leads = a.marks.has(Mark::Slur) || a.marks.has(Mark::Gliss) || a.kind == EventKind::Grace;
            sounds(a) && sounds(b) && (b.kind == EventKind::Hold || leads)
        };
        while first > 0 && joined(first - 1) {
            first -= 1;
        }
        while joined(last) {
            last += 1;
        }
        let (Some(a), Some(b)) = (events.get(first), events.get(last)) else { return Err(Open::Empty) };
        if a.kind == EventKind::Hold {
            return Err(Open::HeldInto);
        }
        if last + 1 == events.len()
            && (self.goes_on(desk) || b.marks.has(Mark::Slur) || b.marks.has(Mark::Gliss))
        {
            return Err(Open::HeldOn);
        }
        Ok(Stretch { from: self.from.min(begins(a)), to: self.to.max(ends(b)), ..*self })
    }

    /// The smallest stretch that cuts nothing in this line nor in another's.
    pub fn closed_for_both(&self, desk: &Desk, other: usize) -> Option<Stretch> {
        let mut now = *self;
        loop {
            let theirs = Stretch { player: other, ..now }.closed(desk).ok()?;
            let mine = Stretch { player: self.player, ..theirs }.closed(desk).ok()?;
            if mine == now {
                return Some(now);
            }
            now = mine;
        }
    }

    /// The last bar that it takes something of.
    pub fn last_bar(&self) -> u32 {
        let At { bar, onset } = self.to;
        if onset.is_zero() { bar.saturating_sub(1).max(self.from.bar) } else { bar }
    }

    /// True if the player holds something on into the next block.
    fn goes_on(&self, desk: &Desk) -> bool {
        let next = desk.report().events(desk.score(), self.block + 1, self.player);
        next.first().is_some_and(|e| e.kind == EventKind::Hold)
    }
}
