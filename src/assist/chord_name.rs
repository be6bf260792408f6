//! The name of a chord from the notes that sound.

use crate::music::{ChordSymbol, Pitch};

/// Qualities looked for, the plainest first (common practice).
const QUALITIES: [&str; 25] = [
    "", "m", "7", "maj7", "m7", "dim", "aug", "m7b5", "dim7", "6", "m6", "sus4", "7sus4", "m(maj7)", "add9",
    "9", "m9", "maj9", "7b9", "13", "7#5", "sus2", "7no5", "m7no5", "maj7no5",
];

/// Qualities whose notes are also those of another chord: named only where the root is lowest.
const ROOT_LOWEST: [&str; 9] = ["6", "m6", "sus4", "sus2", "aug", "dim7", "7sus4", "m7no5", "maj7no5"];

/// The name of these notes as they sound, with its bass where that is not the root; `None` for fewer than three
/// different notes, and for what has no common name.
pub fn chord_name(sounding: &[Pitch]) -> Option<ChordSymbol> {
    let lowest = sounding.iter().min_by_key(|p| p.midi())?;
    let mut names: Vec<Pitch> = Vec::new();
    for pitch in sounding {
        if !names.iter().any(|n| n.class() == pitch.class()) {
            names.push(*pitch);
        }
    }
    if names.len() < 3 {
        return None;
    }
    let mut wanted: Vec<i32> = names.iter().map(|n| n.class()).collect();
    wanted.sort_unstable();
    let mut best: Option<(bool, usize, ChordSymbol)> = None;
    for root in &names {
        let inverted = root.class() != lowest.class();
        for (rank, quality) in QUALITIES.into_iter().enumerate() {
            if inverted && ROOT_LOWEST.contains(&quality) {
                continue;
            }
            let bass = if inverted { format!("/{}", lowest.name()) } else { String::new() };
            let Some(symbol) = ChordSymbol::parse(&format!("{}{quality}{bass}", root.name())) else {
                continue;
            };
            let Some(mut classes) = symbol.classes() else { continue };
            classes.sort_unstable();
            if classes == wanted && best.as_ref().is_none_or(|(i, r, _)| (inverted, rank) < (*i, *r)) {
                best = Some((inverted, rank, symbol));
            }
        }
    }
    best.map(|(_, _, symbol)| symbol)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(notes: &str) -> Option<String> {
        let notes: Vec<Pitch> = notes.split(' ').map(|n| Pitch::parse(n).unwrap()).collect();
        chord_name(&notes).map(|c| c.to_string())
    }

    #[test]
    fn common_chords_have_their_names() {
        assert_eq!(name("Bb1 F3 D4 Bb4").as_deref(), Some("Bb"));
        assert_eq!(name("D3 F3 Bb3").as_deref(), Some("Bb/D"));
        assert_eq!(name("C3 G3 Bb3 Eb4").as_deref(), Some("Cm7"));
        assert_eq!(name("F2 A3 Eb4").as_deref(), Some("F7no5"));
        assert_eq!(name("E3 G3 A3 C4").as_deref(), Some("Am7/E"));
        assert_eq!(name("C3 E3 G3 A3").as_deref(), Some("C6"));
        assert_eq!(name("G2 B2 D3 F3").as_deref(), Some("G7"));
        assert_eq!(name("C3 G3"), None);
        assert_eq!(name("C3 C#3 D3"), None);
    }
}
