//! Plans: what the slide or the fingers do from note to note.
//!
//! Every note has several ways to be played. The plan of a passage is the cheapest path through them: first
//! as few glissandos broken, then as few shifts far too late, then as few late, then as few jumps over most of
//! the slide, then the least effort. It is found by dynamic programming and is the true optimum over all ways
//! that players use. Efforts are integers, so two ways of adding them up agree exactly.
//!
//! Make one [`Planner`] for an instrument in a player's hands and keep it; a [`Plan`] keeps its buffers from
//! passage to passage, so planning allocates nothing once they have grown.

mod effort;
mod legato;
mod path;
mod ways;

pub use effort::{Effort, JUMP_CM, JUMP_SECONDS, Lateness, Weight};
pub use legato::Legato;
pub use path::Plan;
pub use ways::MOST_WAYS;

use super::choice::{Verdict, check};
use super::how::How;
use super::instrument::Instrument;
use super::way::Way;
use ways::{Spot, Table};

/// How a note is reached from the one before.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Joined {
    #[default]
    Tongued,
    Slurred,
    /// The note before glides into it.
    Glides,
    /// After a silence in which hands go where they like, or at the beginning.
    Afresh,
}

/// A note to be planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanNote {
    /// Sounding pitch, C4 = 60.
    pub midi: i32,
    /// Since the onset of the note before; nothing is made of it in a note that begins afresh. A time from the
    /// beginning would make later notes depend, by its rounding, on where that is.
    pub after_seconds: f32,
    pub joined: Joined,
    /// The player's choice, as a way that holds the note: see [`bound`].
    pub bound: Option<Way>,
}

/// What one note of a plan asks of the player.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Step {
    /// `None` where the instrument has no way: it is planned on from there afresh.
    pub way: Option<Way>,
    /// Centimetres the slide moves to get here; outwards positive.
    pub travel_cm: f32,
    /// Seconds that this shift takes, 0 where the slide stays.
    pub needs_seconds: f32,
    /// Seconds between the onsets.
    pub has_seconds: f32,
    pub late: Lateness,
    /// It goes over most of the slide in a short time.
    pub jumps: bool,
    /// Fingers that change, weighed: the third alone counts one and a half, fingers that change places double.
    pub finger_moves: f32,
    /// How a slur to here is made.
    pub legato: Legato,
}

/// Plans passages of one instrument in a player's hands.
#[derive(Debug, Clone)]
pub struct Planner {
    table: Table,
    effort: Effort,
    slides: bool,
}

impl Planner {
    /// Works out the ways of every note once.
    pub fn new(instrument: &Instrument, effort: Effort) -> Planner {
        Planner { table: Table::of(instrument, &effort), effort, slides: instrument.build.slide().is_some() }
    }

    /// What moves are weighed by.
    pub fn effort(&self) -> &Effort {
        &self.effort
    }

    /// Seconds of a shift from one end of the slide to the other; 0 without a slide. What has more time is
    /// never late, whatever comes before and after.
    pub fn longest_shift_seconds(&self) -> f64 {
        self.effort.arm.shift_seconds(f64::from(self.table.farthest()) / 100.0)
    }

    /// The ways among which a pitch's is chosen, the usual one first.
    pub fn ways(&self, midi: i32) -> impl Iterator<Item = Way> + '_ {
        self.table.spots(midi).iter().map(|spot| spot.way)
    }

    /// Plans a passage.
    pub fn plan(&self, notes: &[PlanNote], plan: &mut Plan) {
        self.plan_with(notes.iter().copied(), plan);
    }

    /// The same for notes that come one by one.
    pub fn plan_with(&self, notes: impl Iterator<Item = PlanNote>, plan: &mut Plan) {
        plan.notes.clear();
        plan.notes.extend(notes);
        path::find(self, plan);
    }

    /// What a path costs whose ways somebody else has chosen, for instance the usual ones; notes without a
    /// way begin afresh.
    pub fn weigh(&self, notes: &[PlanNote], ways: &[Option<Way>]) -> Weight {
        let mut all = Weight::default();
        let mut last: Option<Spot> = None;
        for (note, way) in notes.iter().zip(ways) {
            let Some(spot) = way.map(|way| self.spot(note, way)) else {
                last = None;
                continue;
            };
            all = all.plus(spot.strain);
            if let Some(before) = last
                && note.joined != Joined::Afresh
            {
                let time = self.effort.time(note.after_seconds);
                all = all.plus(self.effort.step(self.slides, &before, &spot, &time, note.joined));
            }
            last = Some(spot);
        }
        all
    }

    fn spot(&self, note: &PlanNote, way: Way) -> Spot {
        let known = self.table.spots(note.midi).iter().find(|spot| spot.way == way);
        known.filter(|_| note.bound != Some(way)).copied().unwrap_or_else(|| self.table.chosen(way))
    }
}

/// The way that a player's choice stands for; `None` if it does not hold the note, which another rule says:
/// it is then planned as if nothing had been chosen.
pub fn bound(instrument: &Instrument, how: How, midi: i32) -> Option<Way> {
    match check(instrument, how, midi) {
        Verdict::Holds(way) => Some(way),
        _ => None,
    }
}
