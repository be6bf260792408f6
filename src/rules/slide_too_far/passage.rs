//! Shifts that come late, and jumps over most of the slide.

use super::super::finding::{Cure, Severity};
use super::super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::super::wording::{at_level, pitch_for};
use super::RULE;
use super::run::{self, LONGEST, Note, Run, parting_seconds, tells};
use crate::brass::How;
use crate::brass::plan::{Joined, Lateness, Planner, Step};
use crate::notation::Span;
use crate::score::passage::SoundKind;
use crate::score::player::PlayerInstrument;

/// Seconds between two late shifts from which they are two passages (estimate).
const APART_SECONDS: f64 = 2.0;

/// What is carried from visit to visit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    instrument: u8,
    /// Seconds since the onset of the last note of the run.
    since: f64,
    run: Run,
    trouble: Option<Box<Trouble>>,
}

/// Late shifts and jumps that are told together.
#[derive(Debug, Clone, PartialEq)]
struct Trouble {
    first: Spot,
    last: Spot,
    /// Seconds since the onset of the last of them.
    ago: f64,
    late: u32,
    jumps: u32,
    /// Seconds since each jump that may still belong to a window, and most of them in one window.
    jumps_ago: Vec<f64>,
    most_jumps: u32,
    quickest_jump: f64,
    /// The one that has the smallest share of the time it takes.
    worst: Shift,
    /// Without the positions marked there it would be in time, and with these instead.
    marked: bool,
    instead: Vec<(Span, String)>,
}

/// One shift.
#[derive(Debug, Clone, PartialEq)]
struct Shift {
    /// What it asks, in words: `from Bb2 (1) to B2 (7)`.
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
        self.run.age();
        if let Some(trouble) = &mut self.trouble {
            trouble.first.age();
            trouble.last.age();
        }
    }

    fn wait(&mut self, seconds: f64) {
        if !self.run.notes.is_empty() {
            self.since += seconds;
        }
        if let Some(trouble) = &mut self.trouble {
            trouble.ago += seconds;
            trouble.jumps_ago.iter_mut().for_each(|ago| *ago += seconds);
        }
    }
}

pub fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    if !passage.player.instruments.iter().any(|i| i.instrument.build.slide().is_some()) {
        return;
    }
    let state = &mut carried.slide_too_far;
    for sound in passage.sounds {
        match sound.kind {
            SoundKind::Note => {
                if let Some(event) = sound.event(passage.events) {
                    arrive(passage, state, sound, event, told);
                }
            }
            SoundKind::Improvised => part(passage, state, false, told),
            SoundKind::Grace | SoundKind::Held | SoundKind::Silence => {}
        }
        state.wait(sound.seconds);
        if sound.kind == SoundKind::Silence
            && let Some((_, planner)) = run::held(passage, state.instrument)
            && state.since > parting_seconds(planner)
        {
            part(passage, state, false, told);
        }
        close_if_over(passage, state, told);
    }
    if passage.ends {
        part(passage, state, false, told);
        close(passage, state, told);
    }
}

fn arrive(
    passage: &Passage<'_>,
    state: &mut State,
    sound: &crate::score::passage::Sound,
    event: &crate::score::event::Event,
    told: &mut Told<'_>,
) {
    if event.played.instrument != state.instrument {
        part(passage, state, false, told);
        state.instrument = event.played.instrument;
    }
    let Some((held, planner)) = run::held(passage, state.instrument) else { return };
    if held.instrument.build.slide().is_none() {
        return;
    }
    let Some(note) = Note::of(held, planner, sound, event, state.since) else {
        part(passage, state, false, told);
        return;
    };
    if note.joined != Joined::Glides && state.since > parting_seconds(planner) {
        part(passage, state, false, told);
    }
    state.run.push(note, planner);
    state.since = 0.0;
    let full = state.run.notes.len() >= LONGEST;
    if note.single || full {
        part(passage, state, true, told);
    }
}

/// Ends the run and judges it; the next begins with its last note or with nothing.
fn part(passage: &Passage<'_>, state: &mut State, keep_last: bool, told: &mut Told<'_>) {
    if let Some((held, planner)) = run::held(passage, state.instrument)
        && let Some(steps) = state.run.plan(held, planner)
    {
        judge(passage, state, &steps, held, planner, told);
    }
    state.run.begin_again(keep_last);
    if !keep_last {
        state.since = 0.0;
    }
}

fn judge(
    passage: &Passage<'_>,
    state: &mut State,
    steps: &[Step],
    held: &PlayerInstrument,
    planner: &Planner,
    told: &mut Told<'_>,
) {
    if !steps.iter().any(tells) {
        return;
    }
    let run = std::mem::take(&mut state.run);
    let free = freed(&run, held, planner);
    let mut fresh = true;
    let mut ago = state.since + run.seconds();
    let name = |note: &Note, step: &Step| {
        let how = step.way.map_or(String::new(), |way| format!(" (@{})", way.how));
        format!("{}{how}", pitch_for(held, note.midi, passage.key))
    };
    for (notes, pair) in run.notes.windows(2).zip(steps.windows(2)) {
        let ([from, to], [before, step]) = (notes, pair) else { continue };
        ago -= to.seconds;
        if !tells(step) {
            continue;
        }
        let shift = Shift {
            words: format!("from {} to {}", name(from, before), name(to, step)),
            cm: f64::from(step.travel_cm.abs()),
            needs: f64::from(step.needs_seconds),
            has: to.seconds,
        };
        if state.trouble.as_ref().is_some_and(|trouble| trouble.ago - ago > APART_SECONDS) {
            close(passage, state, told);
            fresh = true;
        }
        let window = RULE.limit(passage.settings, "jump-window");
        let trouble = state.trouble.get_or_insert_with(|| Box::new(Trouble::at(from.spot, &shift)));
        trouble.add(to.spot, ago, shift, step, window);
        if fresh {
            trouble.free(free.as_deref());
        }
        fresh = false;
    }
    state.run = run;
}

impl Trouble {
    fn at(first: Spot, shift: &Shift) -> Trouble {
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
            marked: true,
            instead: Vec::new(),
        }
    }

    /// Takes in what would free a run of marked positions.
    fn free(&mut self, instead: Option<&[(Note, How)]>) {
        let here =
            |note: &Note| note.here && (note.spot.back, note.spot.line) == (self.first.back, self.first.line);
        self.marked &= instead.is_some();
        for (note, how) in instead.unwrap_or_default() {
            if here(note) {
                self.instead.push((note.spot.span, format!("@{how}")));
            } else {
                self.marked = false;
            }
        }
    }

    fn add(&mut self, spot: Spot, ago: f64, shift: Shift, step: &Step, window: f64) {
        self.last = spot;
        self.ago = ago;
        self.late += u32::from(step.late != Lateness::InTime);
        if step.jumps {
            self.jumps += 1;
            self.quickest_jump = self.quickest_jump.min(shift.has);
            self.jumps_ago.retain(|then| then - ago <= window + SAME_SECONDS);
            self.jumps_ago.push(ago);
            self.most_jumps = self.most_jumps.max(self.jumps_ago.len() as u32);
        }
        if shift.share() < self.worst.share() {
            self.worst = shift;
        }
    }
}

/// Tells what is over: the next late shift would be too far off to belong to it.
fn close_if_over(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let begun = if state.run.notes.is_empty() { 0.0 } else { state.since + state.run.seconds() };
    if state.trouble.as_ref().is_some_and(|trouble| trouble.ago - begun > APART_SECONDS) {
        close(passage, state, told);
    }
}

fn close(passage: &Passage<'_>, state: &mut State, told: &mut Told<'_>) {
    let Some(trouble) = state.trouble.take() else { return };
    let limit = |key: &str| RULE.limit(passage.settings, key);
    let Trouble { worst, late, jumps, .. } = &*trouble;
    let way_out = if trouble.marked {
        " Without the positions marked there it is in time."
    } else {
        " All positions and attachments have been tried: another key, an instrument with an attachment, or one with valves helps."
    };
    let whom = at_level(passage.level());
    let (lead, tail) = if *late > 0 {
        let count =
            if *late == 1 { "A slide shift comes".to_owned() } else { format!("{late} slide shifts come") };
        let also = if *jumps > *late { format!("; the slide jumps {jumps} times") } else { String::new() };
        (
            format!("{count} late"),
            format!(
                "{also}: {}, {:.0} cm, takes {whom} {} and has {} (an estimate).{way_out}",
                worst.words,
                worst.cm,
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
                ", {}, {:.0} cm in {}; that is a jump from {:.0} cm on (an estimate).{way_out}",
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
        cures: if trouble.marked { vec![Cure::Choices { entries: trouble.instead }] } else { Vec::new() },
    });
}

/// The positions that would be in time instead of marked ones, where those are the trouble.
fn freed(run: &Run, held: &PlayerInstrument, planner: &Planner) -> Option<Vec<(Note, How)>> {
    let steps = run.plan_freely(held, planner)?;
    let notes = run.notes.iter().zip(&steps);
    let changed = notes.filter_map(|(note, step)| {
        let how = step.way?.how;
        (note.chosen? != how).then_some((*note, how))
    });
    (!steps.iter().any(tells)).then(|| changed.collect())
}

fn seconds(seconds: f64) -> String {
    format!("{seconds:.3} s")
}
