//! Chord symbols: those of the key.

use super::about::About;
use super::item::{Item, ItemKind, List};
use crate::assist::glossary::Class;
use crate::assist::hover::chord::notes;
use crate::assist::typing::{OpenBar, Typing};
use crate::music::{ChordSymbol, Interval, Key, Mode, Pitch};
use crate::notation::Span;

/// Letters and semitones above the tonic, and what is built there, the usual one first.
type Degree = (i32, i32, &'static [&'static str]);

/// Chords of a major key in the order in which they are wanted (common practice).
const MAJOR: [Degree; 7] = [
    (0, 0, &["", "6", "maj7"]),
    (4, 7, &["7", "", "7sus4"]),
    (3, 5, &["", "6", "maj7"]),
    (1, 2, &["m7", "m"]),
    (5, 9, &["m7", "m"]),
    (2, 4, &["m7", "m"]),
    (6, 11, &["m7b5", "dim"]),
];

/// Chords of a minor key, its raised leading note included (common practice).
const MINOR: [Degree; 9] = [
    (0, 0, &["m", "m6", "m7"]),
    (4, 7, &["7", "7(b9)"]),
    (3, 5, &["m", "m7", "m6"]),
    (1, 2, &["m7b5", "dim"]),
    (5, 8, &["", "maj7"]),
    (2, 3, &["", "maj7"]),
    (6, 10, &["7", ""]),
    (4, 7, &["m", "m7"]),
    (6, 11, &["dim7"]),
];

/// What may stand at the cursor.
pub fn offered<'a>(typing: Typing<'a>, bar: &OpenBar) -> Option<List<'a>> {
    let start = bar.colon.map_or(bar.span.start, |c| c.end);
    let words = typing.words(start, |t| t.span.start >= bar.span.end);
    let mut list = List::new(typing, words.span);
    let counted = typing.text(words.span) == "rest" && words.all.len() > words.current + 1;
    if counted || bar.colon.is_some_and(|c| c.end == words.span.start) {
        return None;
    }
    let before = words.before().last().map(|s| typing.text(*s));
    if before == Some("rest") {
        [2, 4, 8].into_iter().for_each(|n: u8| list.add(0, ItemKind::Setting, n.to_string(), "bars"));
        return Some(list);
    }
    let key = typing.block().and_then(|(_, placed, _)| placed.frame.key);
    let key = key.unwrap_or(Key { step: crate::music::Step::C, alter: 0, mode: Mode::Major });
    let degrees: &[Degree] = if key.mode == Mode::Major { &MAJOR } else { &MINOR };
    for turn in 0..3 {
        for (steps, semitones, qualities) in degrees {
            let (Some(quality), Some(root)) = (qualities.get(turn), root(key, *steps, *semitones)) else {
                continue;
            };
            let Some(chord) = ChordSymbol::parse(&format!("{root}{quality}")) else { continue };
            list.add(turn as u8, ItemKind::Sign, chord.to_string(), notes(&chord));
        }
    }
    list.told(5, ItemKind::Sign, "N.C.", "no chord", About::word(Class::Bars, "N.C."));
    if typing.text(Span::new(start, bar.span.end)).trim() == typing.text(words.span) && bar.colon.is_none() {
        if bar.index > 0 {
            list.told(5, ItemKind::Sign, "%", "the chords of the bar before", About::word(Class::Bars, "%"));
        }
        let rest = Item::plain(ItemKind::Word, "rest".to_owned(), "bars without chords".to_owned());
        list.put(6, rest.filled("rest ${1:4}").about(About::word(Class::Bars, "rest")));
    }
    Some(list)
}

/// A degree of the key as the root of a chord; roots that would need two accidentals are left out.
fn root(key: Key, steps: i32, semitones: i32) -> Option<String> {
    let tonic = Pitch { step: key.step, alter: key.alter, octave: 4 };
    let root = Interval::new(steps, semitones).apply(tonic)?;
    (root.alter.abs() < 2).then(|| root.name())
}
