//! What is told on hovering.

use super::super::open_text::Snapshot;
use super::{place, stretch};
use crate::assist::{self, Stretch};
use tower_lsp::lsp_types::{Hover, HoverContents, MarkupContent, MarkupKind, Position};

/// `textDocument/hover`, as Markdown or as plain text.
pub fn hover(snapshot: &Snapshot, position: Position, markdown: bool) -> Option<Hover> {
    let found = assist::hover(&snapshot.desk, place(snapshot, position))?;
    let (kind, value) =
        if markdown { (MarkupKind::Markdown, found.markdown) } else { (MarkupKind::PlainText, found.plain) };
    let at = Stretch { line: found.line, span: found.span };
    Some(Hover {
        contents: HoverContents::Markup(MarkupContent { kind, value }),
        range: Some(stretch(snapshot, at)),
    })
}
