//! Loading what a score includes, from inside its root folder only.

use super::read::{ReadError, read_text};
use super::root::{folder_of, root_of};
use crate::score::{LoadFault, Loaded, Loader};
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
    /// Its way from the root folder, with `/`: the same file always has the same name here. Empty for the
    /// score itself.
    pub name: String,
    pub text: String,
}

/// Where a score lies; all links resolved.
#[derive(Debug, Clone)]
struct Places {
    score: PathBuf,
    folder: PathBuf,
    root: PathBuf,
}

/// Loads includes for one score.
#[derive(Debug, Clone, Default)]
pub struct FolderLoader {
    places: Option<Places>,
}

impl FolderLoader {
    /// For a score on disk. `workspace` are the folders that were opened or named as a whole.
    pub fn for_score(score: &Path, workspace: &[PathBuf]) -> FolderLoader {
        let places = folder_of(score).map(|folder| {
            let root = root_of(&folder, workspace);
            // A score that is being written for the first time is not there yet.
            let score =
                score.canonicalize().unwrap_or_else(|_| folder.join(score.file_name().unwrap_or_default()));
            Places { score, folder, root }
        });
        FolderLoader { places }
    }

    /// For a text that has no place on disk: it includes nothing.
    pub fn without_place() -> FolderLoader {
        FolderLoader::default()
    }

    /// The root folder.
    pub fn root(&self) -> Option<&Path> {
        self.places.as_ref().map(|places| places.root.as_path())
    }

    /// Where an included file lies.
    pub fn path_of(&self, name: &str) -> Option<PathBuf> {
        self.root().map(|root| root.join(name))
    }

    /// Loads the file that `from` (the name of an included text, or `None` for the score itself) names.
    pub fn include(&self, from: Option<&str>, relative: &str) -> Result<Included, Refusal> {
        let (real, name) = self.find(from, relative)?;
        if name.is_empty() {
            return Ok(Included { name, text: String::new() });
        }
        let text = read_text(&real, LARGEST_INCLUDE).map_err(Refusal::Unreadable)?;
        Ok(Included { name, text })
    }

    /// Where the file lies that `from` names, all links resolved, and its name; nothing of it is read.
    pub fn find(&self, from: Option<&str>, relative: &str) -> Result<(PathBuf, String), Refusal> {
        let Places { score, folder, root } = self.places.as_ref().ok_or(Refusal::NoPlace)?;
        let beside = match from {
            None | Some("") => folder.clone(),
            Some(name) => root.join(name).parent().map_or_else(|| root.clone(), Path::to_path_buf),
        };
        let wanted = steps(&beside, root, relative)?;
        // A link may lead anywhere; where it ends is what counts.
        let real = wanted.canonicalize().map_err(|e| Refusal::Unreadable(e.into()))?;
        let inside = real.strip_prefix(root).map_err(|_| Refusal::Outside)?;
        if real == *score {
            return Ok((real, String::new()));
        }
        let name: Vec<_> = inside.components().map(|c| c.as_os_str().to_string_lossy()).collect();
        let name = name.join("/");
        Ok((real, name))
    }
}

impl Loader for FolderLoader {
    fn load(&self, from: Option<&str>, relative: &str) -> Result<Loaded, LoadFault> {
        match self.include(from, relative) {
            Ok(Included { name, text }) => Ok(Loaded { name, text }),
            Err(Refusal::NoPlace) => Err(LoadFault::NoPlace),
            Err(Refusal::NotRelative | Refusal::Outside) => Err(LoadFault::Outside),
            Err(Refusal::Unreadable(ReadError::Missing)) => Err(LoadFault::Missing),
            Err(Refusal::Unreadable(why)) => Err(LoadFault::Unreadable(why.to_string())),
        }
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

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    /// A folder with a score `town/harbour.brass`, its band beside it, more in `town/parts`, and a secret
    /// outside of `town`.
    fn town() -> (tempfile::TempDir, FolderLoader) {
        let dir = tempfile::tempdir().unwrap();
        let town = dir.path().join("town");
        fs::create_dir_all(town.join("parts")).unwrap();
        fs::write(dir.path().join("secret.brass"), "player Spy = trombone\n").unwrap();
        fs::write(town.join("harbour.brass"), "").unwrap();
        fs::write(town.join("band.brass"), "player Tp1 = trumpet in Bb\n").unwrap();
        fs::write(town.join("parts/low.brass"), "player Tu = F tuba\n").unwrap();
        fs::write(town.join("latin.brass"), b"title \"caf\xe9\"\n").unwrap();
        let loader = FolderLoader::for_score(&town.join("harbour.brass"), &[]);
        (dir, loader)
    }

    fn name(loader: &FolderLoader, from: Option<&str>, relative: &str) -> Result<String, Refusal> {
        loader.include(from, relative).map(|included| included.name)
    }

    #[test]
    fn one_name_for_one_file() {
        let (_dir, loader) = town();
        for way in ["parts/low.brass", "./parts/low.brass", "parts/../parts//low.brass"] {
            assert_eq!(name(&loader, None, way), Ok("parts/low.brass".into()), "{way}");
        }
        assert_eq!(name(&loader, Some("parts/low.brass"), "low.brass"), Ok("parts/low.brass".into()));
        assert_eq!(name(&loader, Some("parts/low.brass"), "../band.brass"), Ok("band.brass".into()));
        assert_eq!(name(&loader, Some("band.brass"), "harbour.brass"), Ok(String::new()), "the score itself");
    }

    #[test]
    fn nothing_outside_the_root() {
        let (dir, loader) = town();
        let absolute = dir.path().join("town/band.brass").display().to_string();
        for way in
            ["/etc/passwd", absolute.as_str(), "C:\\band.brass", "parts\\low.brass", "", "a\0b", "file:band"]
        {
            assert_eq!(name(&loader, None, way), Err(Refusal::NotRelative), "{way}");
        }
        for way in ["../secret.brass", "..", "parts/../../secret.brass", "../town/band.brass"] {
            assert_eq!(name(&loader, None, way), Err(Refusal::Outside), "{way}");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_link_may_lead_inside_but_not_out() {
        let (dir, loader) = town();
        let town = dir.path().join("town");
        std::os::unix::fs::symlink(dir.path().join("secret.brass"), town.join("out.brass")).unwrap();
        std::os::unix::fs::symlink(dir.path(), town.join("up")).unwrap();
        std::os::unix::fs::symlink(town.join("band.brass"), town.join("alias.brass")).unwrap();
        assert_eq!(name(&loader, None, "out.brass"), Err(Refusal::Outside));
        assert_eq!(name(&loader, None, "up/secret.brass"), Err(Refusal::Outside));
        assert_eq!(name(&loader, None, "alias.brass"), Ok("band.brass".into()));
    }

    #[test]
    fn what_cannot_be_read_is_said() {
        let (dir, loader) = town();
        let why = |way: &str| match loader.include(None, way) {
            Err(Refusal::Unreadable(why)) => why,
            other => panic!("{other:?}"),
        };
        assert_eq!(why("nobody.brass"), ReadError::Missing);
        assert_eq!(why("parts"), ReadError::NotAFile);
        assert!(matches!(why("latin.brass"), ReadError::NotUtf8 { byte: 10, .. }));
        let large = dir.path().join("town/large.brass");
        fs::File::create(&large).unwrap().set_len(LARGEST_INCLUDE + 1).unwrap();
        assert_eq!(why("large.brass"), ReadError::TooLarge { limit: LARGEST_INCLUDE });
        assert_eq!(name(&FolderLoader::without_place(), None, "band.brass"), Err(Refusal::NoPlace));
    }

    #[test]
    fn a_settings_file_or_a_workspace_widens_the_root() {
        let (dir, _) = town();
        let score = dir.path().join("town/harbour.brass");
        let whole = FolderLoader::for_score(&score, &[dir.path().canonicalize().unwrap()]);
        assert_eq!(name(&whole, None, "../secret.brass"), Ok("secret.brass".into()));
        fs::write(dir.path().join("waterkey.toml"), "").unwrap();
        let settled = FolderLoader::for_score(&score, &[]);
        assert_eq!(name(&settled, None, "../secret.brass"), Ok("secret.brass".into()));
    }
}
