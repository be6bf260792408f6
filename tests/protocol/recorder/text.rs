//! The editor's own idea of a text, worked out independently of the server.

use super::dice::Dice;

/// What a column counts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Columns {
    Bytes,
    Utf16,
    Characters,
}

impl Columns {
    pub const ALL: [Columns; 3] = [Columns::Bytes, Columns::Utf16, Columns::Characters];

    pub fn name(self) -> &'static str {
        match self {
            Columns::Bytes => "utf-8",
            Columns::Utf16 => "utf-16",
            Columns::Characters => "utf-32",
        }
    }

    fn of(self, c: char) -> usize {
        match self {
            Columns::Bytes => c.len_utf8(),
            Columns::Utf16 => c.len_utf16(),
            Columns::Characters => 1,
        }
    }
}

pub struct Text {
    pub shown: String,
    columns: Columns,
}

impl Text {
    pub fn new(text: &str, columns: Columns) -> Text {
        Text { shown: text.to_owned(), columns }
    }

    /// Bytes where each line starts and where its content ends.
    pub fn lines(&self) -> Vec<(usize, usize)> {
        let bytes = self.shown.as_bytes();
        let mut lines = Vec::new();
        let (mut start, mut at) = (0, 0);
        while at < bytes.len() {
            if matches!(bytes[at], b'\r' | b'\n') {
                lines.push((start, at));
                at += usize::from(bytes[at] == b'\r' && bytes.get(at + 1) == Some(&b'\n'));
                start = at + 1;
            }
            at += 1;
        }
        lines.push((start, bytes.len()));
        lines
    }

    /// Clamps as the protocol says; inside a character is its beginning.
    fn offset(&self, line: u32, column: u32) -> usize {
        let Some(&(start, end)) = self.lines().get(line as usize) else { return self.shown.len() };
        let mut left = column as usize;
        for (at, c) in self.shown[start..end].char_indices() {
            match left.checked_sub(self.columns.of(c)) {
                Some(less) if left > 0 => left = less,
                _ => return start + at,
            }
        }
        end
    }

    pub fn edit(&mut self, range: [u32; 4], with: &str) {
        let start = self.offset(range[0], range[1]);
        let end = self.offset(range[2], range[3]).max(start);
        self.shown.replace_range(start..end, with);
    }

    /// Any place, sometimes beyond the end of its line or of the text.
    pub fn place(&self, dice: &mut Dice) -> (u32, u32) {
        let lines = self.lines();
        let line = dice.below(lines.len() + 1);
        let width =
            lines.get(line).map_or(3, |&(a, b)| self.shown[a..b].chars().map(|c| self.columns.of(c)).sum());
        let column = if dice.below(12) == 0 { u32::MAX } else { dice.below(width + 2) as u32 };
        (line as u32, column)
    }

    /// Any stretch, mostly a short one.
    pub fn range(&self, dice: &mut Dice) -> [u32; 4] {
        let (a, b) = self.place(dice);
        if dice.below(3) > 0 {
            return [a, b, a, b.saturating_add(dice.below(6) as u32)];
        }
        let (c, d) = self.place(dice);
        [a, b, c.min(a + 2), d]
    }
}
