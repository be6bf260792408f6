//! The lines of a text, in chunks that copies share.
//!
//! A copy of the table costs one reference count; an edit replaces the chunks it touches and the list
//! of chunks. Nothing in it is numbered from the start of the text except by its sums.

use super::line::Line;
use std::ops::Range;
use std::sync::Arc;

/// Lines in a chunk when it is made.
const CHUNK: usize = 64;

/// Some lines in a row, with how many bytes they are.
#[derive(Debug, Clone)]
struct Chunk {
    lines: Arc<[Arc<Line>]>,
    bytes: usize,
}

/// All lines of a text.
#[derive(Debug, Clone, Default)]
pub struct LineTable {
    chunks: Arc<Vec<Chunk>>,
    len: usize,
    bytes: usize,
}

impl LineTable {
    /// A table of these lines.
    pub fn new(lines: Vec<Arc<Line>>) -> LineTable {
        let mut table = LineTable::default();
        table.splice(0..0, lines);
        table
    }

    /// How many lines; a text has at least one.
    pub fn len(&self) -> usize {
        self.len
    }

    /// True for no lines at all.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// Bytes of the whole text.
    pub fn bytes(&self) -> usize {
        self.bytes
    }

    /// A line by number, from 0.
    pub fn get(&self, line: usize) -> Option<&Arc<Line>> {
        let (chunk, first, _) = self.chunk_of_line(line)?;
        self.chunks.get(chunk)?.lines.get(line - first)
    }

    /// All lines in order.
    pub fn iter(&self) -> impl Iterator<Item = &Arc<Line>> {
        self.chunks.iter().flat_map(|chunk| chunk.lines.iter())
    }

    /// The lines from this one on.
    pub fn iter_from(&self, line: usize) -> impl Iterator<Item = &Arc<Line>> {
        let (chunk, first) = self.chunk_of_line(line).map_or((self.chunks.len(), line), |(c, f, _)| (c, f));
        let rest = self.chunks.get(chunk..).unwrap_or(&[]);
        rest.iter().flat_map(|chunk| chunk.lines.iter()).skip(line - first)
    }

    /// The byte at which a line starts; the end of the text for a line beyond the last.
    pub fn start_of_line(&self, line: usize) -> usize {
        let Some((chunk, first, start)) = self.chunk_of_line(line) else { return self.bytes };
        let lines = self.chunks.get(chunk).map_or(&[][..], |c| &c.lines);
        start + lines.iter().take(line - first).map(|l| l.bytes()).sum::<usize>()
    }

    /// The line that holds a byte; terminators belong to the line they end. The last line for a byte
    /// beyond the text.
    pub fn line_of_byte(&self, byte: usize) -> usize {
        let (mut line, mut start) = (0, 0);
        for chunk in self.chunks.iter() {
            if byte >= start + chunk.bytes {
                line += chunk.lines.len();
                start += chunk.bytes;
                continue;
            }
            for one in chunk.lines.iter() {
                start += one.bytes();
                if byte < start {
                    return line;
                }
                line += 1;
            }
        }
        self.len.saturating_sub(1)
    }

    /// Chunk of a line, number of its first line, byte at which it starts.
    fn chunk_of_line(&self, line: usize) -> Option<(usize, usize, usize)> {
        let (mut first, mut start) = (0, 0);
        for (at, chunk) in self.chunks.iter().enumerate() {
            if line < first + chunk.lines.len() {
                return Some((at, first, start));
            }
            first += chunk.lines.len();
            start += chunk.bytes;
        }
        None
    }

    /// Puts lines in the place of others.
    pub fn splice(&mut self, gone: Range<usize>, lines: Vec<Arc<Line>>) {
        let gone = gone.start.min(self.len)..gone.end.clamp(gone.start.min(self.len), self.len);
        let removed: usize = self.iter_from(gone.start).take(gone.len()).map(|l| l.bytes()).sum();
        let added: usize = lines.iter().map(|l| l.bytes()).sum();
        let count = lines.len();
        let (from, before) = match self.chunk_of_line(gone.start) {
            Some((chunk, first, _)) => (chunk, gone.start - first),
            None => (self.chunks.len(), 0),
        };
        let (to, after) = match gone.end.checked_sub(1).and_then(|last| self.chunk_of_line(last)) {
            Some((chunk, first, _)) if !gone.is_empty() => (chunk, gone.end - first),
            _ => (from, before),
        };
        let mut all: Vec<Arc<Line>> = Vec::with_capacity(before + lines.len() + CHUNK);
        if let Some(chunk) = self.chunks.get(from) {
            all.extend(chunk.lines.iter().take(before).cloned());
        }
        all.extend(lines);
        let mut end = (to + 1).min(self.chunks.len());
        if let Some(chunk) = self.chunks.get(to) {
            all.extend(chunk.lines.iter().skip(after).cloned());
        }
        // A small remainder joins its neighbour, so that chunks do not crumble under many edits.
        if all.len() < CHUNK / 2
            && let Some(next) = self.chunks.get(end)
        {
            all.extend(next.lines.iter().cloned());
            end += 1;
        }
        let pieces = all.len().div_ceil(CHUNK).max(1);
        let size = all.len().div_ceil(pieces).max(1);
        let fresh = all
            .chunks(size)
            .map(|lines| Chunk { bytes: lines.iter().map(|l| l.bytes()).sum(), lines: lines.into() });
        Arc::make_mut(&mut self.chunks).splice(from..end, fresh);
        self.len = self.len - gone.len() + count;
        self.bytes = self.bytes - removed + added;
    }
}
