//! Which accidentals are printed: one holds for its line or space to the end of the bar.

use crate::music::{Key, Pitch};
use std::collections::HashMap;

/// The accidentals in force in a bar.
pub struct Accidentals {
    key: Option<Key>,
    /// By staff line or space.
    here: HashMap<i32, i8>,
}

impl Accidentals {
    /// At the beginning of a bar, in the key that is written.
    pub fn new(key: Option<Key>) -> Accidentals {
        Accidentals { key, here: HashMap::new() }
    }

    /// The key is another from here on.
    pub fn set_key(&mut self, key: Option<Key>) {
        self.key = key;
    }

    /// What the key makes of a letter.
    pub fn of_key(key: Option<Key>, pitch: Pitch) -> i32 {
        key.map_or(0, |key| key.alter_of(pitch.step))
    }

    /// The sign that this note needs, if it needs one. A note tied over a barline keeps its own without a sign.
    pub fn sign(&mut self, pitch: Pitch, tied: bool) -> Option<&'static str> {
        if tied {
            return None;
        }
        let before = self.here.get(&pitch.staff()).map(|alter| i32::from(*alter));
        let before = before.unwrap_or_else(|| Accidentals::of_key(self.key, pitch));
        self.here.insert(pitch.staff(), pitch.alter);
        (before != i32::from(pitch.alter)).then(|| name(pitch.alter))
    }
}

/// The standard's word for an accidental.
pub fn name(alter: i8) -> &'static str {
    match alter {
        ..=-2 => "flat-flat",
        -1 => "flat",
        0 => "natural",
        1 => "sharp",
        2.. => "double-sharp",
    }
}
