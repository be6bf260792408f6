//! What a passage rule finds.

use super::super::ensemble::{Left, Trace};
use super::super::finding::{Cure, Severity};
use super::spot::Spot;

/// A finding that does not know yet where its visits stand.
#[derive(Debug, Clone, PartialEq)]
pub struct PassageFinding {
    pub rule: &'static str,
    pub severity: Severity,
    pub grade: u8,
    /// Where it is marked: where the limit was passed.
    pub at: Spot,
    /// First and last note. The mark goes on to the last if that is on the same line; the bars are told.
    pub from: Spot,
    pub to: Spot,
    /// The message before and after the words that tell the bars: `41 s without a rest` (` from bar 3 to bar
    /// 17`) `; the limit is …`.
    pub lead: String,
    pub tail: String,
    /// Of one place found in several passes, the one with the greatest badness is told.
    pub badness: f64,
    pub measured: Option<String>,
    pub limit: Option<String>,
    /// Other places it is about.
    pub related: Vec<(Spot, String)>,
    /// Their spans are on the line of `at`.
    pub cures: Vec<Cure>,
}

/// Takes the findings of a rule.
pub struct Told<'a> {
    pub rule: &'static str,
    pub out: &'a mut Vec<PassageFinding>,
    pub left: &'a mut Vec<Trace>,
}

impl Told<'_> {
    /// Adds one.
    pub fn push(&mut self, finding: PassageFinding) {
        self.out.push(finding);
    }

    /// Leaves something behind for the half of the rule that sees all players.
    pub fn leave(&mut self, what: Left) {
        self.left.push(Trace { rule: self.rule, what });
    }
}
