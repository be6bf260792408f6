//! Chord symbols as the notation writes them.

use crate::exchange::import::tree::Node;
use crate::music::chord_symbol::ChordSymbol;
use crate::music::{Interval, Pitch};

/// The standard's kinds, as they are mostly written.
const KINDS: [(&str, &str); 29] = [
    ("major", ""),
    ("minor", "m"),
    ("augmented", "+"),
    ("diminished", "dim"),
    ("dominant", "7"),
    ("major-seventh", "maj7"),
    ("minor-seventh", "m7"),
    ("diminished-seventh", "dim7"),
    ("augmented-seventh", "+7"),
    ("half-diminished", "m7b5"),
    ("major-minor", "m(maj7)"),
    ("major-sixth", "6"),
    ("minor-sixth", "m6"),
    ("dominant-ninth", "9"),
    ("major-ninth", "maj9"),
    ("minor-ninth", "m9"),
    ("dominant-11th", "11"),
    ("major-11th", "maj11"),
    ("minor-11th", "m11"),
    ("dominant-13th", "13"),
    ("major-13th", "maj13"),
    ("minor-13th", "m13"),
    ("suspended-second", "sus2"),
    ("suspended-fourth", "sus4"),
    ("power", "5"),
    ("Neapolitan", ""),
    ("Italian", "7"),
    ("French", "7b5"),
    ("German", "7"),
];

/// The symbol at concert pitch; `None` where it cannot be written.
pub fn symbol(harmony: &Node, reads: Interval) -> Option<String> {
    let kind = harmony.one("kind")?;
    if kind.said() == Some("none") {
        return Some("N.C.".to_owned());
    }
    let name = |whole: &str, step: &str, alter: &str| {
        let node = harmony.one(whole)?;
        let alter = node.child(alter).and_then(|a| a.parse::<f64>().ok()).unwrap_or(0.0) as i32;
        let accidental = ["bb", "b", "", "#", "x"].get(usize::try_from(alter + 2).ok()?)?;
        Some(format!("{}{accidental}", node.child(step)?))
    };
    let root = name("root", "root-step", "root-alter")?;
    let text = kind.attribute("text").map(str::trim).filter(|t| !t.contains([' ', '|', '"']));
    let quality = match text {
        Some(text) if !text.is_empty() || kind.said() == Some("major") => text.to_owned(),
        _ => {
            let known = KINDS.iter().find(|(kind, _)| Some(*kind) == harmony.child("kind"))?.1;
            format!("{known}{}", degrees(harmony)?)
        }
    };
    // A flat fifth on A must not become a fifth on A flat.
    let quality = if quality.starts_with(['b', '#']) { format!("({quality})") } else { quality };
    let bass = name("bass", "bass-step", "bass-alter").map(|b| format!("/{b}")).unwrap_or_default();
    let symbol = ChordSymbol::parse(&format!("{root}{quality}{bass}"))?;
    let moved = symbol.moved(reads).to_string();
    (!moved.contains([' ', '|', '"'])).then_some(moved)
}

/// `(b9)(no3)`; `None` for what has no usual way to be written.
fn degrees(harmony: &Node) -> Option<String> {
    let mut out = String::new();
    for degree in harmony.all("degree") {
        let value: u32 = degree.child("degree-value")?.parse().ok()?;
        let sign = match degree.child("degree-alter").unwrap_or("0") {
            "1" => "#",
            "-1" => "b",
            "0" => "",
            _ => return None,
        };
        match (degree.child("degree-type")?, sign) {
            ("subtract", _) => out += &format!("(no{value})"),
            ("add", "") => out += &format!("(add{value})"),
            _ => out += &format!("({sign}{value})"),
        }
    }
    Some(out)
}

/// The note name of a tone, so that a wrong one is told.
pub fn pitch(node: &Node) -> Option<Pitch> {
    let step = node.child("step")?.chars().next().and_then(crate::music::Step::from_letter)?;
    let alter: f64 = node.child("alter").unwrap_or("0").parse().ok()?;
    let octave: i32 = node.child("octave")?.parse().ok()?;
    // Quarter tones have no name here; they are told by who calls.
    Pitch::new(step, alter.trunc() as i32, octave)
}
