//! What has been read of a line so far.

use super::In;
use crate::notation::fault::{Fault, FaultName};
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{
    Bar, FigureNode, Item, Member, Place, Play, RowKind, Slice, Switch, Symbol, TempoMark,
};
use chumsky::input::{Checkpoint, Cursor};
use chumsky::inspector::Inspector;
use chumsky::span::SimpleSpan;

/// State of reading one line.
#[derive(Debug)]
pub struct Sheet<'t> {
    pub text: &'t str,
    pub tokens: &'t [Token],
    pub faults: Vec<Fault>,
    pub bars: Vec<Bar>,
    pub nodes: Vec<FigureNode>,
    pub items: Vec<Item>,
    pub members: Vec<Member>,
    pub symbols: Vec<Symbol>,
    pub plays: Vec<Play>,
    pub switches: Vec<Switch>,
    pub tempos: Vec<TempoMark>,
    pub kind: RowKind,
    pub phrase: bool,
    /// The bar being read.
    pub bar: OpenBar,
    /// How many faults there were where the present option or setting began.
    pub told: usize,
    /// Tokens taken so far, those read again included: reading is linear in this.
    pub steps: u64,
}

/// A bar that is not finished.
#[derive(Debug, Clone, Copy, Default)]
pub struct OpenBar {
    /// Where it begins, in bytes.
    pub start: u32,
    pub figure: Span,
    pub has_figure: bool,
    pub nodes: u32,
    pub items: u32,
    pub faulty: bool,
    /// True once the figure's missing colon was shown; `figure` is then where it is missing.
    pub told: bool,
    /// True once brackets in brackets were shown.
    pub nested: bool,
}

impl<'t> Sheet<'t> {
    /// Nothing read yet.
    pub fn new(text: &'t str, tokens: In<'t>) -> Sheet<'t> {
        Sheet {
            text,
            tokens,
            faults: Vec::new(),
            bars: Vec::new(),
            nodes: Vec::new(),
            items: Vec::new(),
            members: Vec::new(),
            symbols: Vec::new(),
            plays: Vec::new(),
            switches: Vec::new(),
            tempos: Vec::new(),
            kind: RowKind::Music,
            phrase: false,
            bar: OpenBar::default(),
            told: 0,
            steps: 0,
        }
    }

    /// The stretch of a range of tokens.
    #[inline]
    pub fn bytes(&self, range: SimpleSpan<usize>) -> Span {
        let start = self.tokens.get(range.start);
        let last = self.tokens.get(range.end.wrapping_sub(1));
        match (start, last) {
            (Some(start), Some(last)) if range.end > range.start => {
                Span::new(start.span.start, last.span.end)
            }
            (Some(start), _) => Span::new(start.span.start, start.span.start),
            _ => Span::new(self.text.len() as u32, self.text.len() as u32),
        }
    }

    /// Kind of a token by number.
    #[inline]
    pub fn kind_at(&self, at: usize) -> Option<Kind> {
        self.tokens.get(at).map(|t| t.kind)
    }

    /// Adds a fault.
    #[cold]
    pub fn push(&mut self, fault: Fault) {
        self.faults.push(fault);
    }

    /// Adds an error.
    #[cold]
    pub fn fault(&mut self, name: FaultName, span: Span, text: impl Into<String>) {
        self.faults.push(Fault::new(name, span, text));
    }

    /// Adds a fault after which arithmetic stays silent in this bar.
    #[cold]
    pub fn spoil(&mut self, fault: Fault) {
        self.bar.faulty = true;
        self.faults.push(fault);
    }

    /// Adds a place of a figure.
    pub fn place(&mut self, place: Place) {
        self.nodes.push(FigureNode::Place(place));
    }

    /// How many nodes of this bar have been read.
    pub fn nodes_of_bar(&self) -> u16 {
        u16::try_from(self.nodes.len().saturating_sub(self.bar.nodes as usize)).unwrap_or(u16::MAX)
    }

    /// The items of the bar being read.
    pub fn items_of_bar(&self) -> &[Item] {
        self.items.get(self.bar.items as usize..).unwrap_or(&[])
    }

    /// Chord members from this number on.
    pub fn members_from(&self, start: usize) -> Slice {
        Slice { start: start as u32, end: self.members.len() as u32 }
    }
}

impl<'t> Inspector<'t, In<'t>> for Sheet<'t> {
    type Checkpoint = ();
    #[inline(always)]
    fn on_token(&mut self, _: &Token) {
        self.steps += 1;
    }
    #[inline(always)]
    fn on_save<'parse>(&self, _: &Cursor<'t, 'parse, In<'t>>) {}
    #[inline(always)]
    fn on_rewind<'parse>(&mut self, _: &Checkpoint<'t, 'parse, In<'t>, ()>) {}
}
