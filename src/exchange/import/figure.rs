//! The figure of a bar: how the lengths of its entries are written.

use super::lines::{Cell, What};
use super::music::Tuplet;
use crate::music::Fraction;
use crate::score::figure::{is_single_value, value_letters};

/// A piece of a figure.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Piece {
    Open {
        count: u32,
        normal: u32,
    },
    /// The value of an entry, by index.
    Place {
        value: String,
        cell: usize,
    },
    Close,
}

/// Finest step of a bar whose rhythm cannot be written as it stands: a 64th.
const STEP: i64 = 64;

/// Makes the entries of a bar such that a figure says them. False where lengths had to be changed for it.
pub fn writable(cells: &mut Vec<Cell>) -> bool {
    if pieces(cells).is_some() {
        return true;
    }
    bracket(cells);
    if pieces(cells).is_some() {
        return true;
    }
    cells.iter_mut().for_each(|c| c.inside.clear());
    derive(cells);
    if pieces(cells).is_some() {
        return true;
    }
    snap(cells);
    false
}

/// The figure of entries; `None` where brackets or values do not come out.
pub fn pieces(cells: &[Cell]) -> Option<Vec<Piece>> {
    let mut out = Vec::new();
    inner(cells, 0, 0, Fraction::ONE, &mut out)?;
    Some(out)
}

fn inner(cells: &[Cell], base: usize, depth: usize, factor: Fraction, out: &mut Vec<Piece>) -> Option<()> {
    let mut at = 0;
    while let Some(cell) = cells.get(at) {
        let Some(tuplet) = cell.inside.get(depth).copied() else {
            let value = value_letters(cell.length.times(factor)?)?;
            out.push(Piece::Place { value, cell: base + at });
            at += 1;
            continue;
        };
        let run = cells
            .get(at..)?
            .iter()
            .take_while(|c| c.inside.get(depth).is_some_and(|t| t.id == tuplet.id))
            .count();
        let members = cells.get(at..at + run)?;
        let ratio = Fraction::new(i64::from(tuplet.count), i64::from(tuplet.normal))?;
        let factor = factor.times(ratio)?;
        let sum = members.iter().try_fold(Fraction::ZERO, |sum, c| sum.plus(c.length))?;
        let unit = sum.times(factor)?.over(Fraction::new(i64::from(tuplet.count), 1)?)?;
        if !is_single_value(unit) || run == 0 {
            return None;
        }
        out.push(Piece::Open { count: tuplet.count, normal: tuplet.normal });
        inner(members, base + at, depth + 1, factor, out)?;
        out.push(Piece::Close);
        at += run;
    }
    Some(())
}

/// Brackets for entries that say their ratio but stand in none.
fn bracket(cells: &mut [Cell]) {
    let mut id = u32::MAX / 2;
    let mut at = 0;
    while at < cells.len() {
        let Some(first) = cells.get(at) else { return };
        let (count, normal) = first.ratio;
        if count == normal || !first.inside.is_empty() {
            at += 1;
            continue;
        }
        let ratio = first.ratio;
        let mut sum = Fraction::ZERO;
        let mut end = at;
        let mut closed = None;
        while let Some(cell) = cells.get(end).filter(|c| c.ratio == ratio && c.inside.is_empty()) {
            sum = sum.plus(cell.length).unwrap_or(sum);
            end += 1;
            // In all, `normal` of one value.
            let unit = Fraction::new(i64::from(normal), 1).and_then(|n| sum.over(n));
            if unit.is_some_and(|u| is_single_value(u) && power(u)) {
                closed = Some(end);
                break;
            }
        }
        let Some(end) = closed else {
            at = end.max(at + 1);
            continue;
        };
        id += 1;
        for cell in cells.get_mut(at..end).unwrap_or_default() {
            cell.inside = vec![Tuplet { id, count, normal }];
        }
        at = end;
    }
}

fn power(length: Fraction) -> bool {
    length.numerator().count_ones() == 1
}

/// Brackets worked out from lengths alone: from an entry that no value says to where the bar is on its beats again.
fn derive(cells: &mut [Cell]) {
    let mut id = u32::MAX / 4 * 3;
    let mut at = 0;
    while at < cells.len() {
        let Some(first) = cells.get(at) else { return };
        if value_letters(first.length).is_some() {
            at += 1;
            continue;
        }
        let mut sum = Fraction::ZERO;
        let mut odd: i64 = 1;
        let mut found = None;
        for end in at..cells.len() {
            let Some(cell) = cells.get(end) else { break };
            sum = sum.plus(cell.length).unwrap_or(sum);
            let den = cell.length.denominator();
            odd = odd.max(den >> den.trailing_zeros());
            let count = odd;
            if !(3..=63).contains(&count) {
                break;
            }
            let normal = 1i64 << (63 - count.leading_zeros());
            let fits = || -> Option<bool> {
                let unit = sum.over(Fraction::new(normal, 1)?)?;
                let ratio = Fraction::new(count, normal)?;
                let members = cells.get(at..=end)?;
                let all = members.iter().all(|c| c.length.times(ratio).and_then(value_letters).is_some());
                Some(power(unit) && is_single_value(unit) && all)
            };
            if fits() == Some(true) {
                found = Some((end + 1, count as u32, normal as u32));
                break;
            }
        }
        let Some((end, count, normal)) = found else { return };
        id += 1;
        for cell in cells.get_mut(at..end).unwrap_or_default() {
            cell.inside = vec![Tuplet { id, count, normal }];
        }
        at = end;
    }
}

/// Lays the beginnings on the grid; an entry that loses all its time goes, unless it is the only note there.
fn snap(cells: &mut Vec<Cell>) {
    let length = cells.last().and_then(|c| c.onset.plus(c.length)).unwrap_or_default();
    let grid =
        |f: Fraction| Fraction::new((f.to_f64() * STEP as f64).round() as i64, STEP).unwrap_or(f).min(length);
    let ends: Vec<Fraction> = cells.iter().skip(1).map(|c| grid(c.onset)).chain([length]).collect();
    for (cell, end) in cells.iter_mut().zip(ends) {
        cell.onset = grid(cell.onset);
        cell.length = end.minus(cell.onset).unwrap_or_default();
        cell.inside.clear();
        cell.ratio = (1, 1);
    }
    cells.retain(|c| !c.length.is_zero());
    // A sum of more than four values is parted in two.
    let mut at = 0;
    while let Some(cell) = cells.get(at) {
        if value_letters(cell.length).is_some() {
            at += 1;
            continue;
        }
        let mut first = cell.clone();
        let half = Fraction::new(1, 4).unwrap_or(cell.length).min(cell.length);
        let Some(rest) = cell.length.minus(half).filter(|r| !r.is_zero()) else {
            at += 1;
            continue;
        };
        first.length = half;
        let hold = if cell.what == What::Rest { What::Rest } else { What::Hold };
        let onset = cell.onset.plus(half).unwrap_or(cell.onset);
        let second = Cell { onset, length: rest, ratio: (1, 1), what: hold, ..Cell::default() };
        cells.splice(at..=at, [first, second]);
        at += 1;
    }
}

/// The figure as text. `rests` are the entries that the figure itself says as rests.
pub fn text(pieces: &[Piece], rests: &dyn Fn(usize) -> bool, short: bool) -> String {
    let mut words: Vec<String> = Vec::new();
    // Where each open bracket begins.
    let mut open: Vec<usize> = Vec::new();
    for piece in pieces {
        match piece {
            Piece::Open { count, normal } => {
                open.push(words.len());
                words.push(format!("{{{count}:{normal}"));
            }
            Piece::Place { value, cell } => {
                words.push(if rests(*cell) { format!("{value}-") } else { value.clone() });
            }
            Piece::Close => {
                let from = open.pop().unwrap_or(0).min(words.len());
                let inside = words.split_off(from);
                let (head, values) = inside.split_first().map_or(("", &[][..]), |(h, v)| (h.as_str(), v));
                words.push(format!("{head} {}}}", runs(values, 3).join(" ")));
            }
        }
    }
    if short { runs(&words, 4) } else { words }.join(" ")
}

/// The same words in a row as one with its number.
pub fn runs(words: &[String], least: usize) -> Vec<String> {
    let mut out = Vec::new();
    for same in words.chunk_by(|a, b| a == b) {
        let Some(word) = same.first() else { continue };
        if same.len() >= least && same.len() <= 64 {
            out.push(format!("{word}*{}", same.len()));
        } else {
            out.extend(same.iter().cloned());
        }
    }
    out
}
