//! Who could take a stretch over, the best first.

use super::compare::doubles;
use super::cost::{Cost, OUT_OF_THE_QUESTION, Why};
use super::force::in_hand;
use super::gap::{Gap, LONG_SECONDS, around};
use super::stretch::{Stretch, begins, ends, sounds};
use super::voices::{order, voice};
use crate::brass::body::{Bell, Hands, Voice};
use crate::brass::plan::{Joined, Plan, PlanNote};
use crate::notation::tree::Mark;
use crate::rules::Desk;
use crate::rules::lie::{Lie, lie};
use crate::score::event::{Event, EventKind};
use crate::score::player::{Player, PlayerInstrument};
use crate::score::state::PlayedState;

/// What another player does during a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Plays the very same notes: whoever has the stretch may simply rest.
    Doubles,
    /// Rests.
    Free,
    /// Plays something else: the two could change lines.
    Busy,
}

/// Another player and what taking over would cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Index of the player.
    pub player: usize,
    pub standing: Standing,
    pub cost: Cost,
    /// Silence around it; `None` without a tempo.
    pub gap: Option<Gap>,
}

/// Time in which a player breathes and finds the place, in seconds (estimate).
pub const READY_SECONDS: f64 = 2.0;

/// Points, all estimates.
mod points {
    pub const ABOVE_REACH: u32 = 900;
    pub const BEYOND_USUAL: u32 = 400;
    pub const WEAK: u32 = 300;
    pub const SEMITONE_BEYOND: u32 = 40;
    pub const ABOVE_COMFORT: u32 = 30;
    pub const SEMITONE_ABOVE_COMFORT: u32 = 6;
    pub const SEMITONE_OFF_REGISTER: u32 = 2;
    pub const NO_TIME: u32 = 80;
    pub const MUTE_TOO_SHORT: u32 = 200;
    pub const MUTE: u32 = 10;
    pub const OTHER_INSTRUMENT: u32 = 10;
    pub const OTHER_BORE: u32 = 15;
    pub const OTHER_VOICE: u32 = 20;
    pub const LATE: u32 = 60;
    pub const FAR_TOO_LATE: u32 = 150;
    pub const CROSSED: u32 = 6;
    pub const MOST_CROSSED: u32 = 60;
    pub const LEVEL: u32 = 12;
    pub const BUSY: u32 = 100;
}

/// The other players of the score by what the stretch would cost them; with the same cost, the one who stands
/// nearest in the score first. Players of several seats and players without an instrument are left out.
pub fn rank(desk: &Desk, stretch: &Stretch) -> Vec<Candidate> {
    let Some(task) = Task::of(desk, stretch) else { return Vec::new() };
    let people = desk.score().head.players.iter().enumerate();
    let others = people.filter(|(at, p)| *at != stretch.player && p.seats == 1);
    let mut all: Vec<Candidate> = others.filter_map(|(at, player)| task.candidate(at, player)).collect();
    all.sort_by_key(|c| (rank_key(c), c.player.abs_diff(stretch.player), c.player));
    all
}

/// Possible before impossible, whoever doubles first, then by cost.
fn rank_key(candidate: &Candidate) -> (bool, bool, u32) {
    let doubles = candidate.standing == Standing::Doubles;
    (!candidate.cost.is_possible(), !doubles, candidate.cost.points())
}

/// A stretch with what is needed to weigh it.
struct Task<'a> {
    desk: &'a Desk,
    stretch: &'a Stretch,
    player: &'a Player,
    events: Vec<Event>,
    /// Everybody's notes meanwhile, with the player's index.
    meanwhile: Vec<(usize, Event)>,
    order: Vec<usize>,
}

impl<'a> Task<'a> {
    fn of(desk: &'a Desk, stretch: &'a Stretch) -> Option<Task<'a>> {
        let player = desk.score().head.players.get(stretch.player)?;
        let events = stretch.events(desk);
        if !events.iter().any(|e| e.kind == EventKind::Note) {
            return None;
        }
        let mut meanwhile = Vec::new();
        for at in 0..desk.score().head.players.len() {
            let theirs = desk.report().events(desk.score(), stretch.block, at);
            let sounding = theirs.into_iter().filter(|e| sounds(e) && e.kind != EventKind::Grace);
            let inside = sounding.filter(|e| begins(e) < stretch.to && stretch.from < ends(e));
            meanwhile.extend(inside.map(|e| (at, e)));
        }
        Some(Task { desk, stretch, player, events, meanwhile, order: order(desk) })
    }

    fn notes(&self) -> impl Iterator<Item = &Event> {
        self.events.iter().filter(|e| matches!(e.kind, EventKind::Note | EventKind::Grace))
    }

    fn candidate(&self, at: usize, player: &Player) -> Option<Candidate> {
        let state = in_hand(self.desk, at, self.stretch.block, self.stretch.from);
        let held = player.instrument(state.instrument)?;
        let mut cost = Cost::default();
        let gap = around(self.desk, self.stretch, at);
        let busy = self.meanwhile.iter().any(|(who, _)| *who == at);
        if busy && doubles(self.desk, self.stretch, &self.events, at) {
            cost.add(Why::Busy, 0, "has these notes already");
            return Some(Candidate { player: at, standing: Standing::Doubles, cost, gap });
        }
        self.range(held, &mut cost);
        if busy {
            cost.add(Why::Busy, points::BUSY, "plays something else then");
        } else {
            rest(gap, &mut cost);
        }
        self.mute(held, state, gap, &mut cost);
        self.timbre(held, &mut cost);
        self.path(at, state, &mut cost);
        self.crossing(at, &mut cost);
        let behind = (self.player.level as u32).saturating_sub(player.level as u32);
        if behind > 0 {
            cost.add(Why::Level, points::LEVEL * behind, format!("of {} level", player.level.word()));
        }
        let standing = if busy { Standing::Busy } else { Standing::Free };
        Some(Candidate { player: at, standing, cost, gap })
    }

    fn range(&self, held: &PlayerInstrument, cost: &mut Cost) {
        let limits = &held.limits;
        let mut worst: (u32, String) = (0, String::new());
        let mut take = |points: u32, said: String| {
            if points > worst.0 {
                worst = (points, said);
            }
        };
        for note in self.notes() {
            let midi = note.sounding.midi();
            let beyond = |limit: i32| points::SEMITONE_BEYOND * midi.abs_diff(limit);
            let name = note.sounding;
            match lie(held, midi) {
                Lie::Fine => {}
                Lie::Gap { .. } | Lie::Nowhere { .. } | Lie::OffSeries { .. } => {
                    take(OUT_OF_THE_QUESTION, format!("has no {name} on its tube"));
                }
                Lie::Highest { limit } => {
                    take(points::ABOVE_REACH + beyond(limit), format!("{name} is above its reach"));
                }
                Lie::High { limit } => {
                    take(points::BEYOND_USUAL + beyond(limit), format!("{name} is above its usual top"));
                }
                Lie::Low { limit } => {
                    take(points::BEYOND_USUAL + beyond(limit), format!("{name} is below its range"));
                }
                Lie::Weak => take(points::WEAK, format!("{name} is a weak note of it")),
                Lie::Pedal => take(points::WEAK, format!("{name} is a pedal")),
            }
        }
        let heights: Vec<i32> = self.notes().map(|n| n.sounding.midi()).collect();
        let top = heights.iter().copied().max().unwrap_or(limits.comfortable);
        if worst.0 == 0 && top > limits.comfortable {
            let over = top.abs_diff(limits.comfortable);
            worst = (
                points::ABOVE_COMFORT + points::SEMITONE_ABOVE_COMFORT * over,
                "inside its usual range".to_owned(),
            );
        }
        if worst.0 > 0 {
            return cost.add(Why::Range, worst.0, worst.1);
        }
        // The middle half of what is comfortable costs nothing.
        let mean = heights.iter().sum::<i32>() / heights.len().max(1) as i32;
        let quarter = (limits.comfortable - limits.low) / 4;
        let (low, high) = (limits.low + quarter, limits.comfortable - quarter);
        let off = (low - mean).max(mean - high).max(0).unsigned_abs();
        cost.add(Why::Range, points::SEMITONE_OFF_REGISTER * off, "inside its comfortable range");
    }

    fn mute(&self, held: &PlayerInstrument, state: PlayedState, gap: Option<Gap>, cost: &mut Cost) {
        for note in self.notes() {
            let wanted = note.played.mute;
            let has = wanted.is_none_or(|m| held.instrument.mutes.has(m))
                && wanted.is_none_or(|m| held.mutes.as_ref().is_none_or(|all| all.contains(&m)));
            if let Some(mute) = wanted.filter(|_| !has) {
                return cost.add(Why::Mute, OUT_OF_THE_QUESTION, format!("has no {} mute", mute.word()));
            }
            let stops = note.played.stopped || note.marks.has(Mark::Stopped);
            if stops && held.instrument.stopped(note.sounding.midi()).is_none() {
                return cost.add(Why::Mute, OUT_OF_THE_QUESTION, "cannot stop by hand");
            }
        }
        let bell = |state: PlayedState| match state.mute {
            Some(mute) => Bell::Muted(mute),
            None if state.stopped => Bell::Stopped,
            None => Bell::Open,
        };
        let (Some(first), Some(last)) = (self.notes().next(), self.notes().last()) else { return };
        let changes = [(bell(state), bell(first.played)), (bell(last.played), bell(state))];
        let times = [gap.map(|g| g.before_seconds), gap.map(|g| g.after_seconds)];
        let hands = Hands::of(Voice::of(&held.instrument));
        for ((from, to), seconds) in changes.into_iter().zip(times) {
            let Some((_, needs)) = hands.change(from, to) else { continue };
            let what = match to {
                Bell::Open => "a mute to take out".to_owned(),
                Bell::Muted(mute) => format!("a {} mute first", mute.word()),
                Bell::Stopped => "stopped by hand".to_owned(),
            };
            let needs = needs.comfortable_seconds;
            match seconds {
                Some(has) if has < needs => {
                    let short = ((1.0 - has / needs) * f64::from(points::MUTE_TOO_SHORT)) as u32;
                    let said = format!("{what} and {has:.1} s for it ({needs:.1} s are good)");
                    cost.add(Why::Mute, points::MUTE + short, said);
                }
                _ => cost.add(Why::Mute, points::MUTE, what),
            }
        }
    }

    fn timbre(&self, held: &PlayerInstrument, cost: &mut Cost) {
        let state = self.notes().next().map_or(0, |n| n.played.instrument);
        let Some(own) = self.player.instrument(state) else { return };
        let (a, b) = (&own.instrument, &held.instrument);
        if a.kind == b.kind {
            return cost.add(Why::Timbre, 0, "the same instrument");
        }
        let mut points = points::OTHER_INSTRUMENT;
        let mut said = format!("on the {}", held.words);
        if a.bore != b.bore {
            points += points::OTHER_BORE;
            said.push_str(", of another bore");
        }
        if Voice::of(a) != Voice::of(b) {
            points += points::OTHER_VOICE;
        }
        cost.add(Why::Timbre, points, said);
    }

    /// What slide or fingers would do.
    fn path(&self, at: usize, state: PlayedState, cost: &mut Cost) {
        let Some(planner) = self.desk.report().planner(at, state.instrument) else { return };
        let clock = &self.desk.report().clock;
        let mut before: Option<&Event> = None;
        let mut last: Option<f64> = None;
        let mut notes: Vec<PlanNote> = Vec::new();
        for event in self.events.iter().filter(|e| e.kind != EventKind::Grace) {
            if event.kind == EventKind::Note {
                let seconds = clock.in_block(self.stretch.block, event.bar, event.onset);
                let Some(onset) = seconds else { return };
                let joined = match before {
                    Some(e) if e.marks.has(Mark::Gliss) => Joined::Glides,
                    Some(e) if e.marks.has(Mark::Slur) => Joined::Slurred,
                    Some(_) => Joined::Tongued,
                    None => Joined::Afresh,
                };
                let midi = event.sounding.midi();
                let after_seconds = last.map_or(0.0, |last| onset - last) as f32;
                last = Some(onset);
                notes.push(PlanNote { midi, after_seconds, joined, bound: None });
            }
            before = sounds(event).then_some(event);
        }
        let mut plan = Plan::default();
        planner.plan(&notes, &mut plan);
        let ways: Vec<_> = plan.steps.iter().map(|s| s.way).collect();
        let weight = planner.weigh(&notes, &ways);
        if weight.broken() > 0 {
            return cost.add(Why::Path, OUT_OF_THE_QUESTION, "the glissando leaves its harmonic");
        }
        let late = weight.late() + weight.strongly_late();
        if late > 0 {
            let points = points::LATE * weight.late() + points::FAR_TOO_LATE * weight.strongly_late();
            let shifts =
                if late == 1 { "1 shift is late".to_owned() } else { format!("{late} shifts are late") };
            cost.add(Why::Path, points, shifts);
        } else if let Some(steps) = u32::try_from(notes.len()).ok().filter(|n| *n > 1) {
            // Ten centimetres, or a finger, a note.
            let unit = if planner.longest_shift_seconds() > 0.0 { 1000 } else { 100 };
            cost.add(Why::Path, weight.effort() / unit / (steps - 1), "easy for slide or fingers");
        }
    }

    /// Notes with which this player would cross another of the same voice, beyond those that cross now.
    fn crossing(&self, at: usize, cost: &mut Cost) {
        let now = self.crossed(self.stretch.player, at);
        let then = self.crossed(at, self.stretch.player);
        let (more, with) = (then.0.saturating_sub(now.0), then.1);
        if more > 0 {
            let points = (points::CROSSED * more).min(points::MOST_CROSSED);
            let name = with.and_then(|w| self.desk.score().head.players.get(w)).map_or("", |p| p.id.as_str());
            cost.add(Why::Crossing, points, format!("crosses {name}"));
        }
    }

    /// How many notes would cross somebody's if `who` had them, and whose first; `without` plays nothing else.
    fn crossed(&self, who: usize, without: usize) -> (u32, Option<usize>) {
        let players = &self.desk.score().head.players;
        let voice_of = |at: usize| players.get(at).and_then(|p| voice(p));
        let place = |at: usize| self.order.get(at).copied().unwrap_or(at);
        let (mut count, mut first) = (0, None);
        for note in self.events.iter().filter(|e| e.kind == EventKind::Note) {
            let crosses = self.meanwhile.iter().find(|(other, e)| {
                let together = begins(e) < ends(note) && begins(note) < ends(e);
                let another = ![who, without, self.stretch.player].contains(other);
                if !another || !together || e.kind != EventKind::Note || voice_of(*other) != voice_of(who) {
                    return false;
                }
                let (mine, theirs) = (note.sounding.midi(), e.sounding.midi());
                if place(*other) < place(who) { theirs < mine } else { theirs > mine }
            });
            if let Some((other, _)) = crosses {
                count += 1;
                first.get_or_insert(*other);
            }
        }
        (count, first)
    }
}

/// Time to come in.
fn rest(gap: Option<Gap>, cost: &mut Cost) {
    let Some(gap) = gap else { return cost.add(Why::Rest, 0, "free then") };
    let shortest = gap.before_seconds.min(gap.after_seconds);
    if shortest < READY_SECONDS {
        let points = ((1.0 - shortest / READY_SECONDS) * f64::from(points::NO_TIME)) as u32;
        let side = if gap.before_seconds <= gap.after_seconds { "before" } else { "after" };
        let said = match shortest < 0.05 {
            true => format!("no rest {side} it"),
            false => format!("only {shortest:.1} s free {side} it"),
        };
        return cost.add(Why::Rest, points, said);
    }
    let said = if gap.before_seconds >= LONG_SECONDS {
        format!("rests more than {LONG_SECONDS:.0} s before")
    } else {
        format!("rests {:.0} s before", gap.before_seconds)
    };
    cost.add(Why::Rest, 0, said);
}
