//! Loading what a score includes, from inside its root folder only.

use super::read::{ReadError, read_text};
use super::root::{folder_of, root_of};
use std::fmt;
use std::path::{Component, Path, PathBuf};

/// The largest file that is included, in bytes.
pub const LARGEST_INCLUDE: u64 = 4 << 20;

/// Why a file was not included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refusal {
    /// The including text is not on a disk.
    NoPlace,
    /// The path begins at the top of a disk, or is written for one system only.
    NotRelative,
    /// The path, or a link on it, leads out of the root folder.
    Outside,
    /// It is there no more, or no text.
    Unreadable(ReadError),
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Refusal::NoPlace => {
                write!(f, "this text is not saved in a folder yet, so nothing can be included")
            }
            Refusal::NotRelative => {
                write!(
                    f,
                    "an include names a file by its way from this score's folder, with / between folders"
                )
            }
            Refusal::Outside => write!(f, "an include must stay inside the score's root folder"),
            Refusal::Unreadable(why) => write!(f, "{why}"),
        }
    }
}

/// An included text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Included {
    /// Its way from the root folder, with `/`: the same file always has the same name here.
    pub name: String,
    pub text: String,
}

/// Loads includes for one score.
#[derive(Debug, Clone, Default)]
pub struct FolderLoader {
    /// Folder of the score and the root above it, links resolved; `None` for a text without a place.
    places: Option<(PathBuf, PathBuf)>,
}

impl FolderLoader {
    /// For a score on disk. `workspace` are the folders that were opened or named as a whole.
    pub fn for_score(score: &Path, workspace: &[PathBuf]) -> FolderLoader {
        let places = folder_of(score).map(|folder| {
            let root = root_of(&folder, workspace);
            (folder, root)
        });
        FolderLoader { places }
    }

    /// For a text that has no place on disk: it includes nothing.
    pub fn without_place() -> FolderLoader {
        FolderLoader::default()
    }

    /// The root folder.
    pub fn root(&self) -> Option<&Path> {
        self.places.as_ref().map(|(_, root)| root.as_path())
    }

    /// Where an included file lies.
    pub fn path_of(&self, name: &str) -> Option<PathBuf> {
        self.root().map(|root| root.join(name))
    }

    /// Loads the file that `from` (the name of an included text, or `None` for the score itself) names.
    pub fn load(&self, from: Option<&str>, relative: &str) -> Result<Included, Refusal> {
        let (folder, root) = self.places.as_ref().ok_or(Refusal::NoPlace)?;
        let beside = match from {
            None => folder.clone(),
            Some(name) => root.join(name).parent().map_or_else(|| root.clone(), Path::to_path_buf),
        };
        let wanted = steps(&beside, root, relative)?;
        // A link may lead anywhere; where it ends is what counts.
        let real = wanted.canonicalize().map_err(|e| Refusal::Unreadable(e.into()))?;
        let inside = real.strip_prefix(root).map_err(|_| Refusal::Outside)?;
        let name: Vec<_> = inside.components().map(|c| c.as_os_str().to_string_lossy()).collect();
        let text = read_text(&real, LARGEST_INCLUDE).map_err(Refusal::Unreadable)?;
        Ok(Included { name: name.join("/"), text })
    }
}

/// Walks a written path step by step and never above the root, not even on the way.
fn steps(beside: &Path, root: &Path, relative: &str) -> Result<PathBuf, Refusal> {
    if relative.is_empty() || relative.contains(['\\', '\0', ':']) {
        return Err(Refusal::NotRelative);
    }
    let mut place = beside.to_path_buf();
    for component in Path::new(relative).components() {
        match component {
            Component::Normal(name) => place.push(name),
            Component::CurDir => {}
            Component::ParentDir => {
                if place == root || !place.pop() {
                    return Err(Refusal::Outside);
                }
            }
            Component::RootDir | Component::Prefix(_) => return Err(Refusal::NotRelative),
        }
    }
    if place.starts_with(root) { Ok(place) } else { Err(Refusal::Outside) }
}
