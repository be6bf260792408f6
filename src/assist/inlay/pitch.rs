//! Beside a concert note what the player reads, beside a written one what sounds.

use super::HintKind;
use super::row::{Part, Tell, Told, Voices, each, joined};
use crate::assist::interval_words::direction;
use crate::music::{Interval, Pitch};
use crate::notation::Span;
use crate::notation::tree::Basis;

/// The hint of one entry; none where everybody reads what sounds.
pub fn hint(voices: &Voices<'_>, span: Span, basis: Basis, tell: Tell<'_>) -> bool {
    if voices.sounding(span).all(|p| p.event.written == p.event.sounding) {
        return true;
    }
    let label = joined(voices.sounding(span).map(|p| other(p, basis).to_string()));
    let reason = || each(voices.sounding(span), |part| Some(why(part, basis)));
    tell(&Told { byte: span.end, kind: HintKind::Pitch, label, reason: &reason })
}

fn other(part: &Part<'_>, basis: Basis) -> Pitch {
    match basis {
        Basis::Concert => part.event.written,
        Basis::Written => part.event.sounding,
    }
}

fn why(part: &Part<'_>, basis: Basis) -> String {
    let (written, sounding) = (part.event.written, part.event.sounding);
    let way = direction(Interval::between(written, sounding));
    let id = &part.player.id;
    let held = part.player.instrument(part.event.played.instrument);
    let on = held.map(|i| format!(" ({})", i.label)).unwrap_or_default();
    match (written == sounding, basis) {
        (true, _) => format!("{id}{on} reads what sounds, {sounding}."),
        (false, Basis::Concert) => format!("{id}{on} reads {written}; it sounds {way}."),
        (false, Basis::Written) => format!("{id}{on} sounds {sounding}, {way} than written."),
    }
}
