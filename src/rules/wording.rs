//! Words that several rules use: distances, levels, pitches as the player reads them.

pub use crate::score::wording::capital;

use crate::brass::Instrument;
use crate::brass::Level;
use crate::brass::written::{reading_interval, written};
use crate::music::{Key, Pitch};
use crate::notation::tree::Basis;
use crate::score::player::PlayerInstrument;

/// A distance in semitones as musicians say it.
pub fn distance(semitones: i32) -> String {
    match semitones {
        1 => "a semitone".to_owned(),
        2 => "a tone".to_owned(),
        3 => "a minor third".to_owned(),
        4 => "a major third".to_owned(),
        5 => "a fourth".to_owned(),
        7 => "a fifth".to_owned(),
        12 => "an octave".to_owned(),
        n => format!("{n} semitones"),
    }
}

/// A number that is counted no farther than `most`: `12`, `more than 250`.
pub fn counted(value: f64, most: f64, digits: usize) -> String {
    let more = if value >= most { "more than " } else { "" };
    format!("{more}{value:.digits$}")
}

/// `cup`, `cup and plunger`, `straight, cup and plunger`.
pub fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// `a school player`.
pub fn at_level(level: Level) -> &'static str {
    match level {
        Level::School => "a school player",
        Level::Amateur => "an amateur",
        Level::Professional => "a professional",
    }
}

/// A sounding height as this instrument's player reads it.
pub fn pitch_for(instrument: &PlayerInstrument, midi: i32, key: Option<Key>) -> String {
    let reading = reading_interval(instrument.instrument.reads, key);
    let flats = key.is_none_or(|k| k.fifths() <= 0);
    let read = written(Pitch::plain(midi, flats), reading);
    let plain = Pitch::plain(read.midi(), read.alter < 0);
    if instrument.instrument.reads.semitones == 0 { plain.to_string() } else { format!("written {plain}") }
}

/// A sounding height as a row of this player writes it, spelled as the key's side has it.
pub fn pitch_in_row(instrument: &Instrument, midi: i32, key: Option<Key>, basis: Basis) -> Pitch {
    let flats = key.is_none_or(|k| k.fifths() <= 0);
    let concert = Pitch::plain(midi, flats);
    if basis == Basis::Concert || instrument.reads.semitones == 0 {
        return concert;
    }
    let read = written(concert, reading_interval(instrument.reads, key));
    Pitch::plain(read.midi(), read.alter < 0)
}
