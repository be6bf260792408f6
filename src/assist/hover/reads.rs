//! Heights and pitches as an instrument's player reads them.

use crate::brass::written::{reading_interval, written};
use crate::music::{Key, Pitch};
use crate::score::player::{Player, PlayerInstrument};

/// A sounding height as the player reads it, in the plainest spelling the key allows.
pub fn read(instrument: &PlayerInstrument, midi: i32, key: Option<Key>) -> Pitch {
    let interval = reading_interval(instrument.instrument.reads, key);
    let flats = key.is_none_or(|k| k.fifths() <= 0);
    let read = written(Pitch::plain(midi, flats), interval);
    Pitch::plain(read.midi(), read.alter < 0 || (read.alter == 0 && flats))
}

/// A player as people say it: `Cor (Solo Cornet)`.
pub fn called(player: &Player) -> String {
    match &player.name {
        Some(name) => format!("{} ({name})", player.id),
        None => player.id.clone(),
    }
}
