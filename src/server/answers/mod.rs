//! What `assist` says, in the protocol's words: places in, one call, places out.

pub mod hover;
pub mod links;
pub mod names;
pub mod outline;

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

/// A stretch of one line.
pub fn stretch(snapshot: &Snapshot, at: Stretch) -> Range {
    snapshot.encoding.range(snapshot.desk.document(), at.line, at.span)
}

/// A stretch of any number of lines.
pub fn extent(snapshot: &Snapshot, extent: Extent) -> Range {
    let document = snapshot.desk.document();
    let position = |place: Place| {
        let text = document.lines().get(place.line as usize).map_or("", |l| &l.text);
        Position { line: place.line, character: snapshot.encoding.column(text, place.byte as usize) }
    };
    Range { start: position(extent.from), end: position(extent.to) }
}

/// Edits of the text, as the protocol's.
pub fn edits(snapshot: &Snapshot, edits: Vec<assist::TextEdit>) -> Vec<TextEdit> {
    let edit = |edit: assist::TextEdit| {
        let range = stretch(snapshot, Stretch { line: edit.line, span: edit.span });
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
