//! How a note is played: the usual way, as a score writes it behind `@`.

use super::HintKind;
use super::row::{Part, Tell, Told, Voices, each, joined};
use crate::assist::hover::fingering::{usual_way, way_words};
use crate::brass::Way;
use crate::notation::Span;
use crate::score::player::PlayerInstrument;

/// The hint of one entry; none where the score itself says how, and none for what no way gives: a finding
/// tells of that.
pub fn hint(voices: &Voices<'_>, span: Span, tell: Tell<'_>) -> bool {
    if voices.sounding(span).any(|p| p.event.marks.choice.is_some()) {
        return true;
    }
    let label = joined(voices.sounding(span).filter_map(|p| Some(way(p)?.1.how.to_string())));
    if label.is_empty() {
        return true;
    }
    let reason = || {
        each(voices.sounding(span), |part| {
            let (held, way) = way(part)?;
            let what = way_words(&held.instrument, &way);
            Some(format!("{}, {}: {what}; the usual way.", part.player.id, part.event.sounding))
        })
    };
    tell(&Told { byte: span.end, kind: HintKind::Fingering, label, reason: &reason })
}

/// The instrument in hand and the way on it; a tube that nothing lengthens has nothing to tell.
fn way<'p>(part: &Part<'p>) -> Option<(&'p PlayerInstrument, Way)> {
    let held = part.player.instrument(part.event.played.instrument)?;
    let build = &held.instrument.build;
    if build.fingers() == 0 && build.slide().is_none() {
        return None;
    }
    Some((held, usual_way(held, &part.event)?))
}
