//! A rhythm row read: which figure rules each bar of the block.

use super::figure::{FigureFault, Timed, expand};
use super::wording::{in_meter, length as length_words};
use crate::music::Fraction;
use crate::notation::tree::{Bar, FigureNode, Item, PlaceKind, Row, Slice, What};
use crate::notation::{Fault, FaultName, Span};

/// What rules one bar of the rows below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ruling {
    /// Nothing: the bar is blank or beyond the row.
    Blank,
    /// These places, into [`RhythmRead::places`].
    Places(Slice),
    /// One value for every entry.
    Single(Fraction),
    /// The figure could not be read; a fault says so and arithmetic stays silent.
    Faulty,
}

/// A free thing of a rhythm row with its place in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RhythmThing {
    /// Bar of the block, from 0.
    pub bar: u32,
    /// In the bar, in whole notes.
    pub onset: Fraction,
    /// Into the row's items.
    pub item: u32,
}

/// A rhythm row read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RhythmRead {
    pub bars: Vec<Ruling>,
    pub places: Vec<Timed>,
    pub things: Vec<RhythmThing>,
    pub faults: Vec<Fault>,
}

impl RhythmRead {
    /// What rules this bar of the block.
    pub fn ruling(&self, bar: u32) -> Ruling {
        self.bars.get(bar as usize).copied().unwrap_or(Ruling::Blank)
    }
}

/// Reads a rhythm row against the lengths of the block's bars.
pub fn read_rhythm(row: &Row, lengths: &[Fraction]) -> RhythmRead {
    let mut read = RhythmRead::default();
    for bar in &row.bars {
        let items = bar.items.of(&row.items);
        let again = items.iter().find_map(|item| match item.what {
            What::Again(n) => Some((item.span, n)),
            _ => None,
        });
        if let Some((span, n)) = again {
            let first = read.bars.len();
            repeat_figure(&mut read, span, n, lengths);
            for (i, item) in items.iter().enumerate().filter(|(_, item)| !item.what.is_bars()) {
                // What stands behind the sign comes at the end of the last bar.
                let (place, onset) = if item.span.start < span.start {
                    (first, Fraction::ZERO)
                } else {
                    let last = read.bars.len().saturating_sub(1);
                    (last, lengths.get(last).copied().unwrap_or(Fraction::ZERO))
                };
                read.things.push(RhythmThing { bar: place as u32, onset, item: bar.items.start + i as u32 });
            }
            continue;
        }
        let index = read.bars.len();
        let ruling = read_bar(&mut read, bar, row, lengths.get(index).copied());
        keep_things(&mut read, bar, items, row, ruling);
        read.bars.push(ruling);
    }
    read
}

fn repeat_figure(read: &mut RhythmRead, span: Span, n: u16, lengths: &[Fraction]) {
    let Some(before) = read.bars.last().copied() else {
        read.faults.push(Fault::new(
            FaultName::NothingToRepeat,
            span,
            "There is no bar before this one whose rhythm could be repeated.",
        ));
        read.bars.extend((0..n.max(1)).map(|_| Ruling::Faulty));
        return;
    };
    let from = read.bars.len() - 1;
    for _ in 0..n.max(1) {
        let here = read.bars.len();
        let mut ruling = before;
        if before == Ruling::Blank {
            read.faults.push(Fault::new(
                FaultName::NothingToRepeat,
                span,
                "The bar before is blank: it has no rhythm to repeat.",
            ));
            ruling = Ruling::Faulty;
        } else if matches!(before, Ruling::Places(_)) && lengths.get(from) != lengths.get(here) {
            read.faults.push(Fault::new(
                FaultName::BarLength,
                span,
                format!(
                    "The bar before lasts {}, this one {}: its rhythm cannot be repeated here. Write the rhythm out.",
                    lengths.get(from).copied().map_or_else(String::new, in_meter),
                    lengths.get(here).copied().map_or_else(String::new, in_meter),
                ),
            ));
            ruling = Ruling::Faulty;
        }
        read.bars.push(ruling);
    }
}

fn read_bar(read: &mut RhythmRead, bar: &Bar, row: &Row, length: Option<Fraction>) -> Ruling {
    let nodes = bar.nodes.of(&row.nodes);
    if bar.faulty {
        return Ruling::Faulty;
    }
    if nodes.is_empty() {
        return Ruling::Blank;
    }
    if let Some(value) = single_value(nodes) {
        return Ruling::Single(value);
    }
    let start = read.places.len();
    match expand(nodes, &mut read.places) {
        Ok(total) => {
            if let Some(length) = length
                && total != length
            {
                read.faults.push(wrong_length(bar.figure, total, length));
                return Ruling::Faulty;
            }
            Ruling::Places(Slice { start: start as u32, end: read.places.len() as u32 })
        }
        Err(fault) => {
            read.places.truncate(start);
            read.faults.push(figure_fault(fault));
            Ruling::Faulty
        }
    }
}

fn keep_things(read: &mut RhythmRead, bar: &Bar, items: &[Item], row: &Row, ruling: Ruling) {
    let index = read.bars.len() as u32;
    for (i, item) in items.iter().enumerate() {
        let before = bar.nodes.of(&row.nodes).get(..usize::from(item.after)).unwrap_or_default();
        let mut scratch = Vec::new();
        let onset = match ruling {
            Ruling::Places(_) => expand(before, &mut scratch).unwrap_or(Fraction::ZERO),
            _ => Fraction::ZERO,
        };
        read.things.push(RhythmThing { bar: index, onset, item: bar.items.start + i as u32 });
    }
}

/// The value of a figure that is one plain value alone: it rules every entry of its list.
pub fn single_value(nodes: &[FigureNode]) -> Option<Fraction> {
    match nodes {
        [FigureNode::Place(p)] if p.kind == PlaceKind::Entry && !p.fermata && p.times == 1 => Some(p.value),
        _ => None,
    }
}

/// The fault of a figure that cannot be worked out.
pub fn figure_fault(fault: FigureFault) -> Fault {
    match fault {
        FigureFault::Uneven { span, count } => Fault::new(
            FaultName::BarLength,
            span,
            format!("What stands in this tuplet does not make {count} equal parts of one value."),
        ),
        FigureFault::Crowded { span } => Fault::new(
            FaultName::BadNumber,
            span,
            format!("This bar has more than {} places.", super::figure::MOST_PLACES),
        ),
        FigureFault::TooFine { span } => Fault::new(
            FaultName::BadNumber,
            span,
            "These tuplets divide the beat too finely to be counted exactly. Use simpler numbers.",
        ),
    }
}

/// The fault of a figure whose places do not fill the bar.
pub fn wrong_length(span: Span, total: Fraction, length: Fraction) -> Fault {
    let (difference, what) = if total < length {
        (length.minus(total), "is missing")
    } else {
        (total.minus(length), "is too much")
    };
    let difference = difference.map_or_else(String::new, |d| format!(": {} {what}", length_words(d)));
    let fault = Fault::new(
        FaultName::BarLength,
        span,
        format!("This bar adds up to {} and should last {}{difference}.", in_meter(total), in_meter(length)),
    );
    let missing = length.minus(total).filter(|d| *d > Fraction::ZERO).and_then(super::figure::value_letters);
    match missing {
        Some(letters) => {
            let rests: String = letters.split('+').map(|v| format!(" {v}-")).collect();
            fault.fixed_by(
                format!("Fill the bar with a rest ({})", letters),
                Span::new(span.end, span.end),
                rests,
            )
        }
        None => fault,
    }
}
