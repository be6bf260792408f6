//! Trills: with the fingers, with the lips, with the attachment of a slide.

use super::build::Build;
use super::instrument::Instrument;
use super::way::{REACH, Way};

/// Semitones above the open tube's fundamental up to which one moving finger makes a clean trill: written
/// F♯5 of a trumpet. Above, harmonics lie so close that a trill may slip (a trumpet teacher's trill page).
pub const CLEAN_ABOVE_FUNDAMENTAL: i32 = 30;

/// A trill with the fingers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ValveTrill {
    pub lower: Way,
    pub upper: Way,
    pub class: TrillClass,
    /// One of the two is not the usual fingering of its note.
    pub alternate: bool,
    /// So high that the lips may slip to a neighbouring harmonic.
    pub slippery: bool,
}

/// How a trill lies in the fingers, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TrillClass {
    /// One finger moves, the harmonic stays.
    Clean,
    /// One finger moves, to a neighbouring harmonic; or fingers that move together on one harmonic.
    Uneven,
    /// Fingers change places on one harmonic.
    Exchange,
    /// Several fingers and the harmonic.
    Tangled,
}

/// The best valve trill over all fingerings of both notes (sounding); `None` without valves, or where a note
/// has no fingering or no fingers would move.
pub fn valve_trill(instrument: &Instrument, lower: i32, upper: i32) -> Option<ValveTrill> {
    valve_trill_from(instrument, lower, upper, None)
}

/// The same where the player has chosen how to hold the lower note.
pub fn valve_trill_from(
    instrument: &Instrument,
    lower: i32,
    upper: i32,
    chosen: Option<&Way>,
) -> Option<ValveTrill> {
    if !instrument.build.has_valves() {
        return None;
    }
    let usual = |midi: i32| instrument.note(midi).usual.map(|way| way.how);
    let (usual_lower, usual_upper) = (usual(lower)?, usual(upper)?);
    let slippery = lower > instrument.tube.fundamental + CLEAN_ABOVE_FUNDAMENTAL;
    let serves = |way: &&Way| !way.is_poor();
    let mut best: Option<(ValveTrill, u32)> = None;
    let lowers = chosen.map_or(instrument.ways(lower), std::slice::from_ref);
    for a in lowers.iter().filter(|way| chosen.is_some() || serves(way)) {
        for b in instrument.ways(upper).iter().filter(serves) {
            let Some(class) = class(a, b) else { continue };
            let alternate = a.how != usual_lower || b.how != usual_upper;
            let off = (a.cents.abs() + b.cents.abs()) as u32;
            let trill = ValveTrill { lower: *a, upper: *b, class, alternate, slippery };
            if best.is_none_or(|(t, o)| (class, alternate, off) < (t.class, t.alternate, o)) {
                best = Some((trill, off));
            }
        }
    }
    best.map(|(trill, _)| trill)
}

fn class(a: &Way, b: &Way) -> Option<TrillClass> {
    let fingers = |w: &Way| u16::from(w.how.digits) | u16::from(w.how.thumb) << 8;
    let (from, to) = (fingers(a), fingers(b));
    let same = a.partial == b.partial;
    Some(match ((from ^ to).count_ones(), from & !to != 0 && to & !from != 0) {
        (0, _) => return None,
        (1, _) if same => TrillClass::Clean,
        (1, _) => TrillClass::Uneven,
        (_, false) if same => TrillClass::Uneven,
        (_, true) if same => TrillClass::Exchange,
        _ => TrillClass::Tangled,
    })
}

/// Harmonics between which lips trill a tone: the lower of the two.
pub const LIP_TRILL_PARTIALS: std::ops::RangeInclusive<u16> = 7..=11;

/// A trill with the lips: one tube, two neighbouring harmonics.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LipTrill {
    /// What the fingers or the slide hold, as the way of the upper note.
    pub upper: Way,
    /// Harmonic of the lower note.
    pub lower_partial: u16,
    /// Cents by which the harmonics are farther apart than a tone.
    pub wide_cents: f64,
}

/// The best lip trill over all lengths of tube; `None` where the two notes are not a tone apart or no two
/// neighbouring harmonics hold them. A semitone is no lip trill on any instrument: harmonics that close
/// (from 16 up) are not played.
pub fn lip_trill(instrument: &Instrument, lower: i32, upper: i32) -> Option<LipTrill> {
    if upper - lower != 2 {
        return None;
    }
    let trills = instrument.ways(upper).iter().filter_map(|way| {
        let lower_partial = way.partial.checked_sub(1).filter(|p| LIP_TRILL_PARTIALS.contains(p))?;
        let off = instrument.tube.cents(lower_partial, f64::from(way.length)) - 100.0 * f64::from(lower);
        let wide_cents = f64::from(way.cents) - off;
        (off.abs() <= REACH).then_some(LipTrill { upper: *way, lower_partial, wide_cents })
    });
    trills.min_by(|a, b| a.wide_cents.abs().total_cmp(&b.wide_cents.abs()))
}

/// Centimetres between the places of two notes within which a slide need not move for a trill (estimate).
pub const SAME_PLACE_CM: f64 = 2.0;

/// A trill of a slide with its attachment: the slide stays, the thumb moves. `None` where no two ways stand
/// in one place.
pub fn attachment_trill(instrument: &Instrument, lower: i32, upper: i32) -> Option<(Way, Way)> {
    let Build::Slide(_) = instrument.build else { return None };
    let place = |way: &Way| instrument.slide_centimetres(way);
    let apart = |a: &Way, b: &Way| (place(a) - place(b)).abs();
    let pairs =
        instrument.ways(lower).iter().flat_map(|a| instrument.ways(upper).iter().map(move |b| (a, b)));
    pairs
        .filter(|(a, b)| (a.how.thumb, a.how.second) != (b.how.thumb, b.how.second))
        .filter(|(a, b)| apart(a, b) <= SAME_PLACE_CM)
        .min_by(|(a, b), (c, d)| apart(a, b).total_cmp(&apart(c, d)))
        .map(|(a, b)| (*a, *b))
}
