//! Dynamics as steps of breath, and where in the range they can be had.
//!
//! Threshold pressure rises about in proportion to frequency (Fletcher & Tarnopolsky, J. Acoust. Soc. Am. 105,
//! 874-881, 1999; abstract), so soft high notes are unstable; the tube gives little power at its low end (a
//! studio tubist's workshop report, 2014: a D below the staff is far weaker than the octave above; horn
//! players: the low octave is easily covered). The pitches are estimates.

use super::lips::high_mark;
use super::voice::Voice;
use crate::brass::build::Build;
use crate::brass::instrument::Instrument;
use crate::brass::kind::Kind;
use crate::brass::level::Level;
use crate::music::Dynamic;

/// How hard a player blows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Loudness {
    /// And softer.
    Pp,
    P,
    /// mp and mf; also where nothing is written.
    Mf,
    F,
    Ff,
    /// And louder.
    Fff,
}

impl Loudness {
    /// All of them, softest first.
    pub const ALL: [Loudness; 6] =
        [Loudness::Pp, Loudness::P, Loudness::Mf, Loudness::F, Loudness::Ff, Loudness::Fff];

    /// The step of a dynamic; accents that are dynamics count as f.
    pub fn of(dynamic: Option<Dynamic>) -> Loudness {
        match dynamic {
            Some(Dynamic::Pppp | Dynamic::Ppp | Dynamic::Pp) => Loudness::Pp,
            Some(Dynamic::P) => Loudness::P,
            Some(Dynamic::Mp | Dynamic::Mf) | None => Loudness::Mf,
            Some(
                Dynamic::F
                | Dynamic::Fp
                | Dynamic::Sfp
                | Dynamic::Sf
                | Dynamic::Sfz
                | Dynamic::Fz
                | Dynamic::Rfz,
            ) => Loudness::F,
            Some(Dynamic::Ff) => Loudness::Ff,
            Some(Dynamic::Fff | Dynamic::Ffff) => Loudness::Fff,
        }
    }
}

/// How soft: 1 at p, 2 at pp, 3 at ppp and softer; 0 for anything louder or unknown.
pub fn softness(dynamic: Option<Dynamic>) -> u8 {
    match dynamic {
        Some(Dynamic::P) => 1,
        Some(Dynamic::Pp) => 2,
        Some(Dynamic::Ppp | Dynamic::Pppp) => 3,
        _ => 0,
    }
}

/// Semitones by which an amateur horn player's mark of soft notes lies below the mark of tiring ones: D5 and
/// not F5, written (estimate).
const AMATEUR_HORN_LESS: i32 = 3;

/// The sounding pitch above which soft notes are unstable: on B♭ trumpet written G5, on horn F5 (amateurs D5),
/// on trombone and euphonium F4, on E♭ tuba B♭3; school players' comfortable top (estimates). `None` on natural
/// tubes, of which nobody says it.
pub fn soft_mark(instrument: &Instrument, level: Level) -> Option<i32> {
    let less = match (Voice::of(instrument), level) {
        (Voice::Horn, Level::Amateur) => AMATEUR_HORN_LESS,
        _ => 0,
    };
    let natural = matches!(instrument.build, Build::Natural { .. });
    (!natural).then(|| high_mark(instrument, level) - less)
}

/// Softness from which a high note is more than worth knowing: pp, for professionals ppp (estimates).
pub fn unstable_softness(level: Level) -> u8 {
    if level == Level::Professional { 3 } else { 2 }
}

/// The sounding pitch below which the tube gives little power, however hard it is blown: on trumpets and
/// cornets written C4, the second harmonic; on horn G3 (professionals E3); on trombone G2; on euphonium and
/// baritone B♭2; on bass tubas B♭1, on contrabass tubas F1 (estimates). `None` where nobody says.
pub fn loud_mark(instrument: &Instrument, level: Level) -> Option<i32> {
    let open = instrument.tube.fundamental;
    match instrument.kind {
        Kind::Trumpet | Kind::Cornet | Kind::Flugelhorn if instrument.build.has_valves() => Some(open + 12),
        Kind::Horn if level == Level::Professional => Some(45),
        Kind::Horn => Some(48),
        Kind::Trombone => Some(open + 9),
        Kind::Euphonium | Kind::Baritone => Some(open + 12),
        Kind::Tuba if open <= 24 => Some(29),
        Kind::Tuba => Some(34),
        _ => None,
    }
}
