//! Findings of a player, each at the moment it is first played.

use super::act::Act;
use super::axis::Axis;
use crate::music::Pitch;
use crate::rules::{Desk, Finding};
use std::collections::HashMap;

/// A finding where it is played.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundAt {
    pub finding: Finding,
    /// On the axis; nothing for what is never played or stands in no bar.
    pub at: Option<f64>,
    /// The note there.
    pub written: Option<Pitch>,
}

/// Looks out for the notes that findings are about.
pub struct Lookout {
    found: Vec<FoundAt>,
    /// Those that have not been met, by line of the file.
    waiting: HashMap<u32, Vec<usize>>,
}

impl Lookout {
    /// For these.
    pub fn new(findings: Vec<Finding>) -> Lookout {
        let mut waiting: HashMap<u32, Vec<usize>> = HashMap::new();
        for (number, finding) in findings.iter().enumerate() {
            waiting.entry(finding.line).or_default().push(number);
        }
        let found =
            findings.into_iter().map(|finding| FoundAt { finding, at: None, written: None }).collect();
        Lookout { found, waiting }
    }

    /// Hears what sounds next.
    pub fn hear(&mut self, act: &Act<'_>) {
        if self.waiting.is_empty() {
            return;
        }
        let line = act.block_line + act.event.line;
        let Some(waiting) = self.waiting.get_mut(&line) else { return };
        let mut met_now = Vec::new();
        let of_line = || act.events.iter().filter(|event| event.line == act.event.line);
        let end = of_line().map(|event| event.span.end).max().unwrap_or(0);
        // They wait in the order of the line: what begins behind the act need not be looked at.
        let span = |number: usize| self.found.get(number).map(|found| found.finding.span);
        let near = waiting.partition_point(|number| span(*number).is_some_and(|span| span.start < end));
        for place in (0..near).rev() {
            let Some(number) = waiting.get(place).copied() else { continue };
            let met = span(number).is_some_and(|span| {
                of_line().any(|event| event.span.start < span.end && span.start < event.span.end)
            });
            if met {
                waiting.remove(place);
                met_now.push(number);
            }
        }
        if waiting.is_empty() {
            self.waiting.remove(&line);
        }
        for number in met_now {
            if let Some(found) = self.found.get_mut(number) {
                (found.at, found.written) = (Some(act.from), act.written);
            }
        }
    }

    /// All, in the order of playing; what was not met lies at the beginning of its bar.
    pub fn found(self, desk: &Desk, axis: &Axis) -> Vec<FoundAt> {
        let mut found = self.found;
        let score = desk.score();
        for one in found.iter_mut().filter(|one| one.at.is_none()) {
            one.at = score.block_at(one.finding.line).zip(one.finding.bar).and_then(|(block, bar)| {
                let first = score.blocks.get(block)?.frame.first_bar;
                axis.first_time(desk, block, u32::try_from(bar - first).ok()?)
            });
        }
        let place = |one: &FoundAt| one.at.unwrap_or(f64::NEG_INFINITY);
        found.sort_by(|a, b| place(a).total_cmp(&place(b)));
        found
    }
}
