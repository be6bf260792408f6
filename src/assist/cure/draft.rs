//! A way out that was not tried yet.

use super::{Offer, OfferKind};
use crate::assist::place::TextEdit;
use crate::notation::Span;

/// A way out that was not tried yet.
#[derive(Debug, Clone)]
pub struct Draft {
    pub title: String,
    pub edits: Vec<TextEdit>,
    pub kind: OfferKind,
    /// May be the one that most would take.
    pub likely: bool,
    pub safe: bool,
    /// Right by the way it is made, where trying it out would cost too much: a new line for a player makes
    /// the whole score be read again.
    pub trusted: bool,
    /// May make a wide leap where there was none.
    pub leaps: bool,
}

impl Draft {
    /// A cure that most would take.
    pub fn new(title: impl Into<String>, edits: Vec<TextEdit>) -> Draft {
        let edits = joined(edits);
        let title = title.into();
        Draft { title, edits, kind: OfferKind::Mend, likely: true, safe: false, trusted: false, leaps: false }
    }

    /// A cure of one line.
    pub fn of_line(title: impl Into<String>, line: u32, edits: Vec<(Span, String)>) -> Draft {
        Draft::new(title, edits.into_iter().map(|(span, with)| TextEdit { line, span, with }).collect())
    }

    /// One among several, or one that loses something: nobody is led to it.
    pub fn unlikely(mut self) -> Draft {
        self.likely = false;
        self
    }

    /// May be done unasked.
    pub fn safe(mut self, safe: bool) -> Draft {
        self.safe = safe;
        self
    }

    pub fn trusted(mut self) -> Draft {
        self.trusted = true;
        self
    }

    pub fn leaping(mut self) -> Draft {
        self.leaps = true;
        self
    }

    pub fn offer(self) -> Offer {
        let Draft { title, edits, kind, likely, safe, .. } = self;
        Offer { title, edits, kind, preferred: likely, safe }
    }
}

/// The edits in order, those that touch made one.
fn joined(mut edits: Vec<TextEdit>) -> Vec<TextEdit> {
    edits.sort_by_key(|e| (e.line, e.span));
    let mut out: Vec<TextEdit> = Vec::with_capacity(edits.len());
    for edit in edits {
        match out.last_mut() {
            Some(last) if last.line == edit.line && last.span.end == edit.span.start => {
                last.span.end = edit.span.end;
                last.with.push_str(&edit.with);
            }
            _ => out.push(edit),
        }
    }
    out
}
