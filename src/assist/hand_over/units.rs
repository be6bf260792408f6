//! A figure as units that follow each other in time: a place each, or a tuplet as a whole.

use crate::assist::cure::figure::{signs, text_of, tuplet};
use crate::music::Fraction;
use crate::notation::tree::{FigureNode, PlaceKind};
use crate::score::figure::{Timed, expand, value_letters};
use crate::score::rhythm::single_value;

/// A piece of a figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Unit {
    pub onset: Fraction,
    pub length: Fraction,
    /// As it is written, without `*n`.
    pub text: String,
    /// Its places, with onsets in the bar.
    pub places: Vec<Timed>,
    pub tuplet: bool,
}

impl Unit {
    /// A rest that takes no entry.
    pub fn rest(onset: Fraction, length: Fraction, letters: &str) -> Unit {
        let place = Timed { onset, length, kind: PlaceKind::Silence, fermata: false };
        Unit { onset, length, text: format!("{letters}-"), places: vec![place], tuplet: false }
    }

    pub fn end(&self) -> Fraction {
        self.onset.plus(self.length).unwrap_or(self.onset)
    }

    /// True if it has something of this stretch of the bar.
    pub fn meets(&self, from: Fraction, to: Fraction) -> bool {
        self.onset < to && from < self.end()
    }
}

/// The units of a figure over so many entries.
pub fn units(nodes: &[FigureNode], line: &str, entries: usize) -> Option<Vec<Unit>> {
    let mut out: Vec<Unit> = Vec::new();
    let mut now = Fraction::ZERO;
    if let Some(value) = single_value(nodes) {
        for _ in 0..entries {
            let place = Timed { onset: now, length: value, kind: PlaceKind::Entry, fermata: false };
            let text = value_letters(value)?;
            out.push(Unit { onset: now, length: value, text, places: vec![place], tuplet: false });
            now = now.plus(value)?;
        }
        return Some(out);
    }
    let mut rest = nodes;
    while let Some((first, after)) = rest.split_first() {
        match first {
            FigureNode::Place(place) => {
                rest = after;
                for _ in 0..place.times.max(1) {
                    let timed =
                        Timed { onset: now, length: place.value, kind: place.kind, fermata: place.fermata };
                    let text = format!("{}{}", value_letters(place.value)?, signs(place));
                    out.push(Unit {
                        onset: now,
                        length: place.value,
                        text,
                        places: vec![timed],
                        tuplet: false,
                    });
                    now = now.plus(place.value)?;
                }
            }
            _ => {
                let group = rest.get(..tuplet(rest)?)?;
                rest = rest.get(group.len()..)?;
                let mut places = Vec::new();
                let length = expand(group, &mut places).ok()?;
                for place in &mut places {
                    place.onset = place.onset.plus(now)?;
                }
                out.push(Unit { onset: now, length, text: text_of(group, line), places, tuplet: true });
                now = now.plus(length)?;
            }
        }
    }
    Some(out)
}

/// A figure as text: runs of the same value as `q*3`, one plain value alone where it rules them all.
pub fn text(units: &[Unit]) -> String {
    let mut words: Vec<String> = Vec::new();
    let plain = |u: &Unit| u.text.chars().all(|c| c.is_ascii_lowercase());
    if let Some(first) = units.first()
        && units.len() > 1
        && plain(first)
        && units.iter().all(|u| u.text == first.text)
    {
        return first.text.clone();
    }
    let mut rest = units;
    while let Some(first) = rest.first() {
        let run = rest.iter().take_while(|u| u.text == first.text && !u.tuplet).count().max(1);
        if run > 2 {
            words.push(format!("{}*{run}", first.text));
        } else {
            words.extend(std::iter::repeat_n(first.text.clone(), run));
        }
        rest = rest.get(run..).unwrap_or_default();
    }
    words.join(" ")
}
