//! Every way to play a note: each state of the tube, each of its harmonics near enough.

use super::build::{Build, thumb_side};
use super::how::How;
use super::slide::{LIP_AT_END, Slide};
use super::tube::{Tube, cents_of};
use super::valves::Valves;

/// Cents off within which a note is played as a matter of course.
pub const REACH: f64 = 60.0;

/// Cents off up to which it is still played, with a warning.
pub const WEAK_REACH: f64 = 80.0;

/// Highest harmonic looked for with anything but the open tube.
const HIGHEST: u16 = 20;

/// One way to play a note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    /// Valves, slide position, attachments.
    pub how: How,
    /// Harmonic, 1 for the fundamental.
    pub partial: u16,
    /// Cents above the wanted equal-tempered pitch, all valves exact in tune alone and the slide where it is
    /// best; negative is flat.
    pub cents: f32,
    /// Length of the tube, 1 for the open one.
    pub length: f32,
    /// Share of that which the slide adds; 0 without a slide.
    pub slide: f32,
    /// Slide position, 1 to 7 and fractions, counted on the tube behind the slide; 0 without a slide.
    pub position: f32,
}

impl Way {
    /// Harmonics 7, 11, 13, 14: too far off for anything but a slide that corrects them.
    pub fn is_poor(&self) -> bool {
        matches!(self.partial, 7 | 11 | 13 | 14)
    }

    /// The fundamental of its tube.
    pub fn is_pedal(&self) -> bool {
        self.partial == 1
    }

    /// Further off than players call in tune, near enough to be played.
    pub fn is_weak(&self) -> bool {
        f64::from(self.cents.abs()) > REACH
    }
}

/// Every way within [`WEAK_REACH`], in no order that matters.
pub fn ways(tube: Tube, build: &Build, midi: i32) -> Vec<Way> {
    let mut found = Vec::new();
    match build {
        Build::Natural { .. } => {
            harmonics_near(tube, 1.0, midi, |partial, cents| {
                found.push(valve_way(How::OPEN, partial, cents, 1.0))
            });
            // A natural tube has no other state to fall back on: a harmonic stands for its own note only.
            found.retain(|way| !way.is_weak());
        }
        Build::Valved(valves) => fingerings(tube, valves, 1.0, false, midi, &mut found),
        Build::Double(valves) => {
            fingerings(tube, valves, 1.0, false, midi, &mut found);
            fingerings(tube, valves, thumb_side(), true, midi, &mut found);
        }
        Build::Slide(slide) => positions(tube, slide, midi, &mut found),
    }
    found
}

fn valve_way(how: How, partial: u16, cents: f64, length: f64) -> Way {
    Way { how, partial, cents: cents as f32, length: length as f32, slide: 0.0, position: 0.0 }
}

fn fingerings(tube: Tube, valves: &Valves, side: f64, thumb: bool, midi: i32, found: &mut Vec<Way>) {
    for digits in 0..=valves.all() {
        let length = side * valves.length(digits);
        harmonics_near(tube, length, midi, |partial, cents| {
            if partial <= HIGHEST || digits == 0 {
                found.push(valve_way(How::new(thumb, false, digits), partial, cents, length));
            }
        });
    }
}

/// Calls back with every harmonic of the lengthened tube within [`WEAK_REACH`] of the pitch.
fn harmonics_near(tube: Tube, length: f64, midi: i32, mut found: impl FnMut(u16, f64)) {
    let wanted = 100.0 * f64::from(midi);
    let guess = ((wanted - tube.cents(1, length)) / 1200.0).exp2().round().clamp(1.0, 4096.0) as u16;
    for partial in guess.saturating_sub(1).max(1)..=guess + 1 {
        let cents = tube.cents(partial, length) - wanted;
        if cents.abs() <= WEAK_REACH {
            found(partial, cents);
        }
    }
}

fn positions(tube: Tube, slide: &Slide, midi: i32, found: &mut Vec<Way>) {
    let wanted = 100.0 * f64::from(midi);
    let mut beyond = None;
    for (how, behind) in slide.attachments() {
        let last = slide.last(behind);
        let lowest = tube.cents(1, behind + slide.end()) - LIP_AT_END;
        let highest = ((wanted - lowest) / 1200.0).exp2().clamp(0.0, 4096.0) as u16;
        // Downwards from the longest tube that serves, until the slide would have to be shorter than in.
        for partial in (1..=highest).rev() {
            let needed = (tube.cents(partial, 1.0) - wanted) / 1200.0;
            let (out, cents) = match needed.exp2() - behind {
                // In first position nothing can be drawn in further: the note stays flat.
                out if out < 0.0 => (0.0, tube.cents(partial, behind) - wanted),
                out if out > slide.end() => (slide.end(), tube.cents(partial, behind + slide.end()) - wanted),
                out => (out, 0.0),
            };
            if cents < -REACH {
                break;
            }
            let length = behind + out;
            let exact = Slide::position(behind, out);
            let way = Way {
                how: how.at_position((exact.round() as u8).clamp(1, last)),
                partial,
                cents: cents as f32,
                length: length as f32,
                slide: out as f32,
                position: exact as f32,
            };
            if partial > HIGHEST {
                if how == How::OPEN {
                    beyond = Some(way);
                }
            } else if !way.is_poor() || exact <= f64::from(last) {
                found.push(way);
            }
        }
    }
    if found.is_empty() {
        found.extend(beyond);
    }
}

/// Semitones of slide travel of the open tube to which this share belongs: where the hand is, whatever
/// attachment is down.
pub fn open_position(slide: f64) -> f64 {
    1.0 + cents_of(1.0 + slide) / 100.0
}
