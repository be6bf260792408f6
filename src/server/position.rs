//! Positions: columns of the protocol to bytes and back. The only place that converts.
//!
//! Nothing here fails: a line beyond the end is the end of the text, a column beyond the line's content is
//! the end of the content, a position inside a character is its beginning.

use crate::notation::{Document, Span};
use std::ops::Range as Bytes;
use tower_lsp::lsp_types::{Position, PositionEncodingKind, Range};

/// What a column counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Encoding {
    Utf8,
    #[default]
    Utf16,
    Utf32,
}

impl Encoding {
    /// By the protocol's name, if we know it.
    pub fn of(kind: &PositionEncodingKind) -> Option<Encoding> {
        [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32].into_iter().find(|e| e.kind() == *kind)
    }

    /// The protocol's name.
    pub fn kind(self) -> PositionEncodingKind {
        match self {
            Encoding::Utf8 => PositionEncodingKind::UTF8,
            Encoding::Utf16 => PositionEncodingKind::UTF16,
            Encoding::Utf32 => PositionEncodingKind::UTF32,
        }
    }

    /// How many columns a character takes.
    fn width(self, c: char) -> usize {
        match self {
            Encoding::Utf8 => c.len_utf8(),
            Encoding::Utf16 => c.len_utf16(),
            Encoding::Utf32 => 1,
        }
    }

    /// The byte of a line at a column.
    pub fn byte(self, line: &str, column: u32) -> usize {
        let column = column as usize;
        if line.is_ascii() {
            return column.min(line.len());
        }
        let mut at = 0;
        for (byte, c) in line.char_indices() {
            at += self.width(c);
            if at > column {
                return byte;
            }
        }
        line.len()
    }

    /// The column of a byte of a line.
    pub fn column(self, line: &str, byte: usize) -> u32 {
        let byte = byte.min(line.len());
        if self == Encoding::Utf8 || line.is_ascii() {
            return byte as u32;
        }
        let before = line.char_indices().take_while(|(at, c)| at + c.len_utf8() <= byte);
        before.map(|(_, c)| self.width(c)).sum::<usize>() as u32
    }

    /// Columns of a line, asked for from left to right: each character is looked at once.
    pub fn columns(self, line: &str) -> Columns<'_> {
        let plain = self == Encoding::Utf8 || line.is_ascii();
        Columns { encoding: self, rest: if plain { None } else { Some(line) }, byte: 0, column: 0 }
    }

    /// The byte of the text at a position.
    pub fn offset(self, document: &Document, position: Position) -> usize {
        let lines = document.lines();
        let number = position.line as usize;
        match lines.get(number) {
            Some(line) => lines.start_of_line(number) + self.byte(&line.text, position.character),
            None => lines.bytes(),
        }
    }

    /// The bytes of a range; one that ends before it starts is empty.
    pub fn bytes(self, document: &Document, range: Range) -> Bytes<usize> {
        let start = self.offset(document, range.start);
        start..self.offset(document, range.end).max(start)
    }

    /// The range of a stretch of a line.
    pub fn range(self, document: &Document, line: u32, span: Span) -> Range {
        let text = document.lines().get(line as usize).map_or("", |l| &l.text);
        let at = |byte: u32| Position { line, character: self.column(text, byte as usize) };
        Range { start: at(span.start), end: at(span.end.max(span.start)) }
    }
}

/// Columns of one line, from left to right.
pub struct Columns<'a> {
    encoding: Encoding,
    /// What is still to be looked at; `None` where columns are bytes.
    rest: Option<&'a str>,
    byte: usize,
    column: u32,
}

impl Columns<'_> {
    /// The column of a byte that is not before the one asked for last.
    pub fn at(&mut self, byte: usize) -> u32 {
        let Some(rest) = &mut self.rest else { return byte as u32 };
        while let Some(c) = rest.chars().next().filter(|c| self.byte + c.len_utf8() <= byte) {
            self.byte += c.len_utf8();
            self.column += self.encoding.width(c) as u32;
            *rest = rest.get(c.len_utf8()..).unwrap_or("");
        }
        self.column
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const ALL: [Encoding; 3] = [Encoding::Utf8, Encoding::Utf16, Encoding::Utf32];

    #[test]
    fn an_astral_character_counts_four_two_or_one() {
        let line = "a\u{1d11e}b";
        assert_eq!(ALL.map(|e| e.column(line, 5)), [5, 3, 2]);
        assert_eq!(ALL.map(|e| e.byte(line, 2)), [1, 1, 5]);
        assert_eq!(ALL.map(|e| e.byte(line, u32::MAX)), [6, 6, 6]);
    }

    #[test]
    fn out_of_range_is_clamped() {
        let document = Document::new("ab\r\ncd\n");
        for encoding in ALL {
            let offset = |line, character| encoding.offset(&document, Position { line, character });
            assert_eq!(offset(0, 9), 2, "before the line end");
            assert_eq!(offset(1, u32::MAX), 6);
            assert_eq!(offset(2, 0), 7);
            assert_eq!(offset(u32::MAX, 0), 7);
            let backward = Range { start: Position::new(1, 1), end: Position::new(0, 0) };
            assert_eq!(encoding.bytes(&document, backward), 5..5);
        }
    }

    proptest! {
        #[test]
        fn columns_from_left_to_right_are_those_asked_for_one_by_one(line in "[a-cé\u{1d11e}]{0,12}") {
            for encoding in ALL {
                let mut columns = encoding.columns(&line);
                for byte in (0..=line.len()).filter(|b| line.is_char_boundary(*b)) {
                    prop_assert_eq!(columns.at(byte), encoding.column(&line, byte));
                }
            }
        }

        #[test]
        fn there_and_back(line in "[a-cé\u{1d11e}\u{fe0f}]{0,12}", column in 0u32..40) {
            for encoding in ALL {
                let byte = encoding.byte(&line, column);
                prop_assert!(line.is_char_boundary(byte));
                prop_assert!(encoding.column(&line, byte) <= column);
                prop_assert_eq!(encoding.byte(&line, encoding.column(&line, byte)), byte);
            }
        }
    }
}
