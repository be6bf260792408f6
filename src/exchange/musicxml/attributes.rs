//! What stands at the beginning of a stave or where it changes: key, meter, clef, transposition.

use super::xml::Element;
use super::{element, text};
use crate::music::{Clef, Interval, Key, Mode};
use crate::notation::tree::Meter;

/// A key as a part shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Signature {
    Key(Key),
    /// No key, or a part without signatures.
    None,
}

pub fn key(signature: Signature) -> Element {
    let (fifths, mode) = match signature {
        Signature::Key(key) => (key.fifths(), if key.mode == Mode::Major { "major" } else { "minor" }),
        Signature::None => (0, "none"),
    };
    element("key").and(text("fifths", fifths)).and(text("mode", mode))
}

pub fn time(meter: &Meter) -> Element {
    let groups: Vec<String> = meter.groups.iter().map(u32::to_string).collect();
    element("time").and(text("beats", groups.join("+"))).and(text("beat-type", meter.beat))
}

pub fn clef(clef: Clef) -> Element {
    let (sign, line) = match clef {
        Clef::Treble => ("G", 2),
        Clef::Bass => ("F", 4),
        Clef::Tenor => ("C", 4),
        Clef::Alto => ("C", 3),
    };
    element("clef").and(text("sign", sign)).and(text("line", line))
}

/// From written to sounding, whole octaves apart.
pub fn transpose(name: &'static str, interval: Interval) -> Element {
    let octaves = interval.steps / 7;
    let out = element(name)
        .and(text("diatonic", interval.steps - 7 * octaves))
        .and(text("chromatic", interval.semitones - 12 * octaves));
    if octaves == 0 { out } else { out.and(text("octave-change", octaves)) }
}
