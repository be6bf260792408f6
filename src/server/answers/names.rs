//! Where names stand, and giving them another text.

use super::super::open_text::Snapshot;
use super::{changes, place, stretch};
use crate::assist;
use tower_lsp::lsp_types::{
    DocumentHighlight, DocumentHighlightKind, GotoDefinitionResponse, Location, Position,
    PrepareRenameResponse, WorkspaceEdit,
};

/// `textDocument/definition`, inside the text.
pub fn definition(snapshot: &Snapshot, position: Position) -> Option<GotoDefinitionResponse> {
    let at = assist::definition(&snapshot.desk, place(snapshot, position))?;
    let range = stretch(snapshot, at);
    Some(GotoDefinitionResponse::Scalar(Location { uri: snapshot.uri.clone(), range }))
}

/// `textDocument/references`, inside the text.
pub fn references(snapshot: &Snapshot, position: Position, declaration: bool) -> Vec<Location> {
    assist::references(&snapshot.desk, place(snapshot, position), declaration)
        .into_iter()
        .map(|at| Location { uri: snapshot.uri.clone(), range: stretch(snapshot, at) })
        .collect()
}

/// `textDocument/documentHighlight`.
pub fn highlights(snapshot: &Snapshot, position: Position) -> Vec<DocumentHighlight> {
    assist::highlight(&snapshot.desk, place(snapshot, position))
        .into_iter()
        .map(|mention| {
            let kind =
                if mention.declares { DocumentHighlightKind::WRITE } else { DocumentHighlightKind::READ };
            DocumentHighlight { range: stretch(snapshot, mention.at), kind: Some(kind) }
        })
        .collect()
}

/// `textDocument/prepareRename`; the reason where nothing can be renamed.
pub fn prepare(snapshot: &Snapshot, position: Position) -> Result<PrepareRenameResponse, String> {
    let found = assist::prepare(&snapshot.desk, place(snapshot, position))?;
    let range = stretch(snapshot, found.at);
    Ok(PrepareRenameResponse::RangeWithPlaceholder { range, placeholder: found.text })
}

/// `textDocument/rename`; the reason where it cannot be done.
pub fn rename(
    snapshot: &Snapshot,
    position: Position,
    new: &str,
    versioned: bool,
) -> Result<WorkspaceEdit, String> {
    let edits = assist::rename(&snapshot.desk, place(snapshot, position), new)?;
    Ok(changes(snapshot, edits, versioned))
}
