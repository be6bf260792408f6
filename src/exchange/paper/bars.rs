//! The bars of a score with what concerns everybody.

use super::repeats::{Signs, signs};
use crate::music::chord_symbol::ChordSymbol;
use crate::music::{Fraction, Key};
use crate::notation::tree::{Instruction, LineTree, Meter, SettingKind, TempoMark, What};
use crate::score::score::{Placed, Score};
use std::sync::Arc;

/// A bar, silent bars between blocks included.
#[derive(Debug, Clone)]
pub struct SheetBar {
    pub number: i64,
    pub length: Fraction,
    pub meter: Meter,
    /// Concert key.
    pub key: Option<Key>,
    /// Index of its block, and the bar of the block; `None` between blocks.
    pub place: Option<(usize, u32)>,
    /// A pickup: it counts from the end of the meter.
    pub pickup: bool,
    /// A repeat begins with it.
    pub opens: bool,
    /// A repeat ends with it, played so many times in all.
    pub closes: Option<u32>,
    /// An ending begins with it, or ends.
    pub ending_opens: Option<Vec<u32>>,
    pub ending_closes: Option<Vec<u32>>,
    pub over: Vec<Over>,
    /// Chord symbols at concert pitch with their places; `None` is no chord.
    pub chords: Vec<(Fraction, Option<ChordSymbol>)>,
}

/// What stands over a bar and concerns everybody.
#[derive(Debug, Clone, PartialEq)]
pub struct Over {
    /// In the bar, in whole notes.
    pub onset: Fraction,
    pub what: OverKind,
}

/// Which.
#[derive(Debug, Clone, PartialEq)]
pub enum OverKind {
    /// A rehearsal mark.
    Mark(String),
    /// Its words, if it has any.
    Tempo(Option<String>, TempoMark),
    Words(String),
    Rit,
    Accel,
    ATempo,
}

/// All bars, in the order they are written.
pub fn bars(score: &Score) -> Vec<SheetBar> {
    let mut all = Vec::new();
    // Meters in turn go on through silent bars.
    let mut meters: Arc<[Meter]> = Arc::new([Meter { groups: [4].into(), beat: 4 }]);
    let mut turn = 0;
    let mut key = None;
    for ((at, placed), signs) in score.blocks.iter().enumerate().zip(signs(score)) {
        let frame = &placed.frame;
        let in_turn = |meters: &[Meter], turn: u64| {
            let meter = meters.get((turn % meters.len().max(1) as u64) as usize);
            meter.cloned().unwrap_or(Meter { groups: [4].into(), beat: 4 })
        };
        for gap in 0..frame.gap {
            let meter = in_turn(&meters, turn);
            turn += 1;
            let length = meter.length().unwrap_or(Fraction::ONE);
            all.push(bar(frame.first_bar - i64::from(frame.gap) + i64::from(gap), length, meter, key, None));
        }
        (meters, turn, key) = (Arc::clone(&frame.meters), frame.turn, frame.key);
        let first = all.len();
        for (i, length) in (0u32..).zip(frame.lengths.iter()) {
            let meter = in_turn(&meters, turn);
            let pickup = i == 0 && placed.read.block.pickup.is_some();
            turn += u64::from(!pickup);
            let mut bar = bar(frame.first_bar + i64::from(i), *length, meter, key, Some((at, i)));
            bar.pickup = pickup;
            all.push(bar);
        }
        let own = all.get_mut(first..).unwrap_or_default();
        said(placed, own);
        chords(placed, own);
        sign(signs, own);
    }
    all
}

fn bar(
    number: i64,
    length: Fraction,
    meter: Meter,
    key: Option<Key>,
    place: Option<(usize, u32)>,
) -> SheetBar {
    SheetBar {
        number,
        length,
        meter,
        key,
        place,
        pickup: false,
        opens: false,
        closes: None,
        ending_opens: None,
        ending_closes: None,
        over: Vec::new(),
        chords: Vec::new(),
    }
}

fn sign(signs: Signs, bars: &mut [SheetBar]) {
    if let Some(first) = bars.first_mut() {
        first.opens = signs.opens;
        first.ending_opens.clone_from(&signs.ending);
    }
    if let Some(last) = bars.last_mut() {
        last.closes = signs.closes;
        last.ending_closes = signs.ending;
    }
}

/// Marks and tempo of the block's line, and what its rhythm rows say besides rhythm.
fn said(placed: &Placed, bars: &mut [SheetBar]) {
    let text = &placed.read.block.text;
    if let (Some(first), Some(line), Some(header)) = (bars.first_mut(), text.lines.first(), text.header()) {
        let words = |span: crate::notation::Span| span.of(&line.text).to_owned();
        for setting in &header.settings {
            let what = match &setting.what {
                SettingKind::Mark(name) => OverKind::Mark(words(*name)),
                SettingKind::Tempo(tempo) => OverKind::Tempo(tempo.text.map(words), *tempo),
                _ => continue,
            };
            first.over.push(Over { onset: Fraction::ZERO, what });
        }
    }
    for (row, rhythm) in placed.read.block.rows.iter().zip(&placed.read.rhythms) {
        let Some(rhythm) = rhythm else { continue };
        let Some(line) = text.lines.get(row.line as usize) else { continue };
        let LineTree::Row(tree) = &line.tree else { continue };
        for thing in &rhythm.things {
            let Some(item) = tree.items.get(thing.item as usize) else { continue };
            let what = match item.what {
                What::Words => OverKind::Words(unquoted(item.span.of(&line.text))),
                What::Instruction(Instruction::Tempo(i)) => match tree.tempos.get(i as usize) {
                    Some(tempo) => OverKind::Tempo(tempo.text.map(|t| t.of(&line.text).to_owned()), *tempo),
                    None => continue,
                },
                What::Instruction(Instruction::Rit) => OverKind::Rit,
                What::Instruction(Instruction::Accel) => OverKind::Accel,
                What::Instruction(Instruction::ATempo) => OverKind::ATempo,
                _ => continue,
            };
            if let Some(bar) = bars.get_mut(thing.bar as usize) {
                bar.over.push(Over { onset: thing.onset, what });
            }
        }
    }
    for bar in bars {
        bar.over.sort_by_key(|over| over.onset);
    }
}

/// The words between quotes.
pub fn unquoted(text: &str) -> String {
    text.trim_matches('"').to_owned()
}

/// The first row of chord symbols counts.
fn chords(placed: &Placed, bars: &mut [SheetBar]) {
    let rows = placed.read.block.rows.iter().zip(&placed.read.chords);
    let Some((row, read)) = rows.into_iter().find_map(|(row, read)| Some((row, read.as_ref()?))) else {
        return;
    };
    let Some(line) = placed.read.block.text.lines.get(row.line as usize) else { return };
    let LineTree::Row(tree) = &line.tree else { return };
    for chord in &read.chords {
        let symbol = chord.symbol.and_then(|i| tree.symbols.get(i as usize));
        let symbol = symbol.and_then(|symbol| ChordSymbol::parse(symbol.span.of(&line.text)));
        if chord.symbol.is_some() == symbol.is_some()
            && let Some(bar) = bars.get_mut(chord.bar as usize)
        {
            bar.chords.push((chord.onset, symbol));
        }
    }
}
