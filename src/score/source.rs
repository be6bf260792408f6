//! Where included texts come from.

/// Gives the text of an included file; whoever has files implements it.
pub trait Loader {
    /// Reads the file that `relative` names from the file called `from` (`None`: the score itself).
    fn load(&self, from: Option<&str>, relative: &str) -> Result<Loaded, LoadFault>;
}

/// An included text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Loaded {
    /// One name for one file, however it was reached; empty for the score's own file.
    pub name: String,
    pub text: String,
}

/// Why a file could not be included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LoadFault {
    /// The score itself has no place on disk.
    NoPlace,
    /// The path is absolute or leaves the root folder.
    Outside,
    Missing,
    /// In words, after "could not be read: ".
    Unreadable(String),
}

/// Finds nothing: for texts without a place on disk.
#[derive(Debug, Clone, Copy, Default)]
pub struct NoFiles;

impl Loader for NoFiles {
    fn load(&self, _from: Option<&str>, _relative: &str) -> Result<Loaded, LoadFault> {
        Err(LoadFault::NoPlace)
    }
}
