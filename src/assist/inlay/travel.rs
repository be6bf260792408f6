//! How far the slide goes from the note before, in the plan of the whole line.

use super::HintKind;
use super::row::{Part, Tell, Told, Voices, each, joined};
use crate::brass::plan::Lateness;
use crate::notation::Span;

/// Centimetres below which the slide stays.
const STAYS_CM: f32 = 0.5;

/// The hint of one entry; none for valves, where the slide stays, and where nothing leads on from the note before.
pub fn hint(voices: &Voices<'_>, span: Span, tell: Tell<'_>) -> bool {
    let label = joined(voices.sounding(span).filter_map(label));
    if label.is_empty() {
        return true;
    }
    let reason = || each(voices.sounding(span), why);
    tell(&Told { byte: span.end, kind: HintKind::Travel, label, reason: &reason })
}

/// Centimetres, and whether the slide goes in or out.
fn travel(part: &Part<'_>) -> Option<(f32, &'static str)> {
    let held = part.player.instrument(part.event.played.instrument)?;
    held.instrument.build.slide()?;
    let planned = part.planned.filter(|p| p.instrument == part.event.played.instrument && !p.begins())?;
    let travel = planned.step.travel_cm;
    let side = if travel < 0.0 { "in" } else { "out" };
    (travel.abs() >= STAYS_CM).then_some((travel.abs(), side))
}

fn label(part: &Part<'_>) -> Option<String> {
    let (travel, side) = travel(part)?;
    Some(format!("{travel:.0} cm {side}"))
}

fn why(part: &Part<'_>) -> Option<String> {
    let (travel, side) = travel(part)?;
    let step = part.planned?.step;
    let time = match step.late {
        _ if step.needs_seconds == 0.0 => String::new(),
        Lateness::InTime => {
            format!(", which takes {:.3} s of {:.3} s", step.needs_seconds, step.has_seconds)
        }
        Lateness::Late | Lateness::FarTooLate => {
            format!(", which takes {:.3} s and has {:.3} s: late", step.needs_seconds, step.has_seconds)
        }
    };
    Some(format!(
        "{}, {}: the slide goes {travel:.1} cm {side} from the note before{time}.",
        part.player.id, part.event.sounding
    ))
}
