//! Findings as the page lists them: one by one, or where there are many those of one rule together.

use crate::assist::sheet::{FoundAt, PlayerSheet};
use crate::rules::Severity;

/// Findings of a player that are told one by one.
const MOST_APART: usize = 12;
/// Entries of a list.
const MOST_ENTRIES: usize = 30;

/// One finding, or several of one rule and weight.
pub struct Entry<'a> {
    pub first: &'a FoundAt,
    /// In the order of playing.
    pub others: Vec<&'a FoundAt>,
}

impl<'a> Entry<'a> {
    /// All of it.
    pub fn all(&self) -> impl Iterator<Item = &'a FoundAt> {
        std::iter::once(self.first).chain(self.others.iter().copied())
    }
}

/// Findings that a page shows: hints are left to the editor.
pub fn shown(player: &PlayerSheet) -> impl Iterator<Item = &FoundAt> {
    player.findings.iter().filter(|found| found.finding.severity > Severity::Hint)
}

/// The list of a player, and how many findings are left out of it.
pub fn entries(player: &PlayerSheet) -> (Vec<Entry<'_>>, usize) {
    let apart = shown(player).count() <= MOST_APART;
    let kind = |found: &FoundAt| (found.finding.rule, found.finding.severity, found.finding.grade);
    let mut all: Vec<Entry<'_>> = Vec::new();
    let mut left = 0;
    for found in shown(player) {
        let room = all.len() < MOST_ENTRIES;
        let known = all.iter_mut().find(|entry| !apart && kind(entry.first) == kind(found));
        match known {
            Some(entry) => entry.others.push(found),
            None if room => all.push(Entry { first: found, others: Vec::new() }),
            None => left += 1,
        }
    }
    (all, left)
}
