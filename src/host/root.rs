//! The folder that a score's includes must stay in.

use super::settings_file::settings_path;
use std::path::{Path, PathBuf};

/// The root for a score's includes: the nearest folder upwards that holds the settings file, else the
/// innermost workspace folder that holds the score, else the score's own folder.
///
/// All paths must be resolved (see [`folder_of`]).
pub fn root_of(folder: &Path, workspace: &[PathBuf]) -> PathBuf {
    if let Some(settled) = settings_path(folder).as_deref().and_then(Path::parent) {
        return settled.to_path_buf();
    }
    workspace
        .iter()
        .filter(|w| folder.starts_with(w))
        .max_by_key(|w| w.components().count())
        .cloned()
        .unwrap_or_else(|| folder.to_path_buf())
}

/// The folder a score lies in, with links resolved; `None` if it is not there.
pub fn folder_of(score: &Path) -> Option<PathBuf> {
    let parent = match score.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    parent.canonicalize().ok()
}
