//! Phrases: where they are declared and where they are played.

use super::row::{free, touching};
use super::telling::Telling;
use super::word::{told as word, under_cursor};
use super::{Asked, Hover};
use crate::assist::glossary::Class;
use crate::assist::interval_words::direction;
use crate::assist::sounding::in_row;
use crate::music::{Interval, Pitch};
use crate::notation::Span;
use crate::notation::tree::{Item, PhraseLine, Play, What};
use crate::score::event::{EventKind, Origin};
use crate::score::names::normal;
use crate::score::phrase::Phrase;

/// Notes that are named.
const MOST: usize = 24;

/// Tells of what stands under the cursor in a phrase line.
pub fn line(asked: Asked<'_>, tree: &PhraseLine) -> Option<Hover> {
    if let Some(id) = tree.id.filter(|s| asked.here(*s)) {
        return named(asked, id, id);
    }
    let row = &tree.row;
    let Some(bar) = row.bars.iter().find(|b| asked.here(b.span)) else {
        let (text, span) = under_cursor(asked)?;
        return word(asked, &[Class::Line, Class::Option, Class::Register], text, span);
    };
    let Some(item) = bar.items.of(&row.items).iter().find(|i| asked.here(i.span)) else {
        let index = row.bars.iter().position(|b| b == bar)?;
        return super::length::told(asked, row, index, bar).or_else(|| super::length::sign(asked, bar));
    };
    if let Some(hover) = touching(asked, row, item) {
        return Some(hover);
    }
    match item.what {
        What::Note(pitch) | What::GraceNote(pitch) => Some(note(asked, tree, pitch, item.span)),
        What::Play(play) => {
            let play = row.plays.get(play as usize)?;
            named(asked, play.phrase, item.span)
        }
        What::Rest => word(asked, &[Class::Bars], "-", item.span),
        What::Hold => word(asked, &[Class::Bars], "=", item.span),
        What::Again(_) => word(asked, &[Class::Bars], "%", item.span),
        What::Rests(_) => word(asked, &[Class::Bars], "rest", item.span),
        _ => free(asked, row, item),
    }
}

/// Tells of the phrase that is named here.
pub fn named(asked: Asked<'_>, name: Span, span: Span) -> Option<Hover> {
    let phrase = asked.score().head.phrases.find(&normal(asked.text(name)))?;
    let mut telling = Telling::new(format!("Phrase {}", phrase.name));
    facts(phrase, &mut telling);
    Some(telling.hover(asked.place.line, span))
}

fn facts(phrase: &Phrase, telling: &mut Telling) {
    let n = phrase.bars.len();
    telling.fact("Bars", n.to_string());
    let text =
        phrase.line.text.split_once('|').map_or("", |(_, bars)| bars.trim_end().trim_end_matches('|').trim());
    let short: String = text.chars().take(160).collect();
    telling.fact("Written", if short.len() < text.len() { format!("{short}…") } else { short });
    if phrase.to_concert != Interval::UNISON {
        telling.fact("Sounds", format!("{} than it is written here", direction(phrase.to_concert)));
    }
}

fn note(asked: Asked<'_>, tree: &PhraseLine, pitch: Pitch, span: Span) -> Hover {
    let name = tree.id.map(|s| normal(asked.text(s)).into_owned()).unwrap_or_default();
    let to_concert = asked.score().head.phrases.find(&name).map_or(Interval::UNISON, |p| p.to_concert);
    let sounding = to_concert.apply_respelled(pitch);
    let mut telling = Telling::new(if sounding == pitch {
        sounding.to_string()
    } else {
        format!("{sounding} concert, written {pitch} in this phrase")
    });
    telling.fact("Frequency", format!("{:.2} Hz (A4 = {} Hz)", sounding.hertz(asked.a4()), asked.a4()));
    telling.text("Who plays it, and with which fingers, is known where the phrase is played.");
    telling.hover(asked.place.line, span)
}

/// Adds what `play` plays for the first player of the row.
pub fn played(asked: Asked<'_>, block: usize, below: u32, play: &Play, item: &Item, telling: &mut Telling) {
    let name = normal(asked.text(play.phrase));
    let Some(phrase) = asked.score().head.phrases.find(&name) else { return };
    telling.fact("Phrase", phrase.name.clone());
    facts(phrase, telling);
    if play.shift != Interval::UNISON {
        telling.fact("Moved", direction(play.shift));
    }
    let found = in_row(asked.desk, block, below, |e| e.origin == Origin::Phrase && e.span == item.span);
    let Some((at, events, _)) = found.first() else { return };
    let notes = || {
        events.iter().filter(|e| {
            e.kind == EventKind::Note && e.origin == Origin::Phrase && e.line == below && e.span == item.span
        })
    };
    let told = |of: &dyn Fn(&crate::score::event::Event) -> Pitch| {
        let mut words: Vec<String> = notes().take(MOST).map(|e| of(e).to_string()).collect();
        if notes().count() > MOST {
            words.push("…".to_owned());
        }
        words.join(" ")
    };
    let who = asked.score().head.players.get(at.player).map_or("", |p| p.id.as_str());
    telling.fact("Concert", told(&|e| e.sounding));
    if notes().any(|e| e.written != e.sounding) {
        telling.fact(format!("{who} reads"), told(&|e| e.written));
    }
}
