//! A text being written anew: edits of its lines, and the layout kept where there was one.

use crate::assist::place::{TextEdit, differing};
use crate::notation::Span;
use crate::notation::layout::tidy;
use crate::notation::line::{Ending, Line};
use crate::notation::tree::LineTree;
use crate::rules::Desk;
use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

/// What becomes of the lines of a text.
pub struct Draft<'a> {
    desk: &'a Desk,
    lines: BTreeMap<u32, Changed>,
}

#[derive(Default)]
struct Changed {
    /// Stretches of the line and what stands there instead; none overlaps another.
    edits: Vec<(Span, String)>,
    above: Vec<String>,
    below: Vec<String>,
    gone: bool,
}

/// A line of the new text.
struct Fresh {
    text: String,
    ending: Ending,
    /// The line of the old text that it comes from.
    from: u32,
}

impl<'a> Draft<'a> {
    pub fn of(desk: &'a Desk) -> Draft<'a> {
        Draft { desk, lines: BTreeMap::new() }
    }

    /// Puts a text in the place of a stretch of a line.
    pub fn put(&mut self, line: u32, span: Span, with: impl Into<String>) {
        self.at(line).edits.push((span, with.into()));
    }

    /// Puts several, in any order.
    pub fn put_all(&mut self, line: u32, edits: impl IntoIterator<Item = (Span, String)>) {
        self.at(line).edits.extend(edits);
    }

    /// A new line above a line; later ones stand below earlier ones.
    pub fn above(&mut self, line: u32, text: impl Into<String>) {
        self.at(line).above.push(text.into());
    }

    /// A new line below a line; later ones stand below earlier ones.
    pub fn below(&mut self, line: u32, text: impl Into<String>) {
        self.at(line).below.push(text.into());
    }

    /// Takes a line out.
    pub fn remove(&mut self, line: u32) {
        self.at(line).gone = true;
    }

    fn at(&mut self, line: u32) -> &mut Changed {
        self.lines.entry(line).or_default()
    }

    /// The edits of the text. Where all lines of a block, or the whole head, were in canonical layout, they
    /// are so again; elsewhere only what had to change changes.
    pub fn finish(self) -> Vec<TextEdit> {
        let old: Vec<&Arc<Line>> = self.desk.document().lines().iter().collect();
        let mut fresh = self.fresh(&old);
        lay_out(self.desk, &old, &mut fresh);
        edits(&old, fresh)
    }

    fn fresh(&self, old: &[&Arc<Line>]) -> Vec<Fresh> {
        let usual = old.iter().map(|l| l.ending).find(|e| *e != Ending::None).unwrap_or(Ending::Lf);
        let mut out = Vec::with_capacity(old.len());
        for (at, line) in old.iter().enumerate() {
            let from = at as u32;
            let Some(changed) = self.lines.get(&from) else {
                out.push(Fresh { text: line.text.to_string(), ending: line.ending, from });
                continue;
            };
            let mut pieces: Vec<String> = changed.above.clone();
            if !changed.gone {
                pieces.push(changed.text(line));
            }
            pieces.extend(changed.below.iter().cloned());
            if at == 0
                && let Some(bare) = pieces.iter().position(|p| p.starts_with('\u{FEFF}')).filter(|i| *i > 0)
                && let Some(piece) = pieces.get_mut(bare)
            {
                // The mark of the whole text stays in front of it.
                piece.remove(0);
                if let Some(first) = pieces.first_mut() {
                    first.insert(0, '\u{FEFF}');
                }
            }
            let last = pieces.len().saturating_sub(1);
            for (n, text) in pieces.into_iter().enumerate() {
                let between = if line.ending == Ending::None { usual } else { line.ending };
                out.push(Fresh { text, ending: if n == last { line.ending } else { between }, from });
            }
        }
        out
    }
}

impl Changed {
    fn text(&self, line: &Line) -> String {
        let mut edits = self.edits.clone();
        edits.sort_by_key(|(span, _)| *span);
        let mut out = String::with_capacity(line.text.len());
        let mut at = 0;
        for (span, with) in edits {
            out.push_str(Span::new(at, span.start.max(at)).of(&line.text));
            out.push_str(&with);
            at = span.end.max(at);
        }
        out.push_str(Span::new(at, line.text.len() as u32).of(&line.text));
        out
    }
}

/// Lays out again what was laid out before.
fn lay_out(desk: &Desk, old: &[&Arc<Line>], fresh: &mut [Fresh]) {
    let text: String = fresh.iter().flat_map(|f| [f.text.as_str(), f.ending.text()]).collect();
    let mut document = desk.document().clone();
    document.replace_all(&text);
    let lines = document.lines();
    if lines.len() != fresh.len() {
        // The last line went, and the end of the one before it makes an empty one: lines no longer match.
        let extra = lines.len() == fresh.len() + 1;
        if !extra {
            return;
        }
    }
    let groups = |all: &mut dyn Iterator<Item = &Arc<Line>>| -> Vec<usize> {
        let mut group = 0;
        let number = |line: &Arc<Line>| {
            group += usize::from(matches!(line.tree, LineTree::Block(_)));
            group
        };
        all.map(number).collect()
    };
    let of_old = groups(&mut old.iter().copied());
    let of_new = groups(&mut lines.iter());
    let untidy: HashSet<usize> =
        tidy(desk.document().lines()).iter().filter_map(|(at, _)| of_old.get(*at).copied()).collect();
    let stays: HashSet<usize> = fresh
        .iter()
        .zip(&of_new)
        .filter(|(f, _)| of_old.get(f.from as usize).is_some_and(|g| untidy.contains(g)))
        .map(|(_, group)| *group)
        .collect();
    for (at, text) in tidy(lines) {
        if of_new.get(at).is_some_and(|group| !stays.contains(group))
            && let Some(line) = fresh.get_mut(at)
        {
            line.text = text;
        }
    }
}

/// What differs, line by line.
fn edits(old: &[&Arc<Line>], fresh: Vec<Fresh>) -> Vec<TextEdit> {
    let mut out = Vec::new();
    let mut fresh = fresh.into_iter().peekable();
    for (at, line) in old.iter().enumerate() {
        let at = at as u32;
        let mut text = String::new();
        let mut pieces = 0;
        let mut before: Option<Ending> = None;
        while let Some(piece) = fresh.next_if(|f| f.from == at) {
            if let Some(ending) = before.replace(piece.ending) {
                text.push_str(ending.text());
            }
            text.push_str(&piece.text);
            pieces += 1;
        }
        if pieces == 0 {
            out.push(TextEdit { line: at, span: Span::new(0, line.bytes() as u32), with: String::new() });
        } else if *text != *line.text {
            let (span, with) = differing(&line.text, &text);
            out.push(TextEdit { line: at, span, with: with.to_owned() });
        }
    }
    out
}
