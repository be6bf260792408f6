//! Chords of a row shared out among players, as text edits.
//!
//! A chord of more notes than its row has people: they keep one each, and whoever is free then takes the others into
//! a line of their own, with dynamics, words, articulation and slurs, and with the mute or technique that the
//! chord was written for. A chord of as many notes or fewer: the row's people are dealt otherwise, by a chord with
//! a note for each. Which note goes to whom is the cheapest share of [`crate::section::share_out()`]. Every other
//! line stays as it is; the same pitches sound at the same times, and what would not is declined with the reason.

mod check;
mod people;
mod row;
mod task;
mod voice;
mod words;

use super::cure::{RowHere, Trial};
use super::hand_over::line::Line;
use super::hand_over::{Declined, merge};
use super::place::{Extent, TextEdit};
use crate::notation::Span;
use crate::notation::tree::Item;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Severity};
use crate::score::row::dealt;
use crate::section::share::{ShareCost, Taken};
use crate::section::share_out;
use people::Who;
use task::Task;

/// A change that was tried out and does what it should.
pub struct Shared {
    /// What is shown: an imperative, with who takes what.
    pub title: String,
    /// In the order of the text.
    pub edits: Vec<TextEdit>,
    /// The text with the edits made.
    pub trial: Trial,
    pub cost: ShareCost,
}

/// Shares the chord that stands at this stretch of a line, and those that follow it or come before it without a rest
/// or another entry in between; `named` are the players who may take notes beyond those of the row, anybody
/// who is free if `None`.
pub fn around(desk: &Desk, line: u32, chord: Span, named: Option<&[usize]>) -> Result<Shared, Declined> {
    let row = RowHere::on(desk, line).ok_or(Declined::Unread)?;
    let entries: Vec<&Item> =
        row.tree.items.iter().filter(|i| i.what.is_entry() || i.what.is_bars()).collect();
    let at = entries.iter().position(|i| i.span == chord).ok_or(Declined::Unread)?;
    let people = row.row.people.len();
    let goes_on = |item: &&&Item| {
        matches!(item.what, crate::notation::tree::What::Hold)
            || task::notes(&row, item).is_some_and(|m| m.len() > people)
    };
    let before = entries.iter().take(at).rev().take_while(goes_on).count();
    let behind = entries.iter().skip(at + 1).take_while(goes_on).count();
    let first = entries.get(at - before).ok_or(Declined::Unread)?.span;
    let last = entries.get(at + behind).ok_or(Declined::Unread)?.span;
    let wanted = |item: &Item| first.start <= item.span.start && item.span.end <= last.end;
    over(&Task::of(desk, row, &wanted, true)?, named)
}

/// Shares the chords that a stretch of a row touches: those of too many notes if there are any, else those that its
/// people could be dealt better.
pub fn touched(desk: &Desk, by: Extent, named: Option<&[usize]>) -> Result<Shared, Declined> {
    if by.from.line != by.to.line {
        return Err(Declined::Unread);
    }
    let (from, to) = (by.from.byte, by.to.byte);
    on_row(desk, by.from.line, &|item| item.span.start <= to && from <= item.span.end, named)
}

/// The same for the chords of a row that are wanted.
pub fn on_row(
    desk: &Desk,
    line: u32,
    wanted: &dyn Fn(&Item) -> bool,
    named: Option<&[usize]>,
) -> Result<Shared, Declined> {
    let row = RowHere::on(desk, line).ok_or(Declined::Unread)?;
    let people = row.row.people.len();
    let too_many = |i: &Item| wanted(i) && task::notes(&row, i).is_some_and(|m| m.len() > people);
    if row.tree.items.iter().any(too_many) {
        over(&Task::of(desk, row, wanted, true)?, named)
    } else {
        within(&Task::of(desk, row, wanted, false)?)
    }
}

/// How many chords of notes alone a row has among what is wanted.
pub fn chord_count(row: &RowHere<'_>, wanted: &dyn Fn(&Item) -> bool) -> usize {
    row.tree.items.iter().filter(|i| wanted(i) && task::notes(row, i).is_some()).count()
}

/// Chords of too many notes.
fn over(task: &Task<'_>, named: Option<&[usize]>) -> Result<Shared, Declined> {
    let (who, passage) = people::asked(task, named);
    let (shares, cost) = share_out(&passage).ok_or(Declined::Nobody)?;
    if cost.unplayable > 0 {
        return Err(Declined::Nobody);
    }
    let first = task.row.row.people.first().ok_or(Declined::Unread)?;
    let whole = Line::with_chords(task.desk, &task.stretch, usize::from(first.player), task.row)?;
    let mut edits = row::edits(task, &who, &shares)?;
    let mut takers: Vec<(Who, Line<'_>)> = Vec::new();
    for (at, of) in who.iter().enumerate().filter(|(_, w)| w.on_row.is_none()) {
        let tones: Vec<Option<usize>> = shares.iter().map(|t| t.get(at).copied().flatten()).collect();
        if tones.iter().all(Option::is_none) {
            continue;
        }
        let giver = voice::voice(task, &whole, &tones)?;
        let taker = Line::for_taker(task.desk, &task.stretch, of.player)?;
        let taken = merge::taking(task.desk, &taker, &giver)?;
        edits.extend(taker.edits(task.desk, &taken)?);
        takers.push((*of, giver));
    }
    let title = words::title(task, &who, &shares, &passage);
    finish(task, title, edits, &takers, cost)
}

/// Chords that the row's people are dealt otherwise.
fn within(task: &Task<'_>) -> Result<Shared, Declined> {
    let (who, passage) = people::asked(task, Some(&[]));
    let (shares, cost) = share_out(&passage).ok_or(Declined::Nobody)?;
    if passage.weigh(&as_dealt(task, &who)).is_some_and(|now| now <= cost) {
        return Err(Declined::NoBetter);
    }
    let edits = row::edits(task, &who, &shares)?;
    let title = words::title(task, &who, &shares, &passage);
    finish(task, title, edits, &[], cost)
}

/// Who has what as the text stands.
fn as_dealt(task: &Task<'_>, who: &[Who]) -> Vec<Taken> {
    let people = task.row.row.people.len();
    let of = |unit: &task::Unit<'_>| -> Taken {
        let tone = |w: &Who| {
            let member = dealt(w.on_row?, people, unit.members.len())?;
            unit.tones.iter().position(|(_, at)| *at == member)
        };
        who.iter().map(tone).collect()
    };
    task.units.iter().map(of).collect()
}

/// Tries the edits out.
fn finish(
    task: &Task<'_>,
    title: String,
    mut edits: Vec<TextEdit>,
    takers: &[(Who, Line<'_>)],
    cost: ShareCost,
) -> Result<Shared, Declined> {
    edits.sort_by_key(|e| (e.line, e.span));
    if edits.is_empty() {
        return Err(Declined::NoBetter);
    }
    let fault = |e: &TextEdit| {
        let line = task.desk.document().lines().get(e.line as usize);
        line.is_some_and(|l| {
            l.faults.iter().any(|f| f.span.start <= e.span.end && e.span.start <= f.span.end)
        })
    };
    if edits.iter().any(fault) {
        return Err(Declined::Unread);
    }
    let trial = Trial::of(task.desk, &edits).ok_or(Declined::Unread)?;
    if trial.came().any(|f| is_reading_fault(f.rule) && f.severity > Severity::Hint) {
        return Err(Declined::Otherwise);
    }
    check::check(task, &trial, takers)?;
    Ok(Shared { title, edits, trial, cost })
}
