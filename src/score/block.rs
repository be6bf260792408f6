//! A block as written: its lines, its settings, who stands in which row. Nothing here depends on
//! where the block stands in the score.

use super::head::{Names, Person};
use super::order::Repeat;
use super::phrase::Phrases;
use super::row::bar_count;
use crate::music::{Fraction, Key};
use crate::notation::line::Line;
use crate::notation::tree::{
    Bar, BlockLine, LineTree, Meter, Row, RowKind, SettingKind, SymbolKind, TempoMark,
};
use crate::notation::{Fault, FaultName, Span};
use std::sync::Arc;

/// The lines of a block; the header is line 0.
#[derive(Debug, Clone)]
pub struct BlockText {
    pub lines: Vec<Arc<Line>>,
}

impl BlockText {
    /// The header line.
    pub fn header(&self) -> Option<&BlockLine> {
        match self.lines.first().map(|l| &l.tree) {
            Some(LineTree::Block(header)) => Some(header),
            _ => None,
        }
    }
}

/// A row of the block with what it needs from the head.
#[derive(Debug, Clone)]
pub struct BlockRow {
    /// Lines below the header.
    pub line: u32,
    pub kind: RowKind,
    /// The rhythm row that rules it, into the block's rows.
    pub ruled_by: Option<u32>,
    /// Who plays it, in the order in which chords are dealt.
    pub people: Vec<Person>,
    /// True if every name of the row is somebody.
    pub sure: bool,
    /// Bars it covers, before anything is cut off.
    pub bars: u32,
}

/// An `allow` line inside the block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BlockAllow {
    pub line: u32,
    pub span: Span,
}

/// A block as written.
#[derive(Debug, Clone)]
pub struct Block {
    pub text: Arc<BlockText>,
    pub rows: Vec<BlockRow>,
    /// Bars of the longest row.
    pub bars: u32,
    pub number: Option<(Span, u32)>,
    pub meters: Option<Arc<[Meter]>>,
    /// `Some(None)` for `key none`.
    pub key: Option<Option<Key>>,
    pub tempo: Option<TempoMark>,
    pub pickup: Option<Fraction>,
    pub close: Option<Fraction>,
    pub repeat: Option<Repeat>,
    pub ending: Option<Vec<u32>>,
    /// Mark and spot.
    pub sections: Vec<String>,
    /// Lines with an `allow`.
    pub allows: Vec<u32>,
    /// By line below the header; the lines' own reading faults are not repeated here.
    pub faults: Vec<(u32, Fault)>,
}

/// More bars than this in one block are refused.
pub const MOST_BARS: u32 = 20_000;

impl Block {
    /// Reads a block's lines against the names of the head.
    pub fn gather(text: Arc<BlockText>, names: &Names, phrases: &Phrases) -> Block {
        let mut block = Block {
            text: Arc::clone(&text),
            rows: Vec::new(),
            bars: 0,
            number: None,
            meters: None,
            key: None,
            tempo: None,
            pickup: None,
            close: None,
            repeat: None,
            ending: None,
            sections: Vec::new(),
            allows: Vec::new(),
            faults: Vec::new(),
        };
        block.settings();
        let mut ruler = None;
        for (i, line) in text.lines.iter().enumerate().skip(1) {
            block.line(i as u32, line, &mut ruler, names, phrases);
        }
        if block.bars > MOST_BARS {
            let span = block.header_word();
            block.bars = MOST_BARS;
            block.faults.push((
                0,
                Fault::new(
                    FaultName::BadNumber,
                    span,
                    format!("This block would last more than {MOST_BARS} bars; the rest is not read."),
                ),
            ));
        }
        block
    }

    /// The word `bar` of the header line.
    pub fn header_word(&self) -> Span {
        self.text.lines.first().map_or(Span::default(), |line| super::head::word_span(line))
    }

    /// Where on the header line its repeat (or its ending) stands.
    pub fn repeat_span(&self, ending: bool) -> Span {
        let wanted = |kind: &SettingKind| match kind {
            SettingKind::Ending(_) => ending,
            SettingKind::Repeat { .. } => !ending,
            _ => false,
        };
        let setting = self.text.header().and_then(|h| h.settings.iter().find(|s| wanted(&s.what)));
        setting.map_or_else(|| self.header_word(), |s| s.span)
    }

    fn settings(&mut self) {
        let text = Arc::clone(&self.text);
        let Some(header) = text.header() else { return };
        let words = text.lines.first().map_or("", |l| &*l.text);
        self.number = header.number;
        for setting in &header.settings {
            match &setting.what {
                SettingKind::Meter(meters) => self.meters = Some(meters.to_vec().into()),
                SettingKind::Key(key) => self.key = Some(*key),
                SettingKind::Tempo(tempo) => self.tempo = Some(*tempo),
                SettingKind::Mark(name) | SettingKind::Spot(name) => {
                    self.sections.push(name.of(words).to_owned());
                }
                SettingKind::Pickup(length) => self.pickup = Some(*length),
                SettingKind::Close(length) => self.close = Some(*length),
                SettingKind::Repeat { times, to } => {
                    self.repeat = Some(Repeat { times: (*times).clamp(1, 64), to: *to });
                }
                SettingKind::Ending(passes) => self.ending = Some(passes.to_vec()),
                SettingKind::Bad => {}
            }
        }
    }

    fn line(&mut self, index: u32, line: &Line, ruler: &mut Option<u32>, names: &Names, phrases: &Phrases) {
        match &line.tree {
            LineTree::Row(row) => {
                let mut people = Vec::new();
                let told = self.faults.len();
                if row.kind == RowKind::Music {
                    people = names.people(row, line, index, &mut self.faults);
                    self.faults.extend(names.mixed(row, &people).map(|f| (index, f)));
                }
                let sure = self.faults.len() == told;
                let bars = match row.kind {
                    RowKind::Chords => {
                        row.bars.iter().fold(0, |n: u32, bar| n.saturating_add(chord_span(bar, row)))
                    }
                    _ => bar_count(row, &line.text, phrases),
                };
                let here = self.rows.len() as u32;
                if row.kind == RowKind::Rhythm {
                    *ruler = Some(here);
                }
                if row.kind == RowKind::Music || row.kind == RowKind::Rhythm {
                    self.bars = self.bars.max(bars);
                }
                let ruled_by = (row.kind == RowKind::Music).then_some(*ruler).flatten();
                self.rows.push(BlockRow { line: index, kind: row.kind, ruled_by, people, sure, bars });
            }
            LineTree::Allow(_) => self.allows.push(index),
            LineTree::Blank | LineTree::Bad | LineTree::Block(_) => {}
            other => self.faults.push((index, misplaced(line, other))),
        }
    }
}

/// How many bars of a block one bar of a row of chord symbols stands for.
pub fn chord_span(bar: &Bar, row: &Row) -> u32 {
    let many = bar.items.of(&row.symbols).iter().find_map(|s| match s.what {
        SymbolKind::Rests(k) | SymbolKind::Again(k) => Some(u32::from(k)),
        _ => None,
    });
    many.unwrap_or(1).max(1)
}

/// The fault of a head line inside the body.
fn misplaced(line: &Line, tree: &LineTree) -> Fault {
    let word = line.text.split_whitespace().next().unwrap_or("");
    let start = (line.text.len() - line.text.trim_start().len()) as u32;
    let span = Span::new(start, start + word.len() as u32);
    let text = match tree {
        LineTree::Version(_) => "`brass 1` is the first line of a score.".to_owned(),
        _ => format!("A `{word}` line stands in the head, before the first `bar`."),
    };
    Fault::new(FaultName::MisplacedLine, span, text)
}
