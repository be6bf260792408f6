//! An instrument: what is read, what sounds, how it is played, how far it goes.

use super::build::Build;
use super::compass::{Compass, Note};
use super::hand;
use super::kind::{Bore, Kind};
use super::level::Level;
use super::limits::{Limits, LimitsByLevel};
use super::mute::Mutes;
use super::tube::Tube;
use super::usual::usual;
use super::valves::Valves;
use super::way::{Way, ways};
use crate::music::{Clef, Interval};

/// An instrument of the catalogue or of a score. Large: share it in an `Arc`.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// As a score names it, its key and register too: `natural horn in C basso`.
    pub name: String,
    pub kind: Kind,
    pub bore: Bore,
    /// In which its parts begin.
    pub clef: Clef,
    /// From written to sounding pitch; what a block really uses is chosen by
    /// [`reading_interval`](super::written::reading_interval).
    pub reads: Interval,
    /// The open tube.
    pub tube: Tube,
    pub build: Build,
    /// Made for it.
    pub mutes: Mutes,
    limits: LimitsByLevel,
    compass: Compass,
}

/// What makes an instrument, before its notes are worked out.
#[derive(Debug, Clone)]
pub struct Plan {
    pub name: String,
    pub kind: Kind,
    pub bore: Bore,
    pub clef: Clef,
    pub reads: Interval,
    pub tube: Tube,
    pub build: Build,
    pub mutes: Mutes,
    pub limits: LimitsByLevel,
}

/// Why an instrument cannot have these valves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ValvesFault {
    /// It has none that could differ: a slide, a natural tube, a double horn.
    NotValved,
    /// Made with three, four or five.
    Count(u8),
}

impl From<Plan> for Instrument {
    fn from(plan: Plan) -> Instrument {
        let compass = Compass::of(plan.tube, &plan.build);
        let Plan { name, kind, bore, clef, reads, tube, build, mutes, limits } = plan;
        Instrument { name, kind, bore, clef, reads, tube, build, mutes, limits, compass }
    }
}

impl Instrument {
    /// A sounding pitch on it, C4 = 60.
    #[inline]
    pub fn note(&self, midi: i32) -> &Note {
        self.compass.at(midi)
    }

    /// Every way to sound a pitch, the usual one first.
    #[inline]
    pub fn ways(&self, midi: i32) -> &[Way] {
        self.compass.ways(midi)
    }

    /// All its notes.
    pub fn compass(&self) -> &Compass {
        &self.compass
    }

    /// How far players of a level go.
    pub fn limits(&self, level: Level) -> Limits {
        self.limits.at(level)
    }

    /// Lowest note above the pedals, sounding.
    pub fn lowest(&self) -> i32 {
        self.limits.lowest
    }

    /// Centimetres that the hand holding the slide moves out from first position; 0 without a slide.
    pub fn slide_centimetres(&self, way: &Way) -> f64 {
        // The slide is two parallel tubes: the air's way grows twice as fast as the hand moves.
        f64::from(way.slide) * self.tube.centimetres() / 2.0
    }

    /// How a valved horn in F plays a pitch with the bell closed tight; `None` on other instruments, and where
    /// the F side has no way.
    pub fn stopped(&self, midi: i32) -> Option<Way> {
        if self.kind != Kind::Horn || !self.build.has_valves() || self.tube.fundamental > 29 {
            return None;
        }
        let fingered = hand::fingered_as(midi);
        let mut found = ways(self.tube, &self.build, fingered);
        found.retain(|way| !way.how.thumb && !way.is_weak());
        let f_side = Build::Valved(Valves::three());
        usual(&f_side, fingered, &found).and_then(|place| found.get(place).copied())
    }

    /// The same instrument with other valves: `valves 3`, `valves 4`, `valves 4 plain`, `valves 5`.
    ///
    /// Without `plain`, four are compensating where the catalogue's instrument is.
    pub fn with_valves(&self, count: u8, plain: bool) -> Result<Instrument, ValvesFault> {
        let Build::Valved(made) = self.build else { return Err(ValvesFault::NotValved) };
        let valves = match count {
            3 => Valves::three(),
            4 if plain || !(made.compensates() || made.count() == 3 && self.kind == Kind::Baritone) => {
                Valves::four_plain()
            }
            4 => Valves::four_compensating(),
            5 => Valves::five(),
            _ => return Err(ValvesFault::Count(count)),
        };
        let build = Build::Valved(valves);
        let compass = Compass::of(self.tube, &build);
        let lowest = compass.lowest_ordinary().unwrap_or(self.limits.lowest);
        let limits = self.limits.on_another_tube(lowest);
        Ok(Instrument { build, compass, limits, ..self.clone() })
    }
}
