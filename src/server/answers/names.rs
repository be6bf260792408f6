//! Where names stand, and giving them another text.
//!
//! What one text can answer alone is answered from it; else the texts in reach are looked at, first
//! those that are open.

use super::super::open_text::{Snapshot, path_of};
use super::super::owner::Workspace;
use super::super::reach::{Reach, range};
use super::{changes, place, stretch, workspace_edit};
use crate::assist::{self, Change, Name, NameKind, Place};
use crate::host::FolderLoader;
use tower_lsp::lsp_types::{
    DocumentHighlight, DocumentHighlightKind, GotoDefinitionResponse, Location, Position,
    PrepareRenameResponse, Url, WorkspaceEdit,
};

/// `textDocument/definition`.
pub fn definition(
    snapshot: &Snapshot,
    workspace: &Workspace,
    position: Position,
) -> Option<GotoDefinitionResponse> {
    let place = place(snapshot, position);
    let found = here(snapshot, place)
        .or_else(|| included(snapshot, workspace, place))
        .or_else(|| elsewhere(snapshot, workspace, place));
    found.map(GotoDefinitionResponse::Scalar)
}

fn here(snapshot: &Snapshot, place: Place) -> Option<Location> {
    let at = assist::definition(&snapshot.desk, place)?;
    Some(Location { uri: snapshot.uri.clone(), range: stretch(snapshot, at) })
}

/// In a file that the text includes.
fn included(snapshot: &Snapshot, workspace: &Workspace, place: Place) -> Option<Location> {
    let found = assist::included_definition(&snapshot.desk, place)?;
    let head = &snapshot.desk.score().head;
    let file = head.included.iter().find(|file| file.name == found.file)?;
    let line = file.lines.get(found.at.line as usize)?;
    let folder = FolderLoader::for_score(&path_of(&snapshot.uri)?, &workspace.folders);
    let uri = uri_of(workspace, &folder.path_of(&file.name)?)?;
    Some(Location { uri, range: range(snapshot.encoding, found.at.line, &line.text, found.at.span) })
}

/// In a file that is included together with the text.
fn elsewhere(snapshot: &Snapshot, workspace: &Workspace, place: Place) -> Option<Location> {
    let (name, _) = assist::name_at(&snapshot.desk, place)?;
    let of = |reach: Reach| {
        let found = reach.volume.declaration(reach.number(&snapshot.uri)?, &name)?;
        reach.location(found.text, found.mention.at.line, &found.line, found.mention.at.span)
    };
    of(Reach::open(workspace)).or_else(|| of(Reach::all(workspace)))
}

/// The address of a file: the client's own where it is open.
pub fn uri_of(workspace: &Workspace, path: &std::path::Path) -> Option<Url> {
    let mut open = workspace.known.iter().map(|(snapshot, _)| &snapshot.uri);
    let open = open.rfind(|uri| path_of(uri).as_deref() == Some(path));
    open.cloned().or_else(|| Url::from_file_path(path).ok())
}

/// True if no other text can have the name.
fn alone(snapshot: &Snapshot, name: &Name) -> bool {
    name.kind == NameKind::Mark || path_of(&snapshot.uri).is_none()
}

/// `textDocument/references`, in this text first.
pub fn references(
    snapshot: &Snapshot,
    workspace: &Workspace,
    position: Position,
    declaration: bool,
) -> Vec<Location> {
    let at = place(snapshot, position);
    let Some((name, _)) = assist::name_at(&snapshot.desk, at) else { return Vec::new() };
    if alone(snapshot, &name) {
        let all = assist::references(&snapshot.desk, at, declaration).into_iter();
        return all.map(|at| Location { uri: snapshot.uri.clone(), range: stretch(snapshot, at) }).collect();
    }
    let reach = Reach::all(workspace);
    let Some(number) = reach.number(&snapshot.uri) else { return Vec::new() };
    let all = reach.volume.mentions(number, &name).into_iter();
    all.filter(|found| declaration || !found.mention.declares)
        .filter_map(|found| {
            reach.location(found.text, found.mention.at.line, &found.line, found.mention.at.span)
        })
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
pub fn prepare(
    snapshot: &Snapshot,
    workspace: &Workspace,
    position: Position,
) -> Result<PrepareRenameResponse, String> {
    let at = place(snapshot, position);
    let (_, found) = assist::named(&snapshot.desk, at)?;
    if assist::prepare(&snapshot.desk, at).is_err()
        && assist::included_definition(&snapshot.desk, at).is_none()
        && elsewhere(snapshot, workspace, at).is_none()
    {
        return Err(format!("`{}` is declared nowhere.", found.text));
    }
    let range = stretch(snapshot, found.at);
    Ok(PrepareRenameResponse::RangeWithPlaceholder { range, placeholder: found.text })
}

/// A change of names, and the open texts with their numbers that it is for.
pub struct Renamed {
    pub edit: WorkspaceEdit,
    pub of: Vec<(Url, u64)>,
}

/// `textDocument/rename`; the reason where it cannot be done.
pub fn rename(
    snapshot: &Snapshot,
    workspace: &Workspace,
    position: Position,
    new: &str,
    versioned: bool,
) -> Result<Renamed, String> {
    let at = place(snapshot, position);
    let (name, _) = assist::named(&snapshot.desk, at)?;
    if alone(snapshot, &name) {
        let edits = assist::rename(&snapshot.desk, at, new)?;
        let of = vec![(snapshot.uri.clone(), snapshot.generation)];
        return Ok(Renamed { edit: changes(snapshot, edits, versioned), of });
    }
    let reach = Reach::all(workspace);
    let number = reach.number(&snapshot.uri).unwrap_or(usize::MAX);
    let all = reach.volume.rename(number, &name, new)?;
    let mut of: Vec<usize> = all.iter().map(|change| change.text).collect();
    of.dedup();
    let open = of.iter().filter_map(|text| reach.whose.get(*text));
    let open = open.filter_map(|whose| Some((whose.uri.clone(), whose.open?.1))).collect();
    let files = of
        .iter()
        .filter_map(|text| {
            let whose = reach.whose.get(*text)?;
            let own = all.iter().filter(|change| change.text == *text);
            Some((whose.uri.clone(), whose.open.map(|(version, _)| version), edits(&reach, own)))
        })
        .collect();
    Ok(Renamed { edit: workspace_edit(files, versioned), of: open })
}

fn edits<'a>(
    reach: &Reach,
    changes: impl Iterator<Item = &'a Change>,
) -> Vec<tower_lsp::lsp_types::TextEdit> {
    changes
        .map(|Change { line, edit, .. }| tower_lsp::lsp_types::TextEdit {
            range: range(reach.encoding, edit.line, &line.text, edit.span),
            new_text: edit.with.clone(),
        })
        .collect()
}
