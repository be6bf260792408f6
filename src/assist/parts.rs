//! What stands behind the `=` of a player or an instrument.

use super::typing::{Typing, Words};
use crate::notation::Span;
use crate::notation::token::Kind;

/// Comma-separated parts behind the `=`, and the one that is being typed.
pub struct Parts<'a> {
    /// Text of each.
    pub all: Vec<&'a str>,
    /// Which of them the cursor is in.
    pub current: usize,
    /// Blank-separated words of the current one.
    pub words: Words,
    /// From its first word to its last.
    pub span: Span,
}

impl<'a> Parts<'a> {
    /// `None` before the `=`.
    pub fn of(typing: &Typing<'a>) -> Option<Parts<'a>> {
        let equals = typing.line.tokens.iter().find(|t| t.kind == Kind::Equals)?;
        if equals.span.end > typing.at {
            return None;
        }
        let mut all = Vec::new();
        let mut start = equals.span.end;
        let (mut current, mut from) = (0, start);
        let rest = typing.line.tokens.iter().skip_while(|t| t.span.start < equals.span.end);
        let mut end = start;
        for token in rest {
            if matches!(token.kind, Kind::Comment | Kind::Beyond) {
                break;
            }
            if matches!(token.kind, Kind::Comma | Kind::Commas) {
                all.push(typing.text(Span::new(start, token.span.start)).trim());
                start = token.span.end;
                if start <= typing.at {
                    (current, from) = (all.len(), start);
                }
            }
            end = token.span.end;
        }
        all.push(typing.text(Span::new(start, end.max(start))).trim());
        let words = typing.words(from, |t| matches!(t.kind, Kind::Comma | Kind::Commas));
        let first = words.all.first().map_or(typing.at, |s| s.start).min(typing.at);
        let last = words.all.last().map_or(typing.at, |s| s.end).max(typing.at);
        Some(Parts { all, current, words, span: Span::new(first, last) })
    }

    /// The first word of each part but the one being typed.
    pub fn keywords(&self) -> impl Iterator<Item = (usize, &'a str)> {
        let first = |text: &'a str| text.split([' ', '\t']).next().unwrap_or("");
        // Where something is put in before a part, that part is another one.
        let is_ahead = self.words.current == 0 && self.words.span.is_empty() && !self.words.all.is_empty();
        let current = if is_ahead { usize::MAX } else { self.current };
        self.all.iter().enumerate().filter(move |(i, _)| *i != current).map(move |(i, t)| (i, first(t)))
    }
}
