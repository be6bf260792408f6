//! How a note is played: as the plan of the whole line has it, written as a score writes it behind `@`. A tie
//! sign before it marks a slur to it that needs no tongue. Where nothing is planned, for want of a tempo, it
//! is the usual way.

use super::HintKind;
use super::row::{Part, Tell, Told, Voices, each, joined};
use crate::assist::hover::fingering::{how_words, usual_way, way_words};
use crate::brass::Way;
use crate::brass::plan::Legato;
use crate::notation::Span;
use crate::score::player::PlayerInstrument;

/// Marks a natural slur to the note.
const NATURAL: char = '‿';

/// The hint of one entry; none where the score itself says how, and none for what no way gives: a finding
/// tells of that.
pub fn hint(voices: &Voices<'_>, span: Span, tell: Tell<'_>) -> bool {
    if voices.sounding(span).any(|p| p.event.marks.choice.is_some()) {
        return true;
    }
    let label = joined(voices.sounding(span).filter_map(label));
    if label.is_empty() {
        return true;
    }
    let reason = || each(voices.sounding(span), why);
    tell(&Told { byte: span.end, kind: HintKind::Fingering, label, reason: &reason })
}

fn label(part: &Part<'_>) -> Option<String> {
    let (held, way) = way(part)?;
    let tie = if natural(part, held).is_some() { String::from(NATURAL) } else { String::new() };
    Some(format!("{tie}{}", way.how))
}

fn why(part: &Part<'_>) -> Option<String> {
    let (held, way) = way(part)?;
    let tube = &held.instrument;
    let usual = usual_way(held, &part.event).filter(|usual| *usual != way);
    let why = match (part.planned, usual) {
        (None, _) => "; the usual way".to_owned(),
        (Some(_), None) => "; the usual way, and that of the plan".to_owned(),
        (Some(_), Some(usual)) => {
            format!("; so the plan of the line has it, alone it is usually {}", how_words(tube, &usual))
        }
    };
    let slur = natural(part, held).unwrap_or_default();
    Some(format!("{}, {}: {}{why}{slur}.", part.player.id, part.event.sounding, way_words(tube, &way)))
}

/// The instrument in hand and the way on it; a tube that nothing lengthens has nothing to tell.
fn way<'p>(part: &Part<'p>) -> Option<(&'p PlayerInstrument, Way)> {
    let held = part.player.instrument(part.event.played.instrument)?;
    let build = &held.instrument.build;
    if build.fingers() == 0 && build.slide().is_none() {
        return None;
    }
    let planned = part.planned.filter(|p| p.instrument == part.event.played.instrument);
    Some((held, planned.and_then(|p| p.step.way).or_else(|| usual_way(held, &part.event))?))
}

/// How a slur to the note needs no tongue, where that is not a matter of course: on a slide.
fn natural(part: &Part<'_>, held: &PlayerInstrument) -> Option<&'static str> {
    held.instrument.build.slide()?;
    match part.planned?.step.legato {
        Legato::Lips => Some("; a natural slur leads to it, by the lips"),
        Legato::AgainstTheSlide => Some("; a natural slur leads to it, against the slide"),
        Legato::Valve => Some("; a natural slur leads to it, by the valve"),
        Legato::Tongued | Legato::Glide | Legato::Same | Legato::None => None,
    }
}
