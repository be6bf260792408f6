//! Lines of a text and columns in them, as people and programs count.

use crate::notation::Span;

/// The lines of a text without their ends. A line ends at LF, CR or both together, and nowhere else.
pub fn lines(text: &str) -> Vec<&str> {
    let mut lines = Vec::new();
    let mut rest = text;
    while let Some(end) = rest.find(['\n', '\r']) {
        let (line, from_end) = rest.split_at(end);
        lines.push(line);
        rest = from_end.strip_prefix("\r\n").or_else(|| from_end.get(1..)).unwrap_or_default();
    }
    lines.push(rest);
    lines
}

/// The column of a byte of a line, from 1, in characters (Unicode scalar values). A byte past the end or
/// inside a character counts as the end or the beginning of it.
pub fn column(line: &str, byte: u32) -> usize {
    1 + head(line, byte).chars().count()
}

/// First column and the column after the last.
pub fn columns(line: &str, span: Span) -> (usize, usize) {
    (column(line, span.start), column(line, span.end.max(span.start)))
}

/// The line up to a byte.
pub fn head(line: &str, byte: u32) -> &str {
    let mut byte = (byte as usize).min(line.len());
    while !line.is_char_boundary(byte) {
        byte -= 1;
    }
    line.get(..byte).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn line_ends() {
        assert_eq!(lines("a\nb\r\nc\rd"), ["a", "b", "c", "d"]);
        assert_eq!(lines("a\n\rb\n"), ["a", "", "b", ""]);
        assert_eq!(lines("a\u{2028}b\u{b}c\u{85}d"), ["a\u{2028}b\u{b}c\u{85}d"]);
        assert_eq!(lines(""), [""]);
    }

    #[test]
    fn columns_count_characters() {
        let line = "é𝄫b4";
        assert_eq!(columns(line, Span::new(2, 6)), (2, 3));
        assert_eq!(column(line, 4), 2, "inside a character");
        assert_eq!(column(line, 99), 5, "past the end");
    }
}
