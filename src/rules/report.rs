//! All that is found in a score, brought up to date after an edit.
//!
//! A player's walk through the blocks is kept; where the pair, the key, the tempo and the state handed
//! over are those of the walk before, its findings are taken over.

use super::collect;
use super::ensemble::{self, Before, Blocks, Note, State, Visits};
use super::finding::Finding;
use super::lie::{self, Lie};
use super::passage::{self, Hearing, Line, Passage};
use super::registry::RULES;
use super::rule::{Check, Found, LocalFinding, View};
use super::settings::Settings;
use crate::brass::plan::Planner;
use crate::music::Key;
use crate::notation::tree::{Instruction, LineTree, SettingKind, TempoMark, What};
use crate::notation::{Fault, Span};
use crate::score::clock::Clock;
use crate::score::event::{Event, Reading, events};
use crate::score::pair::Pair;
use crate::score::player::Player;
use crate::score::score::{Placed, Score};
use crate::score::state::{PlayedChange, PlayedState, WrittenState};
use crate::score::turn::{Turn, turns};
use std::collections::HashMap;
use std::sync::Arc;

/// What one player's walk found.
#[derive(Debug, Clone, Default)]
pub struct Track {
    /// By block of the score; `None` where the player has no row.
    pub blocks: Vec<Option<Arc<Checked>>>,
    /// Blocks in which something was found.
    pub hot: Vec<u32>,
}

/// A pair checked.
#[derive(Debug, Clone)]
pub struct Checked {
    pub pair: Arc<Pair>,
    given: Given,
    left: WrittenState,
    pub findings: Vec<LocalFinding>,
    /// By line below the header.
    pub faults: Vec<(u32, Fault)>,
    /// What the others hear of it as it is first played.
    pub notes: Box<[Note]>,
}

/// All that a pair's findings depend on besides the pair.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    pub key: Option<Key>,
    pub key_named: Option<Span>,
    pub tempo: Option<TempoMark>,
    pub written: WrittenState,
    /// In hand when the block is first played.
    pub played: PlayedState,
    /// Where a later pass finds another state: the pass and the state.
    pub later: Vec<(u16, PlayedState)>,
}

impl Given {
    fn arrives(&self, written: WrittenState, first: PlayedState, later: &[(u16, PlayedState)]) -> bool {
        self.written == written && self.played == first && self.later == later
    }
}

impl Track {
    fn push(&mut self, block: usize, checked: Arc<Checked>) {
        if !checked.findings.is_empty() || !checked.faults.is_empty() {
            self.hot.push(block as u32);
        }
        self.blocks.push(Some(checked));
    }
}

impl Checked {
    /// The state the block was checked with.
    pub fn given(&self) -> &Given {
        &self.given
    }
}

/// All findings of a score.
#[derive(Debug, Clone, Default)]
pub struct Report {
    pub tracks: Vec<Arc<Track>>,
    /// By player: what was heard in the order and time of playing.
    pub lines: Vec<Arc<Line>>,
    /// What was found of several players together: in blocks, and of their lines.
    pub blocks: Arc<Blocks>,
    pub visits: Arc<Visits>,
    /// When everything is played.
    pub clock: Arc<Clock>,
    /// Pairs checked since the beginning.
    pub checked: u64,
    /// Visits heard since the beginning.
    pub heard: u64,
    /// Blocks checked with all their players, and visits looked at with all lines, since the beginning.
    pub together: u64,
    settings: Arc<Settings>,
}

impl Report {
    /// Checks a score; `before` is the report on the score it was made from by an edit.
    pub fn check(score: &Score, before: Option<(&Report, &Score)>, settings: &Arc<Settings>) -> Report {
        let before = before.filter(|(report, _)| *report.settings == **settings);
        let mut checked = before.map_or(0, |(report, _)| report.checked);
        let same_shape = before.is_some_and(|(_, old)| old.blocks.len() == score.blocks.len());
        let changed: Vec<usize> = match before {
            Some((_, old)) if same_shape => changed_blocks(score, old),
            _ => (0..score.blocks.len()).collect(),
        };
        let same_order = before.is_some_and(|(_, old)| Arc::ptr_eq(&old.order, &score.order));
        let clock = Arc::new(Clock::after(score, before.map(|(report, old)| (&*report.clock, old))));
        let same_time = before.is_some_and(|(report, _)| clock.same(&report.clock));
        let mut heard = before.map_or(0, |(report, _)| report.heard);
        let visits = VisitsBefore::of(score, before.map(|(_, old)| old));
        let came_from = |visit: usize| visits.of_visit(visit);
        let mut hearing =
            Hearing { score, clock: &clock, settings, came_from: &came_from, heard: &mut heard };
        let mut tracks = Vec::with_capacity(score.head.players.len());
        let mut lines = Vec::with_capacity(score.head.players.len());
        for (index, player) in score.head.players.iter().enumerate() {
            let index = index as u16;
            let old = before.and_then(|(report, old)| {
                let same = old.head.players.get(usize::from(index))?;
                (Arc::ptr_eq(same, player) && old.head.basis == score.head.basis).then_some(())?;
                let (track, line) =
                    (report.tracks.get(usize::from(index))?, report.lines.get(usize::from(index))?);
                Some((Arc::clone(track), Arc::clone(line), old))
            });
            let untouched = same_shape
                && same_order
                && old.as_ref().is_some_and(|(_, _, old)| {
                    changed.iter().all(|i| same_for(score.blocks.get(*i), old.blocks.get(*i), index))
                });
            let track = match &old {
                Some((track, _, _)) if untouched => Arc::clone(track),
                old => {
                    let old = old.as_ref().map(|(track, _, old)| (&**track, *old));
                    let mut walk = Walk { score, player, index, settings, old, checked: &mut checked };
                    Arc::new(walk.track())
                }
            };
            lines.push(match &old {
                Some((_, line, _)) if untouched && same_time => Arc::clone(line),
                old => {
                    let old = old.as_ref().map(|(_, line, _)| &**line);
                    Arc::new(passage::hear(&mut hearing, player, &track, old))
                }
            });
            tracks.push(track);
        }
        let mut together = before.map_or(0, |(report, _)| report.together);
        let old =
            before.map(|(report, old)| Before { blocks: &report.blocks, tracks: &report.tracks, score: old });
        let blocks = Arc::new(Blocks::check(score, &tracks, old, settings, &mut together));
        let old = before.map(|(report, old)| {
            (&*report.visits, State { score: old, tracks: &report.tracks, lines: &report.lines })
        });
        let now = State { score, tracks: &tracks, lines: &lines };
        let visits = Arc::new(Visits::look(now, old, &came_from, settings, &mut together));
        let settings = Arc::clone(settings);
        Report { tracks, lines, blocks, visits, clock, checked, heard, together, settings }
    }

    /// What a player does in a block, as the block is first played: for a part of several seats, the
    /// first seat. Both are indices into the score.
    pub fn events(&self, score: &Score, block: usize, player: usize) -> Vec<Event> {
        self.events_of_seat(score, block, player, 0)
    }

    /// The same for one seat, from 0, of a part that several read.
    pub fn events_of_seat(&self, score: &Score, block: usize, player: usize, seat: u32) -> Vec<Event> {
        let mut out = Vec::new();
        let checked = self.tracks.get(player).and_then(|t| t.blocks.get(block)).and_then(|c| c.as_ref());
        if let (Some(checked), Some(placed), Some(of)) =
            (checked, score.blocks.get(block), score.head.players.get(player))
        {
            let reading = Reading {
                player: of,
                basis: score.head.basis,
                key: checked.given.key,
                lengths: &placed.read.lengths,
            };
            let Given { written, played, .. } = checked.given;
            events(&checked.pair, seat, written, played, &reading, &mut out, &mut Vec::new());
        }
        out
    }

    /// Plays a person's whole line: calls back with every visit of the order of play, as passage rules hear
    /// it (sounds in seconds, planned steps), and at last with the end. Steps may stand in visits before.
    pub fn listen(&self, score: &Score, player: usize, told: &mut dyn FnMut(usize, &Passage<'_>)) {
        self.listen_from(score, player, 0, &mut |visit, passage| {
            told(visit, passage);
            true
        });
    }

    /// The same from one visit on, while the answer is true.
    pub fn listen_from(
        &self,
        score: &Score,
        player: usize,
        visit: usize,
        told: &mut dyn FnMut(usize, &Passage<'_>) -> bool,
    ) {
        if let Some(line) = self.lines.get(player) {
            passage::listen(score, player, line, &self.settings, visit, told);
        }
    }

    /// Plays a person's whole line without the planned steps, which take most of the time, and without a word
    /// at the end.
    pub fn listen_to_sounds(&self, score: &Score, player: usize, told: &mut dyn FnMut(usize, &Passage<'_>)) {
        if let Some(line) = self.lines.get(player) {
            passage::listen_to_sounds(score, player, line, &self.settings, told);
        }
    }

    /// Plans what slide or fingers of one of a player's instruments do, with the limits in force.
    pub fn planner(&self, player: usize, instrument: u8) -> Option<&Planner> {
        self.lines.get(player)?.planner(instrument)
    }

    /// Everything found, in the order of the text.
    pub fn findings(&self, score: &Score) -> Vec<Finding> {
        collect::findings(self, score, &self.settings)
    }

    /// The same, each player's own: what several find in one place is told for each of them.
    pub fn findings_apart(&self, score: &Score) -> Vec<Finding> {
        collect::apart(self, score, &self.settings)
    }
}

/// Which visit of the order before the edit a visit was.
struct VisitsBefore {
    by_block: HashMap<(u32, u16), usize>,
    now: Vec<Option<(u32, u16)>>,
    /// Nothing has moved: every visit is the one it was.
    still: bool,
}

impl VisitsBefore {
    fn of(score: &Score, before: Option<&Score>) -> VisitsBefore {
        let mut visits = VisitsBefore { by_block: HashMap::new(), now: Vec::new(), still: false };
        let Some(old) = before else { return visits };
        visits.still = Arc::ptr_eq(&old.order, &score.order)
            && (0..).zip(&score.blocks).all(|(i, placed)| placed.came_from == Some(i));
        if !visits.still {
            visits.by_block =
                (0..).zip(&old.order.visits).map(|(i, visit)| ((visit.block, visit.pass), i)).collect();
            let from = |block: u32| score.blocks.get(block as usize)?.came_from;
            visits.now = score.order.visits.iter().map(|v| Some((from(v.block)?, v.pass))).collect();
        }
        visits
    }

    fn of_visit(&self, visit: usize) -> Option<usize> {
        if self.still {
            return Some(visit);
        }
        self.by_block.get(&(*self.now.get(visit)?)?).copied()
    }
}

impl Report {
    /// What is found in some blocks and outside all blocks; see [`Desk::findings_of`](super::Desk::findings_of).
    pub fn findings_of(&self, score: &Score, blocks: &[usize]) -> Vec<Finding> {
        collect::of_blocks(self, score, &self.settings, blocks)
    }

    /// The blocks in which this report may find something else than another one on as many blocks.
    pub fn differing(&self, score: &Score, other: &Report, before: &Score) -> Vec<usize> {
        let same_checks = |block: usize| {
            let same = |(a, b): (&Arc<Track>, &Arc<Track>)| match (a.blocks.get(block), b.blocks.get(block)) {
                (Some(Some(a)), Some(Some(b))) => Arc::ptr_eq(a, b),
                (a, b) => a.is_some_and(Option::is_some) == b.is_some_and(Option::is_some),
            };
            self.tracks.len() == other.tracks.len() && self.tracks.iter().zip(&other.tracks).all(same)
        };
        let same_text = |block: usize| match (score.blocks.get(block), before.blocks.get(block)) {
            (Some(a), Some(b)) => Arc::ptr_eq(&a.standing, &b.standing),
            _ => false,
        };
        let sounds_else = self.passages_differing(score, other, before);
        let (whole, whole_before) =
            (collect::of_score(score, &self.settings), collect::of_score(before, &other.settings));
        let same_whole = |block: usize| {
            let of = |all: &[(u32, LocalFinding)]| -> Vec<LocalFinding> {
                all.iter().filter(|(at, _)| *at as usize == block).map(|(_, found)| found.clone()).collect()
            };
            of(&whole) == of(&whole_before)
        };
        let same_together = |block: usize| self.blocks.of(block) == other.blocks.of(block);
        let same = |block: &usize| {
            same_text(*block)
                && same_checks(*block)
                && same_together(*block)
                && same_whole(*block)
                && sounds_else.get(*block).is_none_or(|other| !other)
        };
        (0..score.blocks.len()).filter(|block| !same(block)).collect()
    }

    /// The same for what is found in passages, which may begin in one block and end in another.
    fn passages_differing(&self, score: &Score, other: &Report, before: &Score) -> Vec<bool> {
        let mut differ = vec![false; score.blocks.len()];
        let changed = self.lines.iter().zip(&other.lines).filter(|(a, b)| !Arc::ptr_eq(a, b));
        let all = |_: usize| true;
        let same_order = Arc::ptr_eq(&score.order, &before.order);
        if same_order {
            for block in changed.clone().flat_map(|(now, then)| passage::differing(now, then, score)) {
                if let Some(differs) = differ.get_mut(block as usize) {
                    *differs = true;
                }
            }
        }
        let lines = changed
            .filter(|_| !same_order)
            .map(|(now, then)| (passage::tell(now, score, &all), passage::tell(then, before, &all)));
        let together = (
            passage::tell_shared(&self.visits, score, &all),
            passage::tell_shared(&other.visits, before, &all),
        );
        for (now, then) in lines.chain([together]) {
            let place = |told: &passage::InBlock| {
                let finding = &told.finding;
                (told.block, finding.line, finding.span, finding.rule, told.players.clone())
            };
            let mut before: HashMap<_, _> = then.iter().map(|told| (place(told), &told.finding)).collect();
            let news = now.iter().filter(|told| before.remove(&place(told)) != Some(&told.finding));
            let news: Vec<u32> = news.map(|told| told.block).collect();
            for block in news.into_iter().chain(before.into_keys().map(|(block, ..)| block)) {
                if let Some(differs) = differ.get_mut(block as usize) {
                    *differs = true;
                }
            }
        }
        differ
    }

    /// True if a player has a finding of a rule at this place of a block; the line counts from its header.
    pub fn has(&self, score: &Score, player: usize, block: usize, rule: &str, at: (u32, Span)) -> bool {
        let here = |f: &LocalFinding| f.rule == rule && (f.line, f.span) == at;
        let checked = self.tracks.get(player).and_then(|t| t.blocks.get(block)?.as_ref());
        checked.is_some_and(|c| c.findings.iter().any(here))
            || self.lines.get(player).is_some_and(|line| {
                passage::tell(line, score, &|wanted| wanted == block).iter().any(|told| here(&told.finding))
            })
            || self.has_together(score, player as u16, block, &here)
    }

    fn has_together(
        &self,
        score: &Score,
        player: u16,
        block: usize,
        here: &dyn Fn(&LocalFinding) -> bool,
    ) -> bool {
        self.blocks.of(block).iter().any(|f| f.players.first() == Some(&player) && here(&f.finding))
            || passage::tell_shared(&self.visits, score, &|wanted| wanted == block)
                .iter()
                .any(|told| told.players.first() == Some(&player) && here(&told.finding))
    }

    /// What one player's walk would find if the player were this one, whose instruments read as before.
    pub fn track_as(&self, score: &Score, index: usize, player: &Arc<Player>) -> Track {
        let mut checked = 0;
        let index = index as u16;
        Walk { score, player, index, settings: &self.settings, old: None, checked: &mut checked }.track()
    }
}

/// Blocks that are not the same as before in every respect a check depends on.
fn changed_blocks(score: &Score, old: &Score) -> Vec<usize> {
    let same = |a: &Placed, b: &Placed| {
        if Arc::ptr_eq(&a.standing, &b.standing) {
            return true;
        }
        Arc::ptr_eq(&a.read, &b.read)
            && a.frame.key == b.frame.key
            && a.frame.tempo == b.frame.tempo
            && a.frame.gap == b.frame.gap
    };
    score
        .blocks
        .iter()
        .zip(&old.blocks)
        .enumerate()
        .filter(|(_, (a, b))| !same(a, b))
        .map(|(i, _)| i)
        .collect()
}

/// True if a changed block did not change for this player.
fn same_for(new: Option<&Placed>, old: Option<&Placed>, player: u16) -> bool {
    let (Some(new), Some(old)) = (new, old) else { return false };
    let pairs = match (new.read.pair(player), old.read.pair(player)) {
        (Some(a), Some(b)) => Arc::ptr_eq(a, b),
        (None, None) => true,
        _ => false,
    };
    pairs
        && new.frame.key == old.frame.key
        && new.frame.tempo == old.frame.tempo
        && new.frame.gap == old.frame.gap
        && new.read.block.bars == old.read.block.bars
        && key_named(new) == key_named(old)
}

fn key_named(placed: &Placed) -> Option<Span> {
    let header = placed.read.block.text.header()?;
    header.settings.iter().find(|s| matches!(s.what, SettingKind::Key(Some(_)))).map(|s| s.span)
}

struct Walk<'a> {
    score: &'a Score,
    player: &'a Arc<Player>,
    index: u16,
    settings: &'a Settings,
    /// The walk of the same player before the edit, and the score it went through.
    old: Option<(&'a Track, &'a Score)>,
    checked: &'a mut u64,
}

impl Walk<'_> {
    fn track(&mut self) -> Track {
        let played = self.played_states();
        let mut track = Track { blocks: Vec::with_capacity(self.score.blocks.len()), hot: Vec::new() };
        let mut written = WrittenState::default();
        let mut states = played.into_iter();
        for (i, placed) in self.score.blocks.iter().enumerate() {
            let (first, later) = states.next().unwrap_or_default();
            if placed.frame.gap > 0 {
                written.held = 0;
            }
            // Of a block in which nothing changed, nothing is read but what arrives there.
            let still = self.still(placed).and_then(Option::as_ref);
            let still = still.filter(|old| old.given.arrives(written, first, &later)).map(Arc::clone);
            if let Some(checked) = still {
                written = checked.left;
                track.push(i, checked);
                continue;
            }
            let Some(pair) = placed.read.pair(self.index) else {
                if placed.frame.bars > 0 {
                    written.held = 0;
                }
                track.blocks.push(None);
                continue;
            };
            let given = Given {
                key: placed.frame.key,
                key_named: key_named(placed),
                tempo: placed.frame.tempo,
                written,
                played: first,
                later,
            };
            let same = placed
                .came_from
                .and_then(|from| self.old?.0.blocks.get(from as usize)?.as_ref())
                .filter(|old| Arc::ptr_eq(&old.pair, pair) && old.given == given);
            let checked = match same {
                Some(old) => Arc::clone(old),
                None => Arc::new(self.check(placed, pair, given)),
            };
            written = checked.left;
            track.push(i, checked);
        }
        track
    }

    /// What was found in a block that is the same in every respect; `Some(None)` where the player has no row.
    fn still(&self, placed: &Placed) -> Option<&Option<Arc<Checked>>> {
        let (track, score) = self.old?;
        let from = placed.came_from? as usize;
        let same = score.blocks.get(from).is_some_and(|old| Arc::ptr_eq(&old.standing, &placed.standing));
        track.blocks.get(from).filter(|_| same)
    }

    /// What a block does to the state in which it is played.
    fn change(&self, placed: &Placed) -> Option<PlayedChange> {
        let pair = match self.still(placed) {
            Some(old) => &old.as_ref()?.pair,
            None => placed.read.pair(self.index)?,
        };
        Some(pair.played)
    }

    /// For each block, the state at its first visit and at later visits that differ.
    fn played_states(&self) -> Vec<(PlayedState, Vec<(u16, PlayedState)>)> {
        let mut states = vec![(PlayedState::default(), Vec::new()); self.score.blocks.len()];
        let mut visited = vec![false; self.score.blocks.len()];
        let mut now = PlayedState::default();
        for visit in &self.score.order.visits {
            let at = visit.block as usize;
            if let (Some((first, later)), Some(seen)) = (states.get_mut(at), visited.get_mut(at)) {
                if !*seen {
                    *seen = true;
                    *first = now;
                } else if *first != now && later.iter().all(|(_, s)| *s != now) {
                    later.push((visit.pass, now));
                }
            }
            let change = self.score.blocks.get(at).and_then(|b| self.change(b));
            if let Some(change) = change {
                now = change.after(now);
            }
        }
        states
    }

    fn check(&mut self, placed: &Placed, pair: &Arc<Pair>, given: Given) -> Checked {
        *self.checked += 1;
        let mut checked = Checked {
            pair: Arc::clone(pair),
            left: given.written,
            findings: Vec::new(),
            faults: Vec::new(),
            notes: Box::default(),
            given,
        };
        let given = checked.given.clone();
        let mut notes = Vec::new();
        let (findings, faults, left) = self.pass(placed, pair, &given, given.played, &mut notes);
        checked.notes = notes.into();
        checked.findings = findings;
        checked.faults = faults;
        checked.left = left;
        for (pass, played) in &given.later {
            let (more, _, _) = self.pass(placed, pair, &given, *played, &mut Vec::new());
            for mut finding in more {
                let told = |f: &&mut LocalFinding| {
                    f.rule == finding.rule && f.line == finding.line && f.span == finding.span
                };
                let told = checked.findings.iter_mut().find(told);
                if told.as_ref().is_none_or(|f| (f.severity, f.grade) < (finding.severity, finding.grade)) {
                    finding.message = format!("In pass {pass}: {}", finding.message);
                    match told {
                        Some(milder) => *milder = finding,
                        None => checked.findings.push(finding),
                    }
                }
            }
        }
        checked
    }

    fn pass(
        &self,
        placed: &Placed,
        pair: &Pair,
        given: &Given,
        played: PlayedState,
        notes: &mut Vec<Note>,
    ) -> (Vec<LocalFinding>, Vec<(u32, Fault)>, WrittenState) {
        let reading = Reading {
            player: self.player,
            basis: self.score.head.basis,
            key: given.key,
            lengths: &placed.read.lengths,
        };
        let mut findings: Vec<LocalFinding> = Vec::new();
        let mut faults = Vec::new();
        let mut left = given.written;
        let seats = self.player.seats.max(1);
        let differ = seats > 1 && (given.written.solo || seats_part(pair));
        let mut scratch: Vec<Event> = Vec::new();
        let mut lies: Vec<Lie> = Vec::new();
        let mut told: Vec<Turn> = Vec::new();
        turns(pair, played, &placed.read.lengths, &mut told);
        for seat in 0..if differ { seats } else { 1 } {
            scratch.clear();
            let after = events(pair, seat, given.written, played, &reading, &mut scratch, &mut faults);
            left.dynamic = after.dynamic;
            left.swell = after.swell;
            // It is for the first note of the part, whoever plays that.
            if seat == 0 || after.accent.is_none() {
                left.accent = after.accent;
            }
            left.solo = after.solo;
            let those = if differ { 1u64 << seat.min(63) } else { u64::MAX };
            left.held = if after.held { left.held | those } else { left.held & !those };
            let people = if differ { 1 } else { seats };
            ensemble::add(&scratch, &placed.read.lengths, people, notes);
            lies.clear();
            lies.extend(scratch.iter().map(|event| lie::of(self.player, event)));
            let view = View {
                player: self.player,
                events: &scratch,
                lies: &lies,
                all_lie_well: lies.iter().all(|lie| *lie == Lie::Fine),
                basis: self.score.head.basis,
                key: given.key,
                key_named: given.key_named,
                whole_seconds: given.tempo.and_then(whole_seconds),
                settings: self.settings,
                turns: &told,
                arriving: played,
            };
            for rule in RULES {
                let before = findings.len();
                let (Check::Pair(check) | Check::Both(check, _)) = rule.check else { continue };
                check(&view, &mut Found { rule: rule.name, out: &mut findings });
                if seat > 0 {
                    drop_told(&mut findings, before);
                }
            }
        }
        (findings, faults, left)
    }
}

/// Takes out findings of a later seat that an earlier one has in the same place.
fn drop_told(findings: &mut Vec<LocalFinding>, from: usize) {
    let new: Vec<LocalFinding> = findings.drain(from..).collect();
    for finding in new {
        let told =
            |f: &LocalFinding| f.rule == finding.rule && f.line == finding.line && f.span == finding.span;
        if !findings.iter().any(told) {
            findings.push(finding);
        }
    }
}

/// Seconds of a whole note.
pub fn whole_seconds(tempo: TempoMark) -> Option<f64> {
    let beat = tempo.beat.to_f64();
    let per_minute = f64::from(tempo.per_minute) / 100.0;
    (beat > 0.0 && per_minute > 0.0).then(|| 60.0 / per_minute / beat)
}

/// True if seats of one player may play different things here.
fn seats_part(pair: &Pair) -> bool {
    let parts = |w: &What| {
        matches!(
            w,
            What::Chord(_)
                | What::GraceChord(_)
                | What::Play(_)
                | What::Instruction(Instruction::Solo | Instruction::Tutti)
        )
    };
    pair.rows.iter().any(|row| match &row.text.tree {
        LineTree::Row(tree) => tree.items.iter().any(|i| parts(&i.what)),
        _ => false,
    })
}
