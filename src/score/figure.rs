//! Figures worked out: every place with its onset and length in the bar.

use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::{FigureNode, PlaceKind};

/// More places than this in one bar are refused; sixty-fourths in eight whole notes are 512.
pub const MOST_PLACES: usize = 2048;

/// A place with its time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Timed {
    /// From the start of the bar, in whole notes.
    pub onset: Fraction,
    /// In whole notes, tuplets applied.
    pub length: Fraction,
    pub kind: PlaceKind,
    pub fermata: bool,
}

/// Why a figure has no length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FigureFault {
    /// A tuplet's contents do not make `count` equal parts of one value.
    Uneven { span: Span, count: u16 },
    /// More places than [`MOST_PLACES`].
    Crowded { span: Span },
    /// Denominators grow beyond what is counted exactly.
    TooFine { span: Span },
}

struct Tuplet {
    first: usize,
    count: u16,
    normal: u16,
    span: Span,
    start: Fraction,
}

/// Adds the figure's places to `out`, the first at onset zero, and returns their whole length.
pub fn expand(nodes: &[FigureNode], out: &mut Vec<Timed>) -> Result<Fraction, FigureFault> {
    let base = out.len();
    let mut now = Fraction::ZERO;
    let mut open: Vec<Tuplet> = Vec::new();
    for node in nodes {
        match *node {
            FigureNode::Place(place) => {
                let too_fine = FigureFault::TooFine { span: place.span };
                for _ in 0..place.times.max(1) {
                    if out.len() - base >= MOST_PLACES {
                        return Err(FigureFault::Crowded { span: place.span });
                    }
                    out.push(Timed {
                        onset: now,
                        length: place.value,
                        kind: place.kind,
                        fermata: place.fermata,
                    });
                    now = now.plus(place.value).ok_or(too_fine)?;
                }
            }
            FigureNode::Open { count, normal, span } => {
                open.push(Tuplet { first: out.len(), count, normal, span, start: now });
            }
            FigureNode::Close { times, span } => {
                // A stray close was a token fault already: the figure goes on without it.
                if let Some(tuplet) = open.pop() {
                    now = close(&tuplet, times, now, base, out).map_err(|fault| match fault {
                        FigureFault::Uneven { span: start, count } => {
                            FigureFault::Uneven { span: start.to(span), count }
                        }
                        other => other,
                    })?;
                }
            }
        }
    }
    while let Some(tuplet) = open.pop() {
        now = close(&tuplet, 1, now, base, out)?;
    }
    Ok(now)
}

fn close(
    tuplet: &Tuplet,
    times: u16,
    now: Fraction,
    base: usize,
    out: &mut Vec<Timed>,
) -> Result<Fraction, FigureFault> {
    let span = tuplet.span;
    let fine = |f: Option<Fraction>| f.ok_or(FigureFault::TooFine { span });
    let count = fine(Fraction::new(i64::from(tuplet.count), 1))?;
    let ratio = fine(Fraction::new(i64::from(tuplet.normal), i64::from(tuplet.count)))?;
    let sum = fine(now.minus(tuplet.start))?;
    let unit = fine(sum.over(count))?;
    if !is_single_value(unit) {
        return Err(FigureFault::Uneven { span, count: tuplet.count });
    }
    let length = fine(sum.times(ratio))?;
    let last = out.len();
    for place in out.get_mut(tuplet.first..).unwrap_or_default() {
        let into = fine(place.onset.minus(tuplet.start))?;
        place.onset = fine(tuplet.start.plus(fine(into.times(ratio))?))?;
        place.length = fine(place.length.times(ratio))?;
    }
    let mut end = fine(tuplet.start.plus(length))?;
    let members = last - tuplet.first;
    for _ in 1..times.max(1) {
        if out.len() - base + members > MOST_PLACES {
            return Err(FigureFault::Crowded { span });
        }
        let shift = fine(end.minus(tuplet.start))?;
        for i in tuplet.first..last {
            let Some(mut copy) = out.get(i).copied() else { break };
            copy.onset = fine(copy.onset.plus(shift))?;
            out.push(copy);
        }
        end = fine(end.plus(length))?;
    }
    Ok(end)
}

/// True for a length that one value with at most two dots can be written for, down to the 256th.
pub fn is_single_value(length: Fraction) -> bool {
    let (n, d) = (length.numerator(), length.denominator());
    let den_ok = u64::try_from(d).is_ok_and(u64::is_power_of_two);
    // A whole is 1, a double whole 2; dotted 3/2 and 3, double-dotted 7/4 and 7/2.
    den_ok && matches!(n, 1..=3 | 7) && !(n == 2 && d != 1) && d <= 1024
}

/// The letters of the notation for a length, as a sum where one value does not do; `None` if it
/// cannot be written without a tuplet.
pub fn value_letters(length: Fraction) -> Option<String> {
    const LETTERS: [&str; 8] = ["ww", "w", "h", "q", "e", "s", "ss", "sss"];
    let mut rest = length;
    let mut parts = Vec::new();
    let mut unit = Fraction::new(2, 1)?;
    let half = Fraction::new(1, 2)?;
    for letter in LETTERS {
        let smaller = unit.times(half)?;
        let smallest = smaller.times(half)?;
        for (dots, size) in
            [("..", unit.plus(smaller)?.plus(smallest)?), (".", unit.plus(smaller)?), ("", unit)]
        {
            if rest >= size {
                rest = rest.minus(size)?;
                parts.push(format!("{letter}{dots}"));
            }
        }
        unit = smaller;
    }
    if rest.is_zero() && !parts.is_empty() && parts.len() <= 4 { Some(parts.join("+")) } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_length_is_written_as_few_values_as_it_takes() {
        let f = |n, d| Fraction::new(n, d).unwrap();
        assert_eq!(value_letters(f(5, 8)).as_deref(), Some("h+e"));
        assert_eq!(value_letters(f(3, 2)).as_deref(), Some("w."));
        assert_eq!(value_letters(f(1, 3)), None);
    }
}
