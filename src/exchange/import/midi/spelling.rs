//! Note names for keys of a keyboard.

use crate::music::{Key, Pitch};

/// As the key has it; else with the accidentals that its signature has.
pub fn spelled(midi: i32, key: Option<Key>) -> Pitch {
    let fifths = key.map_or(0, Key::fifths);
    if let Some(key) = key {
        for flats in [false, true] {
            let plain = Pitch::plain(midi, flats);
            if key.holds(plain) {
                return plain;
            }
        }
        // E sharp, C flat and the like, where the key has them.
        let near = |staff: i32| Pitch::at(staff, midi).filter(|p| key.holds(*p) && p.alter.abs() <= 1);
        let staff = Pitch::plain(midi, false).staff();
        if let Some(held) = near(staff - 1).or_else(|| near(staff + 1)) {
            return held;
        }
    }
    // B flat and E flat are nearer to plain keys than A sharp and D sharp.
    let flats = fifths < 0 || (fifths <= 1 && matches!(midi.rem_euclid(12), 10 | 3));
    Pitch::plain(midi, flats)
}
