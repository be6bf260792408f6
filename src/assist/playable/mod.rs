//! The cheapest set of moves after which blocks can be played: octaves, hand-overs, breaths, respellings, other
//! fingerings, whatever clears a finding without a graver one in its place.
//!
//! Findings are taken one by one, the gravest first. For each there are the ways out that could be offered for it,
//! and to leave it. Sets of moves are kept side by side and ranked by what is still found, then by how many moves
//! it took, then by what they cost the music. Where never more than [`MOST_KEPT`] sets were alive and there was
//! time for all of them, the best one is the best there is of such moves; otherwise it is the best of those that
//! were kept, and [`Playable::exact`] is false.

mod cost;
mod moves;

use super::cure::{Tally, Trial, tally};
use super::line_hunks;
use super::place::TextEdit;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Finding, Severity};
use std::collections::HashSet;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::ops::Range;

/// Sets of moves that are kept side by side.
pub const MOST_KEPT: usize = 12;
/// Findings whose ways out are worked out, over all sets of moves together. Every one of them takes some
/// milliseconds; this bounds the wait.
pub const MOST_LOOKED_AT: usize = 120;

/// A set of moves, and what it comes to.
#[derive(Debug, Clone)]
pub struct Playable {
    /// In the order of the text, none overlapping another.
    pub edits: Vec<TextEdit>,
    /// What is done, in the order in which it was.
    pub steps: Vec<Step>,
    /// Findings in the blocks before.
    pub before: usize,
    /// What is still found there, the gravest first, by bar.
    pub left: Vec<Finding>,
    /// Nothing better can be put together from such moves.
    pub exact: bool,
}

/// One move of a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// Where the finding stood that it clears, and whose it was.
    pub bar: Option<i64>,
    pub player: Option<String>,
    /// As it would be offered: `Down an octave: 4 notes, …`, `Give bar 6 to Tp2: …`.
    pub title: String,
}

impl std::fmt::Display for Step {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if let Some(bar) = self.bar {
            write!(f, "bar {bar}")?;
            if let Some(player) = &self.player {
                write!(f, ", {player}")?;
            }
            f.write_str(": ")?;
        }
        f.write_str(&self.title)
    }
}

/// How far the search is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Findings dealt with, at the least, and all of them.
    pub done: usize,
    pub of: usize,
}

/// Why there is no set of moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoMoves {
    /// Nothing is found there that could go.
    Fine,
    /// Every way out would only bring something as grave.
    NothingHelps { findings: usize },
    /// Somebody did not want to wait.
    Stopped,
}

impl std::fmt::Display for NoMoves {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NoMoves::Fine => f.write_str("everything there can be played as it is"),
            NoMoves::NothingHelps { findings: 1 } => f.write_str(
                "no octave, other player, breath or spelling clears the finding without one as grave in its place",
            ),
            NoMoves::NothingHelps { findings } => write!(
                f,
                "no octave, other player, breath or spelling clears any of the {findings} findings without one as grave in its place"
            ),
            NoMoves::Stopped => f.write_str("the search was stopped"),
        }
    }
}

/// What a finding is called while the text around it changes: its rule, its player and its bar.
type Called = (&'static str, Option<String>, Option<i64>);

fn called(finding: &Finding) -> Called {
    (finding.rule, finding.player.clone(), finding.bar)
}

/// Some moves made.
struct Set {
    desk: Desk,
    steps: Vec<Step>,
    cost: u32,
    left: HashSet<Called>,
    found: Vec<Finding>,
}

impl Set {
    /// The gravest finding that was not left yet.
    fn next(&self) -> Option<&Finding> {
        let open = self.found.iter().filter(|f| !self.left.contains(&called(f)));
        open.min_by_key(|f| (std::cmp::Reverse((f.severity, f.grade)), f.line, f.span))
    }

    fn rank(&self) -> (Tally, usize, u32) {
        (tally(&self.found), self.steps.len(), self.cost)
    }

    /// What a musician would see of it.
    fn looks(&self, blocks: &Range<usize>) -> u64 {
        let mut state = DefaultHasher::new();
        for placed in self.desk.score().blocks.get(blocks.clone()).unwrap_or(&[]) {
            placed.read.block.text.lines.iter().for_each(|line| line.text.hash(&mut state));
        }
        let mut left: Vec<&Called> = self.left.iter().collect();
        left.sort_unstable();
        left.hash(&mut state);
        state.finish()
    }
}

/// What is found in blocks and keeps them from being played; slips of writing are for others to mend.
fn found(desk: &Desk, blocks: &Range<usize>) -> Vec<Finding> {
    let all: Vec<usize> = blocks.clone().collect();
    let first = desk.score().blocks.get(blocks.start).map_or(u32::MAX, |b| b.line);
    let mut found = desk.findings_of(&all);
    found.retain(|f| !is_reading_fault(f.rule) && f.severity > Severity::Hint && f.line >= first);
    found
}

/// Looks for the cheapest set of moves for some blocks, by index. `watch` is told how far it is, and stops it by
/// answering false.
pub fn playable(
    desk: &Desk,
    blocks: Range<usize>,
    watch: &mut dyn FnMut(Progress) -> bool,
) -> Result<Playable, NoMoves> {
    let before = found(desk, &blocks);
    if before.is_empty() {
        return Err(NoMoves::Fine);
    }
    let nothing = Err(NoMoves::NothingHelps { findings: before.len() });
    let start =
        Set { desk: desk.clone(), steps: Vec::new(), cost: 0, left: HashSet::new(), found: before.clone() };
    let (mut alive, mut best, mut exact, mut looked) = (vec![start], None::<Set>, true, 0);
    while !alive.is_empty() {
        let open = |set: &Set| set.found.iter().filter(|f| !set.left.contains(&called(f))).count();
        let most = alive.iter().map(open).max().unwrap_or(0);
        let progress = Progress { done: before.len().saturating_sub(most), of: before.len() };
        if !watch(progress) {
            return Err(NoMoves::Stopped);
        }
        // As many as there is still time for, whatever each of them meets.
        let time = (MOST_LOOKED_AT.saturating_sub(looked) / most.max(1)).clamp(1, MOST_KEPT);
        if alive.len() > time {
            exact = false;
            alive.truncate(time);
        }
        let mut next: Vec<Set> = Vec::new();
        let mut seen: HashSet<u64> = HashSet::new();
        for set in alive {
            let Some(finding) = set.next() else {
                if best.as_ref().is_none_or(|b| set.rank() < b.rank()) {
                    best = Some(set);
                }
                continue;
            };
            looked += 1;
            let children = moves::of(&set.desk, finding, &blocks);
            for made in children {
                let mut steps = set.steps.clone();
                let (bar, player) = (finding.bar, finding.player.clone());
                steps.push(Step { bar, player, title: made.title });
                let cost = set.cost.saturating_add(cost::of(&set.desk, &made.desk, &blocks));
                let found = found(&made.desk, &blocks);
                next.push(Set { desk: made.desk, steps, cost, left: set.left.clone(), found });
            }
            let mut left = set;
            if let Some(name) = left.next().map(called) {
                left.left.insert(name);
                next.push(left);
            }
        }
        next.sort_by_key(Set::rank);
        next.retain(|set| seen.insert(set.looks(&blocks)));
        alive = next;
    }
    let Some(best) = best.filter(|b| !b.steps.is_empty() && tally(&b.found) < tally(&before)) else {
        return nothing;
    };
    let Some((edits, trial)) = tried(desk, &best.desk, &blocks) else { return nothing };
    // Elsewhere, too: a rest that is gone here may be missed there.
    let (was, is) = trial.tallies();
    if trial.desk().document().text() != best.desk.document().text() || is >= was {
        return nothing;
    }
    let mut left = best.found;
    left.sort_by_key(|f| (std::cmp::Reverse((f.severity, f.grade)), f.line, f.span));
    Ok(Playable { edits, steps: best.steps, before: before.len(), left, exact })
}

/// The edits of the blocks' lines that make one text the other, tried out.
fn tried(desk: &Desk, made: &Desk, blocks: &Range<usize>) -> Option<(Vec<TextEdit>, Trial)> {
    let first = desk.score().blocks.get(blocks.start)?.line;
    let edits = line_hunks::edits(desk, first, &lines(desk, blocks), &lines(made, blocks))?;
    let trial = Trial::of(desk, &edits)?;
    Some((edits, trial))
}

fn lines<'d>(desk: &'d Desk, blocks: &Range<usize>) -> Vec<&'d str> {
    let all = desk.score().blocks.get(blocks.clone()).unwrap_or_default();
    all.iter().flat_map(|block| block.read.block.text.lines.iter().map(|line| &*line.text)).collect()
}

/// True if something is found in blocks that moves could clear.
pub fn hurts(desk: &Desk, blocks: &Range<usize>) -> bool {
    !found(desk, blocks).is_empty()
}

/// The blocks that some lines of the file touch, by index.
pub fn blocks_at(desk: &Desk, first: u32, last: u32) -> Option<Range<usize>> {
    let score = desk.score();
    let (from, to) = (score.block_at(first)?, score.block_at(last.max(first))?);
    Some(from..to + 1)
}

/// `bars 5 to 8`.
pub fn bars(desk: &Desk, blocks: &Range<usize>) -> String {
    let all = desk.score().blocks.get(blocks.clone()).unwrap_or(&[]);
    let first = all.first().map_or(0, |b| b.frame.first_bar);
    let last = all.last().map_or(0, |b| b.frame.first_bar + i64::from(b.frame.bars) - 1);
    if first >= last { format!("bar {first}") } else { format!("bars {first} to {last}") }
}
