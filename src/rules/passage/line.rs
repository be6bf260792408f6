//! A person's line heard from beginning to end, or after an edit only where it sounds another way.

use super::super::ensemble::Trace;
use super::super::registry::RULES;
use super::super::report::{Checked, Track};
use super::super::rule::Check;
use super::super::settings::Settings;
use super::{Carried, Passage, PassageFinding, PlannedStep, Told, Tools};
use crate::brass::plan::{Plan, Planner};
use crate::music::Key;
use crate::score::clock::{BlockClock, Clock};
use crate::score::event::{Event, Reading, events};
use crate::score::order::Visit;
use crate::score::passage::{Sound, silent_visit, sounds};
use crate::score::player::Player;
use crate::score::score::Score;
use crate::score::state::PlayedState;
use crate::score::turn::{Turn, turns};
use std::sync::Arc;

/// What was heard of one person.
#[derive(Debug, Clone)]
pub struct Line {
    /// In the order of playing.
    pub(super) visits: Vec<Arc<Heard>>,
    /// Visits in which something was told, `visits.len()` for the end.
    pub(super) hot: Vec<u32>,
    pub(super) end: Vec<PassageFinding>,
    /// Visits in which something was left behind, `visits.len()` for the end.
    traced: Vec<u32>,
    end_traces: Vec<Trace>,
    tools: Arc<Tools>,
}

/// A visit heard.
#[derive(Debug)]
pub(super) struct Heard {
    given: Given,
    leaving: Carried,
    pub findings: Vec<PassageFinding>,
    traces: Vec<Trace>,
}

/// All that a visit depends on besides the state it is reached with.
#[derive(Debug, Clone)]
struct Given {
    checked: Option<Arc<Checked>>,
    clock: Arc<BlockClock>,
    played: PlayedState,
    /// True if the silent bars before the block are played now.
    first: bool,
    bars: u32,
    /// Silent bars before the block.
    gap_bars: u32,
}

/// The same, borrowed: most visits are only compared with what they were.
#[derive(Clone, Copy)]
struct GivenHere<'a> {
    checked: Option<&'a Arc<Checked>>,
    clock: &'a Arc<BlockClock>,
    played: PlayedState,
    first: bool,
    bars: u32,
    gap_bars: u32,
}

impl GivenHere<'_> {
    fn same(&self, other: &Given) -> bool {
        let checked = match (self.checked, &other.checked) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        checked
            && Arc::ptr_eq(self.clock, &other.clock)
            && self.played == other.played
            && self.first == other.first
            && (self.bars, self.gap_bars) == (other.bars, other.gap_bars)
    }

    fn kept(self) -> Given {
        let GivenHere { checked, clock, played, first, bars, gap_bars } = self;
        Given { checked: checked.map(Arc::clone), clock: Arc::clone(clock), played, first, bars, gap_bars }
    }
}

impl Line {
    /// Plans for one of the player's instruments.
    pub(in crate::rules) fn planner(&self, instrument: u8) -> Option<&Planner> {
        self.tools.planner(instrument)
    }

    /// The findings of a visit.
    pub(super) fn findings(&self, visit: usize) -> &[PassageFinding] {
        self.visits.get(visit).map_or(&*self.end, |heard| &*heard.findings)
    }

    /// Visits in which something was left behind, the number of visits for the end.
    pub(in crate::rules) fn traced(&self) -> &[u32] {
        &self.traced
    }

    /// What was left behind in a visit.
    pub(in crate::rules) fn traces(&self, visit: usize) -> &[Trace] {
        self.visits.get(visit).map_or(&*self.end_traces, |heard| &*heard.traces)
    }

    /// True if a visit of this line was taken over from a visit of another.
    pub(in crate::rules) fn same_visit(&self, visit: usize, other: &Line, from: usize) -> bool {
        match (self.visits.get(visit), other.visits.get(from)) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            _ => false,
        }
    }

    /// The state that a visit is reached with; `None` at the beginning.
    pub(in crate::rules) fn entering(&self, visit: usize) -> Option<&Carried> {
        Some(&self.visits.get(visit.checked_sub(1)?)?.leaving)
    }
}

/// What lines are heard with.
pub(in crate::rules) struct Hearing<'a> {
    pub score: &'a Score,
    pub clock: &'a Clock,
    pub settings: &'a Settings,
    /// For each visit of the order, which it was before the edit.
    pub came_from: &'a dyn Fn(usize) -> Option<usize>,
    /// Visits heard since the beginning.
    pub heard: &'a mut u64,
}

/// Hears one player's line; `old` is the line before the edit, of the same player.
pub(in crate::rules) fn hear(
    hearing: &mut Hearing<'_>,
    player: &Player,
    track: &Track,
    old: Option<&Line>,
) -> Line {
    let tools =
        old.map_or_else(|| Arc::new(Tools::of(player, hearing.settings)), |old| Arc::clone(&old.tools));
    let mut ear = Ear::new(hearing.score, player, hearing.settings, &tools);
    let visits = &hearing.score.order.visits;
    let mut line = Line {
        visits: Vec::with_capacity(visits.len()),
        hot: Vec::new(),
        end: Vec::new(),
        traced: Vec::new(),
        end_traces: Vec::new(),
        tools: Arc::clone(&tools),
    };
    let beginning = Carried::default();
    let mut played = PlayedState::default();
    for (i, visit) in visits.iter().enumerate() {
        let Some(clock) = hearing.clock.of_block(visit.block as usize) else { continue };
        let checked = track.blocks.get(visit.block as usize).and_then(Option::as_ref);
        let frame = hearing.score.blocks.get(visit.block as usize).map(|placed| &placed.frame);
        let (bars, gap_bars) = frame.map_or((0, 0), |f| (f.bars, f.gap));
        let first = visit.pass == 1;
        let arriving = played;
        if let Some(checked) = checked {
            played = checked.pair.played.after(played);
        }
        let given = GivenHere { checked, clock, played: arriving, first, bars, gap_bars };
        let last = line.visits.last();
        let same = (hearing.came_from)(i).and_then(|from| {
            let old = old?;
            let heard = old.visits.get(from).filter(|heard| given.same(&heard.given))?;
            let before = from.checked_sub(1).and_then(|b| old.visits.get(b));
            let in_step = match (last, before) {
                (Some(a), Some(b)) => Arc::ptr_eq(a, b) || a.leaving == b.leaving,
                (a, b) => a.map_or(&beginning, |a| &a.leaving) == b.map_or(&beginning, |b| &b.leaving),
            };
            in_step.then(|| Arc::clone(heard))
        });
        let heard = same.unwrap_or_else(|| {
            *hearing.heard += 1;
            let carried = last.map_or(&beginning, |last| &last.leaving).clone();
            Arc::new(ear.hear(visit, given.kept(), carried))
        });
        if !heard.findings.is_empty() {
            line.hot.push(i as u32);
        }
        if !heard.traces.is_empty() {
            line.traced.push(i as u32);
        }
        line.visits.push(heard);
    }
    let mut carried = line.visits.last().map_or(&beginning, |last| &last.leaving).clone();
    ear.end(&mut carried, &mut |passage, carried| {
        ask_all(passage, carried, &mut line.end, &mut line.end_traces);
    });
    if !line.end_traces.is_empty() {
        line.traced.push(line.visits.len() as u32);
    }
    if !line.end.is_empty() {
        line.hot.push(line.visits.len() as u32);
    }
    line
}

struct Ear<'a> {
    player: &'a Player,
    score: &'a Score,
    settings: &'a Settings,
    tools: &'a Tools,
    events: Vec<Event>,
    sounds: Vec<Sound>,
    steps: Vec<PlannedStep>,
    turns: Vec<Turn>,
    plan: Plan,
    /// Steps are wanted.
    plans: bool,
}

/// What a visit stands in.
#[derive(Debug, Clone, Copy)]
struct Around {
    key: Option<Key>,
    after_silence: bool,
    ends: bool,
    over: bool,
    arriving: PlayedState,
    first_arriving: PlayedState,
    first_time: bool,
    bars: u32,
    gap_bars: u32,
}

impl<'a> Ear<'a> {
    fn new(score: &'a Score, player: &'a Player, settings: &'a Settings, tools: &'a Tools) -> Ear<'a> {
        Ear {
            player,
            score,
            settings,
            tools,
            events: Vec::new(),
            sounds: Vec::new(),
            steps: Vec::new(),
            turns: Vec::new(),
            plan: Plan::default(),
            plans: true,
        }
    }

    fn hear(&mut self, visit: &Visit, given: Given, mut carried: Carried) -> Heard {
        let (mut findings, mut traces) = (Vec::new(), Vec::new());
        self.listen(visit, &given, &mut carried, &mut |passage, carried| {
            ask_all(passage, carried, &mut findings, &mut traces);
        });
        Heard { given, leaving: carried, findings, traces }
    }

    /// Hears a visit. Where its time is unknown, what was open is over.
    fn listen(
        &mut self,
        visit: &Visit,
        given: &Given,
        carried: &mut Carried,
        told: &mut dyn FnMut(&Passage<'_>, &mut Carried),
    ) {
        self.events.clear();
        self.sounds.clear();
        self.turns.clear();
        let gap = if given.first { given.clock.gap_seconds } else { Some(0.0) };
        let mut key = None;
        let timed = match &given.checked {
            Some(checked) => {
                key = checked.given().key;
                self.tell_events(visit, checked, given.played);
                self.tell_turns(visit, checked, given, gap);
                sounds(&self.events, &given.clock, gap, &mut carried.line, &mut self.sounds)
            }
            None => silent_visit(&given.clock, gap, &mut carried.line, &mut self.sounds),
        };
        let frame = self.score.blocks.get(visit.block as usize).map(|placed| &placed.frame);
        let silent = given.checked.is_none() && frame.is_some_and(|f| f.bars > 0);
        let after_silence = silent || given.first && frame.is_some_and(|f| f.gap > 0);
        if !timed {
            self.sounds.clear();
        }
        let gap_bars = if given.first { given.gap_bars } else { 0 };
        let around = Around {
            key,
            after_silence,
            ends: !timed,
            over: false,
            arriving: given.played,
            first_arriving: given.checked.as_ref().map_or(given.played, |checked| checked.given().played),
            first_time: given.first,
            bars: given.bars,
            gap_bars,
        };
        self.tell(around, carried, told);
        if timed {
            carried.age();
        } else {
            *carried = std::mem::take(carried).without_time();
        }
    }

    fn tell_events(&mut self, visit: &Visit, checked: &Checked, played: PlayedState) {
        let Some(placed) = self.score.blocks.get(visit.block as usize) else { return };
        let reading = Reading {
            player: self.player,
            basis: self.score.head.basis,
            key: checked.given().key,
            lengths: &placed.read.lengths,
        };
        let written = checked.given().written;
        events(&checked.pair, 0, written, played, &reading, &mut self.events, &mut Vec::new());
    }

    fn tell_turns(&mut self, visit: &Visit, checked: &Checked, given: &Given, gap_seconds: Option<f64>) {
        let Some(placed) = self.score.blocks.get(visit.block as usize) else { return };
        turns(&checked.pair, given.played, &placed.read.lengths, &mut self.turns);
        for turn in &mut self.turns {
            let place = given.clock.place(turn.bar, turn.onset);
            let in_block = place.and_then(|place| given.clock.between(0.0, place));
            turn.seconds = gap_seconds.zip(in_block).map(|(gap, seconds)| gap + seconds);
        }
    }

    /// What is still open is over.
    fn end(&mut self, carried: &mut Carried, told: &mut dyn FnMut(&Passage<'_>, &mut Carried)) {
        self.events.clear();
        self.sounds.clear();
        self.turns.clear();
        let nothing = PlayedState::default();
        let around = Around {
            key: None,
            after_silence: false,
            ends: true,
            over: true,
            arriving: nothing,
            first_arriving: nothing,
            first_time: true,
            bars: 0,
            gap_bars: 0,
        };
        self.tell(around, carried, told);
    }

    fn tell(
        &mut self,
        around: Around,
        carried: &mut Carried,
        told: &mut dyn FnMut(&Passage<'_>, &mut Carried),
    ) {
        self.steps.clear();
        let mut passage = Passage {
            player: self.player,
            sounds: &self.sounds,
            events: &self.events,
            steps: &[],
            turns: &self.turns,
            arriving: around.arriving,
            first_arriving: around.first_arriving,
            first_time: around.first_time,
            bars: around.bars,
            gap_bars: around.gap_bars,
            key: around.key,
            basis: self.score.head.basis,
            after_silence: around.after_silence,
            ends: around.ends,
            over: around.over,
            tools: self.tools,
            settings: self.settings,
        };
        if self.plans {
            carried.plan.hear(&passage, &mut self.plan, &mut self.steps);
        }
        passage.steps = &self.steps;
        told(&passage, carried);
    }
}

fn ask_all(
    passage: &Passage<'_>,
    carried: &mut Carried,
    findings: &mut Vec<PassageFinding>,
    traces: &mut Vec<Trace>,
) {
    for rule in RULES {
        if let Check::Passage(check) | Check::Both(_, check) | Check::Together { alone: check, .. } =
            rule.check
        {
            check(passage, carried, &mut Told { rule: rule.name, out: findings, left: traces });
        }
    }
}

/// The same from the beginning without the steps of the plan, which take most of the time.
pub(in crate::rules) fn listen_to_sounds(
    score: &Score,
    player: usize,
    line: &Line,
    settings: &Settings,
    told: &mut dyn FnMut(usize, &Passage<'_>),
) {
    let Some(person) = score.head.players.get(player) else { return };
    let mut ear = Ear { plans: false, ..Ear::new(score, person, settings, &line.tools) };
    let mut carried = Carried::default();
    for (i, (heard, visit)) in line.visits.iter().zip(&score.order.visits).enumerate() {
        ear.listen(visit, &heard.given, &mut carried, &mut |passage, _| told(i, passage));
    }
}

/// Plays a person's line again: every visit in the order of playing from this one on, with its index in that
/// order, as the rules heard it, and at last the end, whose index is the number of visits. It goes on while the
/// answer is true.
pub(in crate::rules) fn listen(
    score: &Score,
    player: usize,
    line: &Line,
    settings: &Settings,
    from: usize,
    told: &mut dyn FnMut(usize, &Passage<'_>) -> bool,
) {
    let Some(person) = score.head.players.get(player) else { return };
    let mut ear = Ear::new(score, person, settings, &line.tools);
    let before = from.checked_sub(1).and_then(|i| line.visits.get(i));
    let mut carried = before.map(|heard| heard.leaving.clone()).unwrap_or_default();
    for (i, (heard, visit)) in line.visits.iter().zip(&score.order.visits).enumerate().skip(from) {
        let mut on = true;
        ear.listen(visit, &heard.given, &mut carried, &mut |passage, _| on = told(i, passage));
        if !on {
            return;
        }
    }
    ear.end(&mut carried, &mut |passage, _| {
        told(line.visits.len(), passage);
    });
}
