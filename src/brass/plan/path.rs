//! The cheapest path through the ways of a passage.

use super::effort::{Lateness, Weight, finger_effort};
use super::legato::Legato;
use super::ways::{MOST_WAYS, Spot};
use super::{Joined, PlanNote, Planner, Step};

/// A passage planned. Keep it and plan the next passage into it.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    /// One for each note.
    pub steps: Vec<Step>,
    /// What the whole path costs.
    pub weight: Weight,
    /// For each way of each note, which way of the note before leads to it cheapest.
    back: Vec<u8>,
    /// Where the ways of each note begin in `back`.
    starts: Vec<u32>,
    chosen: Vec<Spot>,
    pub(super) notes: Vec<PlanNote>,
}

impl Plan {
    /// Centimetres the slide moves in all.
    pub fn travel_cm(&self) -> f32 {
        self.steps.iter().map(|step| step.travel_cm.abs()).sum()
    }

    /// So many first notes are settled: whatever follows, their ways stay as they are. A long line can be
    /// planned in pieces, each beginning with the last note that is settled, bound to its way; what comes
    /// out is the plan of the whole.
    pub fn settled(&self) -> usize {
        let ways = |note: usize| match (self.starts.get(note), self.starts.get(note + 1)) {
            (Some(from), Some(to)) => self.back.get(*from as usize..*to as usize).unwrap_or_default(),
            _ => &[],
        };
        let count = self.steps.len();
        let Some(last) = count.checked_sub(1) else { return 0 };
        // The ways of each note that some way of the last still goes back to.
        let mut alive: u64 = (1 << ways(last).len()) - 1;
        for note in (0..count).rev() {
            if alive.count_ones() <= 1 {
                return note + 1;
            }
            let all = ways(note).iter().enumerate().filter(|(i, _)| alive & (1 << i) != 0);
            alive = all.fold(0, |before, (_, way)| before | 1 << way);
        }
        0
    }

    /// The shift that has the least of the time it takes, with the share of that time it has: below 1 it is
    /// late, below a half strongly so.
    pub fn tightest(&self) -> Option<(usize, f32)> {
        let shares = self.steps.iter().enumerate().filter(|(_, s)| s.needs_seconds > 0.0);
        shares.map(|(i, s)| (i, s.has_seconds / s.needs_seconds)).min_by(|a, b| a.1.total_cmp(&b.1))
    }
}

/// The ways of a note: its own spots, or the one that is chosen.
enum Here<'p> {
    Free(&'p [Spot]),
    Bound(Spot),
}

impl Here<'_> {
    #[inline]
    fn spots(&self) -> &[Spot] {
        match self {
            Here::Free(spots) => spots,
            Here::Bound(spot) => std::slice::from_ref(spot),
        }
    }
}

impl Planner {
    #[inline]
    fn here(&self, note: &PlanNote) -> Here<'_> {
        match note.bound {
            Some(way) => Here::Bound(self.table.chosen(way)),
            None => Here::Free(self.table.spots(note.midi)),
        }
    }
}

pub(super) fn find(planner: &Planner, plan: &mut Plan) {
    let notes = std::mem::take(&mut plan.notes);
    plan.steps.clear();
    plan.back.clear();
    plan.starts.clear();
    plan.chosen.clear();
    forwards(planner, &notes, plan);
    backwards(planner, &notes, plan);
    tell(planner, &notes, plan);
    plan.notes = notes;
}

/// For every way of every note the best way before it. Costs are counted from the cheapest way of the note
/// before, so they stay small.
fn forwards(planner: &Planner, notes: &[PlanNote], plan: &mut Plan) {
    let mut costs = [0u64; MOST_WAYS];
    let mut next = [0u64; MOST_WAYS];
    let mut before: Here<'_> = Here::Free(&[]);
    for note in notes {
        let here = planner.here(note);
        plan.starts.push(plan.back.len() as u32);
        let (from, to) = (before.spots(), here.spots());
        let best = argmin(&costs, from.len());
        let least = costs.get(best).copied().unwrap_or(0);
        if from.is_empty() || note.joined == Joined::Afresh {
            for (cost, spot) in next.iter_mut().zip(to) {
                *cost = spot.strain.0;
                plan.back.push(best as u8);
            }
        } else {
            let time = planner.effort.time(note.after_seconds);
            for (cost, spot) in next.iter_mut().zip(to) {
                let (mut cheapest, mut way) = (u64::MAX, 0u8);
                for (i, (old, last)) in costs.iter().zip(from).enumerate() {
                    let step = planner.effort.step(planner.slides, last, spot, &time, note.joined);
                    let sum = old - least + step.0;
                    if sum < cheapest {
                        (cheapest, way) = (sum, i as u8);
                    }
                }
                *cost = cheapest + spot.strain.0;
                plan.back.push(way);
            }
        }
        std::mem::swap(&mut costs, &mut next);
        before = here;
        if note_is_silent(&before) {
            // No way: whatever comes begins afresh. Which way stood best before it is found in `backwards`.
            plan.back.push(best as u8);
        }
    }
    // The end of the passage: the best way of the last note.
    let best = argmin(&costs, before.spots().len());
    plan.starts.push(plan.back.len() as u32);
    plan.back.push(best as u8);
}

fn note_is_silent(here: &Here<'_>) -> bool {
    here.spots().is_empty()
}

#[inline]
fn argmin(costs: &[u64; MOST_WAYS], count: usize) -> usize {
    let mut best = 0;
    let mut least = u64::MAX;
    for (i, cost) in costs.iter().enumerate().take(count) {
        if *cost < least {
            (best, least) = (i, *cost);
        }
    }
    best
}

fn backwards(planner: &Planner, notes: &[PlanNote], plan: &mut Plan) {
    let back = |plan: &Plan, note: usize, way: usize| {
        let start = plan.starts.get(note).copied().unwrap_or(0) as usize;
        usize::from(plan.back.get(start + way).copied().unwrap_or(0))
    };
    plan.steps.resize(notes.len(), EMPTY);
    let mut way = back(plan, notes.len(), 0);
    for (i, note) in notes.iter().enumerate().rev() {
        let spot = planner.here(note).spots().get(way).copied();
        if let Some(step) = plan.steps.get_mut(i) {
            step.way = spot.map(|spot| spot.way);
        }
        plan.chosen.extend(spot);
        way = back(plan, i, if spot.is_some() { way } else { 0 });
    }
}

const EMPTY: Step = Step {
    way: None,
    travel_cm: 0.0,
    needs_seconds: 0.0,
    has_seconds: 0.0,
    late: Lateness::InTime,
    jumps: false,
    finger_moves: 0.0,
    legato: Legato::None,
};

/// What each step asks.
fn tell(planner: &Planner, notes: &[PlanNote], plan: &mut Plan) {
    let mut weight = Weight::default();
    let mut last: Option<(Spot, &PlanNote)> = None;
    for (note, step) in notes.iter().zip(&mut plan.steps) {
        let Some(spot) = step.way.and_then(|_| plan.chosen.pop()) else {
            last = None;
            continue;
        };
        weight = weight.plus(spot.strain);
        if let Some((from, before)) = last.filter(|_| note.joined != Joined::Afresh) {
            let time = planner.effort.time(note.after_seconds);
            weight = weight.plus(planner.effort.step(planner.slides, &from, &spot, &time, note.joined));
            step.has_seconds = note.after_seconds;
            if planner.slides {
                let cm = f64::from(spot.place - from.place) / 100.0;
                step.travel_cm = cm as f32;
                if note.joined != Joined::Glides {
                    let way = (spot.place - from.place).abs();
                    step.needs_seconds = planner.effort.arm.shift_seconds(cm.abs()) as f32;
                    step.late = time.lateness(way);
                    step.jumps = time.jumps(way);
                }
            } else {
                step.finger_moves = finger_effort(from.fingers, spot.fingers) as f32 / 100.0;
            }
            let up = note.midi - before.midi;
            step.legato = Legato::of(planner.slides, &from, &spot, up, note.joined);
        }
        last = Some((spot, note));
    }
    plan.weight = weight;
}
