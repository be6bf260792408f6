//! How a key spells the notes of its scale and those between them.

use crate::music::{Key, Mode, Pitch, Step};

/// A height in the spelling that the key wants, and true if it belongs to the scale. Notes outside it are
/// spelled as the chromatic scale on the tonic has them (common practice): lowered second, sixth and seventh,
/// both thirds, raised fourth.
pub fn spelled(height: i32, key: Option<Key>) -> (Pitch, bool) {
    let Some(key) = key else {
        // Without a key: naturals, and C♯ E♭ F♯ A♭ B♭ as charts have them.
        let plain = Pitch::plain(height, !matches!(height.rem_euclid(12), 1 | 6));
        return (plain, plain.alter == 0);
    };
    let candidates = || {
        let staff = (height - 12).div_euclid(12) * 7;
        (staff - 2..staff + 10).filter_map(move |s| Pitch::at(s, height))
    };
    if let Some(pitch) = candidates().find(|p| key.holds(*p)) {
        return (pitch, true);
    }
    let tonic = key.fifths() + if key.mode == Mode::Minor { 3 } else { 0 };
    // Nobody wants to read C♭ or E♯ where the key does not bring them.
    let rare = |p: &Pitch| matches!((p.step, p.alter), (Step::E | Step::B, 1) | (Step::C | Step::F, -1));
    let fits = |p: &Pitch| (tonic - 5..=tonic + 6).contains(&fifths(*p)) && p.alter.abs() < 2 && !rare(p);
    let plain = Pitch::plain(height, key.fifths() < 0);
    (candidates().find(fits).unwrap_or(plain), false)
}

/// Place on the line of fifths, C = 0.
fn fifths(pitch: Pitch) -> i32 {
    let natural = match pitch.step {
        Step::F => -1,
        Step::C => 0,
        Step::G => 1,
        Step::D => 2,
        Step::A => 3,
        Step::E => 4,
        Step::B => 5,
    };
    natural + 7 * i32::from(pitch.alter)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn octave(tonic: &str, mode: Mode) -> String {
        let key = Key::parse(tonic, mode);
        let all: Vec<String> =
            (60..72).map(|h| spelled(h, key)).map(|(p, s)| p.name() + if s { "" } else { "*" }).collect();
        all.join(" ")
    }

    #[test]
    fn the_chromatic_scale_of_a_key() {
        assert_eq!(octave("C", Mode::Major), "C Db* D Eb* E F F#* G Ab* A Bb* B");
        assert_eq!(octave("Bb", Mode::Major), "C Db* D Eb E* F Gb* G Ab* A Bb B*");
        assert_eq!(octave("C", Mode::Minor), "C Db* D Eb E* F F#* G Ab A* Bb B*");
        assert_eq!(octave("A", Mode::Major), "C* C# D D#* E F* F# G* G# A Bb* B");
    }

    #[test]
    fn every_height_has_a_spelling() {
        for mode in [Mode::Major, Mode::Minor] {
            for fifths in -7..=7 {
                let key = Key::from_fifths(fifths, mode);
                for height in 0..128 {
                    assert_eq!(spelled(height, key).0.midi(), height);
                }
                assert_eq!((60..72).filter(|h| spelled(*h, key).1).count(), 7);
            }
        }
    }
}
