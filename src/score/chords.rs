//! A row of chord symbols read: which chord is in force when.

use super::figure::{Timed, expand};
use super::rhythm::{figure_fault, single_value, wrong_length};
use super::wording::{in_meter, number, there_are};
use crate::music::Fraction;
use crate::music::chord_symbol::ChordSymbol;
use crate::notation::tree::{Bar, PlaceKind, Row, SymbolKind};
use crate::notation::{Fault, FaultName, Span};

/// Copies that would make more symbols than this in one row are refused.
const MOST_CHORDS: usize = 1 << 16;

/// A chord symbol with its place in time; it stays until the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChordAt {
    /// Bar of the block, from 0.
    pub bar: u32,
    /// In the bar, in whole notes.
    pub onset: Fraction,
    /// Into the row's symbols; `None` where there is no chord.
    pub symbol: Option<u32>,
}

/// A row of chord symbols, read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ChordsRead {
    pub chords: Vec<ChordAt>,
    pub faults: Vec<Fault>,
}

/// Reads a row of chord symbols against the lengths of the block's bars.
pub fn read_chords(row: &Row, text: &str, lengths: &[Fraction]) -> ChordsRead {
    let mut reader = Reader { row, text, lengths, read: ChordsRead::default(), bar: 0, before: 0..0 };
    for bar in &row.bars {
        reader.bar(bar);
    }
    reader.read
}

struct Reader<'a> {
    row: &'a Row,
    text: &'a str,
    lengths: &'a [Fraction],
    read: ChordsRead,
    bar: u32,
    /// Chords of the bar before, into `read.chords`, for `%`.
    before: std::ops::Range<usize>,
}

impl Reader<'_> {
    fn bar(&mut self, bar: &Bar) {
        let symbols = bar.items.of(&self.row.symbols);
        match symbols {
            [] => self.bar += 1,
            [only] if matches!(only.what, SymbolKind::Rests(_)) => {
                let SymbolKind::Rests(n) = only.what else { return };
                self.read.chords.push(ChordAt { bar: self.bar, onset: Fraction::ZERO, symbol: None });
                self.before = 0..0;
                self.bar = self.bar.saturating_add(u32::from(n.max(1)));
            }
            [only] if matches!(only.what, SymbolKind::Again(_)) => {
                let SymbolKind::Again(n) = only.what else { return };
                self.again(only.span, u32::from(n.max(1)));
            }
            _ => {
                let start = self.read.chords.len();
                self.chords(bar);
                self.before = start..self.read.chords.len();
                self.bar += 1;
            }
        }
    }

    fn again(&mut self, span: Span, n: u32) {
        let before: Vec<ChordAt> = self.read.chords.get(self.before.clone()).unwrap_or_default().to_vec();
        if before.is_empty() {
            self.read.faults.push(Fault::new(
                FaultName::NothingToRepeat,
                span,
                "There is no chord symbol in the bar before that could be repeated.",
            ));
        }
        let wanted = before.len().saturating_mul(n as usize);
        if self.read.chords.len().saturating_add(wanted) > MOST_CHORDS {
            self.read.faults.push(Fault::new(
                FaultName::BadNumber,
                span,
                format!("This row would have more than {MOST_CHORDS} chord symbols."),
            ));
            self.bar = self.bar.saturating_add(n);
            return;
        }
        for i in 0..n {
            let start = self.read.chords.len();
            let bar = self.bar.saturating_add(i);
            self.read.chords.extend(before.iter().map(|c| ChordAt { bar, ..*c }));
            self.before = start..self.read.chords.len();
        }
        self.bar = self.bar.saturating_add(n);
    }

    fn chords(&mut self, bar: &Bar) {
        let symbols = bar.items.of(&self.row.symbols);
        for symbol in symbols.iter().filter(|s| s.what == SymbolKind::Chord) {
            if ChordSymbol::parse(symbol.span.of(self.text)).is_none() && !bar.faulty {
                self.read.faults.push(Fault::new(
                    FaultName::Unreadable,
                    symbol.span,
                    "A chord symbol begins with its root, a capital letter from A to G: `Bb6`, `F#m7b5`, `C7/G`.",
                ));
            }
        }
        let onsets = self.onsets(bar, symbols.len());
        for (i, symbol) in symbols.iter().enumerate() {
            let onset = onsets.get(i).copied().unwrap_or(Fraction::ZERO);
            let symbol =
                (symbol.what == SymbolKind::Chord).then_some(bar.items.start.saturating_add(i as u32));
            self.read.chords.push(ChordAt { bar: self.bar, onset, symbol });
        }
    }

    /// Where the symbols of a bar stand: by its figure, or sharing the bar equally.
    fn onsets(&mut self, bar: &Bar, count: usize) -> Vec<Fraction> {
        let length = self.lengths.get(self.bar as usize).copied();
        if !bar.has_figure {
            let each = length.and_then(|l| l.over(Fraction::new(i64::try_from(count).ok()?, 1)?));
            let at = |i: usize| Fraction::new(i64::try_from(i).ok()?, 1)?.times(each?);
            return (0..count).filter_map(at).collect();
        }
        let nodes = bar.nodes.of(&self.row.nodes);
        let mut places: Vec<Timed> = Vec::new();
        let (total, wanted) = match single_value(nodes) {
            Some(value) => {
                let mut now = Fraction::ZERO;
                for _ in 0..count {
                    places.push(Timed { onset: now, length: value, kind: PlaceKind::Entry, fermata: false });
                    now = now.plus(value).unwrap_or(now);
                }
                (now, count)
            }
            None => match expand(nodes, &mut places) {
                Ok(total) => (total, places.iter().filter(|p| p.kind == PlaceKind::Entry).count()),
                Err(fault) => {
                    if !bar.faulty {
                        self.read.faults.push(figure_fault(fault));
                    }
                    return Vec::new();
                }
            },
        };
        if !bar.faulty {
            self.add_up(bar, total, length, wanted, count);
        }
        places.iter().filter(|p| p.kind == PlaceKind::Entry).map(|p| p.onset).collect()
    }

    fn add_up(&mut self, bar: &Bar, total: Fraction, length: Option<Fraction>, wanted: usize, count: usize) {
        if let Some(length) = length
            && total != length
        {
            let mut fault = wrong_length(bar.figure, total, length);
            // A symbol lasts until the next: a chord row is mended by hand, not by rests.
            fault.fix = None;
            self.read.faults.push(fault);
            return;
        }
        if wanted == count {
            return;
        }
        let symbols = bar.items.of(&self.row.symbols);
        let from = if count > wanted { wanted } else { 0 };
        let span = match (symbols.get(from), symbols.last()) {
            (Some(first), Some(last)) => first.span.to(last.span),
            _ => bar.figure,
        };
        self.read.faults.push(Fault::new(
            FaultName::PlaceCount,
            span,
            format!(
                "The figure has {} place{} for chord symbols in this bar of {}; {}.",
                number(wanted),
                if wanted == 1 { "" } else { "s" },
                length.map_or_else(String::new, in_meter),
                there_are(count)
            ),
        ));
    }
}
