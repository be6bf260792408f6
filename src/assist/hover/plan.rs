//! What the plan of the whole line makes of a note, and where the hand goes next.

use super::Asked;
use super::fingering::how_words;
use super::telling::Telling;
use crate::assist::sounding::{Seat, events};
use crate::brass::plan::{Lateness, Legato, Step};
use crate::rules::line_plan::{PlannedNote, of_note};
use crate::score::event::{Event, EventKind};

/// Adds how the note is played among its neighbours; nothing for a tube that nothing lengthens.
pub fn told(asked: Asked<'_>, at: Seat, event: &Event, telling: &mut Telling) {
    if event.kind != EventKind::Note || at.seat > 0 {
        return;
    }
    let Some((here, next)) = of_note(asked.desk, at.player, at.block, event) else { return };
    let Some(held) = here.held(asked.desk, at.player) else { return };
    let tube = &*held.instrument;
    let slides = tube.build.slide().is_some();
    let Some(way) = here.step.way.filter(|_| slides || tube.build.has_valves()) else { return };
    let marked = if here.chosen { ", as marked" } else { "" };
    telling.fact("In the plan", format!("{} (@{}){marked}", how_words(tube, &way), way.how));
    let then = next.and_then(|next| {
        let to = next.step.way?;
        let go = if slides { slide_words(&next.step) } else { finger_words(&next.step) };
        let name = name(asked, at, &next)?;
        Some(format!("{name}, {} (@{}): {go}{}", how_words(tube, &to), to.how, slur_words(&next.step)))
    });
    telling.fact("Then", then.unwrap_or_default());
}

/// The note as its player reads it.
fn name(asked: Asked<'_>, at: Seat, note: &PlannedNote) -> Option<String> {
    let all = events(asked.desk, Seat { block: note.block, ..at });
    let event = note.event(asked.desk, &all)?;
    Some(note.written(asked.desk, at.player, event)?.to_string())
}

/// `the slide goes 27.8 cm out, which takes 0.134 s of 0.500 s`.
fn slide_words(step: &Step) -> String {
    let side = if step.travel_cm < 0.0 { "in" } else { "out" };
    let way = step.travel_cm.abs();
    if way < 0.05 {
        return "the slide stays".to_owned();
    }
    let time = match step.late {
        _ if step.needs_seconds == 0.0 => String::new(),
        Lateness::InTime => {
            format!(", which takes {:.3} s of {:.3} s", step.needs_seconds, step.has_seconds)
        }
        Lateness::Late | Lateness::FarTooLate => {
            format!(", which takes {:.3} s and has {:.3} s: late", step.needs_seconds, step.has_seconds)
        }
    };
    format!("the slide goes {way:.1} cm {side}{time}")
}

fn finger_words(step: &Step) -> String {
    match step.finger_moves {
        0.0 => "the fingers stay".to_owned(),
        1.0 => "one finger moves".to_owned(),
        moves => format!("{moves} finger moves"),
    }
}

fn slur_words(step: &Step) -> &'static str {
    match step.legato {
        Legato::Lips => "; a natural slur, by the lips",
        Legato::AgainstTheSlide => "; a natural slur, against the slide",
        Legato::Valve => "; a natural slur, by the valve",
        Legato::Tongued => "; slurred with a soft tongue",
        Legato::Glide | Legato::Same | Legato::None => "",
    }
}
