//! A written place of a line that is being heard.

use crate::notation::Span;
use crate::score::event::Event;

/// Where an event stands, seen from the visit being heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spot {
    /// Visits before this one.
    pub back: u32,
    /// Lines below the block's header.
    pub line: u32,
    pub span: Span,
    /// Bar of the block, from 0.
    pub bar: u32,
}

impl Spot {
    /// Of an event of this visit.
    pub fn of(event: &Event) -> Spot {
        Spot { back: 0, line: event.line, span: event.span, bar: event.bar }
    }

    /// One visit farther back.
    pub fn age(&mut self) {
        self.back += 1;
    }
}
