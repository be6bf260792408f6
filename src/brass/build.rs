//! How an instrument changes the length of its tube.

use super::slide::Slide;
use super::tube::length_of;
use super::valves::Valves;

/// The ways to lengthen a tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Build {
    /// None: the harmonics of one tube.
    Natural {
        /// The hand reaches into the bell and lowers harmonics.
        hand: bool,
    },
    Valved(Valves),
    /// A double horn: the same three valves on the F side, and with the thumb valve on the B♭ side.
    Double(Valves),
    Slide(Slide),
}

/// Length of the thumb side of a double horn: a fourth shorter.
pub fn thumb_side() -> f64 {
    length_of(-5.0)
}

/// Sounding pitch from which the thumb side of a double horn is usual: written A♭4 (decided among two
/// published change-overs; the other, written C♯5, differs on five notes).
pub const THUMB_FROM: i32 = 61;

impl Build {
    /// Valves that the fingers work; 0 without.
    pub fn fingers(&self) -> u8 {
        match self {
            Build::Valved(valves) | Build::Double(valves) => valves.count(),
            Build::Natural { .. } | Build::Slide(_) => 0,
        }
    }

    /// True with valves or a thumb valve.
    pub fn has_valves(&self) -> bool {
        matches!(self, Build::Valved(_) | Build::Double(_))
    }

    /// The slide, if there is one.
    pub fn slide(&self) -> Option<&Slide> {
        match self {
            Build::Slide(slide) => Some(slide),
            _ => None,
        }
    }

    /// The words of the catalogue's column `build`.
    pub fn parse(text: &str) -> Option<Build> {
        let mut words = text.split(' ');
        let first = words.next()?;
        let rest: Vec<&str> = words.collect();
        Some(match (first, rest.as_slice()) {
            ("valves", ["3"]) => Build::Valved(Valves::three()),
            ("valves", ["4"]) => Build::Valved(Valves::four_compensating()),
            ("valves", ["4", "plain"]) => Build::Valved(Valves::four_plain()),
            ("valves", ["5"]) => Build::Valved(Valves::five()),
            ("double", []) => Build::Double(Valves::three()),
            ("natural", []) => Build::Natural { hand: false },
            ("hand", []) => Build::Natural { hand: true },
            ("slide", []) => Build::Slide(Slide::straight()),
            ("slide", [one]) => Build::Slide(Slide::with_one(one.parse().ok()?)),
            ("slide", [one, two]) => Build::Slide(Slide::with_two(one.parse().ok()?, two.parse().ok()?)),
            _ => return None,
        })
    }
}
