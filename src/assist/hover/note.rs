//! A note, a hold or a rest in somebody's row.

use super::telling::Telling;
use super::{Asked, Hover, bar_read, deal, fingering, gauge, plan, reads, sonority, stamina, time};
use crate::assist::glossary::{Class, meaning};
use crate::assist::interval_words::direction;
use crate::assist::sounding::{Seat, held_from, held_on, in_row, later_passes};
use crate::music::Interval;
use crate::notation::Span;
use crate::notation::tree::{Item, Mark, Row, What};
use crate::score::event::{Event, EventKind, Origin};
use crate::score::player::Player;

/// Tells of the entry under the cursor.
pub fn told(asked: Asked<'_>, row: &Row, item: &Item) -> Option<Hover> {
    let (block, _, below) = asked.block()?;
    let target = match item.what {
        What::Chord(slice) | What::GraceChord(slice) => {
            match slice.of(&row.members).iter().find(|m| asked.here(m.span)) {
                Some(member) => member.span,
                None => return deal::told(asked, block, below, item.span),
            }
        }
        _ => item.span,
    };
    let found = in_row(asked.desk, block, below, |e| e.origin == Origin::Here && e.span == target);
    let Some((at, events, index)) = found.first() else { return unplayed(asked, item, target) };
    let event = events.get(*index)?;
    if event.kind == EventKind::Rest {
        return Some(rest(asked, block, event, target));
    }
    let mut hover = sounded(asked, *at, events, *index)?;
    bar_read::told(asked, row, *at, event, &mut hover);
    if found.len() > 1 {
        deal::others(asked, &found, &mut hover);
    }
    Some(hover.hover(asked.place.line, target))
}

/// A note or hold of one seat.
pub fn sounded(asked: Asked<'_>, at: Seat, events: &[Event], index: usize) -> Option<Telling> {
    let event = events.get(index)?;
    let player = asked.score().head.players.get(at.player)?;
    let (from, note) = held_from(asked.desk, at, events, index)
        .filter(|_| event.kind == EventKind::Hold)
        .unwrap_or((at.block, *event));
    let transposes = note.written != note.sounding;
    let name = if transposes {
        format!("{} concert, written {}", note.sounding, note.written)
    } else {
        note.sounding.to_string()
    };
    let mut telling = Telling::new(match event.kind {
        EventKind::Hold => format!("{name}, held"),
        EventKind::Grace => format!("{name}, a grace note"),
        _ => name,
    });
    telling.fact("Player", who(player, event));
    if event.kind == EventKind::Hold {
        telling.fact("Goes on from", time::place(asked, from, note.bar, note.onset).unwrap_or_default());
    }
    telling.fact("Frequency", format!("{:.2} Hz (A4 = {} Hz)", note.sounding.hertz(asked.a4()), asked.a4()));
    if transposes {
        telling.fact(
            "Reads",
            format!(
                "{}; it sounds {}",
                note.written,
                direction(Interval::between(note.written, note.sounding))
            ),
        );
    }
    if let Some(instrument) = player.instrument(note.played.instrument) {
        let key = asked.score().blocks.get(at.block).and_then(|b| b.frame.key);
        fingering::told(instrument, &note, &mut telling);
        plan::told(asked, at, event, &mut telling);
        gauge::told(instrument, player.level, key, note.sounding.midi(), &mut telling);
    }
    let more =
        if event.kind == EventKind::Note { held_on(asked.desk, at, events, index) } else { Vec::new() };
    time::told(asked, at.block, event, &more, &mut telling);
    stamina::told(asked, at, event, &mut telling);
    let now = in_force(event);
    telling.fact("In force", now.clone());
    for (pass, later) in later_passes(asked.desk, at) {
        let then = later.get(index).map(in_force).filter(|then| *then != now);
        telling.fact(format!("In force, pass {pass}"), then.unwrap_or_default());
    }
    telling.fact("Marks", marks(event));
    sonority::told(asked, at.block, event.bar, event.onset, 2, &mut telling);
    Some(telling)
}

fn who(player: &Player, event: &Event) -> String {
    let label = player.instrument(event.played.instrument).map_or("", |i| i.label.as_str());
    match label {
        "" => reads::called(player),
        label => format!("{}, {label}", reads::called(player)),
    }
}

/// Dynamic, mute and techniques that hold here.
fn in_force(event: &Event) -> String {
    let mut all: Vec<String> = Vec::new();
    all.extend(event.dynamic.map(|d| d.word().to_owned()));
    all.push(event.played.mute.map_or("open".to_owned(), |m| format!("{} mute", m.word())));
    if event.played.stopped {
        all.push("stopped".to_owned());
    }
    if event.played.hand {
        all.push("hand in the bell".to_owned());
    }
    if event.played.flutter {
        all.push("flutter-tongue".to_owned());
    }
    all.join(", ")
}

/// Names of the marks, as the glossary begins them.
fn marks(event: &Event) -> String {
    let short = |mark: &Mark| {
        let text = meaning(Class::Mark, mark.sign()).unwrap_or("");
        let words = text.split([':', ',', '.', ';']).next().unwrap_or("").to_lowercase();
        format!("{} {words}", mark.sign())
    };
    let mut all: Vec<String> = Mark::ALL.iter().filter(|m| event.marks.has(**m)).map(short).collect();
    // The pitch is that of the row.
    all.extend(event.marks.trill.map(|to| format!("with {to} as the row has it")));
    all.join("; ")
}

fn rest(asked: Asked<'_>, block: usize, event: &Event, target: Span) -> Hover {
    let mut telling = Telling::new("Rest");
    time::told(asked, block, event, &[], &mut telling);
    sonority::told(asked, block, event.bar, event.onset, 1, &mut telling);
    telling.hover(asked.place.line, target)
}

/// Where nobody is known to play it: the pitch itself.
fn unplayed(asked: Asked<'_>, item: &Item, target: Span) -> Option<Hover> {
    let pitch = match item.what {
        What::Note(p) | What::GraceNote(p) => p,
        What::Chord(_) | What::GraceChord(_) => {
            crate::music::Pitch::parse(asked.token().map(|t| asked.text(t.span))?)?
        }
        _ => return None,
    };
    let mut telling = Telling::new(pitch.to_string());
    telling
        .fact("Frequency", format!("{:.2} Hz as written (A4 = {} Hz)", pitch.hertz(asked.a4()), asked.a4()));
    telling.fact("Player", "nobody here is known to play it");
    Some(telling.hover(asked.place.line, target))
}
