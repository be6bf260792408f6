//! Findings of the scores in the open folders that are not open themselves, for clients that pull those of
//! the whole workspace. They are checked again only when something on disk or in the settings changed.

use super::configuration::settings_for;
use super::diagnostic::{Style, diagnostics};
use super::open_text::{Snapshot, path_of};
use super::owner::Workspace;
use crate::assist::Wanted;
use crate::host::setting_check::Vocabulary;
use crate::host::{FolderLoader, find_scores, read_score};
use crate::rules::Desk;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;
use tower_lsp::lsp_types::{Diagnostic, Url};

/// More scores than these are not looked at; opening one shows its findings.
pub const MOST_SCORES: usize = 500;

/// What was found at the last look.
#[derive(Default)]
pub struct ClosedScores(HashMap<PathBuf, Kept>);

struct Kept {
    state: State,
    found: Vec<Diagnostic>,
}

/// What the findings of a file depend on: its time and length, and the count of changes to anything else.
type State = (Option<SystemTime>, u64, u64);

impl ClosedScores {
    /// The findings of every score in the folders that is not open.
    pub fn look(&mut self, workspace: &Workspace) -> Vec<(Url, Vec<Diagnostic>)> {
        if workspace.folders.is_empty() {
            return Vec::new();
        }
        let open: Vec<PathBuf> = workspace.known.iter().filter_map(|(s, _)| path_of(&s.uri)).collect();
        let (scores, _) = find_scores(&workspace.folders);
        let closed = scores.into_iter().filter(|path| !open.contains(path)).take(MOST_SCORES);
        let mut kept = HashMap::new();
        let mut all = Vec::new();
        for path in closed {
            let Some((uri, state)) = Url::from_file_path(&path).ok().zip(state(&path, workspace)) else {
                continue;
            };
            let before = self.0.remove(&path).filter(|kept| kept.state == state).map(|kept| kept.found);
            let Some(found) = before.or_else(|| check(&path, &uri, workspace)) else { continue };
            all.push((uri, found.clone()));
            kept.insert(path, Kept { state, found });
        }
        self.0 = kept;
        all
    }
}

fn state(path: &Path, workspace: &Workspace) -> Option<State> {
    let file = std::fs::metadata(path).ok()?;
    Some((file.modified().ok(), file.len(), workspace.outside))
}

/// `None` for a file that cannot be read.
fn check(path: &Path, uri: &Url, workspace: &Workspace) -> Option<Vec<Diagnostic>> {
    let text = read_score(path).ok()?;
    let (settings, _) = settings_for(Some(path), &workspace.editor, &Vocabulary::of_rules());
    let desk = Desk::new(&text, settings, &FolderLoader::for_score(path, &workspace.folders));
    let snapshot = Snapshot {
        uri: uri.clone(),
        version: 0,
        generation: 0,
        desk: Arc::new(desk),
        encoding: workspace.encoding,
        edited: 0,
        kept: Arc::default(),
        hints: Wanted::NONE,
    };
    let style: &Style = &workspace.style;
    Some(diagnostics(&snapshot, style))
}
