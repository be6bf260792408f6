//! Ways out of a finding, as text edits: what one click in an editor or `mend` on the command line does.
//!
//! A rule or a fault names a cure by kind; here it becomes edits, and more are found where a musician sees
//! an obvious one. What cannot be known to be right from the way it is made is tried out first, on a copy
//! in memory: it is offered only if the finding goes and nothing as grave comes in its place. A fault of
//! reading may uncover what it hid: other faults of its line, of its block where it is a rhythm, and
//! anything where it stands in the head.

mod all;
mod allow;
mod apart;
mod at_entry;
mod bracket;
mod breath;
pub(in crate::assist) mod case;
mod chord;
mod declare;
mod double;
mod draft;
mod dynamic;
mod everybody;
pub(in crate::assist) mod figure;
pub(in crate::assist) mod fit;
mod given;
mod hand_over;
mod held;
mod instruction;
mod instrument;
mod key;
mod length;
pub(in crate::assist) mod lines;
mod missing_octave;
mod moved;
mod names;
pub(in crate::assist) mod notes;
mod octave;
mod order;
mod own_limit;
mod passage;
mod places;
mod range_words;
mod share;
mod short_row;
mod slurs;
mod stagger;
mod tempo;
mod trial;
mod undot;
mod value;
mod ways;
mod whole_line;
mod wider;
mod written_out;

pub use case::RowHere;
pub use hand_over::{bars, selected};
pub use lines::own_end;
pub use octave::is_leap;
pub use trial::{Tally, Trial, bytes_of, tally};

use super::place::{Extent, Place, TextEdit};
use crate::notation::Fault;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Finding};
use case::Case;
use draft::Draft;
use std::cell::{Cell, OnceCell};

/// Hand-overs that are tried out for one click, whatever is selected.
const MOST_TRIALS: usize = 4;

/// What an offer is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OfferKind {
    /// The finding goes because what is wrong is mended.
    Mend,
    /// The finding goes because somebody says that it is meant.
    Allow,
    /// Notes lie better elsewhere.
    Move,
}

/// A way out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// What is shown: an imperative, with the number.
    pub title: String,
    /// In the order of the text, none overlapping another.
    pub edits: Vec<TextEdit>,
    pub kind: OfferKind,
    /// The one that most would take; at most one for a finding.
    pub preferred: bool,
    /// May be done unasked: nothing that is heard becomes another thing, and what was meant is beyond doubt.
    pub safe: bool,
}

/// The ways out of the findings of one text.
pub struct Cures<'a> {
    desk: &'a Desk,
    findings: OnceCell<Vec<Finding>>,
    /// Hand-overs that may still be tried out.
    trials: Cell<usize>,
}

impl<'a> Cures<'a> {
    /// Of a text as it stands.
    pub fn of(desk: &'a Desk) -> Cures<'a> {
        Cures { desk, findings: OnceCell::new(), trials: Cell::new(usize::MAX) }
    }

    /// The same for somebody who waits for the answer: of many findings, the first are looked at for other
    /// players who could help.
    pub fn for_a_click(desk: &'a Desk) -> Cures<'a> {
        Cures { trials: Cell::new(MOST_TRIALS), ..Cures::of(desk) }
    }

    /// Everything found, in the order of the text.
    pub fn findings(&self) -> &[Finding] {
        self.findings.get_or_init(|| self.desk.findings())
    }

    /// The findings that a stretch touches.
    pub fn touched(&self, by: Extent) -> Vec<Finding> {
        let score = self.desk.score();
        let mut found = match (score.block_at(by.from.line), score.block_at(by.to.line)) {
            (Some(first), Some(last)) => self.desk.findings_of(&(first..=last).collect::<Vec<_>>()),
            // What an allowance of the head silences stands anywhere.
            _ => self.findings().to_vec(),
        };
        found.retain(|f| {
            let at = |byte| Place { line: f.line, byte };
            at(f.span.start) <= by.to && by.from <= at(f.span.end)
        });
        found
    }

    /// The ways out of a finding, best first, allowances last.
    pub fn offers(&self, finding: &Finding) -> Vec<Offer> {
        let Some(case) = Case::of(self.desk, finding) else { return Vec::new() };
        let mut offers: Vec<Offer> = share::for_finding(self, finding);
        let take = |draft: Draft, offers: &mut Vec<Offer>| {
            let repeated = offers.iter().any(|o| o.edits == draft.edits || o.title == draft.title);
            if !repeated && (draft.trusted || self.good(finding, &draft)) {
                offers.push(draft.offer());
            }
        };
        ways::drafts(&case).into_iter().for_each(|draft| take(draft, &mut offers));
        offers.extend(hand_over::for_finding(self, finding));
        allow::drafts(&case).into_iter().for_each(|draft| take(draft, &mut offers));
        let first = offers.iter().position(|o| o.preferred);
        for (at, offer) in offers.iter_mut().enumerate() {
            offer.preferred = Some(at) == first;
        }
        offers
    }

    /// Octaves at which the notes that a stretch touches lie better than where they are.
    pub fn moves(&self, by: Extent) -> Vec<Offer> {
        passage::moves(self, by)
    }

    /// The same for more than these notes: their slurred phrase, their bar, all of their row.
    pub fn wider_moves(&self, by: Extent) -> Vec<Offer> {
        wider::moves(self, by)
    }

    /// Other players who could take over the notes that a stretch of a row touches, the cheapest first.
    pub fn hand_overs(&self, by: Extent) -> Vec<Offer> {
        hand_over::for_selection(self, by)
    }

    /// The chords that a stretch of a row touches shared out among its players, or those who are free then.
    pub fn shares(&self, by: Extent) -> Vec<Offer> {
        share::for_selection(self, by)
    }

    /// True if the stretch touches a note that could be moved at all.
    pub fn has_notes(&self, by: Extent) -> bool {
        passage::has_notes(self.desk, by)
    }

    /// Everything that may be done unasked, in one; `None` if there is nothing.
    pub fn all(&self) -> Option<Offer> {
        all::all(self.desk, self.findings())
    }

    /// True if anything may perhaps be done unasked.
    pub fn any_safe(&self) -> bool {
        self.findings().iter().any(|f| all::safe_draft(self.desk, f).is_some())
    }

    /// True if the draft, tried out, does what it should.
    fn good(&self, finding: &Finding, draft: &Draft) -> bool {
        if !is_reading_fault(finding.rule) && touches_fault(self.desk, &draft.edits) {
            return false;
        }
        let Some(trial) = Trial::of(self.desk, &draft.edits) else { return false };
        trial.is_gone(finding)
            && trial.came().all(|new| {
                (new.severity, new.grade) < (finding.severity, finding.grade)
                    || draft.leaps && is_leap(new.rule)
                    || self.was_hidden(finding, new, &trial)
            })
    }

    /// True if a finding may have been hidden by the fault of reading that was mended.
    fn was_hidden(&self, by: &Finding, new: &Finding, trial: &Trial) -> bool {
        if !is_reading_fault(by.rule) {
            return false;
        }
        let Some(case) = Case::of(self.desk, by) else { return false };
        // What is wrong in the same place in another way is no cure.
        let counts = ["bar-length", "place-count", "missing-value"].contains(&new.rule);
        if is_reading_fault(new.rule) && !counts && trial.is_in_place_of(new, by) {
            return false;
        }
        // These hide no fault but their own kind further on, which is told once.
        let hides_none =
            ["nothing-held", "two-at-once", "row-short", "chord-order", "no-tempo", "which-octave"];
        if hides_none.contains(&by.rule) && is_reading_fault(new.rule) && new.rule != by.rule {
            return false;
        }
        match case.block() {
            None => true,
            Some(_) if trial.line_of(by) == new.line => true,
            Some((index, ..)) => {
                let same_block = trial.desk().score().block_at(new.line) == Some(index);
                same_block && case.rules_others()
            }
        }
    }
}

/// True if an edit touches what could not be read: nobody knows what the text would be read as then.
fn touches_fault(desk: &Desk, edits: &[TextEdit]) -> bool {
    edits.iter().any(|edit| {
        let line = desk.document().lines().get(edit.line as usize);
        let touches = |f: &Fault| f.span.start <= edit.span.end && edit.span.start <= f.span.end;
        line.is_some_and(|l| l.faults.iter().any(touches))
    })
}
