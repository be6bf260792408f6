//! The document: the text as a rope, and every line of it read.
//!
//! An edit reads the lines it touches and no other.

use super::line::{Ending, Line, read_line};
use super::line_table::LineTable;
use ropey::Rope;
use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

/// A text under edit.
#[derive(Debug, Clone)]
pub struct Document {
    rope: Rope,
    lines: LineTable,
    lines_read: u64,
}

/// Which lines an edit replaced.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Touched {
    /// The first line that is another one now.
    pub first: usize,
    /// How many lines went.
    pub removed: usize,
    /// How many came.
    pub added: usize,
}

impl Document {
    /// Reads a whole text.
    pub fn new(text: &str) -> Document {
        let mut lines_read = 0;
        let lines = split(text)
            .map(|(text, ending)| {
                lines_read += 1;
                Arc::new(read_line(text, ending))
            })
            .collect();
        Document { rope: Rope::from_str(text), lines: LineTable::new(lines), lines_read }
    }

    /// The text.
    pub fn rope(&self) -> &Rope {
        &self.rope
    }

    /// The text as one string.
    pub fn text(&self) -> String {
        self.rope.to_string()
    }

    /// The lines; a copy of this is a snapshot that later edits leave alone.
    pub fn lines(&self) -> &LineTable {
        &self.lines
    }

    /// How many lines have been read since the document was made, those at the beginning included.
    pub fn lines_read(&self) -> u64 {
        self.lines_read
    }

    /// Replaces a stretch of bytes. Never fails: what lies beyond the text is its end, an end before the
    /// start is the start, half a character is its beginning.
    pub fn edit(&mut self, bytes: Range<usize>, with: &str) -> Touched {
        let start = self.floor(bytes.start);
        let end = self.floor(bytes.end).max(start);
        let (mut first, last) = (self.lines.line_of_byte(start), self.lines.line_of_byte(end));
        let start_of_first = self.lines.start_of_line(first);
        // A CR that stood alone at the end of the line before may meet an LF now.
        if start == start_of_first
            && let Some(before) = first.checked_sub(1)
            && self.lines.get(before).is_some_and(|l| l.ending == Ending::Cr)
        {
            first = before;
        }
        let from = self.lines.start_of_line(first);
        let to = self.lines.start_of_line(last + 1);
        let chars = self.rope.byte_to_char(start)..self.rope.byte_to_char(end);
        let at = chars.start;
        self.rope.remove(chars);
        self.rope.insert(at, with);
        let region = self.rope.byte_slice(from..to - (end - start) + with.len()).to_string();
        let to_end = last + 1 == self.lines.len();
        self.reread(first..last + 1, &region, to_end)
    }

    /// Makes the text another one, and keeps the lines that both begin and end with.
    pub fn replace_all(&mut self, text: &str) -> Touched {
        let old = self.rope.to_string();
        let head = old.bytes().zip(text.bytes()).take_while(|(a, b)| a == b).count();
        let most = old.len().min(text.len()) - head;
        let tail = old.bytes().rev().zip(text.bytes().rev()).take(most).take_while(|(a, b)| a == b).count();
        let head = floor_of(&old, head);
        let mut tail = tail.min(old.len() - head).min(text.len() - head);
        while !(old.is_char_boundary(old.len() - tail) && text.is_char_boundary(text.len() - tail)) {
            tail -= 1;
        }
        self.edit(head..old.len() - tail, text.get(head..text.len() - tail).unwrap_or(""))
    }

    /// The start of the character that holds this byte.
    fn floor(&self, byte: usize) -> usize {
        let byte = byte.min(self.rope.len_bytes());
        self.rope.char_to_byte(self.rope.byte_to_char(byte))
    }

    /// Reads the lines of a region; lines that are the same as before stay the same object.
    fn reread(&mut self, gone: Range<usize>, region: &str, to_end: bool) -> Touched {
        let old: Vec<Arc<Line>> = self.lines.iter_from(gone.start).take(gone.len()).cloned().collect();
        let known: HashMap<(&str, Ending), &Arc<Line>> = if old.len() > 1 {
            old.iter().map(|line| ((&*line.text, line.ending), line)).collect()
        } else {
            HashMap::new()
        };
        let mut fresh: Vec<Arc<Line>> = Vec::new();
        for (text, ending) in split(region) {
            // The region ends with a terminator unless it ends the text: nothing follows it then.
            if ending == Ending::None && text.is_empty() && !to_end {
                continue;
            }
            let same = old.first().filter(|l| &*l.text == text && l.ending == ending);
            match same.or_else(|| known.get(&(text, ending)).copied()) {
                Some(line) => fresh.push(line.clone()),
                None => {
                    self.lines_read += 1;
                    fresh.push(Arc::new(read_line(text, ending)));
                }
            }
        }
        let head = old.iter().zip(&fresh).take_while(|(a, b)| Arc::ptr_eq(a, b)).count();
        let most = old.len().min(fresh.len()) - head;
        let tail = old
            .iter()
            .rev()
            .zip(fresh.iter().rev())
            .take(most)
            .take_while(|(a, b)| Arc::ptr_eq(a, b))
            .count();
        let touched = Touched {
            first: gone.start + head,
            removed: old.len() - head - tail,
            added: fresh.len() - head - tail,
        };
        fresh.truncate(fresh.len() - tail);
        fresh.drain(..head);
        self.lines.splice(touched.first..touched.first + touched.removed, fresh);
        touched
    }
}

fn floor_of(text: &str, mut byte: usize) -> usize {
    while !text.is_char_boundary(byte) {
        byte -= 1;
    }
    byte
}

/// Lines of a text with their terminators: LF, CR, CR LF and nothing else ends a line, and what follows
/// the last terminator is a line too.
pub fn split(text: &str) -> impl Iterator<Item = (&str, Ending)> {
    let mut rest = Some(text);
    std::iter::from_fn(move || {
        let text = rest?;
        let Some(at) = text.bytes().position(|b| b == b'\n' || b == b'\r') else {
            rest = None;
            return Some((text, Ending::None));
        };
        let (line, end) = (text.get(..at)?, text.get(at..)?);
        let ending = if end.starts_with("\r\n") {
            Ending::CrLf
        } else if end.starts_with('\r') {
            Ending::Cr
        } else {
            Ending::Lf
        };
        rest = end.get(ending.text().len()..);
        Some((line, ending))
    })
}
