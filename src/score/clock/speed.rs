//! How fast the music goes.

use super::marks::Change;
use crate::music::tempo::{Ramp, Tempo};

/// The speed at a place, and the one that `[a-tempo]` leads back to.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Speed {
    pub steady: Option<Tempo>,
    pub motion: Motion,
}

/// Steady or on the way from one speed to another.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum Motion {
    /// No tempo is named yet.
    #[default]
    None,
    Steady(Tempo),
    /// On a straight line, so many whole notes after its beginning.
    Ramp(Ramp, f64),
}

impl Motion {
    /// True if it takes time.
    pub fn moves(self) -> bool {
        self != Motion::None
    }

    /// Seconds of so many whole notes from here.
    pub fn seconds(self, wholes: f64) -> Option<f64> {
        match self {
            Motion::None => None,
            Motion::Steady(tempo) => Some(wholes / tempo.speed()),
            Motion::Ramp(ramp, done) => Some(ramp.seconds_after(done + wholes) - ramp.seconds_after(done)),
        }
    }

    /// The same motion so many whole notes later.
    pub fn after(self, wholes: f64) -> Motion {
        match self {
            Motion::Ramp(ramp, done) => Motion::Ramp(ramp, done + wholes),
            other => other,
        }
    }
}

impl Speed {
    /// The speed to which a bend before this change leads.
    pub fn heading(&self, change: Change) -> Option<Tempo> {
        match change {
            Change::To(tempo) => Some(tempo),
            Change::Back => self.steady,
            Change::Bend => None,
        }
    }

    /// Changes; `ahead` is where a bend leads and after how many whole notes.
    pub fn change(&mut self, change: Change, ahead: Option<(f64, Tempo)>) {
        let steady = |tempo: Option<Tempo>| tempo.map_or(Motion::None, Motion::Steady);
        match change {
            Change::To(tempo) => *self = Speed { steady: Some(tempo), motion: Motion::Steady(tempo) },
            Change::Back => self.motion = steady(self.steady),
            Change::Bend => {
                let ramp =
                    self.steady.zip(ahead).and_then(|(from, (wholes, to))| Ramp::over(from, to, wholes));
                self.motion = ramp.map_or(steady(self.steady), |ramp| Motion::Ramp(ramp, 0.0));
            }
        }
    }
}
