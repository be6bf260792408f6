//! A bar as note values: chords whose length takes several, and rests where nothing is written.

use super::tones::{Chord, ChordKind};
use crate::exchange::paper::{
    Ratio, SheetBar,
    values::{Value, values},
};
use crate::music::Fraction;

/// One note or rest as it stands on paper.
#[derive(Debug, Clone)]
pub struct Piece {
    pub onset: Fraction,
    pub length: Fraction,
    /// `None` where no value says it: a rest through the bar, or what a fault made.
    pub value: Option<Value>,
    pub inside: Vec<Ratio>,
    /// Tuplets that begin and end with it, the innermost of those it stands in.
    pub opens: usize,
    pub closes: usize,
    /// The chord of the bar; `None` for a rest that nobody wrote.
    pub chord: Option<usize>,
    /// The first, or the last, of its chord.
    pub first: bool,
    pub last: bool,
    pub rest: bool,
}

/// The bar, filled to its end. A bar as long as its meter may have one rest through it; in a pickup that would be read
/// as a rest of the whole meter.
pub fn pieces(chords: &[Chord], bar: &SheetBar) -> Vec<Piece> {
    let length = bar.length;
    let full = bar.meter.length() == Some(length);
    let mut all = Vec::new();
    let mut now = Fraction::ZERO;
    for (at, chord) in chords.iter().enumerate() {
        if let Some(gap) = chord.onset.minus(now).filter(|gap| *gap > Fraction::ZERO) {
            silence(now, gap, full && gap == length, &mut all);
        }
        sound(at, chord, full && chord.length == length, &mut all);
        now = chord.onset.plus(chord.length).unwrap_or(now);
    }
    if let Some(gap) = length.minus(now).filter(|gap| *gap > Fraction::ZERO) {
        silence(now, gap, full && gap == length, &mut all);
    }
    all
}

fn silence(onset: Fraction, gap: Fraction, whole: bool, all: &mut Vec<Piece>) {
    let parts = if whole { None } else { values(gap) };
    push(Piece { rest: true, ..empty(onset, gap) }, parts, all);
}

fn sound(at: usize, chord: &Chord, whole: bool, all: &mut Vec<Piece>) {
    let rest = chord.kind != ChordKind::Sound;
    let mut piece = Piece { chord: Some(at), rest, ..empty(chord.onset, chord.length) };
    if rest && whole {
        push(piece, None, all);
        return;
    }
    let parts = match &chord.written {
        Some(written) => {
            piece.inside.clone_from(&written.inside);
            (piece.opens, piece.closes) = (written.opens, written.closes);
            values(written.value)
        }
        None => values(chord.length),
    };
    push(piece, parts, all);
}

fn empty(onset: Fraction, length: Fraction) -> Piece {
    Piece {
        onset,
        length,
        value: None,
        inside: Vec::new(),
        opens: 0,
        closes: 0,
        chord: None,
        first: true,
        last: true,
        rest: false,
    }
}

/// One piece a value; where they do not add up to its length, one without a value.
fn push(piece: Piece, parts: Option<Vec<Value>>, all: &mut Vec<Piece>) {
    let parts = parts.unwrap_or_default();
    let scaled = |value: &Value| {
        piece.inside.iter().try_fold(value.length(), |length, ratio| {
            length.times(Fraction::new(i64::from(ratio.normal), i64::from(ratio.count))?)
        })
    };
    let lengths: Option<Vec<Fraction>> = parts.iter().map(scaled).collect();
    let lengths = lengths.unwrap_or_default();
    let sum = lengths.iter().try_fold(Fraction::ZERO, |sum, length| sum.plus(*length));
    if parts.is_empty() || sum != Some(piece.length) {
        all.push(piece);
        return;
    }
    let mut onset = piece.onset;
    let last = parts.len() - 1;
    for (i, (value, length)) in parts.into_iter().zip(lengths).enumerate() {
        all.push(Piece {
            onset,
            length,
            value: Some(value),
            opens: if i == 0 { piece.opens } else { 0 },
            closes: if i == last { piece.closes } else { 0 },
            first: i == 0,
            last: i == last,
            ..piece.clone()
        });
        onset = onset.plus(length).unwrap_or(onset);
    }
}
