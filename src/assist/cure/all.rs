//! Everything that may be done unasked, in rounds until nothing more is left to do.

use super::case::Case;
use super::draft::Draft;
use super::trial::{Tally, Trial, tally};
use super::{Offer, OfferKind, given};
use crate::assist::place::{TextEdit, differing};
use crate::notation::FaultName;
use crate::rules::{Desk, Finding};

/// One cure may uncover what another mends; more rounds than this are not needed by any text.
const MOST_ROUNDS: usize = 16;

/// The first safe way out of a finding.
pub fn safe_draft(desk: &Desk, finding: &Finding) -> Option<Draft> {
    let case = Case::of(desk, finding)?;
    let sure = super::is_reading_fault(finding.rule);
    given::drafts(&case).into_iter().find(|d| d.safe && (sure || !super::touches_fault(desk, &d.edits)))
}

/// All of it as one offer, its edits the difference between the text and the one without these findings.
pub fn all(desk: &Desk, findings: &[Finding]) -> Option<Offer> {
    let mut round = Round { desk: desk.clone(), findings: findings.to_vec(), done: 0 };
    for _ in 0..MOST_ROUNDS {
        if !round.go() {
            break;
        }
    }
    if round.done == 0 {
        return None;
    }
    let edits = difference(desk, &round.desk);
    let places = if round.done == 1 { "1 place".to_owned() } else { format!("{} places", round.done) };
    let title = format!("Mend every plain slip: {places}");
    Some(Offer { title, edits, kind: OfferKind::Mend, preferred: false, safe: true })
}

struct Round {
    desk: Desk,
    findings: Vec<Finding>,
    done: usize,
}

impl Round {
    /// Does what can be done at once; false if nothing could.
    fn go(&mut self) -> bool {
        let mut chosen: Vec<(Finding, Draft)> = Vec::new();
        let mut taken: Vec<TextEdit> = Vec::new();
        for finding in &self.findings {
            let Some(draft) = safe_draft(&self.desk, finding) else { continue };
            let free = |e: &TextEdit| {
                let meets = |t: &TextEdit| {
                    t.line == e.line && t.span.start <= e.span.end && e.span.start <= t.span.end
                };
                !taken.iter().rev().take_while(|t| t.line + 1 >= e.line).any(meets)
            };
            let in_line = draft.edits.iter().all(|e| !e.with.contains(['\n', '\r']));
            if in_line && draft.edits.iter().all(free) {
                taken.extend(draft.edits.iter().cloned());
                chosen.push((finding.clone(), draft));
            }
        }
        let before = self.done;
        self.take(&chosen);
        self.done > before
    }

    /// Makes all of them, or the halves of them that can be made.
    fn take(&mut self, chosen: &[(Finding, Draft)]) {
        if chosen.is_empty() {
            return;
        }
        let mut edits: Vec<TextEdit> = chosen.iter().flat_map(|(_, d)| d.edits.iter().cloned()).collect();
        edits.sort_by_key(|e| (e.line, e.span));
        let trial = Trial::of(&self.desk, &edits);
        let good = trial.filter(|t| chosen.iter().all(|(finding, _)| t.is_gone(finding)));
        let found = good.map(|trial| (trial.desk().findings(), trial));
        if let Some((findings, trial)) = found.filter(|(all, _)| rank(all) < rank(&self.findings)) {
            self.findings = findings;
            self.desk = trial.into_desk();
            self.done += chosen.len();
        } else if chosen.len() > 1 {
            let (first, second) = chosen.split_at(chosen.len() / 2);
            // The places of the second are those before the edits of the first: it waits for the next round
            // if any of those were made.
            let before = self.done;
            self.take(first);
            if self.done == before {
                self.take(second);
            }
        }
    }
}

/// What a text is worse by: errors, then those of them that hide others, then the rest.
fn rank(findings: &[Finding]) -> (usize, usize, Tally) {
    let all = tally(findings);
    let hiding = |f: &&Finding| {
        let bar =
            [FaultName::BarLength, FaultName::PlaceCount, FaultName::MissingValue, FaultName::NothingHeld];
        super::is_reading_fault(f.rule) && !bar.iter().any(|b| b.word() == f.rule)
    };
    (all.first().copied().unwrap_or(0), findings.iter().filter(hiding).count(), all)
}

/// The edits that make one text the other; both have the same lines, some with other words.
fn difference(from: &Desk, to: &Desk) -> Vec<TextEdit> {
    let both = from.document().lines().iter().zip(to.document().lines().iter());
    both.enumerate()
        .filter(|(_, (old, new))| old.text != new.text)
        .map(|(at, (old, new))| {
            let (span, with) = differing(&old.text, &new.text);
            TextEdit { line: at as u32, span, with: with.to_owned() }
        })
        .collect()
}
