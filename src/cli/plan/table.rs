//! The plan for people: one line a note, a heading for each bar.

use super::Told;
use crate::brass::plan::{Joined, Lateness, Legato, Step};
use crate::cli::out::Out;
use crate::rules::Desk;
use crate::score::player::PlayerInstrument;

/// Writes it.
pub fn write(out: &mut Out, desk: &Desk, player: usize, told: &[Told]) {
    let Some(person) = desk.score().head.players.get(player) else { return };
    let label = person.instruments.first().map_or("no instrument", |i| i.label.as_str());
    out.line(&format!("{}, {label}, level {}", person.id, person.level.word()));
    if told.is_empty() {
        out.line("Nothing to plan: no note here has a tempo and an instrument whose tube can be lengthened.");
        return;
    }
    let mut heading = None;
    let mut instrument = 0;
    for note in told {
        let Some(held) = note.planned.held(desk, player) else { continue };
        if note.planned.instrument != instrument {
            instrument = note.planned.instrument;
            out.line(&format!("\non {}", held.label));
            heading = None;
        }
        let here = Some((note.bar, note.planned.pass));
        if heading != here {
            heading = here;
            let pass =
                if note.planned.pass > 1 { format!(", pass {}", note.planned.pass) } else { String::new() };
            out.line(&format!("\nbar {}{pass}", note.bar));
        }
        out.line(line(note, held).trim_end());
    }
    out.line("");
    out.line(&summary(told, desk, player));
}

fn line(note: &Told, held: &PlayerInstrument) -> String {
    let step = &note.planned.step;
    let how = step.way.map_or("none".to_owned(), |way| way.how.to_string());
    let marked = if note.planned.chosen { "@" } else { " " };
    let slides = held.instrument.build.slide().is_some();
    let go = match (note.planned.begins() || step.way.is_none(), slides) {
        (true, _) => String::new(),
        (false, true) => slide(step),
        (false, false) => fingers(step),
    };
    let slur = slur(step, note.planned.note.joined);
    let gap = if go.is_empty() || slur.is_empty() { "" } else { "; " };
    format!("  {:<5} {marked}{how:<5} {go}{gap}{slur}", note.written.to_string())
}

/// `27.8 cm out, takes 0.134 s of 0.500`.
fn slide(step: &Step) -> String {
    let way = step.travel_cm.abs();
    if way < 0.05 {
        return "stays".to_owned();
    }
    let side = if step.travel_cm < 0.0 { "in" } else { "out" };
    let time = match step.late {
        _ if step.needs_seconds == 0.0 => String::new(),
        Lateness::InTime => format!(", takes {:.3} s of {:.3} s", step.needs_seconds, step.has_seconds),
        Lateness::Late => {
            format!(", LATE: takes {:.3} s and has {:.3} s", step.needs_seconds, step.has_seconds)
        }
        Lateness::FarTooLate => {
            format!(", FAR TOO LATE: takes {:.3} s and has {:.3} s", step.needs_seconds, step.has_seconds)
        }
    };
    let jump = if step.jumps { ", a jump" } else { "" };
    format!("{way:>4.1} cm {side}{time}{jump}")
}

fn fingers(step: &Step) -> String {
    match step.finger_moves {
        0.0 => "stay".to_owned(),
        1.0 => "1 move".to_owned(),
        moves => format!("{moves} moves"),
    }
}

fn slur(step: &Step, joined: Joined) -> &'static str {
    match (step.legato, joined) {
        (Legato::Lips, _) => "natural slur, by the lips",
        (Legato::AgainstTheSlide, _) => "natural slur, against the slide",
        (Legato::Valve, _) => "natural slur, by the valve",
        (Legato::Tongued, _) => "slur with a soft tongue",
        (Legato::Same, _) => "the same note, parted by a soft tongue",
        (Legato::Glide, _) | (Legato::None, Joined::Glides) => "glissando",
        (Legato::None, _) => "",
    }
}

fn summary(told: &[Told], desk: &Desk, player: usize) -> String {
    let steps = || told.iter().map(|note| &note.planned.step);
    let slides = told.iter().any(|note| {
        note.planned.held(desk, player).is_some_and(|held| held.instrument.build.slide().is_some())
    });
    let late = steps().filter(|step| step.late != Lateness::InTime).count();
    let slurs = || steps().filter(|step| !matches!(step.legato, Legato::None | Legato::Glide));
    let (slurred, natural) = (slurs().count(), slurs().filter(|step| step.legato.is_natural()).count());
    let mut parts = vec![count(told.len(), "note")];
    if slides {
        let metres: f32 = steps().map(|step| step.travel_cm.abs()).sum::<f32>() / 100.0;
        parts.push(format!("the slide travels {metres:.1} m"));
        parts.push(if late == 0 { "no shift is late".to_owned() } else { count(late, "late shift") });
    } else {
        let moves: f32 = steps().map(|step| step.finger_moves).sum();
        parts.push(format!("{moves} finger moves"));
    }
    if slurred > 0 {
        parts.push(format!("{natural} of {} natural", count(slurred, "slur")));
    }
    format!("{}.", parts.join(", "))
}

fn count(number: usize, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}
