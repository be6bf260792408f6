//! Places in a line.

/// A stretch of one line in bytes from the line's start, end exclusive. Never absolute: a line that
/// moves keeps its spans.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, PartialOrd, Ord)]
pub struct Span {
    pub start: u32,
    pub end: u32,
}

impl Span {
    /// From start to end.
    pub const fn new(start: u32, end: u32) -> Span {
        Span { start, end }
    }

    /// The part of the line's text; empty if the span does not fit it.
    pub fn of(self, text: &str) -> &str {
        text.get(self.start as usize..self.end as usize).unwrap_or("")
    }

    /// Length in bytes.
    pub fn len(self) -> u32 {
        self.end.saturating_sub(self.start)
    }

    /// True for a place between two bytes.
    pub fn is_empty(self) -> bool {
        self.end <= self.start
    }

    /// The stretch from the start of this to the end of the other.
    pub fn to(self, other: Span) -> Span {
        Span { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// True if the byte lies inside.
    pub fn contains(self, byte: u32) -> bool {
        (self.start..self.end).contains(&byte)
    }
}
