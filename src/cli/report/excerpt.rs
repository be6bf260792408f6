//! The piece of a line that a finding speaks of, with carets under it.

use super::place::head;
use crate::cli::paint::harmless;
use crate::notation::Span;
use unicode_width::UnicodeWidthChar;

/// Distance of tab stops.
const TAB: usize = 4;

/// A line as shown, and the carets that stand under it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Excerpt {
    pub text: String,
    /// Blanks before the carets.
    pub indent: usize,
    /// How many carets, at least one.
    pub carets: usize,
}

/// The part of a line round a stretch of it, in at most so many columns of a terminal.
pub fn excerpt(line: &str, span: Span, width: usize) -> Excerpt {
    let width = width.max(20);
    let start = head(line, span.start).len();
    let end = head(line, span.end).len().max(start);
    let cells = window(line, start, end, width);
    let mut shown = Excerpt { text: String::new(), indent: 0, carets: 0 };
    let mut column = 0;
    if cells.start > 0 {
        shown.text.push('…');
        column = 1;
    }
    let mut indent = None;
    for (at, c) in line.get(cells.clone()).unwrap_or_default().char_indices() {
        let at = cells.start + at;
        if at >= start {
            indent.get_or_insert(column);
        }
        let cell = cell(c, column);
        if c == '\t' {
            shown.text.extend(std::iter::repeat_n(' ', cell));
        } else {
            shown.text.push(harmless(c));
        }
        column += cell;
        if (start..end).contains(&at) {
            shown.carets = column - indent.unwrap_or(column);
        }
    }
    if cells.end < line.len() {
        shown.text.push('…');
    }
    shown.indent = indent.unwrap_or(column);
    shown.carets = shown.carets.max(1);
    shown.text.truncate(shown.text.trim_end().len());
    shown
}

/// Columns of a terminal that a character takes.
fn cell(c: char, column: usize) -> usize {
    match c {
        '\t' => TAB - column % TAB,
        c => harmless(c).width().unwrap_or(1),
    }
}

/// The bytes of the line to show: all of it where it fits, else a stretch in which the span stands a
/// third of the way in, so that what led to it is seen too.
fn window(line: &str, start: usize, end: usize, width: usize) -> std::ops::Range<usize> {
    // A line of so many bytes is not worth measuring to its end.
    if line.len() <= width * 8 && measure(line) <= width {
        return 0..line.len();
    }
    let room = width.saturating_sub(2);
    let stretch = line.get(start..end).unwrap_or_default();
    let before = (room / 3).max(room.saturating_sub(measure_up_to(stretch, room) + room / 3));
    let first = back(line, start, before);
    let last = forth(line, first, room);
    // Near the end of the line more of what came before fits.
    let first = if last == line.len() { back(line, last, room) } else { first };
    first..last
}

fn measure(text: &str) -> usize {
    text.chars().fold(0, |column, c| column + cell(c, column))
}

fn measure_up_to(text: &str, most: usize) -> usize {
    let mut column = 0;
    for c in text.chars() {
        if column >= most {
            break;
        }
        column += cell(c, column);
    }
    column
}

/// Widest a character can be at any column.
fn widest(c: char) -> usize {
    if c == '\t' { TAB } else { cell(c, 0) }
}

/// The byte so many columns before another.
fn back(line: &str, from: usize, columns: usize) -> usize {
    let mut left = columns;
    let mut at = from;
    for (place, c) in line.get(..from).unwrap_or_default().char_indices().rev() {
        match left.checked_sub(widest(c)) {
            Some(rest) => left = rest,
            None => break,
        }
        at = place;
    }
    at
}

/// The byte so many columns after another.
fn forth(line: &str, from: usize, columns: usize) -> usize {
    let mut left = columns;
    let mut at = from;
    for c in line.get(from..).unwrap_or_default().chars() {
        match left.checked_sub(widest(c)) {
            Some(rest) => left = rest,
            None => break,
        }
        at += c.len_utf8();
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn drawn(line: &str, start: u32, end: u32, width: usize) -> String {
        let e = excerpt(line, Span::new(start, end), width);
        format!("{}\n{}{}", e.text, " ".repeat(e.indent), "^".repeat(e.carets))
    }

    #[test]
    fn carets_stand_under_what_is_meant() {
        assert_eq!(drawn("Tp1 | q : C5 |", 10, 12, 80), "Tp1 | q : C5 |\n          ^^");
        assert_eq!(drawn("\tTp1 | C5 |", 7, 9, 80), "    Tp1 | C5 |\n          ^^");
        // A character two columns wide, one that combines, and one outside the basic plane.
        assert_eq!(drawn("\"港\" C5", 6, 8, 80), "\"港\" C5\n     ^^");
        assert_eq!(drawn("e\u{301}𝄫 C5", 8, 10, 80).lines().last(), Some("   ^^"));
        assert_eq!(drawn("abc", 3, 3, 80), "abc\n   ^");
        assert_eq!(drawn("", 0, 0, 80), "\n^");
    }

    #[test]
    fn a_long_line_is_cut_round_the_place() {
        let line = format!("{} C5 {}", "x".repeat(1000), "y".repeat(1_000_000));
        let shown = drawn(&line, 1001, 1003, 40);
        assert_eq!(shown, format!("…{} C5 {}…\n{}^^", "x".repeat(23), "y".repeat(11), " ".repeat(25)));
    }

    #[test]
    fn nothing_steers_the_terminal() {
        let e = excerpt("a\u{1b}[31m\u{202e}b", Span::new(0, 1), 80);
        assert!(e.text.chars().all(|c| !c.is_control() && c != '\u{202e}'), "{e:?}");
    }

    proptest! {
        #[test]
        fn never_wider_than_asked(line in "(\\PC|\t){0,120}", start in 0..200u32, len in 0..60u32, width in 20..70usize) {
            let e = excerpt(&line, Span::new(start, start + len), width);
            prop_assert!(measure(&e.text) <= width, "{:?}", e);
            prop_assert!(e.indent <= width && e.carets >= 1);
        }
    }
}
