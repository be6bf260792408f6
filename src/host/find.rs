//! Finding the scores that a command names.

use std::collections::BTreeSet;
use std::fmt;
use std::path::{Path, PathBuf};

/// The extension of a score.
pub const EXTENSION: &str = "brass";

/// Why a named place gave no score.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Missing {
    /// Nothing of this name.
    NotThere(PathBuf),
    /// A folder without a score in it.
    NoScores(PathBuf),
    /// A folder that the system does not let us read, with the system's reason.
    Closed(PathBuf, String),
}

impl fmt::Display for Missing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Missing::NotThere(path) => write!(f, "{}: there is no such file or folder", path.display()),
            Missing::NoScores(path) => {
                write!(f, "{}: no score in this folder (a score's name ends in .{EXTENSION})", path.display())
            }
            Missing::Closed(path, why) => {
                write!(f, "{}: cannot look into this folder: {why}", path.display())
            }
        }
    }
}

/// Every score that the places name, sorted, each once.
///
/// A file is taken whatever its name. A folder is searched to its depths for `.brass` files; hidden
/// folders and files and folders named `target` are passed over, and links to folders are not followed.
pub fn find_scores(places: &[PathBuf]) -> (Vec<PathBuf>, Vec<Missing>) {
    let mut found = BTreeSet::new();
    let mut missing = Vec::new();
    for place in places {
        if place.is_dir() {
            let before = missing.len();
            let mut here = Vec::new();
            search(place, &mut here, &mut missing);
            if here.is_empty() && missing.len() == before {
                missing.push(Missing::NoScores(place.clone()));
            }
            found.extend(here);
        } else if place.exists() {
            found.insert(place.clone());
        } else {
            missing.push(Missing::NotThere(place.clone()));
        }
    }
    (found.into_iter().collect(), missing)
}

/// Walks a folder with a list of its own, so that no depth of folders can exhaust the stack.
fn search(folder: &Path, found: &mut Vec<PathBuf>, missing: &mut Vec<Missing>) {
    let mut waiting = vec![folder.to_path_buf()];
    while let Some(folder) = waiting.pop() {
        let entries = match std::fs::read_dir(&folder) {
            Ok(entries) => entries,
            Err(why) => {
                missing.push(Missing::Closed(folder, why.to_string()));
                continue;
            }
        };
        for entry in entries.flatten() {
            let name = entry.file_name();
            if name.to_string_lossy().starts_with('.') {
                continue;
            }
            let path = entry.path();
            match entry.file_type() {
                Ok(kind) if kind.is_dir() && name != "target" => waiting.push(path),
                Ok(kind) if kind.is_dir() => {}
                Ok(_) if path.extension().is_some_and(|e| e == EXTENSION) && path.is_file() => {
                    found.push(path)
                }
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn folders_are_searched_to_their_depths() {
        let dir = tempfile::tempdir().unwrap();
        let at = |name: &str| dir.path().join(name);
        for folder in ["b/deep", ".hidden", "target", "empty"] {
            fs::create_dir_all(at(folder)).unwrap();
        }
        let named = [
            "z.brass",
            "a.brass",
            "b/deep/c.brass",
            "b/notes.txt",
            ".hidden/x.brass",
            "target/y.brass",
            ".dot.brass",
            "odd.txt",
        ];
        for name in named {
            fs::write(at(name), "").unwrap();
        }
        let places = [at(""), at("a.brass"), at("odd.txt"), at("empty"), at("nothing")];
        let (found, missing) = find_scores(&places);
        assert_eq!(found, [at("a.brass"), at("b/deep/c.brass"), at("odd.txt"), at("z.brass")]);
        assert_eq!(missing, [Missing::NoScores(at("empty")), Missing::NotThere(at("nothing"))]);
    }
}
