//! Chord symbols: `Bb6`, `F#m7b5`, `E7`, `Cmaj7/G`, `C7(b9)`.
//!
//! The quality is kept as it was written; only root and bass move when the symbol is transposed.

mod quality;

use super::interval::Interval;
use super::pitch::{Pitch, Step, accidental_text, parse_accidental};
use std::fmt;

/// A note name without octave, with at most one accidental.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct NoteName {
    /// Letter.
    pub step: Step,
    /// -1, 0 or 1.
    pub alter: i8,
}

impl NoteName {
    /// The pitch class, C = 0 to B = 11.
    pub fn class(self) -> i32 {
        (self.step.semitones() + i32::from(self.alter)).rem_euclid(12)
    }

    /// Reads a letter and at most one accidental from the front, and gives the rest.
    fn read(text: &str) -> Option<(NoteName, &str)> {
        let mut chars = text.chars();
        let step = Step::from_letter(chars.next()?)?;
        let rest = chars.as_str();
        let sign = rest.chars().next().filter(|c| matches!(c, '#' | 'b' | '♯' | '♭'));
        let (sign, rest) = rest.split_at(sign.map_or(0, char::len_utf8));
        Some((NoteName { step, alter: parse_accidental(sign)? as i8 }, rest))
    }

    fn pitch(self) -> Pitch {
        Pitch { step: self.step, alter: self.alter, octave: 4 }
    }

    fn of(pitch: Pitch) -> Option<NoteName> {
        (-1..=1).contains(&pitch.alter).then_some(NoteName { step: pitch.step, alter: pitch.alter })
    }

    /// E#, B#, Cb and Fb: names that nobody wants to read as a root.
    fn is_rare(self) -> bool {
        matches!((self.step, self.alter), (Step::E | Step::B, 1) | (Step::C | Step::F, -1))
    }
}

impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.step.letter(), accidental_text(i32::from(self.alter)))
    }
}

/// A chord symbol. Whether it is concert pitch or a player's is said by whoever holds it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct ChordSymbol {
    /// What the chord is built on.
    pub root: NoteName,
    /// What follows the root, as written: `m7b5`, `maj7`, `7(b9)`, `6/9`; empty for a major triad.
    pub quality: String,
    /// The note after the last slash, where another than the root is lowest.
    pub bass: Option<NoteName>,
}

impl ChordSymbol {
    /// Reads a whole symbol. An accidental right after the letter belongs to the root, one at most; after
    /// the last slash a note name alone is the bass, anything else (`C6/9`) is part of the quality.
    /// `None` if it does not begin with a letter from A to G or holds a blank or a barline.
    pub fn parse(text: &str) -> Option<ChordSymbol> {
        let (root, rest) = NoteName::read(text)?;
        if rest.chars().any(|c| c.is_whitespace() || c.is_control() || c == '|') {
            return None;
        }
        let split = rest.rsplit_once('/').and_then(|(quality, bass)| match NoteName::read(bass)? {
            (bass, "") => Some((quality, bass)),
            _ => None,
        });
        let (quality, bass) = split.map_or((rest, None), |(quality, bass)| (quality, Some(bass)));
        // A bracketed alteration that begins the quality is written with its brackets (see `Display`), so
        // both ways of writing it are the same symbol.
        let quality = bare_alteration(quality).unwrap_or(quality).to_owned();
        Some(ChordSymbol { root, quality, bass })
    }

    /// The symbol moved by an interval. Letters move with it, unless that gives a double accidental or a
    /// root such as E# or Cb: then root and bass take the names of the same notes next to them.
    pub fn moved(&self, by: Interval) -> ChordSymbol {
        if by == Interval::UNISON {
            return self.clone();
        }
        let best = [0, 1, -1]
            .into_iter()
            .filter_map(|d| {
                let by = Interval { steps: by.steps + d, ..by };
                let root = by.apply(self.root.pitch()).and_then(NoteName::of)?;
                let bass = self.bass.map(|bass| by.apply(bass.pitch()).and_then(NoteName::of));
                let cost = i32::from(root.is_rare()) * 2 + i32::from(bass == Some(None));
                Some((cost, root, bass.flatten()))
            })
            // The first of equals wins: the letters of the interval itself.
            .min_by_key(|(cost, ..)| *cost);
        let plain = |name: NoteName| {
            let height = name.pitch().midi() + by.semitones;
            let plain = Pitch::plain(height, name.alter < 0);
            NoteName { step: plain.step, alter: plain.alter }
        };
        let (root, bass) = best.map_or((plain(self.root), None), |(_, root, bass)| (root, bass));
        ChordSymbol { root, quality: self.quality.clone(), bass: self.bass.map(|b| bass.unwrap_or(plain(b))) }
    }

    /// Pitch classes of the chord's notes (C = 0 to B = 11), root first, then upwards as the symbol builds
    /// them; a bass outside the chord comes last. `None` if the quality is not one of the common ones.
    pub fn classes(&self) -> Option<Vec<i32>> {
        let mut classes: Vec<i32> = quality::semitones(&self.quality)?
            .into_iter()
            .map(|semitones| (self.root.class() + semitones).rem_euclid(12))
            .collect();
        let bass = self.bass.map(NoteName::class).filter(|bass| !classes.contains(bass));
        classes.extend(bass);
        Some(classes)
    }
}

/// The content of `(b5)…` or `(#9)…` at the front of a quality, without the brackets.
fn bare_alteration(quality: &str) -> Option<&str> {
    let inner = quality.strip_prefix('(')?.strip_suffix(')')?;
    (inner.starts_with(['b', '#', '♭', '♯']) && !inner.contains(['(', ')'])).then_some(inner)
}

impl fmt::Display for ChordSymbol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // `A` with a flat fifth must not come out as `Ab5`, which is a fifth on A flat.
        if self.quality.starts_with(['b', '#', '♭', '♯']) && self.root.alter == 0 {
            write!(f, "{}({})", self.root, self.quality)?;
        } else {
            write!(f, "{}{}", self.root, self.quality)?;
        }
        match self.bass {
            Some(bass) => write!(f, "/{bass}"),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn symbol(text: &str) -> ChordSymbol {
        ChordSymbol::parse(text).unwrap()
    }

    fn moved(text: &str, steps: i32, semitones: i32) -> String {
        symbol(text).moved(Interval::new(steps, semitones)).to_string()
    }

    #[test]
    fn parts_of_a_symbol() {
        let read = symbol("F#m7b5/C");
        assert_eq!((read.root.to_string(), read.quality.as_str()), ("F#".into(), "m7b5"));
        assert_eq!(read.bass.map(|b| b.to_string()), Some("C".into()));
        assert_eq!(symbol("C6/9").quality, "6/9");
        assert_eq!(symbol("C6/9/E").quality, "6/9");
        assert_eq!(symbol("E♭maj7").to_string(), "Ebmaj7");
        assert_eq!(symbol("Abb5").root.to_string(), "Ab");
        for bad in ["", "H7", "c7", "N.C.", "%", "C 7", "C|"] {
            assert_eq!(ChordSymbol::parse(bad), None, "{bad}");
        }
    }

    #[test]
    fn spelling_stays_sane() {
        assert_eq!(moved("E7", 1, 2), "F#7");
        assert_eq!(moved("B7", 1, 2), "C#7");
        assert_eq!(moved("B7/D#", 1, 2), "C#7/E#");
        assert_eq!(moved("D#m7", 1, 2), "Fm7");
        assert_eq!(moved("G#/B#", 1, 2), "Bb/D");
        assert_eq!(moved("Cb", 1, 2), "Db");
        assert_eq!(moved("Gb/Cb", 3, 5), "B/E");
    }

    #[test]
    fn an_altered_fifth_never_becomes_a_root() {
        assert_eq!(moved("Abb5", 1, 1), "A(b5)");
        assert_eq!(symbol("A(b5)"), symbol("Abb5").moved(Interval::new(1, 1)));
    }

    #[test]
    fn chord_notes() {
        assert_eq!(symbol("Bb6").classes(), Some(vec![10, 2, 5, 7]));
        assert_eq!(symbol("C7/G").classes(), Some(vec![0, 4, 7, 10]));
        assert_eq!(symbol("C/D").classes(), Some(vec![0, 4, 7, 2]));
        assert_eq!(symbol("Cwhatever").classes(), None);
    }
}
