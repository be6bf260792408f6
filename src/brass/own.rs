//! Instruments that a score declares for itself.

use super::build::Build;
use super::compass::Compass;
use super::instrument::{Instrument, Plan};
use super::kind::{Bore, Kind};
use super::limits::{Limits, LimitsByLevel};
use super::mute::{Mute, Mutes};
use super::register::{Register, own_reading};
use super::slide::Slide;
use super::tube::Tube;
use super::valves::{MOST_VALVES, Valves};
use crate::music::{Clef, Interval, Pitch};
use std::fmt;

/// How it changes its length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OwnKind {
    Valved,
    Slide,
    Natural,
}

/// What a score says of it; all pitches sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnInstrument<'a> {
    pub name: &'a str,
    pub kind: OwnKind,
    /// Harmonic 1 of the open tube.
    pub fundamental: Option<Pitch>,
    /// `in KEY`, its register word; without it the part is at concert pitch.
    pub read_in: Option<(Pitch, Option<Register>)>,
    /// Semitones that each finger's valve adds; without it 2 1 3.
    pub valves: Option<&'a [u8]>,
    /// Lowest and highest note; without it from the lowest note above the pedals to harmonic 12.
    pub range: Option<(Pitch, Pitch)>,
    /// Without it the range less three semitones at the top.
    pub comfortable: Option<(Pitch, Pitch)>,
}

/// What is wrong with the declaration.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OwnFault {
    NoFundamental,
    /// A tube of under 30 cm or over 12 m.
    Fundamental(Pitch),
    /// `valves` on a slide or a natural tube.
    ValvesWithoutFingers,
    /// More than seven, or none.
    ValveCount(usize),
    /// Which valve (from 1) adds nothing, or more than an octave.
    Valve {
        which: usize,
        semitones: u8,
    },
    /// The first pitch lies above the second.
    RangeUpsideDown,
    ComfortableUpsideDown,
    ComfortableOutsideRange,
}

/// Semitones between the highest note and the highest comfortable one, where a score does not say (estimate).
const COMFORT: i32 = 3;

/// Harmonic of the open tube taken as the highest note where a score does not say (estimate).
const TOP_HARMONIC: u16 = 12;

impl OwnInstrument<'_> {
    /// Works it out. Every level has the same limits.
    pub fn build(&self) -> Result<Instrument, OwnFault> {
        let fundamental = self.fundamental.ok_or(OwnFault::NoFundamental)?;
        let tube = Tube::new(fundamental);
        if !(30.0..=1200.0).contains(&tube.centimetres()) {
            return Err(OwnFault::Fundamental(fundamental));
        }
        let build = self.lengthening()?;
        let (reads, clef) = match self.read_in {
            Some((key, register)) => (own_reading(key, register), Clef::Treble),
            None if fundamental.midi() < 45 => (Interval::UNISON, Clef::Bass),
            None => (Interval::UNISON, Clef::Treble),
        };
        let mutes = Mute::ALL.into_iter().filter(|mute| *mute != Mute::Stopping).collect::<Mutes>();
        Ok(Instrument::from(Plan {
            name: self.name.to_owned(),
            kind: Kind::Own,
            bore: Bore::Mixed,
            clef,
            reads,
            tube,
            build,
            mutes,
            limits: self.limits(tube, &build)?,
        }))
    }

    fn lengthening(&self) -> Result<Build, OwnFault> {
        match (self.kind, self.valves) {
            (OwnKind::Valved, None) => Ok(Build::Valved(Valves::three())),
            (OwnKind::Valved, Some(semitones)) => {
                if !(1..=MOST_VALVES).contains(&semitones.len()) {
                    return Err(OwnFault::ValveCount(semitones.len()));
                }
                if let Some((which, bad)) = (1..).zip(semitones).find(|(_, s)| !(1..=12).contains(*s)) {
                    return Err(OwnFault::Valve { which, semitones: *bad });
                }
                let exact: Vec<f64> = semitones.iter().map(|s| f64::from(*s)).collect();
                Ok(Build::Valved(Valves::exact(&exact)))
            }
            (_, Some(_)) => Err(OwnFault::ValvesWithoutFingers),
            (OwnKind::Slide, None) => Ok(Build::Slide(Slide::straight())),
            (OwnKind::Natural, None) => Ok(Build::Natural { hand: false }),
        }
    }

    fn limits(&self, tube: Tube, build: &Build) -> Result<LimitsByLevel, OwnFault> {
        let (low, high) = match self.range {
            Some((low, high)) => (low.midi(), high.midi()),
            None => {
                let lowest = Compass::of(tube, build).lowest_ordinary().unwrap_or(tube.fundamental);
                (lowest, tube.harmonic(TOP_HARMONIC).midi)
            }
        };
        if low > high {
            return Err(OwnFault::RangeUpsideDown);
        }
        let comfortable = match self.comfortable {
            Some((from, to)) if from.midi() > to.midi() => return Err(OwnFault::ComfortableUpsideDown),
            Some((from, to)) if from.midi() < low || to.midi() > high => {
                return Err(OwnFault::ComfortableOutsideRange);
            }
            Some((_, to)) => to.midi(),
            None => (high - COMFORT).max(low),
        };
        let limits = Limits { low, comfortable, usual: high, reach: high, pedal_low: None };
        Ok(LimitsByLevel::new(low, [limits; 3]))
    }
}

impl fmt::Display for OwnFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            OwnFault::NoFundamental => f.write_str(
                "an instrument of your own needs `fundamental` and a pitch: the lowest harmonic of its open tube, as it sounds",
            ),
            OwnFault::Fundamental(pitch) => write!(
                f,
                "a tube that sounds {pitch} as its fundamental would be {:.0} cm long; brass is between 30 cm and 12 m",
                Tube::new(*pitch).centimetres()
            ),
            OwnFault::ValvesWithoutFingers => f.write_str("only a `valved` instrument has `valves`"),
            OwnFault::ValveCount(count) => write!(f, "one to seven valves, one number each; here are {count}"),
            OwnFault::Valve { which, semitones } => {
                write!(f, "valve {which} lowers by {semitones} semitones; a valve lowers by 1 to 12")
            }
            OwnFault::RangeUpsideDown => f.write_str("the range is written from its lowest note to its highest"),
            OwnFault::ComfortableUpsideDown => {
                f.write_str("`comfortable` is written from its lowest note to its highest")
            }
            OwnFault::ComfortableOutsideRange => f.write_str("`comfortable` reaches beyond `range`"),
        }
    }
}
