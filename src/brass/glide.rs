//! Glissandos: between which notes a slide glides without a break.
//!
//! A slide glides only while lips and attachments stay: both ends lie on one harmonic of one tube. So a
//! tritone at most, a fourth with an attachment, a major third with two.

use super::build::Build;
use super::instrument::Instrument;
use super::way::Way;

/// How an instrument gets from one note to another without a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Glissando {
    /// The slide, between these two ways on one harmonic; where there are several, the shortest.
    Slide { from: Way, to: Way },
    /// No harmonic holds both ends: it breaks on the way.
    Broken,
    /// Half-pressed valves and lips: an effect, indistinct on its way.
    HalfValve,
    /// Lips alone, along the harmonics.
    Lips,
}

/// The glissando between two sounding pitches.
pub fn glissando(instrument: &Instrument, from: i32, to: i32) -> Glissando {
    match instrument.build {
        Build::Natural { .. } => Glissando::Lips,
        Build::Valved(_) | Build::Double(_) => Glissando::HalfValve,
        Build::Slide(_) => glides(instrument, from, to)
            .min_by(|a, b| travel(a).total_cmp(&travel(b)))
            .map_or(Glissando::Broken, |(from, to)| Glissando::Slide { from, to }),
    }
}

/// Every pair of ways on one harmonic with the same attachments.
pub fn glides(instrument: &Instrument, from: i32, to: i32) -> impl Iterator<Item = (Way, Way)> {
    instrument
        .ways(from)
        .iter()
        .flat_map(move |a| instrument.ways(to).iter().filter(move |b| one_tube(a, b)).map(move |b| (*a, *b)))
}

/// True if a slide glides from one to the other.
pub fn one_tube(a: &Way, b: &Way) -> bool {
    a.partial == b.partial && a.how.thumb == b.how.thumb && a.how.second == b.how.second
}

fn travel((from, to): &(Way, Way)) -> f32 {
    (from.slide - to.slide).abs()
}

/// Lowest and highest note, sounding, of one harmonic with these attachments; `None` without a slide or
/// where it has none.
pub fn span(instrument: &Instrument, thumb: bool, second: bool, partial: u16) -> Option<(i32, i32)> {
    let Build::Slide(_) = instrument.build else { return None };
    let held = |midi: &i32| {
        let on_it = |w: &Way| w.partial == partial && w.how.thumb == thumb && w.how.second == second;
        instrument.ways(*midi).iter().any(on_it)
    };
    let low = (0..=127).find(held)?;
    let high = (low..=127).take_while(held).last()?;
    Some((low, high))
}

/// The note farthest from `from` towards `to` to which the slide still glides; `from` itself if none.
pub fn farthest(instrument: &Instrument, from: i32, to: i32) -> i32 {
    farthest_on(instrument, instrument.ways(from), from, to)
}

/// The same for a note that is begun in one of these ways.
pub fn farthest_on(instrument: &Instrument, begun: &[Way], from: i32, to: i32) -> i32 {
    let glides_to = |end: &i32| {
        let ends = instrument.ways(*end);
        begun.iter().any(|a| ends.iter().any(|b| one_tube(a, b)))
    };
    if to >= from {
        (from..=to).rev().find(glides_to).unwrap_or(from)
    } else {
        (to..=from).find(glides_to).unwrap_or(from)
    }
}
