//! The plan for programs. Lengths are centimetres, times seconds; `null` where nothing leads to a note.

use super::Told;
use crate::brass::plan::{Joined, Lateness, Legato};
use crate::cli::report::place::columns;
use crate::rules::Desk;
use serde::Serialize;

#[derive(Serialize)]
struct Plan<'a> {
    version: u32,
    player: &'a str,
    level: &'a str,
    notes: Vec<Note<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Note<'a> {
    bar: i64,
    pass: u16,
    line: u64,
    column: usize,
    end_column: usize,
    written: String,
    sounding: String,
    instrument: &'a str,
    /// As behind `@`.
    how: Option<String>,
    partial: Option<u16>,
    /// Centimetres from first position.
    out_cm: Option<f64>,
    chosen: bool,
    joined: Option<&'static str>,
    travel_cm: Option<f64>,
    needs_seconds: Option<f64>,
    has_seconds: Option<f64>,
    late: Option<&'static str>,
    finger_moves: Option<f64>,
    slur: Option<&'static str>,
}

/// One JSON text.
pub fn text(desk: &Desk, player: usize, told: &[Told]) -> Result<String, serde_json::Error> {
    let person = desk.score().head.players.get(player);
    let plan = Plan {
        version: 1,
        player: person.map_or("", |p| p.id.as_str()),
        level: person.map_or("", |p| p.level.word()),
        notes: told.iter().filter_map(|note| of(desk, player, note)).collect(),
    };
    serde_json::to_string_pretty(&plan)
}

fn of<'d>(desk: &'d Desk, player: usize, told: &Told) -> Option<Note<'d>> {
    let planned = &told.planned;
    let step = &planned.step;
    let held = planned.held(desk, player)?;
    let slides = held.instrument.build.slide().is_some();
    let text = desk.document().lines().get(planned.line as usize).map_or("", |line| &*line.text);
    let (column, end_column) = columns(text, planned.span);
    let led = !planned.begins() && step.way.is_some();
    let slid = led && slides;
    Some(Note {
        bar: told.bar,
        pass: planned.pass,
        line: u64::from(planned.line) + 1,
        column,
        end_column,
        written: told.written.to_string(),
        sounding: told.sounding.to_string(),
        instrument: &held.label,
        how: step.way.map(|way| way.how.to_string()),
        partial: step.way.map(|way| way.partial),
        out_cm: step.way.filter(|_| slides).map(|way| rounded(held.instrument.slide_centimetres(&way))),
        chosen: planned.chosen,
        joined: match planned.note.joined {
            Joined::Afresh => None,
            Joined::Tongued => Some("tongued"),
            Joined::Slurred => Some("slurred"),
            Joined::Glides => Some("glissando"),
        },
        travel_cm: slid.then(|| rounded(f64::from(step.travel_cm))),
        needs_seconds: slid.then(|| rounded(f64::from(step.needs_seconds))),
        has_seconds: led.then(|| rounded(f64::from(step.has_seconds))),
        late: match step.late {
            Lateness::InTime => None,
            Lateness::Late => Some("late"),
            Lateness::FarTooLate => Some("far-too-late"),
        },
        finger_moves: (led && !slides).then(|| rounded(f64::from(step.finger_moves))),
        slur: match step.legato {
            Legato::Lips => Some("lips"),
            Legato::AgainstTheSlide => Some("against-the-slide"),
            Legato::Valve => Some("valve"),
            Legato::Tongued | Legato::Same => Some("soft-tongue"),
            Legato::Glide | Legato::None => None,
        },
    })
}

/// To the thousandth.
fn rounded(number: f64) -> f64 {
    (number * 1000.0).round() / 1000.0
}
