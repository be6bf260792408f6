//! Links to the files that a score includes.

use super::super::open_text::{Snapshot, path_of};
use super::super::owner::Workspace;
use super::names::uri_of;
use super::stretch;
use crate::assist;
use crate::host::FolderLoader;
use tower_lsp::lsp_types::DocumentLink;

/// `textDocument/documentLink`: one for every file that is there and may be included.
pub fn links(snapshot: &Snapshot, workspace: &Workspace, tooltips: bool) -> Vec<DocumentLink> {
    let Some(path) = path_of(&snapshot.uri) else { return Vec::new() };
    let folder = FolderLoader::for_score(&path, &workspace.folders);
    let link = |link: assist::Link| {
        let (path, name) = folder.find(None, &link.way).ok()?;
        if name.is_empty() || !path.is_file() {
            return None;
        }
        let tooltip = tooltips.then(|| assist::brings(&snapshot.desk, &name));
        let target = uri_of(workspace, &path)?;
        Some(DocumentLink { range: stretch(snapshot, link.at), target: Some(target), tooltip, data: None })
    };
    assist::links(&snapshot.desk).into_iter().filter_map(link).collect()
}
