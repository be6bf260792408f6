//! What `include` lines must say when files or folders get another name or another place.

use super::answers::workspace_edit;
use super::open_text::path_of;
use super::owner::Workspace;
use super::reach::{Reach, Whose, range};
use crate::assist::{Body, Link};
use crate::host::way::{place_of, resolved, way};
use std::path::{Path, PathBuf};
use tower_lsp::lsp_types::{FileRename, TextEdit, Url, WorkspaceEdit};

/// Files and folders that move: from where to where.
pub struct Moves(Vec<(PathBuf, PathBuf)>);

impl Moves {
    pub fn of(files: &[FileRename]) -> Moves {
        let path = |uri: &str| Some(resolved(&Url::parse(uri).ok()?.to_file_path().ok()?));
        Moves(files.iter().filter_map(|file| Some((path(&file.old_uri)?, path(&file.new_uri)?))).collect())
    }

    /// Where a file will lie; it may lie in a folder that moves.
    fn after(&self, path: &Path) -> PathBuf {
        let moved = self.0.iter().find_map(|(from, to)| {
            let rest = path.strip_prefix(from).ok()?;
            Some(if rest.as_os_str().is_empty() { to.clone() } else { to.join(rest) })
        });
        moved.unwrap_or_else(|| path.to_path_buf())
    }
}

/// `workspace/willRenameFiles`: the lines of all texts in reach that will have to name another way, and
/// the open texts with their numbers that this is for.
pub fn edit(
    workspace: &Workspace,
    moves: &Moves,
    versioned: bool,
) -> Option<(WorkspaceEdit, Vec<(Url, u64)>)> {
    let reach = Reach::all(workspace);
    let mut files = Vec::new();
    let mut of = Vec::new();
    for (body, whose) in reach.volume.texts.iter().zip(&reach.whose) {
        let edits = edits(&reach, body, whose, moves);
        if edits.is_empty() || body.locked.is_some() {
            continue;
        }
        of.extend(whose.open.map(|(_, generation)| (whose.uri.clone(), generation)));
        files.push((whose.uri.clone(), whose.open.map(|(version, _)| version), edits));
    }
    (!files.is_empty()).then(|| (workspace_edit(files, versioned), of))
}

fn edits(reach: &Reach, body: &Body, whose: &Whose, moves: &Moves) -> Vec<TextEdit> {
    let Some((path, folder)) = whose.path.as_deref().and_then(|path| Some((path, path.parent()?))) else {
        return Vec::new();
    };
    // The name the client knows it by may be a link, and then it is the link that moves.
    let named = whose.uri.to_file_path().map_or_else(|()| path.to_path_buf(), |path| resolved(&path));
    let after = moves.after(&named);
    let Some(folder_after) = after.parent() else { return Vec::new() };
    let edit = |(at, line): (u32, std::sync::Arc<crate::notation::line::Line>)| {
        let link = Link::of(at, &line)?;
        let place = place_of(folder, &link.way).filter(|place| place.is_file())?;
        let place_after = moves.after(&place);
        if place_after == place && after == named {
            return None;
        }
        // What still leads there is left as it is written.
        if place_of(folder_after, &link.way).is_some_and(|place| place == place_after) {
            return None;
        }
        let new_text = match (place.parent() == place_after.parent(), link.way.rsplit_once('/')) {
            (true, Some((folders, _))) if after == named => {
                format!("{folders}/{}", way(place_after.parent()?, &place_after)?)
            }
            _ => way(folder_after, &place_after)?,
        };
        Some(TextEdit { range: range(reach.encoding, at, &line.text, link.at.span), new_text })
    };
    body.lines(|text| text.contains("include")).into_iter().filter_map(edit).collect()
}

/// Where the files named are; for the thread that owns the texts.
pub fn paths(files: &[FileRename]) -> Vec<PathBuf> {
    let uris = files.iter().flat_map(|file| [&file.old_uri, &file.new_uri]);
    uris.filter_map(|uri| path_of(&Url::parse(uri).ok()?)).collect()
}
