//! The lines heard together, visit by visit, wherever one of them has left something behind.
//!
//! Like a line, the ensemble carries a small state from visit to visit. A visit's findings depend on that
//! state, on what the lines were found to be in this visit and on the notes of the visit before. So after an
//! edit only visits are judged again in which a line was heard again, and those after them up to the first
//! that is reached with the state it was reached with before. Visits in which nobody left anything behind are
//! passed over while nothing is carried.

use super::super::breathe_together;
use super::super::passage::{Line, PassageFinding, Spot};
use super::super::registry::RULES;
use super::super::report::Track;
use super::super::rule::Check;
use super::super::settings::Settings;
use super::blocks::parts;
use super::moment::Part;
use super::note::Note;
use super::trace::{Left, Trace};
use crate::music::{Fraction, Key};
use crate::notation::tree::Basis;
use crate::score::score::{Placed, Score};
use std::sync::Arc;

/// What is carried from visit to visit: one field a rule.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Carried {
    pub breathe_together: breathe_together::Open,
}

impl Carried {
    fn age(&mut self) {
        let Carried { breathe_together } = self;
        breathe_together.age();
    }
}

/// One visit of everybody.
pub struct Company<'a> {
    /// Who has notes in it, in the order of the score.
    pub parts: &'a [Part<'a>],
    /// The same of the visit before; empty at the beginning and where silent bars lie between.
    pub before: &'a [Part<'a>],
    /// Of the bars.
    pub lengths: &'a [Fraction],
    pub before_lengths: &'a [Fraction],
    /// Whole notes from the beginning to the end, of this visit and of the one before.
    pub end: f64,
    pub before_end: f64,
    traces: &'a [(u16, &'a Trace)],
    pub score: &'a Score,
    /// Concert key of the block.
    pub key: Option<Key>,
    pub basis: Basis,
    pub settings: &'a Settings,
}

impl<'a> Company<'a> {
    /// What lines left behind for a rule, with the player.
    pub fn left(&self, rule: &'static str) -> impl Iterator<Item = (u16, &'a Left)> {
        self.traces
            .iter()
            .filter(move |(_, trace)| trace.rule == rule)
            .map(|(player, trace)| (*player, &trace.what))
    }

    /// A player in this visit.
    pub fn part(&self, player: u16) -> Option<&'a Part<'a>> {
        self.parts.iter().find(|part| part.player == player)
    }

    /// How many read a player's part.
    pub fn seats(&self, player: u16) -> u32 {
        self.score.head.players.get(usize::from(player)).map_or(1, |p| p.seats.max(1))
    }

    /// Whole notes from the beginning of this visit, or the one before, to a place in the bar of a spot.
    pub fn place(&self, at: Spot, in_bar: Fraction) -> Option<f64> {
        let lengths = match at.back {
            0 => self.lengths,
            1 => self.before_lengths,
            _ => return None,
        };
        Some(lengths.get(..at.bar as usize)?.iter().map(|l| l.to_f64()).sum::<f64>() + in_bar.to_f64())
    }

    /// The others' notes in this visit.
    pub fn others(&self, player: u16) -> impl Iterator<Item = (&'a Part<'a>, &'a Note)> {
        let others = self.parts.iter().filter(move |part| part.player != player);
        others.flat_map(|part| part.notes.iter().map(move |note| (part, note)))
    }
}

/// A passage finding about several players; it belongs to the first of them.
#[derive(Debug, Clone, PartialEq)]
pub struct SharedPassage {
    pub players: Vec<u16>,
    pub finding: PassageFinding,
}

/// Takes the findings of a rule.
pub struct SharedTold<'a> {
    pub rule: &'static str,
    pub out: &'a mut Vec<SharedPassage>,
}

/// What was found of all lines together.
#[derive(Debug, Default)]
pub struct Visits {
    /// Visits that were looked at, by index; the number of visits stands for the end.
    looked: Vec<(u32, Arc<Looked>)>,
}

#[derive(Debug)]
struct Looked {
    leaving: Carried,
    findings: Vec<SharedPassage>,
}

/// The score as it is now, or as it was.
#[derive(Clone, Copy)]
pub(in crate::rules) struct State<'a> {
    pub score: &'a Score,
    pub tracks: &'a [Arc<Track>],
    pub lines: &'a [Arc<Line>],
}

impl State<'_> {
    /// True if nobody sounds another way in a visit than in one before the edit.
    fn same(&self, visit: usize, old: &State<'_>, from: usize) -> bool {
        self.lines.iter().zip(old.lines).all(|(a, b)| Line::same_visit(a, visit, b, from))
    }

    fn parts(&self, visit: usize) -> Vec<Part<'_>> {
        let block = self.score.order.visits.get(visit).map(|v| v.block as usize);
        block.map_or_else(Vec::new, |block| parts(self.score, self.tracks, block))
    }
}

impl Visits {
    /// All findings with the visits in which they were told.
    pub fn findings(&self) -> impl Iterator<Item = (usize, &SharedPassage)> {
        self.looked.iter().flat_map(|(visit, looked)| looked.findings.iter().map(|f| (*visit as usize, f)))
    }

    /// Looks at what has changed; `came_from` says of a visit which it was before the edit.
    pub(in crate::rules) fn look(
        now: State<'_>,
        old: Option<(&Visits, State<'_>)>,
        came_from: &dyn Fn(usize) -> Option<usize>,
        settings: &Settings,
        count: &mut u64,
    ) -> Visits {
        let old = old.filter(|(_, then)| {
            let (a, b) = (&now.score.head.players, &then.score.head.players);
            now.score.head.basis == then.score.head.basis
                && a.len() == b.len()
                && a.iter().zip(b).all(|(a, b)| Arc::ptr_eq(a, b))
        });
        let end = now.score.order.visits.len();
        let mut marked: Vec<u32> = now.lines.iter().flat_map(|line| line.traced()).copied().collect();
        marked.sort_unstable();
        marked.dedup();
        let mut visits = Visits::default();
        let mut carried = Carried::default();
        let nothing = Carried::default();
        let mut next = 0;
        let mut coming = marked.into_iter().peekable();
        while next <= end {
            while coming.next_if(|at| (*at as usize) < next).is_some() {}
            let marked = coming.peek().map(|at| *at as usize);
            if carried == nothing {
                match marked {
                    Some(at) => next = at,
                    None => break,
                }
            }
            let same = old.and_then(|(visits, then)| {
                let from = came_from(next).filter(|_| next < end)?;
                let looked = visits.at(from)?;
                let arriving = from.checked_sub(1).and_then(|before| visits.at(before));
                let in_step = arriving.map_or(&nothing, |before| &before.leaving) == &carried;
                let adjacent = next.checked_sub(1).is_none_or(|before| {
                    came_from(before).is_some_and(|b| b + 1 == from && now.same(before, &then, b))
                });
                let same = in_step && adjacent && (next == 0) == (from == 0) && now.same(next, &then, from);
                same.then(|| Arc::clone(looked))
            });
            let looked = same.unwrap_or_else(|| {
                *count += 1;
                Arc::new(look(&now, next, carried.clone(), settings))
            });
            carried = looked.leaving.clone();
            visits.looked.push((next as u32, looked));
            next += 1;
        }
        visits
    }

    fn at(&self, visit: usize) -> Option<&Arc<Looked>> {
        let at = self.looked.binary_search_by_key(&(visit as u32), |(at, _)| *at).ok()?;
        self.looked.get(at).map(|(_, looked)| looked)
    }
}

fn lengths(placed: Option<&Placed>) -> &[Fraction] {
    placed.map_or(&[], |placed| &placed.read.lengths)
}

/// Whole notes.
fn end(lengths: &[Fraction]) -> f64 {
    lengths.iter().map(|l| l.to_f64()).sum()
}

fn look(now: &State<'_>, visit: usize, mut carried: Carried, settings: &Settings) -> Looked {
    let score = now.score;
    let traces: Vec<(u16, &Trace)> = (0u16..)
        .zip(now.lines)
        .flat_map(|(player, line)| line.traces(visit).iter().map(move |trace| (player, trace)))
        .collect();
    let block = score.order.visits.get(visit);
    let placed = block.and_then(|v| score.blocks.get(v.block as usize));
    let first = block.is_some_and(|v| v.pass == 1);
    let alone = placed.is_some_and(|placed| first && placed.frame.gap > 0);
    let last = visit.checked_sub(1).filter(|_| !alone);
    let placed_before =
        last.and_then(|visit| score.blocks.get(score.order.visits.get(visit)?.block as usize));
    let parts = now.parts(visit);
    let before = last.map_or_else(Vec::new, |before| now.parts(before));
    let company = Company {
        parts: &parts,
        before: &before,
        lengths: lengths(placed),
        before_lengths: lengths(placed_before),
        end: end(lengths(placed)),
        before_end: end(lengths(placed_before)),
        traces: &traces,
        score,
        key: placed.and_then(|placed| placed.frame.key),
        basis: score.head.basis,
        settings,
    };
    let mut findings = Vec::new();
    for rule in RULES {
        if let Check::Together { together, .. } = rule.check {
            together(&company, &mut carried, &mut SharedTold { rule: rule.name, out: &mut findings });
        }
    }
    carried.age();
    Looked { leaving: carried, findings }
}
