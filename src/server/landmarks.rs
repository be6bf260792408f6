//! Named places of all open texts and of the scores in the open folders. A file on disk is read again only
//! when it changed.

use super::closed_scores::MOST_SCORES;
use super::open_text::path_of;
use super::owner::Workspace;
use super::reach::range;
use crate::assist::{Body, Landmark, LandmarkKind, distance, landmarks};
use crate::host::{FolderLoader, find_scores, read_score};
use std::collections::{BTreeSet, HashMap};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;
use tower_lsp::lsp_types::{Location, SymbolInformation, SymbolKind, Url};

/// More than these are not answered: whoever looks for one types on.
const MOST: usize = 200;

/// What the files on disk had at the last look.
#[derive(Default)]
pub struct ClosedLandmarks(HashMap<PathBuf, Kept>);

struct Kept {
    state: (Option<SystemTime>, u64),
    all: Arc<Vec<Landmark>>,
}

impl ClosedLandmarks {
    /// The landmarks whose names are like what was typed, the nearest first.
    pub fn like(&mut self, typed: &str, workspace: &Workspace) -> Vec<SymbolInformation> {
        let mut found = Vec::new();
        for (uri, all) in self.everywhere(workspace) {
            let title = all.iter().find(|l| l.kind == LandmarkKind::Title).map(|l| l.name.clone());
            for landmark in all.iter() {
                let Some(distance) = distance(typed, &landmark.name) else { continue };
                let titled = title.clone().filter(|_| landmark.kind != LandmarkKind::Title);
                let container = titled.unwrap_or_else(|| file_name(&uri));
                found.push((distance, symbol(landmark, &uri, container, workspace)));
            }
        }
        // Those equally near stay in the order of their texts.
        found.sort_by_key(|(distance, _)| *distance);
        found.truncate(MOST);
        found.into_iter().map(|(_, symbol)| symbol).collect()
    }

    /// Every text with its landmarks: those that are open, what they include, and the other scores.
    fn everywhere(&mut self, workspace: &Workspace) -> Vec<(Url, Arc<Vec<Landmark>>)> {
        let mut all = Vec::new();
        let mut seen = BTreeSet::new();
        for (snapshot, _) in &workspace.known {
            seen.extend(path_of(&snapshot.uri));
            all.push((snapshot.uri.clone(), Arc::new(landmarks(&Body::of(snapshot.desk.document())))));
        }
        for (snapshot, _) in &workspace.known {
            let Some(path) = path_of(&snapshot.uri) else { continue };
            let folder = FolderLoader::for_score(&path, &workspace.folders);
            for file in &snapshot.desk.score().head.included {
                let Some(path) = folder.path_of(&file.name).filter(|path| seen.insert(path.clone())) else {
                    continue;
                };
                let body = Body::of_lines(file.lines.clone());
                all.extend(Url::from_file_path(path).ok().map(|uri| (uri, Arc::new(landmarks(&body)))));
            }
        }
        let (scores, _) = match workspace.folders.is_empty() {
            true => Default::default(),
            false => find_scores(&workspace.folders),
        };
        let inside = |path: &PathBuf| workspace.folders.iter().any(|folder| path.starts_with(folder));
        let closed = scores.into_iter().filter_map(|path| path.canonicalize().ok());
        let closed = closed.filter(|path| inside(path) && seen.insert(path.clone()));
        let mut kept = HashMap::new();
        for path in closed.take(MOST_SCORES) {
            let Some((uri, now)) = Url::from_file_path(&path).ok().zip(self.file(&path)) else { continue };
            all.push((uri, Arc::clone(&now.all)));
            kept.insert(path, now);
        }
        self.0 = kept;
        all
    }

    /// `None` for a file that cannot be read.
    fn file(&mut self, path: &Path) -> Option<Kept> {
        let file = std::fs::metadata(path).ok()?;
        let state = (file.modified().ok(), file.len());
        let before = self.0.remove(path).filter(|kept| kept.state == state);
        if before.is_some() {
            return before;
        }
        let all = landmarks(&Body::of_text(read_score(path).ok()?));
        Some(Kept { state, all: Arc::new(all) })
    }
}

fn file_name(uri: &Url) -> String {
    let path = path_of(uri);
    let name = path.as_deref().and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned());
    name.unwrap_or_else(|| uri.path().to_owned())
}

#[allow(deprecated)] // a field the protocol no longer uses, and the type still has
fn symbol(landmark: &Landmark, uri: &Url, container: String, workspace: &Workspace) -> SymbolInformation {
    let Landmark { name, kind, at, line } = landmark;
    let range = range(workspace.encoding, at.line, &line.text, at.span);
    SymbolInformation {
        name: name.clone(),
        kind: kind_of(*kind),
        tags: None,
        deprecated: None,
        location: Location { uri: uri.clone(), range },
        container_name: Some(container),
    }
}

/// The nearest of the protocol's kinds, as in the outline; of those that every client knows.
fn kind_of(kind: LandmarkKind) -> SymbolKind {
    match kind {
        LandmarkKind::Title => SymbolKind::FILE,
        LandmarkKind::Player => SymbolKind::VARIABLE,
        LandmarkKind::Group => SymbolKind::ARRAY,
        LandmarkKind::Instrument => SymbolKind::CLASS,
        LandmarkKind::Phrase => SymbolKind::FUNCTION,
        LandmarkKind::Mark => SymbolKind::MODULE,
    }
}
