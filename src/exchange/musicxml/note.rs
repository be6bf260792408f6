//! Notes and rests as elements.

use super::xml::Element;
use super::{element, text};
use crate::exchange::paper::Ratio;
use crate::exchange::paper::values::{Value, values};
use crate::music::Pitch;

/// The standard's word for a value.
pub fn value_name(value: Value) -> Option<&'static str> {
    Some(match value.power {
        1 => "breve",
        0 => "whole",
        -1 => "half",
        -2 => "quarter",
        -3 => "eighth",
        -4 => "16th",
        -5 => "32nd",
        -6 => "64th",
        -7 => "128th",
        -8 => "256th",
        -9 => "512th",
        -10 => "1024th",
        _ => return None,
    })
}

/// All that one `note` says, in any order.
#[derive(Debug, Default)]
pub struct Note {
    /// `None` is a rest.
    pub pitch: Option<Pitch>,
    /// A rest through the bar.
    pub whole_bar: bool,
    /// `None` for a grace.
    pub duration: Option<u64>,
    /// With the note before it.
    pub chord: bool,
    pub tied: bool,
    pub ties: bool,
    pub instrument: Option<String>,
    pub value: Option<Value>,
    pub accidental: Option<&'static str>,
    pub inside: Vec<Ratio>,
    /// In brackets: half played.
    pub ghost: bool,
    /// Of somebody else: small, and not to be played.
    pub cue: bool,
    pub beams: Vec<&'static str>,
    pub notations: Vec<Element>,
}

impl Note {
    /// The element, its parts in the order of the standard.
    pub fn element(self) -> Element {
        let mut out = element("note");
        if self.duration.is_none() {
            out.push(element("grace").with("slash", "yes"));
        }
        if self.cue {
            out.push(element("cue"));
        }
        if self.chord {
            out.push(element("chord"));
        }
        out.push(match self.pitch {
            Some(pitch) => self::pitch(pitch),
            None if self.whole_bar => element("rest").with("measure", "yes"),
            None => element("rest"),
        });
        if let Some(duration) = self.duration {
            out.push(text("duration", duration));
        }
        let tie = |name: &'static str| {
            let all = [(self.tied, "stop"), (self.ties, "start")].into_iter().filter(|(is, _)| *is);
            all.map(move |(_, kind)| element(name).with("type", kind)).collect::<Vec<_>>()
        };
        // A cue does not sound, so that its ties are drawn only.
        for tie in tie("tie").into_iter().filter(|_| !self.cue) {
            out.push(tie);
        }
        if let Some(id) = self.instrument {
            out.push(element("instrument").with("id", id));
        }
        out.push(text("voice", 1));
        if let Some(value) = self.value
            && let Some(name) = value_name(value)
        {
            let value_type = text("type", name);
            out.push(if self.cue { value_type.with("size", "cue") } else { value_type });
            (0..value.dots).for_each(|_| out.push(element("dot")));
        }
        if let Some(sign) = self.accidental {
            out.push(text("accidental", sign));
        }
        if !self.inside.is_empty() && self.value.is_some() {
            out.push(modification(&self.inside, self.value));
        }
        if self.ghost {
            out.push(text("notehead", "normal").with("parentheses", "yes"));
        }
        for (level, what) in self.beams.into_iter().enumerate() {
            out.push(text("beam", what).with("number", level + 1));
        }
        let mut notations = element("notations");
        tie("tied").into_iter().chain(self.notations).for_each(|what| notations.push(what));
        if !notations.is_bare() {
            out.push(notations);
        }
        out
    }
}

fn pitch(pitch: Pitch) -> Element {
    let mut out = element("pitch").and(text("step", pitch.step.letter()));
    if pitch.alter != 0 {
        out.push(text("alter", pitch.alter));
    }
    out.and(text("octave", pitch.octave.clamp(0, 9)))
}

/// All tuplets round a note as one: so many in the time of so many.
fn modification(inside: &[Ratio], value: Option<Value>) -> Element {
    let product = |of: fn(&Ratio) -> u16| inside.iter().map(|r| u64::from(of(r))).product::<u64>();
    let mut out = element("time-modification")
        .and(text("actual-notes", product(|r| r.count)))
        .and(text("normal-notes", product(|r| r.normal)));
    if let [ratio] = inside
        && let Some([unit]) = values(ratio.unit).as_deref()
        && Some(*unit) != value
        && let Some(name) = value_name(*unit)
    {
        out.push(text("normal-type", name));
        (0..unit.dots).for_each(|_| out.push(element("normal-dot")));
    }
    out
}

/// The brackets of the innermost so many tuplets.
pub fn brackets(inside: &[Ratio], many: usize, kind: &'static str) -> Vec<Element> {
    let first = inside.len().saturating_sub(many);
    let of = |(at, ratio): (usize, &Ratio)| {
        let out = element("tuplet").with("type", kind).with("number", at + 1);
        if kind == "stop" {
            return out;
        }
        let part = |name: &'static str, count: u16| {
            let mut out = element(name).and(text("tuplet-number", count));
            if let Some([unit]) = values(ratio.unit).as_deref()
                && let Some(name) = value_name(*unit)
            {
                out.push(text("tuplet-type", name));
                (0..unit.dots).for_each(|_| out.push(element("tuplet-dot")));
            }
            out
        };
        out.with("bracket", "yes")
            .and(part("tuplet-actual", ratio.count))
            .and(part("tuplet-normal", ratio.normal))
    };
    inside.iter().enumerate().skip(first).map(of).collect()
}
