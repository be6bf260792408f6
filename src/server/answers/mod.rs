//! What `assist` says, in the protocol's words: places in, one call, places out.

pub mod actions;
pub mod completion;
pub mod hover;
pub mod inlay;
pub mod lens;
pub mod links;
pub mod names;
pub mod outline;
pub mod playable;
pub mod rewrites;
pub mod signature;
pub mod tokens;

use super::open_text::Snapshot;
use crate::assist::{self, Extent, Place, Stretch};
use tower_lsp::lsp_types::{
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, Position, Range, TextDocumentEdit,
    TextEdit, Url, WorkspaceEdit,
};

/// The place of a position.
pub fn place(snapshot: &Snapshot, position: Position) -> Place {
    let document = snapshot.desk.document();
    Place::of_byte(document, snapshot.encoding.offset(document, position))
}

/// The position of a place.
pub fn position(snapshot: &Snapshot, place: Place) -> Position {
    let text = snapshot.desk.document().lines().get(place.line as usize).map_or("", |l| &l.text);
    Position { line: place.line, character: snapshot.encoding.column(text, place.byte as usize) }
}

/// A stretch of one line.
pub fn stretch(snapshot: &Snapshot, at: Stretch) -> Range {
    snapshot.encoding.range(snapshot.desk.document(), at.line, at.span)
}

/// A stretch of any number of lines.
pub fn extent(snapshot: &Snapshot, extent: Extent) -> Range {
    Range { start: position(snapshot, extent.from), end: position(snapshot, extent.to) }
}

/// Edits of the text, as the protocol's.
pub fn edits(snapshot: &Snapshot, edits: Vec<assist::TextEdit>) -> Vec<TextEdit> {
    let lines = snapshot.desk.document().lines();
    let edit = |edit: assist::TextEdit| {
        let mut range = stretch(snapshot, Stretch { line: edit.line, span: edit.span });
        let takes_end = lines.get(edit.line as usize).is_some_and(|l| edit.span.end as usize > l.text.len());
        if takes_end {
            range.end = Position { line: edit.line + 1, character: 0 };
        }
        TextEdit { range, new_text: edit.with }
    };
    edits.into_iter().map(edit).collect()
}

/// The same as a change of the workspace: for clients that can, of this version of the text only.
pub fn changes(snapshot: &Snapshot, all: Vec<assist::TextEdit>, versioned: bool) -> WorkspaceEdit {
    let file = (snapshot.uri.clone(), Some(snapshot.version), edits(snapshot, all));
    workspace_edit(vec![file], versioned)
}

/// A change of some texts, each with its version if it is open: for clients that can, of these versions
/// only.
pub fn workspace_edit(files: Vec<(Url, Option<i32>, Vec<TextEdit>)>, versioned: bool) -> WorkspaceEdit {
    if !versioned {
        let changes = files.into_iter().map(|(uri, _, edits)| (uri, edits)).collect();
        return WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() };
    }
    let edits = files.into_iter().map(|(uri, version, edits)| TextDocumentEdit {
        text_document: OptionalVersionedTextDocumentIdentifier { uri, version },
        edits: edits.into_iter().map(OneOf::Left).collect(),
    });
    let changes = DocumentChanges::Edits(edits.collect());
    WorkspaceEdit { document_changes: Some(changes), ..WorkspaceEdit::default() }
}
