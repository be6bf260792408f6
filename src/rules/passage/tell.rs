//! Passage findings made findings of blocks: spots become lines, passes are named.

use super::super::ensemble::Visits;
use super::super::rule::LocalFinding;
use super::line::Line;
use super::{PassageFinding, Spot};
use crate::score::order::Visit;
use crate::score::score::{Placed, Score};
use std::cmp::Ordering;
use std::collections::HashMap;

/// A finding with the index of its block, and its related places: line of the file, stretch, words.
pub(in crate::rules) struct InBlock {
    pub block: u32,
    /// Of a finding about several players, who they are.
    pub players: Vec<u16>,
    pub finding: LocalFinding,
    pub related: Vec<(u32, crate::notation::Span, String)>,
}

/// Blocks of which findings are wanted: words take time.
pub(in crate::rules) type Wanted<'a> = &'a dyn Fn(usize) -> bool;

/// One finding for each written place, in the order of playing.
pub(in crate::rules) fn tell(line: &Line, score: &Score, wanted: Wanted<'_>) -> Vec<InBlock> {
    let all = line.hot.iter().map(|at| *at as usize);
    tell_all(all.flat_map(|at| line.findings(at).iter().map(move |f| (at, f, &[][..]))), score, wanted)
}

/// The same for what was found of all lines together.
pub(in crate::rules) fn tell_shared(visits: &Visits, score: &Score, wanted: Wanted<'_>) -> Vec<InBlock> {
    tell_all(visits.findings().map(|(at, shared)| (at, &shared.finding, &*shared.players)), score, wanted)
}

/// Blocks in which two lines through the same order of visits are not told the same, and perhaps some more.
pub(in crate::rules) fn differing(now: &Line, then: &Line, score: &Score) -> Vec<u32> {
    let mut blocks = Vec::new();
    let mut hot: Vec<u32> = now.hot.iter().chain(&then.hot).copied().collect();
    hot.sort_unstable();
    hot.dedup();
    for at in hot.into_iter().map(|at| at as usize) {
        let (a, b) = (now.findings(at), then.findings(at));
        if !now.same_visit(at, then, at) && a != b {
            blocks.extend(a.iter().chain(b).filter_map(|f| Some(visit(score, at, f.at)?.block)));
        }
    }
    blocks
}

/// A finding with the visit in which it was told, and its players if there are several.
type Told<'f> = (usize, &'f PassageFinding, &'f [u16]);

fn tell_all<'f>(all: impl Iterator<Item = Told<'f>>, score: &Score, wanted: Wanted<'_>) -> Vec<InBlock> {
    let mut worst: Vec<Told<'f>> = Vec::new();
    let mut places: HashMap<_, usize> = HashMap::new();
    for (at, finding, players) in all {
        let Some(visit) = visit(score, at, finding.at) else { continue };
        if !wanted(visit.block as usize) {
            continue;
        }
        let Spot { line, span, .. } = finding.at;
        let place = (finding.rule, visit.block, line, span.start, span.end, players.first().copied());
        match places.get(&place).and_then(|i| worst.get_mut(*i)) {
            Some(told) if compare(told.1, finding) == Ordering::Less => *told = (at, finding, players),
            Some(_) => {}
            None => {
                places.insert(place, worst.len());
                worst.push((at, finding, players));
            }
        }
    }
    let told = |(at, finding, players): Told<'_>| {
        Some(InBlock { players: players.to_vec(), ..in_block(score, at, finding)? })
    };
    worst.into_iter().filter_map(told).collect()
}

fn compare(a: &PassageFinding, b: &PassageFinding) -> Ordering {
    (a.severity, a.grade).cmp(&(b.severity, b.grade)).then(a.badness.total_cmp(&b.badness))
}

fn visit(score: &Score, at: usize, spot: Spot) -> Option<&Visit> {
    score.order.visits.get(at.checked_sub(spot.back as usize)?)
}

fn placed(score: &Score, at: usize, spot: Spot) -> Option<(&Placed, &Visit)> {
    let visit = visit(score, at, spot)?;
    Some((score.blocks.get(visit.block as usize)?, visit))
}

fn in_block(score: &Score, at: usize, told: &PassageFinding) -> Option<InBlock> {
    let (_, visit) = placed(score, at, told.at)?;
    let bar = |spot: Spot| {
        let (placed, visit) = placed(score, at, spot)?;
        Some((placed.frame.first_bar + i64::from(spot.bar), visit))
    };
    let (from, to) = (bar(told.from)?, bar(told.to)?);
    let bars = if from.0 == to.0 && from.1 == to.1 {
        format!(" in bar {}", from.0)
    } else if from.0 == to.0 {
        format!(" in bar {}, repeated", from.0)
    } else {
        format!(" from bar {} to bar {}", from.0, to.0)
    };
    let pass = if visit.pass > 1 { format!("In pass {}: ", visit.pass) } else { String::new() };
    let same_row = told.to.back == told.at.back && told.to.line == told.at.line;
    let span = if same_row && told.to.span.start >= told.at.span.start {
        told.at.span.to(told.to.span)
    } else {
        told.at.span
    };
    let related = told.related.iter().filter_map(|(spot, words)| {
        let (placed, _) = placed(score, at, *spot)?;
        Some((placed.line + spot.line, spot.span, words.clone()))
    });
    Some(InBlock {
        block: visit.block,
        players: Vec::new(),
        related: related.collect(),
        finding: LocalFinding {
            rule: told.rule,
            severity: told.severity,
            grade: told.grade,
            line: told.at.line,
            span,
            bar: told.at.bar,
            message: format!("{pass}{}{bars}{}", told.lead, told.tail),
            measured: told.measured.clone(),
            limit: told.limit.clone(),
            related: Vec::new(),
            cures: told.cures.clone(),
        },
    })
}
