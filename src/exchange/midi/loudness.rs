//! Dynamics as velocities, hairpins as a line between two of them.

use crate::exchange::paper::{Free, Line};
use crate::music::Dynamic;

/// Key velocity of a note with this dynamic (estimate: even steps, mezzo-forte a little above the middle).
pub fn velocity(dynamic: Dynamic) -> u8 {
    match dynamic {
        Dynamic::Pppp => 16,
        Dynamic::Ppp => 26,
        Dynamic::Pp => 38,
        Dynamic::P => 50,
        Dynamic::Mp => 62,
        Dynamic::Mf => 76,
        Dynamic::F => 90,
        Dynamic::Ff => 104,
        Dynamic::Fff => 116,
        Dynamic::Ffff => 127,
        Dynamic::Fp => 90,
        Dynamic::Sfp | Dynamic::Sf | Dynamic::Fz | Dynamic::Rfz => 100,
        Dynamic::Sfz => 110,
    }
}

/// What a hairpin gains or loses that leads to no dynamic (estimate: a little more than one step).
const STEP: f64 = 16.0;
/// Whole notes that a hairpin lasts which nothing ends (estimate).
const OPEN: f64 = 4.0;

/// How loud a player is along the written score, in velocities.
#[derive(Debug, Clone)]
pub struct Levels {
    /// Place in whole notes from the beginning, velocity there; straight lines between.
    points: Vec<(f64, f64)>,
}

impl Levels {
    /// Of a line whose bars begin at these places, in whole notes.
    pub fn of(line: &Line, starts: &[f64]) -> Levels {
        let mut points = vec![(0.0, f64::from(velocity(Dynamic::Mf)))];
        // A hairpin that is open: where it begins, and which way.
        let mut open: Option<(f64, f64)> = None;
        let mut level = f64::from(velocity(Dynamic::Mf));
        for (bar, start) in line.iter().zip(starts) {
            for free in &bar.free {
                let at = start + free.onset.to_f64();
                let (to, opens) = match free.what {
                    Free::Dynamic(dynamic) => {
                        let Some(stays) = dynamic.leaves() else { continue };
                        (Some(f64::from(velocity(stays))), None)
                    }
                    Free::Crescendo => (None, Some(STEP)),
                    Free::Diminuendo => (None, Some(-STEP)),
                    _ => continue,
                };
                if let Some((_, step)) = open.take() {
                    level = to.unwrap_or(level + step).clamp(1.0, 127.0);
                    points.push((at, level));
                } else if let Some(to) = to {
                    // At once: the level before goes on up to here.
                    points.push((at, level));
                    points.push((at, to));
                    level = to;
                }
                if let Some(step) = opens {
                    points.push((at, level));
                    open = Some((at, step));
                }
            }
        }
        if let Some((from, step)) = open {
            points.push((from + OPEN, (level + step).clamp(1.0, 127.0)));
        }
        Levels { points }
    }

    /// The velocity at a place, in whole notes from the beginning of the written score.
    pub fn at(&self, place: f64) -> f64 {
        let next = self.points.partition_point(|(at, _)| *at <= place);
        let Some((from, level)) = next.checked_sub(1).and_then(|i| self.points.get(i)) else {
            return f64::from(velocity(Dynamic::Mf));
        };
        match self.points.get(next) {
            Some((to, then)) if to > from => level + (then - level) * (place - from) / (to - from),
            _ => *level,
        }
    }

    /// True if it changes between two places.
    pub fn moves(&self, from: f64, to: f64) -> bool {
        (self.at(from) - self.at(to)).abs() >= 1.0
    }
}
