//! The texts in reach of a question: those that are open, as the editor has them, and the scores of the
//! open folders, as they are on disk, each with what it includes.
//!
//! All of it reads files, and so it is never done on the thread that owns the texts.

use super::closed_scores::MOST_SCORES;
use super::include::{EditorLoader, OpenFiles};
use super::open_text::{Snapshot, path_of};
use super::owner::Workspace;
use super::position::Encoding;
use crate::assist::links::including;
use crate::assist::{Body, Gap, Volume};
use crate::host::{FolderLoader, find_scores, read_score};
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::tree::LineTree;
use crate::score::head::{Head, read_head};
use crate::score::{LoadFault, Loaded, Loader, Sources};
use std::cell::RefCell;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tower_lsp::lsp_types::{Location, Position, Range, Url};

/// Where a text of the volume is from.
#[derive(Debug, Clone)]
pub struct Whose {
    /// As the client has it for an open text.
    pub uri: Url,
    /// The client's version and our number; `None` for a text on disk.
    pub open: Option<(i32, u64)>,
    /// All links resolved.
    pub path: Option<PathBuf>,
}

/// The texts, and where each is from.
pub struct Reach {
    pub volume: Volume,
    /// One for each text of the volume.
    pub whose: Vec<Whose>,
    pub encoding: Encoding,
}

impl Reach {
    /// The open texts and what they include.
    pub fn open(workspace: &Workspace) -> Reach {
        gather(workspace).done()
    }

    /// These and the scores of the open folders.
    pub fn all(workspace: &Workspace) -> Reach {
        let mut all = gather(workspace);
        all.closed_scores();
        all.done()
    }

    /// The number of an open text.
    pub fn number(&self, uri: &Url) -> Option<usize> {
        self.whose.iter().position(|w| w.open.is_some() && w.uri == *uri)
    }

    /// Where a stretch of a line lies.
    pub fn location(&self, text: usize, at: u32, line: &Line, span: Span) -> Option<Location> {
        let uri = self.whose.get(text)?.uri.clone();
        Some(Location { uri, range: range(self.encoding, at, &line.text, span) })
    }
}

/// The range of a stretch of a line, from its text.
pub fn range(encoding: Encoding, at: u32, text: &str, span: Span) -> Range {
    let position = |byte: u32| Position { line: at, character: encoding.column(text, byte as usize) };
    Range { start: position(span.start), end: position(span.end.max(span.start)) }
}

fn gather(workspace: &Workspace) -> Gathering<'_> {
    let mut all = Gathering {
        workspace,
        open: OpenFiles::new(),
        volume: Volume::default(),
        whose: Vec::new(),
        at: HashMap::new(),
        included: Vec::new(),
        before: None,
        unknown: Vec::new(),
    };
    for (snapshot, _) in &workspace.known {
        all.open_text(snapshot);
    }
    for (number, (snapshot, _)) in workspace.known.iter().enumerate() {
        let head = &snapshot.desk.score().head;
        let includes = head.lines.iter().filter(|l| matches!(l.tree, LineTree::Include(_)));
        let includes: Vec<Arc<Line>> = includes.cloned().collect();
        let path = all.whose.get(number).and_then(|w| w.path.clone());
        all.before = Some(Arc::clone(head));
        all.score(vec![number], path.as_deref(), includes);
    }
    all
}

struct Gathering<'a> {
    workspace: &'a Workspace,
    open: OpenFiles,
    volume: Volume,
    whose: Vec<Whose>,
    /// The texts at each place: several where an editor has one file open under several names.
    at: HashMap<PathBuf, Vec<usize>>,
    /// Places of files that some score includes.
    included: Vec<PathBuf>,
    /// What the score before included, which the next often includes too.
    before: Option<Arc<Head>>,
    /// Root folders about which something is not known.
    unknown: Vec<(PathBuf, String)>,
}

impl Gathering<'_> {
    fn text(&mut self, body: Body, whose: Whose) -> usize {
        let number = self.whose.len();
        if let Some(path) = &whose.path {
            self.at.entry(path.clone()).or_default().push(number);
        }
        self.volume.texts.push(body);
        self.whose.push(whose);
        number
    }

    fn open_text(&mut self, snapshot: &Snapshot) {
        let path = path_of(&snapshot.uri);
        let mut body = Body::of(snapshot.desk.document());
        body.called = last_of(&snapshot.uri);
        if let Some(path) = &path {
            self.open.insert(path.clone(), snapshot.desk.document().clone());
        }
        let open = Some((snapshot.version, snapshot.generation));
        self.text(body, Whose { uri: snapshot.uri.clone(), open, path });
    }

    /// The texts at a place on disk, which is taken in if it is not yet.
    fn closed_text(&mut self, path: &Path, body: impl FnOnce() -> Body) -> Vec<usize> {
        if let Some(known) = self.at.get(path) {
            return known.clone();
        }
        let Ok(uri) = Url::from_file_path(path) else { return Vec::new() };
        let mut body = body();
        body.called = self.called(path);
        vec![self.text(body, Whose { uri, open: None, path: Some(path.to_path_buf()) })]
    }

    /// A score and everything that it includes, directly and through others.
    fn score(&mut self, mut texts: Vec<usize>, path: Option<&Path>, includes: Vec<Arc<Line>>) {
        let Some(path) = path.filter(|_| !includes.is_empty()) else {
            self.volume.scores.push(texts);
            return;
        };
        let folder = FolderLoader::for_score(path, &self.workspace.folders);
        let unreadable = RefCell::new(Vec::new());
        let loader =
            Noting { inner: EditorLoader { folder: &folder, open: &self.open }, unreadable: &unreadable };
        let sources = Sources { level: None, loader: &loader, files: 0 };
        let head = Arc::new(read_head(includes, self.before.as_deref(), &sources));
        for file in &head.included {
            let Some(place) = folder.path_of(&file.name) else { continue };
            texts.extend(self.closed_text(&place, || Body::of_lines(file.lines.clone())));
            self.included.push(place);
        }
        for (way, why) in unreadable.into_inner() {
            let why = format!(
                "`{way}`, which {} includes, could not be read ({why}) and may have this name too.",
                self.called(path)
            );
            self.volume.gaps.push(Gap { texts: texts.clone(), why });
        }
        self.before = Some(head);
        self.volume.scores.push(texts);
    }

    /// The scores of the open folders that are not open themselves.
    fn closed_scores(&mut self) {
        let folders = &self.workspace.folders;
        if folders.is_empty() {
            return;
        }
        let (scores, _) = find_scores(folders);
        let mut looked_at = 0;
        for found in scores {
            let Ok(path) = found.canonicalize() else { continue };
            if self.open.contains_key(&path) {
                continue;
            }
            looked_at += 1;
            if looked_at > MOST_SCORES {
                let why = format!(
                    "The open folders have more than {MOST_SCORES} scores, and any of them may have this name too. Open \
                     only the folder of this score."
                );
                self.unknown.extend(folders.iter().map(|folder| (folder.clone(), why.clone())));
                break;
            }
            self.closed_score(&found, &path);
        }
    }

    fn closed_score(&mut self, found: &Path, path: &Path) {
        let text = match read_score(path) {
            Ok(text) => text,
            Err(why) => {
                let why =
                    format!("{} could not be read ({why}) and may have this name too.", self.called(found));
                let folder = FolderLoader::for_score(found, &self.workspace.folders);
                self.unknown.extend(folder.root().map(|root| (root.to_path_buf(), why)));
                return;
            }
        };
        let includes = including(&text);
        if includes.is_empty() {
            // It has names in common only with who includes it, and is taken in then.
            return;
        }
        let texts = self.closed_text(path, || Body::of_text(text));
        let outside = !self.workspace.folders.iter().any(|folder| path.starts_with(folder));
        if outside {
            let called = self.called(found);
            let why = format!(
                "{called} has this name too, but is a link to a file outside of the open folders, which is not touched."
            );
            for text in &texts {
                if let Some(body) = self.volume.texts.get_mut(*text) {
                    body.locked = Some(why.clone());
                }
            }
        }
        self.score(texts, Some(found), includes);
    }

    /// How a sentence calls a file: by its way from the open folder that it lies in.
    fn called(&self, path: &Path) -> String {
        let inside = self.workspace.folders.iter().filter_map(|folder| path.strip_prefix(folder).ok());
        let shortest = inside.min_by_key(|way| way.as_os_str().len());
        let way = shortest.or_else(|| path.file_name().map(Path::new)).unwrap_or(path);
        format!("`{}`", way.display())
    }

    fn done(mut self) -> Reach {
        // Whoever has one file open under several names has one text.
        for score in &mut self.volume.scores {
            let same: Vec<usize> = score
                .iter()
                .filter_map(|text| self.whose.get(*text)?.path.as_ref())
                .filter_map(|path| self.at.get(path))
                .flatten()
                .copied()
                .collect();
            for text in same {
                if !score.contains(&text) {
                    score.push(text);
                }
            }
        }
        for (root, why) in std::mem::take(&mut self.unknown) {
            let inside = self.included.iter().filter(|path| path.starts_with(&root));
            let texts = inside.filter_map(|path| self.at.get(path)).flatten().copied().collect();
            self.volume.gaps.push(Gap { texts, why });
        }
        Reach { volume: self.volume, whose: self.whose, encoding: self.workspace.encoding }
    }
}

/// The last step of an address.
fn last_of(uri: &Url) -> String {
    let path = path_of(uri);
    let name = path.as_deref().and_then(Path::file_name).map(|name| name.to_string_lossy().into_owned());
    format!("`{}`", name.unwrap_or_else(|| uri.path().to_owned()))
}

/// Loads, and notes what is there but cannot be read.
struct Noting<'a> {
    inner: EditorLoader<'a>,
    unreadable: &'a RefCell<Vec<(String, String)>>,
}

impl Loader for Noting<'_> {
    fn load(&self, from: Option<&str>, relative: &str) -> Result<Loaded, LoadFault> {
        let loaded = self.inner.load(from, relative);
        if let Err(LoadFault::Unreadable(why)) = &loaded {
            self.unreadable.borrow_mut().push((relative.to_owned(), why.clone()));
        }
        loaded
    }
}
