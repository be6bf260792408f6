//! Included files: from the editor where they are open, else from the disk.

use crate::host::FolderLoader;
use crate::notation::Document;
use crate::score::{LoadFault, Loaded, Loader};
use std::collections::HashMap;
use std::path::PathBuf;

/// The texts of open files, by place, links resolved.
pub type OpenFiles = HashMap<PathBuf, Document>;

/// Loads for one score.
pub struct EditorLoader<'a> {
    pub folder: &'a FolderLoader,
    pub open: &'a OpenFiles,
}

impl Loader for EditorLoader<'_> {
    fn load(&self, from: Option<&str>, relative: &str) -> Result<Loaded, LoadFault> {
        let mut loaded = self.folder.load(from, relative)?;
        // An empty name is the score itself.
        if !loaded.name.is_empty()
            && let Some(text) = self.folder.path_of(&loaded.name).and_then(|path| self.open.get(&path))
        {
            loaded.text = text.text();
        }
        Ok(loaded)
    }
}
