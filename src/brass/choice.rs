//! Does the fingering or position a player chose hold the note?

use super::build::{Build, thumb_side};
use super::compass::Nature;
use super::how::How;
use super::instrument::Instrument;
use super::slide::Slide;
use super::tube::{Tube, cents_of};
use super::way::{REACH, WEAK_REACH, Way};

/// The judgement on a chosen fingering or position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// It holds the note; how far off, the way says.
    Holds(Way),
    /// It exists, but its nearest harmonic is another note.
    Gives(Other),
    /// No such valve on this instrument; it has so many.
    NoValve { wanted: u8, valves: u8 },
    /// No thumb valve, no first attachment.
    NoThumb,
    /// No second attachment, or not without the first.
    NoSecond,
    /// A slide stands in one position from 1 to `last`.
    NoPosition { last: u8 },
}

/// The harmonic nearest to the wanted note.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Other {
    pub partial: u16,
    /// Sounding pitch, C4 = 60.
    pub midi: i32,
    /// Cents above that pitch.
    pub cents: f32,
    /// Cents above the pitch that was wanted.
    pub off: f32,
}

/// Judges a choice for a sounding pitch, C4 = 60.
pub fn check(instrument: &Instrument, how: How, midi: i32) -> Verdict {
    // The one note that has nothing better is played further off.
    let weak = instrument.note(midi).nature == Nature::Weak;
    let within = if weak { WEAK_REACH } else { REACH };
    match &instrument.build {
        Build::Slide(slide) => check_slide(instrument.tube, slide, how, midi),
        _ if how.second => Verdict::NoSecond,
        Build::Natural { .. } if how.thumb => Verdict::NoThumb,
        Build::Natural { .. } => check_valves(instrument.tube, how, midi, 0, 1.0, within),
        Build::Valved(_) if how.thumb => Verdict::NoThumb,
        Build::Valved(valves) => {
            check_valves(instrument.tube, how, midi, valves.count(), valves.length(how.digits), within)
        }
        Build::Double(valves) => {
            let side = if how.thumb { thumb_side() } else { 1.0 };
            check_valves(instrument.tube, how, midi, valves.count(), side * valves.length(how.digits), within)
        }
    }
}

fn check_valves(tube: Tube, how: How, midi: i32, valves: u8, length: f64, within: f64) -> Verdict {
    let wanted = 8 - how.digits.leading_zeros() as u8;
    if wanted > valves {
        return Verdict::NoValve { wanted, valves };
    }
    let (partial, off) = nearest_harmonic(tube, length, midi);
    if off.abs() > within {
        return Verdict::Gives(other(partial, off, midi));
    }
    Verdict::Holds(Way { how, partial, cents: off as f32, length: length as f32, slide: 0.0, position: 0.0 })
}

fn check_slide(tube: Tube, slide: &Slide, how: How, midi: i32) -> Verdict {
    if how.thumb && slide.behind(true, false).is_none() {
        return Verdict::NoThumb;
    }
    let Some(behind) = slide.behind(how.thumb, how.second) else { return Verdict::NoSecond };
    let last = slide.last(behind);
    let Some(position) = how.position().filter(|p| *p <= last) else { return Verdict::NoPosition { last } };
    let length = behind + Slide::at(behind, f64::from(position));
    let (partial, off) = nearest_harmonic(tube, length, midi);
    if off.abs() > REACH {
        return Verdict::Gives(other(partial, off, midi));
    }
    // The ear moves the slide to where the note is in tune, if there is room.
    let exact = length * (off / 1200.0).exp2();
    let out = (exact - behind).clamp(0.0, slide.end());
    let way = Way {
        how,
        partial,
        cents: (off - cents_of((behind + out) / length)) as f32,
        length: (behind + out) as f32,
        slide: out as f32,
        position: Slide::position(behind, out) as f32,
    };
    Verdict::Holds(way)
}

fn nearest_harmonic(tube: Tube, length: f64, midi: i32) -> (u16, f64) {
    let wanted = 100.0 * f64::from(midi);
    let guess = ((wanted - tube.cents(1, length)) / 1200.0).exp2().round().clamp(1.0, 4096.0) as u16;
    let off = |partial: u16| tube.cents(partial, length) - wanted;
    let best =
        (guess.saturating_sub(1).max(1)..=guess + 1).min_by(|a, b| off(*a).abs().total_cmp(&off(*b).abs()));
    let partial = best.unwrap_or(guess);
    (partial, off(partial))
}

fn other(partial: u16, off: f64, wanted: i32) -> Other {
    let away = (off / 100.0).round();
    Other { partial, midi: wanted + away as i32, cents: (off - 100.0 * away) as f32, off: off as f32 }
}
