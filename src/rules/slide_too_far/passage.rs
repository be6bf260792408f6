//! Shifts that come late, and jumps over most of the slide.

use super::super::finding::{Cure, Severity};
use super::super::passage::{Carried, Passage, PassageFinding, PlannedStep, SAME_SECONDS, Spot, Told};
use super::super::wording::{at_level, pitch_for};
use super::RULE;
use crate::brass::plan::{Joined, Lateness, Plan, PlanNote, Step};

/// Seconds between two late shifts from which they are two passages (estimate).
const APART_SECONDS: f64 = 2.0;

/// Notes of a passage that are kept to look for better positions than the marked ones.
const MOST_KEPT: usize = 64;

/// What is carried from visit to visit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    /// The last note, and the one before it.
    last: Option<PlannedStep>,
    before: Option<PlannedStep>,
    trouble: Option<Box<Trouble>>,
}

/// Late shifts and jumps that are told together.
#[derive(Debug, Clone, PartialEq)]
struct Trouble {
    first: Spot,
    last: Spot,
    /// Seconds since the last of them.
    ago: f64,
    late: u32,
    jumps: u32,
    /// Seconds since each jump that may still belong to a window, and most of them in one window.
    jumps_ago: Vec<f64>,
    most_jumps: u32,
    quickest_jump: f64,
    worst: Shift,
    /// The notes from the one before the first, if any position among them is marked.
    notes: Vec<PlannedStep>,
}

/// The shift that has the smallest share of the time it takes.
#[derive(Debug, Clone, PartialEq)]
struct Shift {
    /// `from Bb2 (@1) to B2 (@7)`.
    words: String,
    cm: f64,
    needs: f64,
    has: f64,
}

impl Shift {
    fn share(&self) -> f64 {
        if self.needs > 0.0 { self.has / self.needs } else { f64::INFINITY }
    }
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.last.iter_mut().chain(&mut self.before).for_each(|step| step.spot.age());
        if let Some(trouble) = &mut self.trouble {
            trouble.first.age();
            trouble.last.age();
            trouble.notes.iter_mut().for_each(|note| note.spot.age());
        }
    }
}

pub fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    if !passage.player.instruments.iter().any(|i| i.instrument.build.slide().is_some()) {
        return;
    }
    let state = &mut carried.slide_too_far;
    for planned in passage.steps {
        if planned.note.joined == Joined::Afresh || planned.step.way.is_none() {
            close(passage, state, told);
            (state.before, state.last) = (None, None);
        }
        arrive(passage, state, planned, told);
        state.before = state.last.replace(*planned);
    }
    if passage.ends || carried.plan.rests() {
        close(passage, state, told);
        (state.before, state.last) = (None, None);
    }
}

fn arrive(passage: &Passage<'_>, state: &mut State, planned: &PlannedStep, told: &mut Told<'_>) {
    let PlannedStep { step, spot, .. } = planned;
    if let Some(trouble) = &mut state.trouble {
        let has = f64::from(step.has_seconds);
        trouble.ago += has;
        trouble.jumps_ago.iter_mut().for_each(|ago| *ago += has);
        if trouble.ago > APART_SECONDS {
            close(passage, state, told);
        } else if trouble.notes.len() <= MOST_KEPT {
            trouble.notes.push(*planned);
        }
    }
    if step.late == Lateness::InTime && !step.jumps {
        return;
    }
    let Some(from) = state.last else { return };
    let shift = Shift {
        words: format!("from {} to {}", name(passage, &from), name(passage, planned)),
        cm: f64::from(step.travel_cm.abs()),
        needs: f64::from(step.needs_seconds),
        has: f64::from(step.has_seconds),
    };
    let before = state.before;
    let trouble = state.trouble.get_or_insert_with(|| {
        let notes = before.into_iter().chain([from, *planned]).collect();
        Box::new(Trouble::new(from.spot, &shift, notes))
    });
    trouble.add(*spot, shift, step, RULE.limit(passage.settings, "jump-window"));
}

fn name(passage: &Passage<'_>, planned: &PlannedStep) -> String {
    let how = planned.step.way.map_or(String::new(), |way| format!(" (@{})", way.how));
    let held = passage.player.instrument(planned.instrument);
    held.map_or(String::new(), |held| format!("{}{how}", pitch_for(held, planned.note.midi, passage.key)))
}

impl Trouble {
    fn new(first: Spot, shift: &Shift, notes: Vec<PlannedStep>) -> Trouble {
        Trouble {
            first,
            last: first,
            ago: 0.0,
            late: 0,
            jumps: 0,
            jumps_ago: Vec::new(),
            most_jumps: 0,
            quickest_jump: f64::INFINITY,
            worst: shift.clone(),
            notes,
        }
    }

    fn add(&mut self, spot: Spot, shift: Shift, step: &Step, window: f64) {
        self.last = spot;
        self.ago = 0.0;
        self.late += u32::from(step.late != Lateness::InTime);
        if step.jumps {
            self.jumps += 1;
            self.quickest_jump = self.quickest_jump.min(shift.has);
            self.jumps_ago.retain(|ago| *ago <= window + SAME_SECONDS);
            self.jumps_ago.push(0.0);
            self.most_jumps = self.most_jumps.max(self.jumps_ago.len() as u32);
        }
        if shift.share() < self.worst.share() {
            self.worst = shift;
        }
    }

    /// Positions instead of the marked ones with which all would be in time; `None` if none are, or if they
    /// stand on several lines.
    fn instead(&self, passage: &Passage<'_>) -> Option<Cure> {
        if self.notes.len() > MOST_KEPT || !self.notes.iter().any(|note| note.chosen) {
            return None;
        }
        let planner = passage.tools.planner(self.notes.first()?.instrument)?;
        let free = |(i, planned): (usize, &PlannedStep)| PlanNote {
            // What was decided before stays, and so does what is no choice of the player's.
            bound: match (i, planned.chosen) {
                (_, true) => None,
                (0, false) => planned.step.way,
                _ => planned.note.bound,
            },
            after_seconds: planned.step.has_seconds,
            joined: if i == 0 { Joined::Afresh } else { planned.note.joined },
            ..planned.note
        };
        let notes: Vec<PlanNote> = self.notes.iter().enumerate().map(free).collect();
        let mut plan = Plan::default();
        planner.plan(&notes, &mut plan);
        if plan.steps.iter().any(|step| step.late != Lateness::InTime || step.jumps) {
            return None;
        }
        let mut entries = Vec::new();
        for (planned, step) in self.notes.iter().zip(&plan.steps).filter(|(planned, _)| planned.chosen) {
            let (then, now) = (planned.step.way?.how, step.way?.how);
            if then != now {
                let here = (planned.spot.back, planned.spot.line) == (self.first.back, self.first.line);
                entries.push(here.then(|| (planned.spot.span, format!("@{now}")))?);
            }
        }
        (!entries.is_empty()).then_some(Cure::Choices { entries })
    }
}

fn close(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(trouble) = state.trouble.take() else { return };
    let limit = |key: &str| RULE.limit(passage.settings, key);
    let cure = trouble.instead(passage);
    let Trouble { worst, late, jumps, .. } = &*trouble;
    let way_out = if cure.is_some() && trouble.late > 0 {
        " Without the positions marked there it is in time."
    } else if cure.is_some() {
        " Without the positions marked there it need not."
    } else {
        " All positions and attachments have been tried: another key, an instrument with an attachment, or one with valves helps."
    };
    let (lead, tail) = if *late > 0 {
        let count =
            if *late == 1 { "A slide shift comes".to_owned() } else { format!("{late} slide shifts come") };
        (
            format!("{count} late"),
            format!(
                ": {}, {:.0} cm, takes {} {} and has {} (an estimate).{way_out}",
                worst.words,
                worst.cm,
                at_level(passage.level()),
                seconds(worst.needs),
                seconds(worst.has)
            ),
        )
    } else {
        let count =
            if *jumps == 1 { "The slide jumps".to_owned() } else { format!("The slide jumps {jumps} times") };
        (
            format!("{count} over most of its length"),
            format!(
                ", {}, {:.0} cm in {}; from {:.0} cm on it is a jump.{way_out}",
                worst.words,
                worst.cm,
                seconds(worst.has),
                limit("jump")
            ),
        )
    };
    let many = f64::from(trouble.most_jumps) >= limit("jumps") || trouble.quickest_jump < limit("jump-quick");
    told.push(PassageFinding {
        rule: told.rule,
        severity: if *late > 0 || many { Severity::Warning } else { Severity::Information },
        grade: if *late > 0 && worst.share() < limit("strong") { 2 } else { 1 },
        at: trouble.first,
        from: trouble.first,
        to: trouble.last,
        lead,
        tail,
        badness: 1.0 / worst.share().max(1e-3),
        measured: Some(if *late > 0 { seconds(worst.has) } else { format!("{:.0} cm", worst.cm) }),
        limit: Some(if *late > 0 { seconds(worst.needs) } else { format!("{:.0} cm", limit("jump")) }),
        related: Vec::new(),
        cures: cure.into_iter().collect(),
    });
}

fn seconds(seconds: f64) -> String {
    format!("{seconds:.3} s")
}
