//! Marks of a note as the standard's notations.

use super::tones::{Chord, Lines};
use super::xml::Element;
use super::{element, text};
use crate::music::{Key, Pitch};
use crate::notation::tree::{Choice, Mark, Marks};

/// Marks that belong to the end of a note; the rest stands where it begins.
const AT_END: [Mark; 5] = [Mark::Breath, Mark::Break, Mark::Fermata, Mark::Fall, Mark::Doit];

/// Those of the marks that stand on this piece of a note.
pub fn standing(marks: Marks, first: bool, last: bool) -> Marks {
    let mut out = marks;
    for mark in Mark::ALL {
        let here = if AT_END.contains(&mark) { last } else { first };
        if !here {
            out.remove(mark);
        }
    }
    if !first {
        out.choice = None;
    }
    out
}

/// Ornaments, technical marks, articulations and fermata, in groups.
pub fn notations(marks: Marks, chord: Option<&Chord>, key: Option<Key>) -> Vec<Element> {
    let has = |mark: Mark| marks.has(mark);
    let of = |pairs: &[(Mark, &'static str)]| {
        pairs.iter().filter(|(mark, _)| has(*mark)).map(|(_, name)| element(name)).collect::<Vec<_>>()
    };
    let mut ornaments = Vec::new();
    if has(Mark::Trill) {
        ornaments.push(element("trill-mark"));
        let upper = chord.and_then(|c| c.trill);
        let sign = upper.filter(|upper: &Pitch| {
            super::accidentals::Accidentals::of_key(key, *upper) != i32::from(upper.alter)
        });
        ornaments.extend(sign.map(|upper| text("accidental-mark", super::accidentals::name(upper.alter))));
    }
    ornaments.extend(of(&[(Mark::Turn, "turn"), (Mark::Shake, "shake")]));
    if has(Mark::Flutter) {
        ornaments.push(text("tremolo", 3).with("type", "single"));
    }
    let mut technical = Vec::new();
    technical.extend(marks.choice.map(|choice| text("fingering", fingering(choice))));
    technical.extend(of(&[
        (Mark::Stopped, "stopped"),
        (Mark::Closed, "stopped"),
        (Mark::Open, "open"),
        (Mark::Wah, "half-muted"),
        (Mark::Bend, "brass-bend"),
    ]));
    let other = |name: &'static str, all: &[(Mark, &str)]| {
        let mine = all.iter().filter(|(mark, _)| has(*mark));
        mine.map(|(_, word)| text(name, word)).collect::<Vec<_>>()
    };
    technical.extend(other(
        "other-technical",
        &[
            (Mark::Growl, "growl"),
            // The standard has one sign for the hand of a horn player and for a mute that the hand closes.
            (Mark::Closed, "closed"),
            (Mark::Halfvalve, "half-valve"),
            (Mark::Lip, "lip"),
            (Mark::Flutter, "flutter"),
        ],
    ));
    let mut articulations = of(&[
        (Mark::Accent, "accent"),
        (Mark::Marcato, "strong-accent"),
        (Mark::Staccato, "staccato"),
        (Mark::Tenuto, "tenuto"),
        (Mark::Wedge, "staccatissimo"),
        (Mark::Scoop, "scoop"),
        (Mark::Doit, "doit"),
        (Mark::Fall, "falloff"),
    ]);
    articulations.extend(other("other-articulation", &[(Mark::Rip, "rip")]));
    articulations.extend(of(&[(Mark::Breath, "breath-mark"), (Mark::Break, "caesura")]));
    let groups = [("ornaments", ornaments), ("technical", technical), ("articulations", articulations)];
    let filled = groups.into_iter().filter(|(_, all)| !all.is_empty());
    let mut out: Vec<Element> = filled.map(|(name, all)| element(name).and_all(all)).collect();
    if has(Mark::Fermata) {
        out.push(element("fermata").with("type", "upright"));
    }
    out
}

/// `12`, `T3`, `0`: as a player writes it over the note.
fn fingering(choice: Choice) -> String {
    let digits = (0u8..7).filter(|bit| choice.digits & (1 << bit) != 0).map(|bit| char::from(b'1' + bit));
    let mut out = String::new();
    if choice.thumb {
        out.push('T');
    }
    if choice.second {
        out.push('G');
    }
    out.extend(digits);
    if out.is_empty() { "0".to_owned() } else { out }
}

/// Slurs and glissandos that end and begin here; a slide glides where valves run.
pub fn lines(lines: Lines, first: bool, last: bool, slides: bool, number: usize) -> Vec<Element> {
    let glide = |kind: &'static str, number: usize| {
        let line = if slides {
            element("slide").with("line-type", "solid")
        } else {
            element("glissando").with("line-type", "wavy")
        };
        line.with("type", kind).with("number", number)
    };
    let slur = |kind: &'static str| element("slur").with("type", kind).with("number", 1);
    let mut out = Vec::new();
    if lines.slur_stops && last {
        out.push(slur("stop"));
    }
    if lines.slur_starts && first {
        out.push(slur("start"));
    }
    // One may end where the next begins: their numbers take turns.
    if lines.glide_stops && first {
        out.push(glide("stop", 1 + number % 2));
    }
    if lines.glide_starts && last {
        out.push(glide("start", 1 + (number + usize::from(lines.glide_stops)) % 2));
    }
    out
}
