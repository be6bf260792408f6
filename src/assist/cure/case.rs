//! A finding in its place.

use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::tree::{Bar, Item, LineTree, PhraseLine, Row, RowKind};
use crate::rules::{Desk, Finding};
use crate::score::Score;
use crate::score::block::{BlockRow, chord_span};
use crate::score::player::Player;
use crate::score::row::bar_span;
use crate::score::score::Placed;
use std::sync::Arc;

/// A finding with the line it stands on.
#[derive(Clone, Copy)]
pub struct Case<'a> {
    pub desk: &'a Desk,
    pub finding: &'a Finding,
    pub line: &'a Line,
}

/// A row of a block.
#[derive(Clone, Copy)]
pub struct RowHere<'a> {
    pub score: &'a Score,
    /// Index of the block.
    pub block: usize,
    pub placed: &'a Placed,
    /// Index of the row in the block.
    pub number: usize,
    pub row: &'a BlockRow,
    pub line: &'a Line,
    pub tree: &'a Row,
}

impl<'a> Case<'a> {
    /// `None` if the text has no such line.
    pub fn of(desk: &'a Desk, finding: &'a Finding) -> Option<Case<'a>> {
        let line = desk.document().lines().get(finding.line as usize)?;
        Some(Case { desk, finding, line })
    }

    pub fn score(&self) -> &'a Score {
        self.desk.score()
    }

    pub fn text(&self, span: Span) -> &'a str {
        span.of(&self.line.text)
    }

    /// The text of the finding's stretch.
    pub fn said(&self) -> &'a str {
        self.text(self.finding.span)
    }

    /// The block of the line, its index, and the lines below its header.
    pub fn block(&self) -> Option<(usize, &'a Placed, u32)> {
        let index = self.score().block_at(self.finding.line)?;
        let placed = self.score().blocks.get(index)?;
        Some((index, placed, self.finding.line - placed.line))
    }

    /// True for a line on which other lines of its block depend.
    pub fn rules_others(&self) -> bool {
        match &self.line.tree {
            LineTree::Row(row) => row.kind != RowKind::Music,
            _ => true,
        }
    }

    /// The row that the finding stands on.
    pub fn row(&self) -> Option<RowHere<'a>> {
        RowHere::on(self.desk, self.finding.line)
    }

    /// The phrase that the finding stands on.
    pub fn phrase(&self) -> Option<&'a PhraseLine> {
        match &self.line.tree {
            LineTree::Phrase(phrase) => Some(phrase),
            _ => None,
        }
    }

    /// The row or the bars of the phrase that the finding stands on.
    pub fn bars(&self) -> Option<&'a Row> {
        match &self.line.tree {
            LineTree::Row(row) => Some(row),
            LineTree::Phrase(phrase) => Some(&phrase.row),
            _ => None,
        }
    }

    /// The player it is about.
    pub fn player(&self) -> Option<(usize, &'a Arc<Player>)> {
        let id = self.finding.player.as_deref()?;
        self.score().head.players.iter().enumerate().find(|(_, p)| p.id == id)
    }

    /// The players who have this very finding in its block.
    pub fn players(&self) -> Vec<u16> {
        let Some((block, _, below)) = self.block() else { return Vec::new() };
        let (report, at) = (self.desk.report(), (below, self.finding.span));
        let has = |player: &u16| report.has(self.score(), usize::from(*player), block, self.finding.rule, at);
        // Whoever is not on the row cannot have it.
        let mut candidates = self
            .row()
            .map_or_else(|| (0..self.score().head.players.len() as u16).collect(), |row| row.players());
        candidates.sort_unstable();
        candidates.dedup();
        candidates.retain(has);
        candidates
    }
}

impl<'a> RowHere<'a> {
    /// The row on a line of the text.
    pub fn on(desk: &'a Desk, line: u32) -> Option<RowHere<'a>> {
        let score = desk.score();
        let block = score.block_at(line)?;
        let placed = score.blocks.get(block)?;
        let below = line.checked_sub(placed.line)?;
        let number = placed.read.block.rows.iter().position(|r| r.line == below)?;
        RowHere::at(score, block, number)
    }

    /// The row with this number of a block.
    pub fn at(score: &'a Score, block: usize, number: usize) -> Option<RowHere<'a>> {
        let placed = score.blocks.get(block)?;
        let row = placed.read.block.rows.get(number)?;
        let line = placed.read.block.text.lines.get(row.line as usize)?;
        let LineTree::Row(tree) = &line.tree else { return None };
        Some(RowHere { score, block, placed, number, row, line, tree })
    }

    /// The line of the text.
    pub fn at_line(&self) -> u32 {
        self.placed.line + self.row.line
    }

    pub fn text(&self, span: Span) -> &'a str {
        span.of(&self.line.text)
    }

    /// The bar of the row that holds a byte of the line.
    pub fn bar_at(&self, byte: u32) -> Option<(usize, &'a Bar)> {
        let at = self.tree.bars.partition_point(|b| b.span.start <= byte).checked_sub(1)?;
        Some((at, self.tree.bars.get(at)?))
    }

    pub fn items(&self, bar: &Bar) -> &'a [Item] {
        bar.items.of(&self.tree.items)
    }

    /// How many bars of the block one of the row stands for.
    pub fn span_of(&self, bar: &Bar) -> u32 {
        match self.row.kind {
            RowKind::Chords => chord_span(bar, self.tree),
            _ => bar_span(bar, self.tree, &self.line.text, &self.score.head.phrases),
        }
    }

    /// The bar of the block, from 0, at which a bar of the row begins.
    pub fn first_bar(&self, source: usize) -> u32 {
        self.tree.bars.iter().take(source).fold(0, |n: u32, bar| n.saturating_add(self.span_of(bar)))
    }

    /// Length of a bar of the block.
    pub fn length(&self, bar: u32) -> Option<crate::music::Fraction> {
        self.placed.read.lengths.get(bar as usize).copied()
    }

    /// The number of a bar of the block in the score.
    pub fn number_of(&self, bar: u32) -> i64 {
        self.placed.frame.first_bar + i64::from(bar)
    }

    /// The rhythm row that rules this one.
    pub fn ruler(&self) -> Option<RowHere<'a>> {
        RowHere::at(self.score, self.block, self.row.ruled_by? as usize)
    }

    /// The players of the row, each once.
    pub fn players(&self) -> Vec<u16> {
        let mut all: Vec<u16> = self.row.people.iter().map(|p| p.player).collect();
        all.dedup();
        all
    }
}
