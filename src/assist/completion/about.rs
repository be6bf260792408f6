//! What more can be told of an item: named by words, so that it can be asked for after the text has changed.

use crate::assist::glossary::{Class, meaning};
use crate::assist::hover::telling::Telling;
use crate::assist::hover::{fingering, gauge, hover, instrument, reads};
use crate::assist::interval_words::direction;
use crate::assist::name::{Name, NameKind, spelled};
use crate::assist::place::Place;
use crate::brass::catalogue;
use crate::brass::written::{reading_interval, sounding};
use crate::music::{Fraction, Interval, Key, Mode, Pitch};
use crate::notation::Span;
use crate::notation::tree::{Basis, Marks};
use crate::rules::Desk;
use crate::rules::page::page;
use crate::score::event::{Event, EventKind, Origin};
use crate::score::head::Named;
use crate::score::player::Player;
use crate::score::state::PlayedState;

/// What an item is about.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum About {
    #[default]
    Nothing,
    /// A word of the notation.
    Word(Class, String),
    /// An instrument by its full name.
    Instrument(String),
    Rule(String),
    /// A player, group or phrase.
    Name(String),
    /// A note of a row in this concert key, and who would play it on which of their instruments.
    Note {
        pitch: Pitch,
        key: Option<Key>,
        players: Vec<(String, u8)>,
    },
}

/// What is told of an item, in both forms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    pub markdown: String,
    pub plain: String,
}

impl About {
    /// A word of the notation.
    pub fn word(class: Class, word: &str) -> About {
        About::Word(class, word.to_owned())
    }

    /// A short text to find it again by; empty for nothing.
    pub fn key(&self) -> String {
        match self {
            About::Nothing => String::new(),
            About::Word(class, word) => format!("word\t{}\t{word}", class.word()),
            About::Instrument(name) => format!("instrument\t{name}"),
            About::Rule(name) => format!("rule\t{name}"),
            About::Name(name) => format!("name\t{name}"),
            About::Note { pitch, key, players } => {
                let key = key.map_or("none".to_owned(), |k| k.to_string());
                let players: Vec<String> = players.iter().map(|(id, i)| format!("{id}/{i}")).collect();
                format!("note\t{key}\t{pitch}\t{}", players.join(" "))
            }
        }
    }

    /// Reads such a text.
    pub fn parse(text: &str) -> Option<About> {
        let mut fields = text.split('\t');
        let (kind, first) = (fields.next()?, fields.next()?);
        Some(match kind {
            "word" => {
                let class = Class::ALL.into_iter().find(|c| c.word() == first)?;
                About::Word(class, fields.next()?.to_owned())
            }
            "instrument" => About::Instrument(first.to_owned()),
            "rule" => About::Rule(first.to_owned()),
            "name" => About::Name(first.to_owned()),
            "note" => {
                let pitch = Pitch::parse(fields.next()?)?;
                let player = |text: &str| {
                    let (id, index) = text.rsplit_once('/')?;
                    Some((id.to_owned(), index.parse().ok()?))
                };
                let players = fields.next()?.split(' ').filter_map(player).collect();
                About::Note { pitch, key: parse_key(first)?, players }
            }
            _ => return None,
        })
    }
}

/// `Some(None)` for none.
fn parse_key(text: &str) -> Option<Option<Key>> {
    if text == "none" {
        return Some(None);
    }
    let (tonic, mode) = text.split_once(' ')?;
    let mode = if mode == "minor" { Mode::Minor } else { Mode::Major };
    Key::parse(tonic, mode).map(Some)
}

/// What there is to tell in a score; `None` if nothing, or nothing any more.
pub fn about(desk: &Desk, about: &About) -> Option<Told> {
    match about {
        About::Nothing => None,
        About::Word(class, word) => {
            let mut telling = Telling::new(word.as_str());
            telling.text(meaning(*class, word)?);
            Some(both(&telling))
        }
        About::Rule(name) => {
            let page = page(name)?;
            let mut telling = Telling::new(format!("{} ({})", page.name, page.severity));
            telling.text(page.summary);
            Some(Told { markdown: page.text, plain: telling.plain() })
        }
        About::Instrument(name) => {
            let mut held = desk.score().head.players.iter().flat_map(|p| &p.instruments);
            if let Some(held) = held.find(|i| i.label == *name) {
                return Some(both(&instrument::of(&held.instrument)));
            }
            let found = catalogue::entries().find(|e| e.full_name() == *name)?.instrument()?;
            Some(both(&instrument::of(&found)))
        }
        About::Name(name) => named(desk, name),
        About::Note { pitch, key, players } => note(desk, *pitch, *key, players).map(|t| both(&t)),
    }
}

fn both(telling: &Telling) -> Told {
    Told { markdown: telling.markdown(), plain: telling.plain() }
}

/// What pointing at its declaration tells.
fn named(desk: &Desk, text: &str) -> Option<Told> {
    let head = &desk.score().head;
    let kind = match head.names.get(text)? {
        Named::Player(_) => NameKind::Player,
        Named::Group(_) => NameKind::Group,
        Named::Phrase => NameKind::Phrase,
        Named::Instrument => NameKind::Instrument,
    };
    let name = Name { kind, text: text.to_owned() };
    let mut lines = (0u32..).zip(&head.lines);
    let place = lines.find_map(|(line, text)| {
        let (span, _) = spelled(text, &name).into_iter().find(|(_, declares)| *declares)?;
        Some(Place { line, byte: span.start })
    })?;
    hover(desk, place).map(|told| Told { markdown: told.markdown, plain: told.plain })
}

/// The truth about a note before it stands there.
fn note(desk: &Desk, pitch: Pitch, key: Option<Key>, players: &[(String, u8)]) -> Option<Telling> {
    let head = &desk.score().head;
    let found = |id: &str| match head.names.get(id)? {
        Named::Player(index) => head.players.get(usize::from(*index)),
        _ => None,
    };
    let mut telling: Option<Telling> = None;
    for (id, index) in players {
        let Some((player, held)) = found(id).and_then(|p| Some((p, p.instrument(*index)?))) else { continue };
        let reading = reading_interval(held.instrument.reads, key);
        let event = event(pitch, head.basis, reading, *index);
        let words = fingering::usual(held, &event);
        match &mut telling {
            Some(telling) => telling.fact(reads::called(player), format!("reads {}, {words}", event.written)),
            None => {
                let a4 = head.a4(desk.settings().tuning);
                telling = Some(of_one(player, &event, reading, key, a4)?);
            }
        }
    }
    telling
}

fn of_one(player: &Player, event: &Event, reading: Interval, key: Option<Key>, a4: f64) -> Option<Telling> {
    let held = player.instrument(event.played.instrument)?;
    let transposes = event.written != event.sounding;
    let mut telling = Telling::new(match transposes {
        true => format!("{} concert, written {}", event.sounding, event.written),
        false => event.sounding.to_string(),
    });
    telling.fact("Player", format!("{}, {}", reads::called(player), held.label));
    telling.fact("Frequency", format!("{:.2} Hz (A4 = {a4} Hz)", event.sounding.hertz(a4)));
    if transposes {
        telling.fact("Reads", format!("{}; it sounds {}", event.written, direction(reading)));
    }
    fingering::told(held, event, &mut telling);
    gauge::told(held, player.level, key, event.sounding.midi(), &mut telling);
    Some(telling)
}

/// A note as it would be played.
fn event(pitch: Pitch, basis: Basis, reading: Interval, instrument: u8) -> Event {
    let (written, sounding) = match basis {
        Basis::Written => (pitch, sounding(pitch, reading)),
        Basis::Concert => (crate::brass::written::written(pitch, reading), pitch),
    };
    Event {
        kind: EventKind::Note,
        bar: 0,
        onset: Fraction::ZERO,
        length: Fraction::ZERO,
        written,
        sounding,
        line: 0,
        span: Span::default(),
        marks: Marks::default(),
        dynamic: None,
        swell: None,
        played: PlayedState { instrument, ..PlayedState::default() },
        origin: Origin::Here,
        fermata: false,
        trill_to: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_finds_it_again() {
        let pitch = Pitch::parse("Bb4").unwrap();
        let key = Key::parse("Eb", Mode::Minor);
        for about in [
            About::Word(Class::Mark, ":trill".to_owned()),
            About::Instrument("natural horn in C basso".to_owned()),
            About::Rule("too-high".to_owned()),
            About::Name("Tp1".to_owned()),
            About::Note { pitch, key, players: vec![("Tp1".to_owned(), 0), ("É".to_owned(), 1)] },
            About::Note { pitch, key: None, players: vec![("Tp1".to_owned(), 0)] },
        ] {
            assert_eq!(About::parse(&about.key()), Some(about));
        }
        for bad in ["", "note", "note\tBb major\t9\tTp1/0", "word\tnothing\tx", "x\ty"] {
            assert_eq!(About::parse(bad), None, "{bad}");
        }
    }
}
