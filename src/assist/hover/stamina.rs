//! How much air a player has as a note begins, drawn and in words, and how long the lips have been at work.
//!
//! One sign a quarter of a litre, empty to full: `=` what is left when the note ends, `-` what it takes,
//! `.` what is used up before it.

use super::Asked;
use super::telling::Telling;
use crate::assist::sounding::Seat;
use crate::brass::Level;
use crate::rules::stamina::{Stamina, at_note};
use crate::score::event::{Event, EventKind};

/// Signs drawn for a litre.
const SIGNS_A_LITRE: f64 = 4.0;
/// Most signs drawn.
const MOST: f64 = 80.0;
/// Litres below which nothing is told.
const LEAST: f64 = 0.05;
/// Seconds below which two passes are told as one.
const SAME_SECONDS: f64 = 0.5;

/// Adds air and lips; nothing where no tempo tells how long anything lasts, and nothing for a part that
/// several read.
pub fn told(asked: Asked<'_>, at: Seat, event: &Event, telling: &mut Telling) {
    let Some(player) = asked.score().head.players.get(at.player).filter(|p| p.seats <= 1) else { return };
    if event.kind != EventKind::Note {
        return;
    }
    let passes = at_note(asked.desk, at.player, at.block, event);
    let Some(first) = passes.first() else { return };
    telling.fact("Since a breath", breath_words(first));
    telling.fact("Air", air_words(first));
    telling.fact("Since a rest", rest_words(first, player.level));
    telling.drawn(drawn(first));
    for later in passes.iter().skip(1).filter(|later| harder(first, later)) {
        telling.fact(
            format!("Pass {}", later.pass),
            format!(
                "{}; {} since a breath, {} since a rest",
                air_words(later),
                seconds(later.air.since_breath_seconds),
                seconds(later.since_rest_seconds)
            ),
        );
    }
}

fn harder(first: &Stamina, later: &Stamina) -> bool {
    later.air.litres < first.air.litres - LEAST
        || later.since_rest_seconds > first.since_rest_seconds + SAME_SECONDS
}

fn seconds(seconds: f64) -> String {
    format!("{seconds:.1} s")
}

fn breath_words(stamina: &Stamina) -> String {
    match stamina.air.since_breath_seconds {
        0.0 => "a breath goes before it".to_owned(),
        since => format!("{} of playing", seconds(since)),
    }
}

/// `2.3 of 4 L left, and this note takes 0.7 L (estimates)`.
fn air_words(stamina: &Stamina) -> String {
    let full = stamina.full_litres;
    let takes = stamina.air.takes_litres;
    let takes = match has(stamina) - takes {
        left if left < -LEAST => format!("this note takes {takes:.1} L, {:.1} L more than there is", -left),
        _ => format!("this note takes {takes:.1} L"),
    };
    if stamina.air.litres > LEAST {
        return format!("{:.1} of {full} L left, and {takes} (estimates)", stamina.air.litres);
    }
    format!(
        "none left as written; {:.1} of {full} L with breaths taken between tongued notes, and {takes} (estimates)",
        has(stamina)
    )
}

/// Where the text leaves no air, the player has breathed by choice.
fn has(stamina: &Stamina) -> f64 {
    let air = &stamina.air;
    let litres = if air.litres > LEAST { air.litres } else { air.by_choice_litres };
    litres.clamp(0.0, stamina.full_litres)
}

fn rest_words(stamina: &Stamina, level: Level) -> String {
    let Stamina { since_rest_seconds: since, weighs_seconds: weighs, lips_seconds, rest_seconds, .. } =
        *stamina;
    if since <= 0.0 {
        return format!("the lips have had {rest_seconds} s or more");
    }
    let weighs = if weighs > since + SAME_SECONDS {
        format!(", as heavy as {}", seconds(weighs))
    } else {
        String::new()
    };
    let who = match level {
        Level::School => "a school player",
        Level::Amateur => "an amateur",
        Level::Professional => "a professional",
    };
    format!(
        "{} of playing{weighs}, without {rest_seconds} s for the lips; {who} can be asked for {lips_seconds:.0} s here (an estimate)",
        seconds(since)
    )
}

fn drawn(stamina: &Stamina) -> String {
    let a_litre = SIGNS_A_LITRE.min(MOST / stamina.full_litres.max(LEAST));
    let signs = |litres: f64| (litres * a_litre).round() as usize;
    let all = signs(stamina.full_litres);
    let at_begin = signs(has(stamina)).min(all);
    // The note takes a sign at least.
    let at_end = signs((has(stamina) - stamina.air.takes_litres).max(0.0)).min(at_begin.saturating_sub(1));
    format!(
        "0 L {}{}{} {} L",
        "=".repeat(at_end),
        "-".repeat(at_begin - at_end),
        ".".repeat(all - at_begin),
        stamina.full_litres
    )
}
