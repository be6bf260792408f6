//! What a note is in its chord, as far as doubling goes.

use crate::music::{Key, Pitch};

/// What a note is in its chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Role {
    Root,
    Fifth,
    Third,
    /// A seventh, a fourth, any other note of a known chord.
    Other,
    /// Nobody knows what the chord is.
    Unknown,
}

/// What speaks for a root: the intervals above it that sound, in semitones, and how much each says.
const SAYS: [(i32, i32); 9] = [(7, 6), (4, 5), (3, 4), (10, 2), (11, 1), (6, 1), (8, 0), (2, 0), (9, -1)];

/// What speaks against it: a note that no chord of thirds has over its root.
const STRANGE: i32 = -4;

/// The pitch class of the root of what sounds together: the note over which most of the others are a fifth, a third
/// or a seventh; the lower one where two say as much. `None` for fewer than two different notes.
pub fn root(sounding: &[Pitch]) -> Option<i32> {
    let mut notes: Vec<Pitch> = sounding.to_vec();
    notes.sort_by_key(|p| p.midi());
    let mut classes: Vec<i32> = Vec::new();
    for note in &notes {
        if !classes.contains(&note.class()) {
            classes.push(note.class());
        }
    }
    if classes.len() < 2 {
        return None;
    }
    let weight = |root: i32| -> i32 {
        let over = classes.iter().map(|class| (class - root).rem_euclid(12)).filter(|over| *over != 0);
        over.map(|over| SAYS.iter().find(|(is, _)| *is == over).map_or(STRANGE, |(_, says)| *says)).sum()
    };
    let mut best: Option<(i32, i32)> = None;
    for class in &classes {
        let weight = weight(*class);
        if best.is_none_or(|(most, _)| weight > most) {
            best = Some((weight, *class));
        }
    }
    best.map(|(_, class)| class)
}

/// What a note is over a root.
pub fn role(note: Pitch, root: Option<i32>) -> Role {
    let Some(root) = root else { return Role::Unknown };
    match (note.class() - root).rem_euclid(12) {
        0 => Role::Root,
        7 => Role::Fifth,
        3 | 4 => Role::Third,
        _ => Role::Other,
    }
}

/// True for the note a semitone below the tonic, in minor too.
pub fn is_leading(note: Pitch, key: Option<Key>) -> bool {
    let tonic = |key: Key| key.step.semitones() + i32::from(key.alter);
    key.is_some_and(|key| (note.class() + 1 - tonic(key)).rem_euclid(12) == 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::Mode;

    fn root_of(notes: &str) -> Option<String> {
        let notes: Vec<Pitch> = notes.split(' ').map(|n| Pitch::parse(n).unwrap()).collect();
        let root = root(&notes)?;
        notes.iter().find(|n| n.class() == root).map(|n| n.name())
    }

    #[test]
    fn roots_of_chords_in_every_position() {
        for (notes, root) in [
            ("Bb2 D3 F3", "Bb"),
            ("D3 F3 Bb3", "Bb"),
            ("F3 Bb3 D4", "Bb"),
            ("C3 Eb3 G3", "C"),
            ("G3 C4 Eb4", "C"),
            ("F2 A2 Eb3", "F"),
            ("A2 C3 Eb3 F3", "F"),
            ("B2 D3 G3 F4", "G"),
            ("C3 E3", "C"),
            ("E3 C4", "C"),
            ("C3 G3", "C"),
            ("G3 C4", "C"),
        ] {
            assert_eq!(root_of(notes).as_deref(), Some(root), "{notes}");
        }
        assert_eq!(root_of("C3 C4"), None);
    }

    #[test]
    fn the_leading_note_is_a_semitone_below_the_tonic() {
        let is =
            |note: &str, tonic: &str, mode| is_leading(Pitch::parse(note).unwrap(), Key::parse(tonic, mode));
        assert!(is("A3", "Bb", Mode::Major) && is("F#4", "G", Mode::Minor) && is("B3", "C", Mode::Minor));
        assert!(!is("Bb3", "Bb", Mode::Major) && !is("F4", "G", Mode::Minor));
        assert!(!is_leading(Pitch::parse("B3").unwrap(), None));
    }
}
