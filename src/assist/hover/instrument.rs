//! Instruments and their mutes.

use super::telling::Telling;
use super::{Asked, Hover, reads};
use crate::assist::glossary::{Class, meaning};
use crate::assist::interval_words::direction;
use crate::brass::citation::limits_source;
use crate::brass::{Instrument, Level, Mute, Nature};
use crate::music::{Interval, Pitch};
use crate::notation::Span;
use crate::notation::tree::{ReadIn, Switch};
use crate::score::names::normal;
use crate::score::player::PlayerInstrument;

/// Tells of the instrument that some words of a player line name.
pub fn told(asked: Asked<'_>, words: Span, read_in: Option<ReadIn>) -> Option<Hover> {
    let name = asked.text(words).split_whitespace().collect::<Vec<_>>().join(" ");
    let span = read_in.map_or(words, |r| words.to(r.span));
    let held = asked.score().head.players.iter().flat_map(|p| &p.instruments);
    let own = held.clone().find(|i| i.label == normal(&name).as_ref()).map(|i| (*i.instrument).clone());
    let instrument = match own {
        Some(own) => own,
        None => {
            crate::brass::find(&name, read_in.map(|r| r.key), read_in.and_then(|r| r.register))
                .ok()?
                .instrument
        }
    };
    Some(of(&instrument).hover(asked.place.line, span))
}

/// Tells of the instrument that is taken in hand.
pub fn switched(asked: Asked<'_>, switch: &Switch, span: Span) -> Option<Hover> {
    let (_, placed, below) = asked.block()?;
    let row = placed.read.block.rows.iter().find(|r| r.line == below)?;
    let player = asked.score().head.players.get(usize::from(row.people.first()?.player))?;
    let index = player.instrument_called(asked.text(switch.instrument), switch.read_in)?;
    let mut telling = of(&player.instrument(index)?.instrument);
    telling.text(meaning(Class::Instruction, "switch").unwrap_or(""));
    Some(telling.hover(asked.place.line, span))
}

/// What is known of an instrument whoever plays it.
pub fn of(instrument: &Instrument) -> Telling {
    let mut telling = Telling::new(instrument.name.clone());
    telling.fact("Reads", transposition(instrument));
    telling.fact(
        "Tube",
        format!(
            "{:.0} cm, fundamental {}",
            instrument.tube.centimetres(),
            Pitch::plain(instrument.tube.fundamental, true)
        ),
    );
    telling.fact("Changes its length by", build(instrument));
    telling.fact("Clef", instrument.clef.word());
    let limits = instrument.limits(Level::Professional);
    let read = |midi: i32| Pitch::plain(midi - instrument.reads.semitones, true).to_string();
    telling.fact("Lowest note above the pedals", format!("{} as read", read(instrument.lowest())));
    telling.fact(
        "Professional",
        format!(
            "low {}, comfortable to {}, usual to {}, most reach {} (as read)",
            read(limits.low),
            read(limits.comfortable),
            read(limits.usual),
            read(limits.reach)
        ),
    );
    if let Some(pedal) = limits.pedal_low {
        telling.fact("Pedals", format!("down to {} as read", read(pedal)));
    }
    let gaps: Vec<String> = (instrument.lowest()..=limits.usual)
        .filter(|m| matches!(instrument.note(*m).nature, Nature::Gap { .. }))
        .map(read)
        .collect();
    telling.fact("Missing", gaps.join(" "));
    telling.fact("Mutes made for it", list(instrument.mutes.iter()));
    telling.fact("These limits come from", limits_source(&instrument.name).unwrap_or_default());
    telling
}

/// `written C5 sounds Bb4, a major second lower`.
pub fn transposition(instrument: &Instrument) -> String {
    if instrument.reads == Interval::UNISON {
        return "concert pitch".to_owned();
    }
    let c5 = Pitch { step: crate::music::Step::C, alter: 0, octave: 5 };
    let sounds = instrument.reads.apply_respelled(c5);
    format!("written {c5} sounds {sounds}, {}", direction(instrument.reads))
}

fn build(instrument: &Instrument) -> String {
    let build = &instrument.build;
    match (build.slide(), build.fingers()) {
        (Some(slide), _) => match slide.attachments().count() {
            0 | 1 => "a slide".to_owned(),
            2 => "a slide and one attachment".to_owned(),
            _ => "a slide and two attachments".to_owned(),
        },
        (None, 0) => "nothing: the harmonics of one tube".to_owned(),
        (None, n) => {
            let kind = match build {
                crate::brass::Build::Double(_) => " and a thumb valve",
                crate::brass::Build::Valved(v) if v.compensates() => ", compensating",
                _ => "",
            };
            format!("{n} valves{kind}")
        }
    }
}

/// Mutes by name, or `none`.
pub fn list(mutes: impl Iterator<Item = Mute>) -> String {
    let words: Vec<&str> = mutes.map(Mute::word).collect();
    if words.is_empty() { "none".to_owned() } else { words.join(", ") }
}

/// The mutes a player has for an instrument.
pub fn mutes_of(instrument: &PlayerInstrument) -> String {
    match &instrument.mutes {
        Some(mutes) => list(mutes.iter().copied()),
        None => list(instrument.instrument.mutes.iter()),
    }
}

/// Tells of a mute and who of the row has it.
pub fn mute(asked: Asked<'_>, mute: Mute, span: Span) -> Option<Hover> {
    let mut telling = Telling::new(format!("{} mute", mute.word()));
    telling.text(meaning(Class::Mute, mute.word())?);
    let people = asked.block().and_then(|(_, placed, below)| {
        placed.read.block.rows.iter().find(|r| r.line == below).map(|r| r.people.clone())
    });
    let mut told: Vec<u16> = Vec::new();
    for person in people.unwrap_or_default() {
        if told.contains(&person.player) {
            continue;
        }
        told.push(person.player);
        let Some(player) = asked.score().head.players.get(usize::from(person.player)) else { continue };
        let mutes: Vec<String> =
            player.instruments.iter().map(|i| format!("{}: {}", i.label, mutes_of(i))).collect();
        telling.fact(format!("Mutes of {}", reads::called(player)), mutes.join("; "));
    }
    Some(telling.hover(asked.place.line, span))
}
