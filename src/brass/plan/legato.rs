//! How a slur is made.

use super::Joined;
use super::ways::Spot;
use crate::brass::body::arm::SHIFT_CM;

/// What makes two notes a legato (a trombonists' primer: lip, cross-grain, tongued and valve slurs).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Legato {
    /// Not slurred.
    #[default]
    None,
    /// The lips change the harmonic and the slide stays.
    Lips,
    /// The slide moves against the pitch, and the harmonic changes.
    AgainstTheSlide,
    /// A valve or attachment acts.
    Valve,
    /// The slide would smear, and a soft tongue hides it.
    Tongued,
    /// The same note again: only a tongue parts them.
    Same,
    /// It glides.
    Glide,
}

impl Legato {
    /// True where no tongue is needed.
    pub fn is_natural(self) -> bool {
        matches!(self, Legato::Lips | Legato::AgainstTheSlide | Legato::Valve | Legato::Glide)
    }

    pub(super) fn of(slides: bool, from: &Spot, to: &Spot, up: i32, joined: Joined) -> Legato {
        match joined {
            Joined::Tongued | Joined::Afresh => return Legato::None,
            Joined::Glides => return Legato::Glide,
            Joined::Slurred => {}
        }
        let out = to.place - from.place;
        let moved = out.abs() as f64 >= 100.0 * SHIFT_CM;
        if up == 0 {
            Legato::Same
        } else if from.fingers != to.fingers {
            Legato::Valve
        } else if !slides || !moved && from.partial != to.partial {
            Legato::Lips
        } else if from.partial != to.partial && (out > 0) == (up > 0) {
            // Outwards the slide makes lower: a higher note farther out crosses its grain.
            Legato::AgainstTheSlide
        } else {
            Legato::Tongued
        }
    }
}
