//! A run: notes so quick that the position of one depends on that of the other.

use super::super::passage::{Passage, Spot};
use crate::brass::How;
use crate::brass::plan::{Joined, Lateness, Plan, PlanNote, Planner, Step, bound};
use crate::score::event::{Event, Origin};
use crate::score::passage::Sound;
use crate::score::player::PlayerInstrument;

/// Notes after which a run is judged though it goes on, so that nobody carries a whole part along.
pub const LONGEST: usize = 128;

/// A note of a slide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Note {
    pub spot: Spot,
    /// It stands in its own place, not in a copy or a phrase.
    pub here: bool,
    pub midi: i32,
    pub chosen: Option<How>,
    pub joined: Joined,
    /// Since the onset of the note before.
    pub seconds: f64,
    /// Centimetres of its usual way, or of the one that is chosen.
    cm: f64,
    /// It has one way only.
    pub single: bool,
}

impl Note {
    /// `None` where the slide has no way.
    pub fn of(
        held: &PlayerInstrument,
        planner: &Planner,
        sound: &Sound,
        event: &Event,
        seconds: f64,
    ) -> Option<Note> {
        let tube = &*held.instrument;
        let midi = sound.sounding?.midi();
        let choice = event.marks.choice.map(|c| How::new(c.thumb, c.second, c.digits));
        let chosen = choice.and_then(|how| Some((how, bound(tube, how, midi)?)));
        let way = chosen.map(|(_, way)| way).or(tube.note(midi).usual)?;
        let joined = match (sound.glides, sound.slurred) {
            (true, _) => Joined::Glides,
            (_, true) => Joined::Slurred,
            _ => Joined::Tongued,
        };
        Some(Note {
            spot: Spot::of(event),
            here: event.origin == Origin::Here,
            midi,
            chosen: chosen.map(|(how, _)| how),
            joined,
            seconds,
            cm: tube.slide_centimetres(&way),
            single: chosen.is_some() || planner.ways(midi).count() == 1,
        })
    }
}

/// Notes that hang together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Run {
    pub notes: Vec<Note>,
    /// Somewhere the usual positions are late or jump, so that the best ones must be looked for.
    suspect: bool,
}

impl Run {
    /// Adds a note.
    pub fn push(&mut self, note: Note, planner: &Planner) {
        if let Some(last) = self.notes.last().filter(|_| note.joined != Joined::Glides) {
            let cm = (note.cm - last.cm).abs();
            let effort = planner.effort();
            // Half a millimetre for what rounding loses.
            let late = cm + 0.05 > effort.arm.reach_cm(note.seconds);
            self.suspect |= late || note.seconds < effort.jump_seconds && cm + 0.05 > effort.jump_cm;
        }
        self.notes.push(note);
    }

    /// Seconds from its first onset to its last.
    pub fn seconds(&self) -> f64 {
        self.notes.iter().skip(1).map(|note| note.seconds).sum()
    }

    /// Plans it, unless the usual positions do; the steps are those of its notes.
    pub fn plan(&self, held: &PlayerInstrument, planner: &Planner) -> Option<Vec<Step>> {
        (self.suspect && self.notes.len() > 1).then(|| self.planned(held, planner, true))
    }

    /// The same as if no position were marked; `None` where none is.
    pub fn plan_freely(&self, held: &PlayerInstrument, planner: &Planner) -> Option<Vec<Step>> {
        let chosen = self.notes.iter().any(|note| note.chosen.is_some());
        chosen.then(|| self.planned(held, planner, false))
    }

    fn planned(&self, held: &PlayerInstrument, planner: &Planner, binding: bool) -> Vec<Step> {
        let mut onset = 0.0;
        let notes: Vec<PlanNote> = self
            .notes
            .iter()
            .enumerate()
            .map(|(i, note)| {
                onset += if i == 0 { 0.0 } else { note.seconds };
                PlanNote {
                    midi: note.midi,
                    onset_seconds: onset as f32,
                    joined: if i == 0 { Joined::Afresh } else { note.joined },
                    bound: note
                        .chosen
                        .filter(|_| binding)
                        .and_then(|how| bound(&held.instrument, how, note.midi)),
                }
            })
            .collect();
        let mut plan = Plan::default();
        planner.plan(&notes, &mut plan);
        plan.steps
    }

    /// Begins again with its last note, or with nothing.
    pub fn begin_again(&mut self, keep_last: bool) {
        let last = self.notes.pop().filter(|_| keep_last);
        self.notes.clear();
        self.notes.extend(last);
        self.suspect = false;
    }

    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.notes.iter_mut().for_each(|note| note.spot.age());
    }
}

/// True where a step is worth a word.
pub fn tells(step: &Step) -> bool {
    step.late != Lateness::InTime || step.jumps
}

/// Seconds from which a joint parts two runs: nothing across it can be late or a jump.
pub fn parting_seconds(planner: &Planner) -> f64 {
    planner.longest_shift_seconds().max(planner.effort().jump_seconds)
}

/// The instrument a run is played on.
pub fn held<'p>(passage: &'p Passage<'_>, instrument: u8) -> Option<(&'p PlayerInstrument, &'p Planner)> {
    Some((passage.player.instrument(instrument)?, passage.tools.planner(instrument)?))
}
