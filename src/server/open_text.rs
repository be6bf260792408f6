//! A text that is open in the editor.

use super::include::{EditorLoader, OpenFiles};
use super::kept::Kept;
use super::position::Encoding;
use crate::assist::Wanted;
use crate::host::FolderLoader;
use crate::notation::tree::LineTree;
use crate::rules::{Desk, Settings};
use crate::score::clock::Clock;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tower_lsp::lsp_types::{Diagnostic, TextDocumentContentChangeEvent, Url};

/// What questions are answered from: a text as it was at one moment, with all that is known about it.
#[derive(Clone)]
pub struct Snapshot {
    pub uri: Url,
    /// The client's number.
    pub version: i32,
    /// Ours.
    pub generation: u64,
    pub desk: Arc<Desk>,
    pub encoding: Encoding,
    /// Line of the last edit.
    pub edited: u32,
    /// What is kept from answer to answer for as long as the text is open.
    pub kept: Arc<Kept>,
    /// Which hints are shown, as set when the question was asked.
    pub hints: Wanted,
}

impl Snapshot {
    /// The score's time.
    pub fn clock(&self) -> &Clock {
        &self.desk.report().clock
    }
}

/// What an analysis did.
#[derive(Debug, Clone, Copy)]
pub struct Outcome {
    /// There was something to do.
    pub analysed: bool,
    /// Something else than the text itself changed: the client cannot know that it should ask again.
    pub from_outside: bool,
}

/// An open text and what belongs to it.
pub struct OpenText {
    pub now: Snapshot,
    /// Where it lies, links resolved, if it has a place on disk.
    pub path: Option<PathBuf>,
    pub folder: FolderLoader,
    /// It was opened and nothing was told of it yet.
    pub fresh: bool,
    /// Its text changed since it was last analysed.
    pub edited: bool,
    /// A file it includes may have changed.
    pub files_changed: bool,
    /// Settings that were not taken over yet.
    pub settings: Option<Settings>,
    /// What the client was last told.
    pub told: Option<Vec<Diagnostic>>,
}

impl OpenText {
    /// Reads and checks a text that was opened.
    pub fn open(
        (uri, version, generation): (Url, i32, u64),
        text: &str,
        encoding: Encoding,
        folders: &[PathBuf],
        settings: Settings,
        open: &OpenFiles,
    ) -> OpenText {
        let path = path_of(&uri);
        let folder = match &path {
            Some(path) => FolderLoader::for_score(path, folders),
            None => FolderLoader::without_place(),
        };
        let desk = Desk::new(text, settings, &EditorLoader { folder: &folder, open });
        OpenText {
            now: Snapshot {
                uri,
                version,
                generation,
                desk: Arc::new(desk),
                encoding,
                edited: 0,
                kept: Arc::default(),
                hints: Wanted::NONE,
            },
            path,
            folder,
            fresh: true,
            edited: false,
            files_changed: false,
            settings: None,
            told: None,
        }
    }

    /// Applies the changes of one message, in their order; what they mean is worked out later, once.
    pub fn change(&mut self, version: i32, generation: u64, changes: &[TextDocumentContentChangeEvent]) {
        self.now.version = version;
        self.now.generation = generation;
        self.edited = true;
        let desk = Arc::make_mut(&mut self.now.desk);
        for change in changes {
            match change.range {
                Some(range) => {
                    let bytes = self.now.encoding.bytes(desk.document(), range);
                    self.now.edited = range.start.line;
                    desk.change(bytes, &change.text);
                }
                None => self.now.edited = desk.change_all(&change.text) as u32,
            }
        }
    }

    /// Works out what the text means now.
    pub fn analyse(&mut self, open: &OpenFiles) -> Outcome {
        #[cfg(test)]
        super::poison::taste(&self.now.desk, super::poison::ANALYSIS);
        let fresh = std::mem::take(&mut self.fresh);
        let files = std::mem::take(&mut self.files_changed);
        let edited = std::mem::take(&mut self.edited);
        let settings = self.settings.take();
        let loader = EditorLoader { folder: &self.folder, open };
        let mut outcome = Outcome {
            analysed: fresh || files || edited || settings.is_some(),
            from_outside: settings.is_some(),
        };
        if !(files || edited || settings.is_some()) {
            return outcome;
        }
        let before = Arc::clone(&self.now.desk.score().head);
        let desk = Arc::make_mut(&mut self.now.desk);
        if let Some(settings) = settings {
            desk.set(settings, &loader);
        } else if !files {
            desk.update(&loader);
        }
        if files {
            desk.files_changed(&loader);
            let after = &desk.score().head;
            let same = before.included.len() == after.included.len()
                && before.included.iter().zip(&after.included).all(|(a, b)| Arc::ptr_eq(a, b))
                && before.faults == after.faults;
            outcome.from_outside |= !same;
        }
        outcome
    }

    /// True if a file at this place is part of the score.
    pub fn includes(&self, path: &Path) -> bool {
        let head = &self.now.desk.score().head;
        head.included.iter().any(|file| self.folder.path_of(&file.name).is_some_and(|p| p == path))
    }

    /// True if it includes anything, or tries to.
    pub fn has_includes(&self) -> bool {
        let head = &self.now.desk.score().head;
        head.lines.iter().any(|line| matches!(line.tree, LineTree::Include(_)))
    }

    /// The folders that are open changed, or a settings file came or went.
    pub fn find_root(&mut self, folders: &[PathBuf]) {
        if let Some(path) = &self.path {
            self.folder = FolderLoader::for_score(path, folders);
            self.files_changed |= self.has_includes();
        }
    }
}

/// Where a text lies, links resolved as far as it is there.
pub fn path_of(uri: &Url) -> Option<PathBuf> {
    if uri.scheme() != "file" {
        return None;
    }
    let path = uri.to_file_path().ok()?;
    Some(path.canonicalize().unwrap_or_else(|_| {
        let folder = path.parent().and_then(|f| f.canonicalize().ok());
        folder.zip(path.file_name()).map_or_else(|| path.clone(), |(f, name)| f.join(name))
    }))
}
