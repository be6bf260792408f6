//! Blocks checked with all their players together, and after an edit only those in which somebody changed.

use super::super::registry::RULES;
use super::super::report::Track;
use super::super::rule::{Check, LocalFinding};
use super::super::settings::Settings;
use super::moment::{Moments, Part};
use crate::music::{Fraction, Key};
use crate::notation::tree::Basis;
use crate::score::score::{Placed, Score};
use std::sync::Arc;

/// What a rule sees of one block: everybody in it, as the block is first played.
pub struct Together<'a> {
    /// Who has a row, in the order of the score.
    pub parts: &'a [Part<'a>],
    pub moments: &'a Moments<'a>,
    /// Concert key of the block.
    pub key: Option<Key>,
    pub basis: Basis,
    /// Of the bars.
    pub lengths: &'a [Fraction],
    /// Of a beat, in whole notes.
    pub beat: f64,
    /// Seconds of a whole note at the block's first bar; `None` without a tempo.
    pub whole_seconds: Option<f64>,
    pub settings: &'a Settings,
}

/// A finding about several players; it belongs to the first of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Shared {
    pub players: Vec<u16>,
    pub finding: LocalFinding,
}

/// Takes the findings of a rule.
pub struct SharedFound<'a> {
    pub rule: &'static str,
    pub out: &'a mut Vec<Shared>,
}

/// What was found in blocks.
#[derive(Debug, Default)]
pub struct Blocks {
    /// Blocks in which something was found.
    pub hot: Vec<(u32, Arc<Vec<Shared>>)>,
}

/// What blocks are checked with.
#[derive(Clone, Copy)]
pub(in crate::rules) struct Before<'a> {
    pub blocks: &'a Blocks,
    pub tracks: &'a [Arc<Track>],
    pub score: &'a Score,
}

impl Blocks {
    /// What was found in a block.
    pub fn of(&self, block: usize) -> &[Shared] {
        let at = self.hot.binary_search_by_key(&(block as u32), |(at, _)| *at);
        at.ok().and_then(|at| self.hot.get(at)).map_or(&[], |(_, found)| found)
    }

    /// Checks what has changed; counts the blocks.
    pub(in crate::rules) fn check(
        score: &Score,
        tracks: &[Arc<Track>],
        before: Option<Before<'_>>,
        settings: &Settings,
        checked: &mut u64,
    ) -> Blocks {
        let before = before.filter(|old| {
            let (a, b) = (&score.head.players, &old.score.head.players);
            score.head.basis == old.score.head.basis
                && a.len() == b.len()
                && a.iter().zip(b).all(|(a, b)| Arc::ptr_eq(a, b))
        });
        let others: Vec<usize> = match before {
            Some(old) => (0..tracks.len())
                .filter(|i| !matches!((tracks.get(*i), old.tracks.get(*i)), (Some(a), Some(b)) if Arc::ptr_eq(a, b)))
                .collect(),
            None => Vec::new(),
        };
        let mut blocks = Blocks::default();
        for (i, placed) in score.blocks.iter().enumerate() {
            let same = before.and_then(|old| {
                let from = placed.came_from? as usize;
                same(placed, (tracks, i), &old, from, &others).then_some((old, from))
            });
            if let Some((old, from)) = same {
                let at = old.blocks.hot.binary_search_by_key(&(from as u32), |(at, _)| *at);
                if let Some((_, found)) = at.ok().and_then(|at| old.blocks.hot.get(at)) {
                    blocks.hot.push((i as u32, Arc::clone(found)));
                }
                continue;
            }
            let found = check(score, placed, i, tracks, settings, checked);
            if !found.is_empty() {
                blocks.hot.push((i as u32, Arc::new(found)));
            }
        }
        blocks
    }
}

/// True if nobody changed; `others` are the players whose line through the score is another one.
fn same(
    placed: &Placed,
    at: (&[Arc<Track>], usize),
    old: &Before<'_>,
    from: usize,
    others: &[usize],
) -> bool {
    let (tracks, i) = at;
    let Some(then) = old.score.blocks.get(from) else { return false };
    let one = |player: usize| {
        let now = tracks.get(player).and_then(|t| t.blocks.get(i)?.as_ref());
        let then = old.tracks.get(player).and_then(|t| t.blocks.get(from)?.as_ref());
        match (now, then) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        }
    };
    let people = if from == i { others.iter().all(|p| one(*p)) } else { (0..tracks.len()).all(one) };
    people
        && (Arc::ptr_eq(&placed.standing, &then.standing)
            || placed.read.lengths == then.read.lengths && beat(placed) == beat(then))
}

fn beat(placed: &Placed) -> f64 {
    placed.frame.meters.first().map_or(0.25, |meter| {
        // In 6/8 three quavers are felt as one beat, and in 6/16 three semiquavers.
        let threes = meter.beat >= 8 && meter.groups.iter().all(|n| n % 3 == 0);
        f64::from(if threes { 3 } else { 1 }) / f64::from(meter.beat.max(1))
    })
}

fn check(
    score: &Score,
    placed: &Placed,
    block: usize,
    tracks: &[Arc<Track>],
    settings: &Settings,
    checked: &mut u64,
) -> Vec<Shared> {
    let parts = parts(score, tracks, block);
    let mut found = Vec::new();
    if parts.len() < 2 && parts.first().is_none_or(|part| part.person.seats < 2) {
        return found;
    }
    *checked += 1;
    let given = parts.first().and_then(|part| {
        tracks.get(usize::from(part.player))?.blocks.get(block)?.as_ref().map(|checked| checked.given())
    });
    let moments = Moments::of(&parts);
    let together = Together {
        parts: &parts,
        moments: &moments,
        key: placed.frame.key,
        basis: score.head.basis,
        lengths: &placed.read.lengths,
        beat: beat(placed),
        whole_seconds: given.and_then(|g| g.tempo).and_then(super::super::report::whole_seconds),
        settings,
    };
    for rule in RULES {
        if let Check::Block(check) = rule.check {
            check(&together, &mut SharedFound { rule: rule.name, out: &mut found });
        }
    }
    found
}

/// Everybody who has a row in a block.
pub(super) fn parts<'a>(score: &'a Score, tracks: &'a [Arc<Track>], block: usize) -> Vec<Part<'a>> {
    let all = score.head.players.iter().zip(tracks).zip(0u16..);
    let part = |((person, track), player): ((&'a Arc<_>, &'a Arc<Track>), u16)| {
        let checked = track.blocks.get(block)?.as_ref()?;
        Some(Part { player, person, notes: &checked.notes })
    };
    all.filter_map(part).filter(|part| !part.notes.is_empty()).collect()
}
