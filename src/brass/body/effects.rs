//! How far special effects go: flutter, stopping, bends, falls, shakes. All pitches sound.

use super::lips::high_mark;
use super::voice::Voice;
use crate::brass::build::Build;
use crate::brass::instrument::Instrument;
use crate::brass::kind::Kind;
use crate::brass::level::Level;

/// Seconds of flutter after which the tongue tires (estimate).
pub const FLUTTER_SECONDS: f64 = 6.0;

/// Above the first flutter is hard on a trumpet, above the second nearly impossible: written A5 and C6 (that it
/// is so: The Modern Trumpet, 2020; the pitches are estimates). `None` on other instruments.
pub fn flutter_tops(instrument: &Instrument) -> Option<(i32, i32)> {
    trumpet_open(instrument).map(|open| (open + 21, open + 24))
}

/// Between these a tuba or euphonium flutters well: not in the lowest and highest fifth of the range (Hynds, The
/// Composer's Guide to the Tuba: least effective at the extremes; the fifth is an estimate).
pub fn flutter_middle(instrument: &Instrument, low: i32, usual: i32) -> Option<(i32, i32)> {
    let fifth = (usual - low) / 5;
    matches!(Voice::of(instrument), Voice::Tuba | Voice::Euphonium).then_some((low + fifth, usual - fifth))
}

/// True where a hand reaches into the bell.
pub fn has_hand(instrument: &Instrument) -> bool {
    matches!(instrument.kind, Kind::Horn | Kind::NaturalHorn)
        || instrument.build == Build::Natural { hand: true }
}

/// Below this a horn cannot be stopped tight: written F♯3 (Hill, Extended Techniques for the Horn, 1983, from
/// memory).
pub const STOPPED_LEAST: i32 = 47;
/// Below this it is hard: written C4 (the same).
pub const STOPPED_GOOD: i32 = 53;
/// Above this it is insecure: written A5 (Boldin, The Instrumentalist 63/2, 2008).
pub const STOPPED_TOP: i32 = 74;
/// Changes between open and stopped, a second: hard, and out of reach (estimates).
pub const STOPPED_CHANGES: (f64, f64) = (4.0, 6.0);

/// The lowest open note of a trumpet, written C4, below which a fall has nowhere to go (common practice). `None`
/// on other instruments.
pub fn fall_floor(instrument: &Instrument) -> Option<i32> {
    trumpet_open(instrument)
}

/// Above this a trumpet has nothing to bend up to: written B♭5 (estimate).
pub fn doit_top(instrument: &Instrument) -> Option<i32> {
    trumpet_open(instrument).map(|open| open + 22)
}

/// Below this a shake is too wide for lips: trumpet written E5, trombone B♭3 (an arranger's blog, 2013: a shake
/// goes to the next harmonic; a page on trumpet playing: lower parts finger the trill).
pub fn shake_floor(instrument: &Instrument) -> Option<i32> {
    match instrument.kind {
        Kind::Trombone | Kind::BassTrombone => Some(58),
        _ => trumpet_open(instrument).map(|open| open + 16),
    }
}

/// Above this lips bend a note by less than a semitone (a mute maker's blog: down far more easily than up; the
/// pitch is an estimate: where playing counts as high). `None` where a slide bends it, and on natural tubes.
pub fn bend_top(instrument: &Instrument, level: Level) -> Option<i32> {
    instrument.build.has_valves().then(|| high_mark(instrument, level))
}

/// The second harmonic of a trumpet, cornet or flugelhorn with valves: written C4.
fn trumpet_open(instrument: &Instrument) -> Option<i32> {
    let trumpet = matches!(instrument.kind, Kind::Trumpet | Kind::Cornet | Kind::Flugelhorn);
    (trumpet && instrument.build.has_valves()).then_some(instrument.tube.fundamental + 12)
}
