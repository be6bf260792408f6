//! Chord symbols.

use super::xml::Element;
use super::{element, text};
use crate::music::chord_symbol::{ChordSymbol, NoteName};

/// Qualities that the standard has a kind for, the longest first where one begins with another.
const KINDS: [(&str, &str); 48] = [
    ("", "major"),
    ("maj", "major"),
    ("m", "minor"),
    ("min", "minor"),
    ("-", "minor"),
    ("7", "dominant"),
    ("maj7", "major-seventh"),
    ("M7", "major-seventh"),
    ("Δ", "major-seventh"),
    ("Δ7", "major-seventh"),
    ("m7", "minor-seventh"),
    ("min7", "minor-seventh"),
    ("-7", "minor-seventh"),
    ("dim", "diminished"),
    ("°", "diminished"),
    ("o", "diminished"),
    ("dim7", "diminished-seventh"),
    ("°7", "diminished-seventh"),
    ("o7", "diminished-seventh"),
    ("aug", "augmented"),
    ("+", "augmented"),
    ("aug7", "augmented-seventh"),
    ("+7", "augmented-seventh"),
    ("7#5", "augmented-seventh"),
    ("m7b5", "half-diminished"),
    ("ø", "half-diminished"),
    ("ø7", "half-diminished"),
    ("mmaj7", "major-minor"),
    ("mM7", "major-minor"),
    ("6", "major-sixth"),
    ("m6", "minor-sixth"),
    ("9", "dominant-ninth"),
    ("maj9", "major-ninth"),
    ("m9", "minor-ninth"),
    ("11", "dominant-11th"),
    ("maj11", "major-11th"),
    ("m11", "minor-11th"),
    ("13", "dominant-13th"),
    ("maj13", "major-13th"),
    ("m13", "minor-13th"),
    ("sus4", "suspended-fourth"),
    ("sus", "suspended-fourth"),
    ("sus2", "suspended-second"),
    ("5", "power"),
    ("min6", "minor-sixth"),
    ("-6", "minor-sixth"),
    ("min9", "minor-ninth"),
    ("-9", "minor-ninth"),
];

/// A change to a kind: its degree, by how many semitones, and whether that degree is new there.
struct Degree {
    value: u32,
    alter: i32,
    kind: &'static str,
}

/// A chord symbol at the pitch that is written; `None` says that there is no chord.
pub fn harmony(symbol: Option<&ChordSymbol>) -> Element {
    let Some(symbol) = symbol else {
        let root = element("root").and(text("root-step", "C").with("text", ""));
        return element("harmony").and(root).and(text("kind", "none").with("text", "N.C."));
    };
    let (kind, degrees) = kind(&symbol.quality);
    let mut out = element("harmony")
        .and(name("root", "root-step", "root-alter", symbol.root))
        .and(text("kind", kind).with("text", &symbol.quality));
    if let Some(bass) = symbol.bass {
        out.push(name("bass", "bass-step", "bass-alter", bass));
    }
    out.and_all(degrees.into_iter().map(|degree| {
        element("degree")
            .with("print-object", "no")
            .and(text("degree-value", degree.value))
            .and(text("degree-alter", degree.alter))
            .and(text("degree-type", degree.kind))
    }))
}

fn name(whole: &'static str, step: &'static str, alter: &'static str, name: NoteName) -> Element {
    let out = element(whole).and(text(step, name.step.letter()));
    if name.alter == 0 { out } else { out.and(text(alter, name.alter)) }
}

/// The kind of a quality and what is changed of it; `other` where the standard has no word for it.
fn kind(quality: &str) -> (&'static str, Vec<Degree>) {
    let plain: String = quality
        .chars()
        .filter(|c| !matches!(c, '(' | ')' | ',' | ' '))
        .map(|c| match c {
            '♭' => 'b',
            '♯' => '#',
            other => other,
        })
        .collect();
    let whole = KINDS.iter().find(|(text, _)| *text == plain);
    if let Some((_, kind)) = whole {
        return (kind, Vec::new());
    }
    let mut fits: Vec<(&str, &'static str)> =
        KINDS.iter().filter(|(text, _)| plain.starts_with(text)).map(|(t, k)| (*t, *k)).collect();
    fits.sort_by_key(|(text, _)| std::cmp::Reverse(text.len()));
    for (text, kind) in fits {
        let rest = plain.get(text.len()..).unwrap_or_default();
        if let Some(degrees) = degrees(rest, text.ends_with(|c: char| c.is_ascii_digit())) {
            return (kind, degrees);
        }
    }
    ("other", Vec::new())
}

/// `b9#11add13no3`: what the rest of a quality changes; `None` if it says something else. A fifth is there and
/// is altered, what lies above is added.
fn degrees(mut rest: &str, seventh: bool) -> Option<Vec<Degree>> {
    let mut all = Vec::new();
    while !rest.is_empty() {
        if let Some(behind) = rest.strip_prefix("sus4").or_else(|| rest.strip_prefix("sus")) {
            all.push(Degree { value: 3, alter: 0, kind: "subtract" });
            all.push(Degree { value: 4, alter: 0, kind: "add" });
            rest = behind;
            continue;
        }
        let (word, behind) = ["add", "omit", "no", "/", "b", "#"]
            .into_iter()
            .find_map(|word| Some((word, rest.strip_prefix(word)?)))?;
        let digits = behind.len() - behind.trim_start_matches(|c: char| c.is_ascii_digit()).len();
        let value: u32 = behind.get(..digits)?.parse().ok()?;
        rest = behind.get(digits..)?;
        if !(2..=13).contains(&value) {
            return None;
        }
        let alter = match word {
            "b" => -1,
            "#" => 1,
            _ => 0,
        };
        let kind = match (word, value) {
            ("no" | "omit", _) => "subtract",
            ("b" | "#", 5) => "alter",
            ("b" | "#", 9 | 11 | 13) if seventh => "add",
            ("add", _) | ("/", 9) => "add",
            _ => return None,
        };
        all.push(Degree { value, alter, kind });
    }
    Some(all)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(quality: &str) -> (String, Vec<(u32, i32, &'static str)>) {
        let (kind, degrees) = kind(quality);
        (kind.to_owned(), degrees.iter().map(|d| (d.value, d.alter, d.kind)).collect())
    }

    #[test]
    fn qualities_have_their_kinds() {
        assert_eq!(read(""), ("major".into(), vec![]));
        assert_eq!(read("m7b5"), ("half-diminished".into(), vec![]));
        assert_eq!(read("m(maj7)"), ("major-minor".into(), vec![]));
        assert_eq!(read("7(b9)"), ("dominant".into(), vec![(9, -1, "add")]));
        assert_eq!(read("7b5#11"), ("dominant".into(), vec![(5, -1, "alter"), (11, 1, "add")]));
        assert_eq!(read("6/9"), ("major-sixth".into(), vec![(9, 0, "add")]));
        assert_eq!(read("add9"), ("major".into(), vec![(9, 0, "add")]));
        assert_eq!(read("7sus4"), ("dominant".into(), vec![(3, 0, "subtract"), (4, 0, "add")]));
        assert_eq!(read("b5"), ("major".into(), vec![(5, -1, "alter")]));
        assert_eq!(read("whatever"), ("other".into(), vec![]));
    }
}
