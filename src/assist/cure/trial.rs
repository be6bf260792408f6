//! An edit tried out on a copy in memory, and what became of the findings.

use super::moved::Moved;
use crate::assist::place::TextEdit;
use crate::notation::{Document, Span};
use crate::rules::{Desk, Finding, Severity};
use crate::score::head::ReadAlready;
use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

/// The text with the edits made. Only what the edits could change is looked at.
pub struct Trial {
    desk: Desk,
    /// What was found there before the edits, and after.
    before: Vec<Finding>,
    findings: Vec<Finding>,
    moved: Moved,
    /// Findings after the edits that are none of before, into `findings`.
    new: Vec<usize>,
    /// Findings of before that are no more in their place: rule, where it would be, how much it mattered.
    left: Vec<(&'static str, u32, Span, (Severity, u8))>,
}

/// How many findings there are of each kind, the gravest first.
pub type Tally = [usize; 5];

/// Counts findings by how much they matter.
pub fn tally(findings: &[Finding]) -> Tally {
    let mut all = Tally::default();
    for finding in findings {
        let at = match (finding.severity, finding.grade) {
            (Severity::Error, _) => 0,
            (Severity::Warning, 2) => 1,
            (Severity::Warning, _) => 2,
            (Severity::Information, _) => 3,
            (Severity::Hint, _) => 4,
        };
        if let Some(n) = all.get_mut(at) {
            *n += 1;
        }
    }
    all
}

impl Trial {
    /// Makes the edits on a copy. `None` if they overlap or do not fit the text.
    pub fn of(desk: &Desk, edits: &[TextEdit]) -> Option<Trial> {
        let mut bytes: Vec<(Range<usize>, &TextEdit)> = Vec::with_capacity(edits.len());
        for edit in edits {
            let range = bytes_of(desk.document(), edit)?;
            if bytes.last().is_some_and(|(last, _)| last.end > range.start) {
                return None;
            }
            bytes.push((range, edit));
        }
        let moved = Moved::by(edits.iter().map(|e| (e, takes_end(desk.document(), e))));
        let mut tried = desk.clone();
        for (range, edit) in bytes.into_iter().rev() {
            tried.change(range, &edit.with);
        }
        tried.update(&ReadAlready(Arc::clone(&desk.score().head)));
        let (before, findings) = found(desk, &tried);
        let mut trial = Trial { desk: tried, before, findings, moved, new: Vec::new(), left: Vec::new() };
        trial.compare();
        Some(trial)
    }

    /// The text as it would be.
    pub fn desk(&self) -> &Desk {
        &self.desk
    }

    pub fn into_desk(self) -> Desk {
        self.desk
    }

    /// How much was wrong where the edits may have changed something, and how much is.
    pub fn tallies(&self) -> (Tally, Tally) {
        (tally(&self.before), tally(&self.findings))
    }

    /// Takes out what is in its place after the edits as it was before.
    fn compare(&mut self) {
        let mut there: HashMap<(u32, Span, &str), Vec<usize>> = HashMap::with_capacity(self.findings.len());
        for (at, finding) in self.findings.iter().enumerate().rev() {
            there.entry((finding.line, finding.span, finding.rule)).or_default().push(at);
        }
        let mut known = vec![false; self.findings.len()];
        for finding in &self.before {
            let (line, span) = self.moved.exactly(finding.line, finding.span);
            let all = there.get_mut(&(line, span, finding.rule));
            // What grew graver is not the same.
            let weight = (finding.severity, finding.grade);
            let milder = |at: &usize| self.findings.get(*at).is_some_and(|f| (f.severity, f.grade) <= weight);
            let same = all.and_then(|all| all.iter().rposition(milder).map(|i| all.remove(i)));
            match same.and_then(|at| known.get_mut(at)) {
                Some(known) => *known = true,
                None => {
                    let (line, span) = self.moved.widely(finding.line, finding.span);
                    self.left.push((finding.rule, line, span, (finding.severity, finding.grade)));
                }
            }
        }
        self.new = (0..self.findings.len()).filter(|at| known.get(*at) == Some(&false)).collect();
    }

    /// True if a finding of before is found no more.
    pub fn is_gone(&self, finding: &Finding) -> bool {
        let known = |f: &Finding| (f.rule, f.line, f.span) == (finding.rule, finding.line, finding.span);
        if !self.before.iter().any(known) {
            // It stands where the edits change nothing.
            return false;
        }
        let (line, span) = self.moved.exactly(finding.line, finding.span);
        let same = |f: &Finding| (f.rule, f.line, f.span) == (finding.rule, line, span);
        if self.findings.iter().any(same) {
            return false;
        }
        let (line, span) = self.moved.widely(finding.line, finding.span);
        !self.fresh().any(|f| f.rule == finding.rule && f.line == line && meet(f.span, span))
    }

    /// What is found now and was not before; what only moved or grew milder is not among it.
    pub fn came(&self) -> impl Iterator<Item = &Finding> {
        self.fresh().filter(|new| {
            !self.left.iter().any(|(rule, line, span, weight)| {
                *rule == new.rule
                    && *line == new.line
                    && meet(*span, new.span)
                    && *weight >= (new.severity, new.grade)
            })
        })
    }

    fn fresh(&self) -> impl Iterator<Item = &Finding> {
        self.new.iter().filter_map(|at| self.findings.get(*at))
    }

    /// True if a new finding stands where one of before stood.
    pub fn is_in_place_of(&self, new: &Finding, before: &Finding) -> bool {
        let (line, span) = self.moved.widely(before.line, before.span);
        new.line == line && span.start <= new.span.start && new.span.end <= span.end
    }

    /// The line on which a finding of before stands now.
    pub fn line_of(&self, finding: &Finding) -> u32 {
        self.moved.exactly(finding.line, finding.span).0
    }
}

/// What is found before and after, in the blocks in which that may differ; everything where the head or the
/// number of blocks does.
fn found(desk: &Desk, tried: &Desk) -> (Vec<Finding>, Vec<Finding>) {
    let (old, new) = (desk.score(), tried.score());
    if !Arc::ptr_eq(&old.head, &new.head) || old.blocks.len() != new.blocks.len() {
        return (desk.findings(), tried.findings());
    }
    let blocks = tried.report().differing(new, desk.report(), old);
    (desk.findings_of(&blocks), tried.findings_of(&blocks))
}

/// True if two stretches have something in common.
fn meet(a: Span, b: Span) -> bool {
    a.start == b.start || (a.start < b.end && b.start < a.end)
}

/// The bytes of the whole text that an edit replaces.
pub fn bytes_of(document: &Document, edit: &TextEdit) -> Option<Range<usize>> {
    let line = document.lines().get(edit.line as usize)?;
    let (start, end) = (edit.span.start as usize, edit.span.end as usize);
    let fits = start <= end
        && end <= line.bytes()
        && (end >= line.text.len() || line.text.is_char_boundary(end))
        && line.text.is_char_boundary(start);
    let from = document.lines().start_of_line(edit.line as usize);
    fits.then(|| from + start..from + end)
}

/// True if the edit takes in the end of its line.
fn takes_end(document: &Document, edit: &TextEdit) -> bool {
    document.lines().get(edit.line as usize).is_some_and(|l| edit.span.end as usize > l.text.len())
}
