//! The plan of a line, note by note, as far as it is settled.
//!
//! A note's way may depend on what follows, so steps come a little late: a visit brings the steps of all
//! notes whose ways no longer depend on anything to come, which may stand in visits before it. The notes
//! that are still open are carried on; there are few of them, since paths soon run together.

use super::{Passage, Spot};
use crate::brass::How;
use crate::brass::plan::{Joined, Plan, PlanNote, Step, bound};
use crate::notation::tree::Mark;
use crate::score::event::Event;
use crate::score::passage::{Sound, SoundKind};

/// Silence in which hands go wherever they like (estimate).
pub const FREE_SECONDS: f64 = 1.0;

/// Notes that are kept open at most; after so many the best way up to there is taken.
const MOST_OPEN: usize = 256;

/// A step of the plan at its written place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlannedStep {
    pub spot: Spot,
    pub note: PlanNote,
    pub step: Step,
    /// Which of the player's instruments it is planned for.
    pub instrument: u8,
    /// The player chose the way.
    pub chosen: bool,
}

/// Notes whose ways still depend on what follows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Planning {
    open: Vec<Open>,
    instrument: u8,
    silence_seconds: f64,
    /// Since the onset of the last note, if it is open.
    since_seconds: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Open {
    note: PlanNote,
    spot: Spot,
    chosen: bool,
    /// Its step has been told; it stays as the note that the next one is reached from.
    told: bool,
}

impl Planning {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.open.iter_mut().for_each(|open| open.spot.age());
    }

    /// True after silence: nothing is open.
    pub fn rests(&self) -> bool {
        self.open.is_empty()
    }

    /// Hears a visit; adds the steps that are settled now.
    pub fn hear(&mut self, passage: &Passage<'_>, plan: &mut Plan, out: &mut Vec<PlannedStep>) {
        for sound in passage.sounds {
            match sound.kind {
                SoundKind::Silence => {
                    self.silence_seconds += sound.seconds;
                    if self.silence_seconds >= FREE_SECONDS {
                        self.settle(passage, plan, out, true);
                    }
                }
                SoundKind::Improvised => self.settle(passage, plan, out, true),
                // A grace takes its time from its neighbours, nobody knows how much.
                SoundKind::Grace => {}
                SoundKind::Held => self.silence_seconds = 0.0,
                SoundKind::Note => {
                    if let Some(event) = sound.event(passage.events) {
                        self.note(passage, sound, event, plan, out);
                    }
                }
            }
            if !self.open.is_empty() {
                self.since_seconds += sound.seconds;
            }
        }
        self.settle(passage, plan, out, passage.ends);
    }

    fn note(
        &mut self,
        passage: &Passage<'_>,
        sound: &Sound,
        event: &Event,
        plan: &mut Plan,
        out: &mut Vec<PlannedStep>,
    ) {
        self.silence_seconds = 0.0;
        if event.played.instrument != self.instrument {
            self.settle(passage, plan, out, true);
            self.instrument = event.played.instrument;
        }
        let Some(held) = passage.instrument(event) else { return };
        let midi = event.sounding.midi();
        let choice = event.marks.choice.map(|c| How::new(c.thumb, c.second, c.digits));
        let stopped = event.played.stopped || event.marks.has(Mark::Stopped);
        let way = match choice {
            Some(how) => bound(&held.instrument, how, midi),
            None if stopped => held.instrument.stopped(midi),
            None => None,
        };
        let joined = match (self.open.is_empty(), sound.glides, sound.slurred) {
            (true, _, _) => Joined::Afresh,
            (_, true, _) => Joined::Glides,
            (_, _, true) => Joined::Slurred,
            _ => Joined::Tongued,
        };
        let after_seconds = std::mem::take(&mut self.since_seconds) as f32;
        self.open.push(Open {
            note: PlanNote { midi, after_seconds, joined, bound: way },
            spot: Spot::of(event),
            chosen: choice.is_some() && way.is_some(),
            told: false,
        });
    }

    /// Tells what is settled, or everything.
    fn settle(&mut self, passage: &Passage<'_>, plan: &mut Plan, out: &mut Vec<PlannedStep>, all: bool) {
        let Some(planner) = passage.tools.planner(self.instrument).filter(|_| !self.open.is_empty()) else {
            self.open.clear();
            self.since_seconds = 0.0;
            return;
        };
        planner.plan_with(self.open.iter().map(|open| open.note), plan);
        let count = self.open.len();
        let settled = if all || count > MOST_OPEN { count } else { plan.settled() };
        for (open, step) in self.open.iter().zip(&plan.steps).take(settled).filter(|(open, _)| !open.told) {
            out.push(PlannedStep {
                spot: open.spot,
                note: open.note,
                step: *step,
                instrument: self.instrument,
                chosen: open.chosen,
            });
        }
        if all {
            self.open.clear();
            self.since_seconds = 0.0;
        } else if let Some(last) = settled.checked_sub(1) {
            let way = plan.steps.get(last).and_then(|step| step.way);
            self.open.drain(..last);
            if let Some(first) = self.open.first_mut() {
                first.told = true;
                first.note.bound = way;
            }
        }
    }
}
