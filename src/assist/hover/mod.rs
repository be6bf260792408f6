//! Hovering: the truth about whatever stands under the cursor.

mod bar_read;
mod bars;
mod block;
pub(super) mod chord;
mod deal;
pub(super) mod fingering;
pub(super) mod gauge;
mod head;
pub(super) mod instrument;
pub(super) mod length;
mod note;
mod phrase;
mod plan;
mod player;
pub(super) mod reads;
mod row;
mod sonority;
mod stamina;
pub(super) mod telling;
pub(super) mod time;
mod word;

use super::place::Place;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::LineTree;
use crate::rules::Desk;
use crate::score::clock::Clock;
use crate::score::score::{Placed, Score};

/// What is shown on hovering.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hover {
    /// Line of the file, from 0.
    pub line: u32,
    /// What it is about.
    pub span: Span,
    pub markdown: String,
    /// The same without Markdown.
    pub plain: String,
}

/// A question about a place.
#[derive(Clone, Copy)]
pub(super) struct Asked<'a> {
    desk: &'a Desk,
    place: Place,
    line: &'a Line,
}

impl<'a> Asked<'a> {
    fn score(&self) -> &'a Score {
        self.desk.score()
    }

    fn clock(&self) -> &'a Clock {
        &self.desk.report().clock
    }

    /// The tuning note in hertz.
    fn a4(&self) -> f64 {
        self.score().head.a4(self.desk.settings().tuning)
    }

    /// The token under the cursor, blanks aside.
    fn token(&self) -> Option<Token> {
        self.line.tokens.iter().copied().find(|t| t.span.contains(self.place.byte) && t.kind != Kind::Blank)
    }

    fn text(&self, span: Span) -> &'a str {
        span.of(&self.line.text)
    }

    fn here(&self, span: Span) -> bool {
        span.contains(self.place.byte)
    }

    /// The block of the line, its number and the lines below its header.
    fn block(&self) -> Option<(usize, &'a Placed, u32)> {
        let index = self.score().block_at(self.place.line)?;
        let placed = self.score().blocks.get(index)?;
        Some((index, placed, self.place.line - placed.line))
    }
}

/// What there is to say about a place; `None` where there is nothing.
pub fn hover(desk: &Desk, place: Place) -> Option<Hover> {
    let line = desk.document().lines().get(place.line as usize)?;
    let asked = Asked { desk, place, line };
    let token = asked.token()?;
    if matches!(token.kind, Kind::Comment | Kind::Beyond) {
        return None;
    }
    match &line.tree {
        LineTree::Row(tree) => row::told(asked, tree),
        LineTree::Phrase(tree) => phrase::line(asked, tree),
        LineTree::Block(tree) => block::told(asked, tree),
        LineTree::Blank | LineTree::Bad => None,
        _ => head::told(asked),
    }
}
