//! Places and stretches of a text, as editors point at them: line and byte, no protocol.

use crate::notation::{Document, Span};

/// A place between two bytes of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// Line of the file, from 0.
    pub line: u32,
    /// Bytes from the start of the line.
    pub byte: u32,
}

impl Place {
    /// The place of a byte of the whole text; beyond the text, its end.
    pub fn of_byte(document: &Document, byte: usize) -> Place {
        let lines = document.lines();
        let line = lines.line_of_byte(byte);
        let within = byte.min(lines.bytes()) - lines.start_of_line(line);
        Place { line: line as u32, byte: within as u32 }
    }
}

/// A stretch of one line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Stretch {
    /// Line of the file, from 0.
    pub line: u32,
    pub span: Span,
}

/// A stretch that may go over several lines, end exclusive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Extent {
    pub from: Place,
    pub to: Place,
}

impl Extent {
    /// Whole lines, from the start of the first to the end of the last, its terminator left out.
    pub fn of_lines(document: &Document, first: u32, last: u32) -> Extent {
        let end = document.lines().get(last as usize).map_or(0, |l| l.text.len() as u32);
        Extent { from: Place { line: first, byte: 0 }, to: Place { line: last, byte: end } }
    }

    /// True if the other lies inside.
    pub fn holds(&self, other: &Extent) -> bool {
        self.from <= other.from && other.to <= self.to
    }
}

impl From<Stretch> for Extent {
    fn from(stretch: Stretch) -> Extent {
        let at = |byte| Place { line: stretch.line, byte };
        Extent { from: at(stretch.span.start), to: at(stretch.span.end) }
    }
}

/// A stretch of one line and the text to put in its place. A stretch that goes beyond the line's text takes
/// in the line's end.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TextEdit {
    /// Line of the file, from 0.
    pub line: u32,
    pub span: Span,
    pub with: String,
}

/// The one stretch of a line that differs from another, and what stands there in the other.
pub fn differing<'n>(old: &str, new: &'n str) -> (Span, &'n str) {
    let pairs = old.char_indices().zip(new.chars());
    let head = pairs.take_while(|((_, a), b)| a == b).map(|((_, c), _)| c.len_utf8()).sum::<usize>();
    let (old_rest, new_rest) = (old.get(head..).unwrap_or(""), new.get(head..).unwrap_or(""));
    let pairs = old_rest.chars().rev().zip(new_rest.chars().rev());
    let tail = pairs.take_while(|(a, b)| a == b).map(|(c, _)| c.len_utf8()).sum::<usize>();
    let span = Span::new(head as u32, (old.len() - tail) as u32);
    (span, new_rest.get(..new_rest.len() - tail).unwrap_or(""))
}
