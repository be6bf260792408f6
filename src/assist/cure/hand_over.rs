//! Notes given to another player, or changed with another: where that clears a finding, and for what is selected.

use super::case::RowHere;
use super::draft::Draft;
use super::trial::Trial;
use super::{Cures, Offer, OfferKind};
use crate::assist::hand_over::{give, rest, swap};
use crate::assist::place::Extent;
use crate::music::Fraction;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Finding, Severity};
use crate::score::event::{EventKind, Origin};
use crate::section::{Candidate, Standing, Stretch, rank};

/// Most that are offered.
const MOST_OFFERS: usize = 3;
/// Most that are tried out for one question.
const MOST_TRIALS: usize = 6;
/// What costs more is not offered (estimate): as much as notes above somebody's usual top.
const MOST_POINTS: u32 = 150;
/// Reasons in a title.
const MOST_REASONS: usize = 3;

/// Rules that another player does not help against.
const SPELLING: [&str; 4] = ["awkward-spelling", "hard-key", "wrong-fingering", "idle-allowance"];
/// Rules about a long passage: giving away some bars of it helps.
const LONG: [&str; 5] = ["no-rest", "heavy-load", "long-high", "no-recovery", "no-breath"];

/// Hand-overs that clear a finding, the cheapest first.
pub fn for_finding(cures: &Cures<'_>, finding: &Finding) -> Vec<Offer> {
    if is_reading_fault(finding.rule)
        || SPELLING.contains(&finding.rule)
        || finding.severity == Severity::Hint
    {
        return Vec::new();
    }
    if cures.trials.get() == 0 {
        return Vec::new();
    }
    let mut search = Search { cures, finding: Some(finding), trials: 0, found: Vec::new(), told: Vec::new() };
    for stretch in of_finding(cures.desk, finding) {
        search.look(&stretch);
        if search.is_over() {
            break;
        }
    }
    search.found
}

/// Hand-overs of the notes that a stretch of a row touches.
pub fn for_selection(cures: &Cures<'_>, by: Extent) -> Vec<Offer> {
    let Some(stretch) = selected(cures.desk, by) else { return Vec::new() };
    let mut search = Search { cures, finding: None, trials: 0, found: Vec::new(), told: Vec::new() };
    search.look(&stretch);
    search.found
}

/// The stretch of one player that a selection on a row of theirs touches; on a row of several, if one alone has
/// what is selected.
pub fn selected(desk: &Desk, by: Extent) -> Option<Stretch> {
    if by.from.line != by.to.line || by.from.byte >= by.to.byte {
        return None;
    }
    let row = RowHere::on(desk, by.from.line)?;
    let mut found = None;
    for player in row.players().into_iter().map(usize::from) {
        let mut events = desk.report().events(desk.score(), row.block, player);
        events.retain(|e| {
            let here = e.line == row.row.line && e.origin != Origin::Again;
            here && e.kind != EventKind::Rest && e.span.start < by.to.byte && by.from.byte < e.span.end
        });
        if events.is_empty() {
            continue;
        }
        // Of several on a row it is one who has what is selected: a note of a chord.
        if found.is_some() {
            return None;
        }
        found = Some((player, events));
    }
    let (player, events) = found?;
    Stretch::of_events(row.block, player, &events)?.closed(desk).ok()
}

/// The stretches that may be given away to clear a finding, the best first: its notes, their bars, and of a long
/// passage some bars before.
fn of_finding(desk: &Desk, finding: &Finding) -> Vec<Stretch> {
    let found = || {
        let row = RowHere::on(desk, finding.line)?;
        let player = match row.row.people.as_slice() {
            [person] => usize::from(person.player),
            people => {
                let id = finding.player.as_deref()?;
                let is = |p: &&crate::score::head::Person| {
                    let player = desk.score().head.players.get(usize::from(p.player));
                    player.is_some_and(|of| of.id == id)
                };
                usize::from(people.iter().find(is)?.player)
            }
        };
        let mut events = desk.report().events(desk.score(), row.block, player);
        events.retain(|e| {
            let here = e.line == row.row.line && matches!(e.kind, EventKind::Note | EventKind::Grace);
            here && finding.span.start <= e.span.start && e.span.end <= finding.span.end
        });
        let notes = Stretch::of_events(row.block, player, &events)?;
        let mut all: Vec<Stretch> = Vec::new();
        let mut add = |stretch: Option<Stretch>| {
            let closed = stretch.and_then(|s| s.closed(desk).ok());
            all.extend(closed.filter(|s| !all.contains(s)));
        };
        let (first, last) = (notes.from.bar, events.last()?.bar);
        let bars = |from: u32, to: u32| Stretch::bars(desk, player, row.block, from, to);
        if LONG.contains(&finding.rule) {
            for count in [4, 2, 8] {
                add(first.checked_sub(count).and_then(|from| bars(from, first - 1)));
            }
            add(bars(first, last));
        } else {
            add(Some(notes));
            add(bars(first, last));
        }
        Some(all)
    };
    found().unwrap_or_default()
}

struct Search<'a, 'b> {
    cures: &'a Cures<'b>,
    finding: Option<&'a Finding>,
    trials: usize,
    found: Vec<Offer>,
    /// Players offered already.
    told: Vec<usize>,
}

impl Search<'_, '_> {
    fn is_over(&self) -> bool {
        let left = self.cures.trials.get();
        self.found.len() >= MOST_OFFERS || self.trials >= MOST_TRIALS || left == 0
    }

    fn look(&mut self, stretch: &Stretch) {
        let desk = self.cures.desk;
        let ranked = rank(desk, stretch);
        // Whoever is free comes before whoever would have to give something in return.
        let (busy, free): (Vec<_>, Vec<_>) = ranked
            .into_iter()
            .filter(|c| c.cost.points() <= MOST_POINTS)
            .partition(|c| c.standing == Standing::Busy);
        for candidate in free.into_iter().chain(busy) {
            if self.is_over() {
                return;
            }
            if !self.told.contains(&candidate.player) {
                self.consider(stretch, &candidate);
            }
        }
    }

    fn consider(&mut self, stretch: &Stretch, candidate: &Candidate) {
        let desk = self.cures.desk;
        let (handed, stretch) = match candidate.standing {
            Standing::Free => (give(desk, stretch, candidate.player), *stretch),
            Standing::Doubles => (rest(desk, stretch), *stretch),
            // On a row of both the chord is dealt otherwise instead.
            Standing::Busy if together(desk, stretch, candidate.player) => return,
            Standing::Busy => {
                let Some(both) = stretch.closed_for_both(desk, candidate.player) else { return };
                (swap(desk, &both, candidate.player), both)
            }
        };
        self.trials += 1;
        self.cures.trials.set(self.cures.trials.get().saturating_sub(1));
        let Ok(handed) = handed else { return };
        if self.is_good(&handed.trial) {
            let mut title = title(desk, &stretch, candidate);
            if !handed.written_out.is_empty() {
                title += &format!("; {} written out", handed.written_out.join(" and "));
            }
            let draft = Draft::new(title, handed.edits).unlikely();
            let kind = if self.finding.is_some() { OfferKind::Mend } else { OfferKind::Move };
            self.told.push(candidate.player);
            self.found.push(Draft { kind, ..draft }.offer());
        }
    }

    /// Tried out: the finding goes and nothing as grave comes; of a selection, nothing is worse than before.
    fn is_good(&self, trial: &Trial) -> bool {
        match self.finding {
            Some(finding) => {
                let weight = (finding.severity, finding.grade);
                trial.is_gone(finding) && trial.came().all(|new| (new.severity, new.grade) < weight)
            }
            None => {
                let (before, after) = trial.tallies();
                after <= before && trial.came().all(|new| new.severity < Severity::Warning)
            }
        }
    }
}

/// True if both stand on one row of the block.
fn together(desk: &Desk, stretch: &Stretch, other: usize) -> bool {
    let rows = desk.score().blocks.get(stretch.block).map(|b| b.read.block.rows.as_slice());
    let has = |row: &crate::score::block::BlockRow, player: usize| {
        row.people.iter().any(|p| usize::from(p.player) == player)
    };
    rows.unwrap_or_default().iter().any(|row| has(row, stretch.player) && has(row, other))
}

fn title(desk: &Desk, stretch: &Stretch, candidate: &Candidate) -> String {
    let id = |at: usize| desk.score().head.players.get(at).map_or("", |p| p.id.as_str());
    let (mine, theirs) = (id(stretch.player), id(candidate.player));
    let place = bars(desk, stretch);
    let why = candidate.cost.told(MOST_REASONS);
    match candidate.standing {
        Standing::Doubles => format!("Let {mine} rest in {place}: {theirs} {why}"),
        Standing::Busy => format!("Let {mine} and {theirs} change lines in {place}: {theirs} {why}"),
        Standing::Free => {
            let what = if is_whole(desk, stretch) {
                place
            } else {
                let notes = stretch.events(desk).iter().filter(|e| e.kind == EventKind::Note).count();
                format!("{notes} {} in {place}", if notes == 1 { "note" } else { "notes" })
            };
            format!("Give {what} to {theirs}: {why}")
        }
    }
}

fn is_whole(desk: &Desk, stretch: &Stretch) -> bool {
    let length = |bar: u32| desk.score().blocks.get(stretch.block)?.read.lengths.get(bar as usize).copied();
    stretch.from.onset == Fraction::ZERO
        && (stretch.to.onset.is_zero() || length(stretch.to.bar) == Some(stretch.to.onset))
}

/// `bar 12`, `bars 12 to 15`.
pub fn bars(desk: &Desk, stretch: &Stretch) -> String {
    let first = desk.score().blocks.get(stretch.block).map_or(0, |b| b.frame.first_bar);
    let from = first + i64::from(stretch.from.bar);
    let to = first + i64::from(stretch.last_bar());
    if from >= to { format!("bar {from}") } else { format!("bars {from} to {to}") }
}
