//! Notes from one player's line put into another's, as text edits.
//!
//! Whoever gives the notes rests instead, in the shape the bar has; whoever takes them finds them in the pitch of
//! their own row, with dynamics, words, articulation and slurs, and with the mute or technique that the notes
//! were written for; afterwards everything in force for the taker is in force again. Choices of fingering stay
//! behind: they were the giver's. What cannot be handed over is declined with the reason.

pub(in crate::assist) mod bar;
mod declined;
pub(in crate::assist) mod entry;
pub(in crate::assist) mod kept;
pub(in crate::assist) mod line;
pub(in crate::assist) mod merge;
mod rests;
mod state;
pub(in crate::assist) mod units;

pub use declined::Declined;
pub use kept::same_sound;

use super::cure::Trial;
use super::place::TextEdit;
use crate::music::Fraction;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Severity};
use crate::section::{At, Stretch};
use line::Line;

/// A change that was tried out and does what it should.
pub struct Handed {
    /// In the order of the text.
    pub edits: Vec<TextEdit>,
    /// The text with the edits made.
    pub trial: Trial,
}

/// Gives a stretch to another player, who rests then.
pub fn give(desk: &Desk, stretch: &Stretch, to: usize) -> Result<Handed, Declined> {
    let giver = Line::of(desk, stretch, stretch.player)?;
    let taker = Line::for_taker(desk, stretch, to)?;
    let taken = merge::taking(desk, &taker, &giver)?;
    let rested = merge::resting(&giver)?;
    let edits = vec![giver.edits(desk, &rested)?, taker.edits(desk, &taken)?];
    finish(desk, edits, stretch, &[(stretch.player, Some(to))])
}

/// Two players change lines for a stretch; both play then.
pub fn swap(desk: &Desk, stretch: &Stretch, with: usize) -> Result<Handed, Declined> {
    let one = Line::of(desk, stretch, stretch.player)?;
    let other = Line::of(desk, stretch, with)?;
    let first = merge::taking(desk, &one, &other)?;
    let second = merge::taking(desk, &other, &one)?;
    let edits = vec![one.edits(desk, &first)?, other.edits(desk, &second)?];
    finish(desk, edits, stretch, &[(stretch.player, Some(with)), (with, Some(stretch.player))])
}

/// Lets a player rest for a stretch that somebody else has too.
pub fn rest(desk: &Desk, stretch: &Stretch) -> Result<Handed, Declined> {
    let giver = Line::of(desk, stretch, stretch.player)?;
    let rested = merge::resting(&giver)?;
    finish(desk, vec![giver.edits(desk, &rested)?], stretch, &[(stretch.player, None)])
}

/// Tries the edits out: everybody plays what they played but for who has the stretch.
fn finish(
    desk: &Desk,
    edits: Vec<Vec<TextEdit>>,
    stretch: &Stretch,
    moved: &[(usize, Option<usize>)],
) -> Result<Handed, Declined> {
    let mut all: Vec<TextEdit> = edits.into_iter().flatten().collect();
    all.sort_by_key(|e| (e.line, e.span));
    let fault = |e: &TextEdit| {
        let line = desk.document().lines().get(e.line as usize);
        line.is_some_and(|l| {
            l.faults.iter().any(|f| f.span.start <= e.span.end && e.span.start <= f.span.end)
        })
    };
    if all.iter().any(fault) {
        return Err(Declined::Unread);
    }
    let trial = Trial::of(desk, &all).ok_or(Declined::Unread)?;
    if trial.came().any(|f| is_reading_fault(f.rule) && f.severity > Severity::Hint) {
        return Err(Declined::Otherwise);
    }
    kept::check(desk, &trial, stretch, moved)?;
    Ok(Handed { edits: all, trial })
}

/// The part of a bar that a stretch takes, onset and end; `None` if nothing of it.
fn window(stretch: &Stretch, bar: u32, length: Fraction) -> Option<(Fraction, Fraction)> {
    let zero = Fraction::ZERO;
    let At { bar: first, onset: from } = stretch.from;
    let At { bar: last, onset: to } = stretch.to;
    if bar < first || bar > last {
        return None;
    }
    let from = if bar == first { from } else { zero };
    let to = if bar == last { to.min(length) } else { length };
    (from < to).then_some((from, to))
}
