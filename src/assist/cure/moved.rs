//! Where a place of a text stands after edits.

use crate::assist::place::TextEdit;
use crate::notation::Span;

/// Which side of what was put in a place goes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    Before,
    Behind,
}

/// Edits of a text, as they move what stands around them.
#[derive(Debug, Clone)]
pub struct Moved {
    edits: Vec<Placed>,
}

#[derive(Debug, Clone, Copy)]
struct Placed {
    line: u32,
    span: Span,
    /// Lines that come.
    lines: i64,
    /// Lines that go.
    gone: i64,
    length: i64,
    /// What follows the last line end that comes.
    tail: Option<i64>,
}

impl Moved {
    /// Edits in the order of the text. `takes_end` says of each whether it takes in the end of its line.
    pub fn by<'e>(edits: impl Iterator<Item = (&'e TextEdit, bool)>) -> Moved {
        let placed = edits.map(|(edit, takes_end)| {
            let ends = edit.with.replace("\r\n", "\n");
            let last = edit.with.rfind(['\n', '\r']);
            Placed {
                line: edit.line,
                span: edit.span,
                lines: ends.matches(['\n', '\r']).count() as i64,
                gone: i64::from(takes_end),
                length: edit.with.len() as i64,
                tail: last.map(|at| (edit.with.len() - at - 1) as i64),
            }
        });
        Moved { edits: placed.collect() }
    }

    /// Where a place is now, as line and byte.
    pub fn place(&self, line: u32, byte: u32, side: Side) -> (u32, u32) {
        let mut now = i64::from(line);
        let mut shift = 0;
        for edit in &self.edits {
            if edit.line < line {
                now += edit.lines - edit.gone;
                continue;
            }
            let Span { start, end } = edit.span;
            let passed = end < byte || (end == byte && (start < end || side == Side::Behind));
            if edit.line > line || !(passed || start < byte) {
                break;
            }
            if !passed {
                // Inside of what went.
                let within = if side == Side::Before { 0 } else { edit.length };
                return (to_u32(now), to_u32(i64::from(start) + shift + within));
            }
            now += edit.lines;
            shift = match edit.tail {
                Some(tail) => tail - i64::from(end),
                None => shift + edit.length - i64::from(end - start),
            };
        }
        (to_u32(now), to_u32(i64::from(byte) + shift))
    }

    /// Where a stretch is now, without what was put at its ends.
    pub fn exactly(&self, line: u32, span: Span) -> (u32, Span) {
        let (now, start) = self.place(line, span.start, Side::Behind);
        let (_, end) = self.place(line, span.end, Side::Before);
        (now, Span::new(start, end.max(start)))
    }

    /// The same with what was put at its ends.
    pub fn widely(&self, line: u32, span: Span) -> (u32, Span) {
        let (now, start) = self.place(line, span.start, Side::Before);
        let (last, end) = self.place(line, span.end, Side::Behind);
        (now, Span::new(start, if last == now { end.max(start) } else { u32::MAX }))
    }
}

fn to_u32(n: i64) -> u32 {
    u32::try_from(n.max(0)).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn moved(edits: &[TextEdit]) -> Moved {
        Moved::by(edits.iter().map(|e| (e, false)))
    }

    fn edit(line: u32, start: u32, end: u32, with: &str) -> TextEdit {
        TextEdit { line, span: Span::new(start, end), with: with.to_owned() }
    }

    #[test]
    fn what_stands_behind_moves() {
        let all = moved(&[edit(0, 4, 4, "\nab"), edit(2, 3, 5, "xyz"), edit(2, 8, 8, "!")]);
        assert_eq!(all.place(0, 4, Side::Before), (0, 4));
        assert_eq!(all.place(0, 4, Side::Behind), (1, 2));
        assert_eq!(all.place(1, 7, Side::Before), (2, 7));
        assert_eq!(all.place(2, 3, Side::Behind), (3, 3));
        assert_eq!(all.place(2, 4, Side::Before), (3, 3));
        assert_eq!(all.place(2, 4, Side::Behind), (3, 6));
        assert_eq!(all.exactly(2, Span::new(5, 8)), (3, Span::new(6, 9)));
        assert_eq!(all.widely(2, Span::new(5, 8)), (3, Span::new(6, 10)));
    }
}
