//! The one thread that owns the open texts.
//!
//! It takes what has arrived, applies all edits, works out once what the texts mean, tells what it found,
//! and then answers the questions that waited, from snapshots. Nothing waits for time to pass: messages
//! that come while it works are taken together next time.

use super::board::{Board, Refresh};
use super::configuration::{EditorSettings, editor_settings, settings_for};
use super::diagnostic::{Style, diagnostics, same};
use super::include::OpenFiles;
use super::log;
use super::open_text::{OpenText, Snapshot, path_of};
use super::pages::Pages;
use super::position::Encoding;
use super::session::Session;
use crate::host::SETTINGS_FILE;
use crate::host::setting_check::Vocabulary;
use crate::rules::Settings;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Instant;
use tokio::sync::{oneshot, watch};
use tower_lsp::lsp_types::{MessageType, PublishDiagnosticsParams, TextDocumentContentChangeEvent, Url};

/// Deep enough for the deepest recursion over any text.
const STACK: usize = 64 << 20;

/// Messages that are taken together at most, so that a flood cannot put off the answers for ever.
const MOST_TOGETHER: usize = 10_000;

/// What the thread is told, in the order of the wire.
pub enum Message {
    Begin(Box<Session>),
    Open {
        uri: Url,
        version: i32,
        generation: u64,
        text: String,
    },
    Change {
        uri: Url,
        version: i32,
        generation: u64,
        changes: Vec<TextDocumentContentChangeEvent>,
    },
    Close {
        uri: Url,
    },
    /// An edit of this text could not be read.
    Lost {
        uri: Url,
    },
    /// Files on disk that changed, came or went.
    Files(Vec<PathBuf>),
    Folders {
        added: Vec<PathBuf>,
        removed: Vec<PathBuf>,
    },
    Configuration(Value),
    Trace(bool),
    /// A question about a text; `None` if it is not open.
    Ask {
        uri: Url,
        reply: oneshot::Sender<Option<Known>>,
    },
    /// A question about all open texts.
    AskAll {
        reply: oneshot::Sender<Workspace>,
    },
}

/// What questions are answered from.
pub type Known = (Snapshot, Arc<Style>);

/// What questions about everything are answered from.
pub struct Workspace {
    /// The open texts.
    pub known: Vec<Known>,
    pub folders: Vec<PathBuf>,
    pub editor: Settings,
    pub style: Arc<Style>,
    pub encoding: Encoding,
    /// Another number whenever files or settings may have changed.
    pub outside: u64,
}

/// Starts the thread. `changes` is counted up whenever something about a text may have changed.
pub fn start(board: Board, changes: Arc<watch::Sender<u64>>) -> io::Result<Sender<Message>> {
    let (sender, messages) = channel();
    std::thread::Builder::new().name("texts".into()).stack_size(STACK).spawn(move || {
        Owner::new(board, changes).run(&messages);
    })?;
    Ok(sender)
}

struct Owner {
    board: Board,
    changes: Arc<watch::Sender<u64>>,
    session: Session,
    style: Arc<Style>,
    written_pages: Pages,
    vocabulary: Vocabulary,
    editor: EditorSettings,
    /// Complaints about settings that the user was told.
    complaints: BTreeSet<String>,
    texts: BTreeMap<Url, OpenText>,
    /// Places whose text is another one since the last analysis.
    moved: BTreeSet<PathBuf>,
    asked: Vec<(Url, oneshot::Sender<Option<Known>>)>,
    asked_all: Vec<oneshot::Sender<Workspace>>,
    /// The client should ask for findings again.
    stale: bool,
    /// Counts changes of files and settings.
    outside: u64,
}

impl Owner {
    fn new(board: Board, changes: Arc<watch::Sender<u64>>) -> Owner {
        let session = Session::default();
        Owner {
            board,
            changes,
            style: Arc::new(Style::of(&session, Pages::None)),
            session,
            written_pages: Pages::None,
            vocabulary: Vocabulary::of_rules(),
            editor: EditorSettings::default(),
            complaints: BTreeSet::new(),
            texts: BTreeMap::new(),
            moved: BTreeSet::new(),
            asked: Vec::new(),
            asked_all: Vec::new(),
            stale: false,
            outside: 0,
        }
    }

    fn run(&mut self, messages: &Receiver<Message>) {
        while let Ok(first) = messages.recv() {
            for message in std::iter::once(first).chain(messages.try_iter().take(MOST_TOGETHER)) {
                // What went wrong is logged by then.
                let _ = catch_unwind(AssertUnwindSafe(|| self.take(message)));
            }
            self.analyse();
            self.answer();
        }
    }

    fn take(&mut self, message: Message) {
        match message {
            Message::Begin(session) => self.begin(*session),
            Message::Open { uri, version, generation, text } => self.open(uri, version, generation, &text),
            Message::Change { uri, version, generation, changes } => {
                self.change(&uri, version, generation, &changes);
            }
            Message::Close { uri } => self.close(&uri),
            Message::Lost { uri } => self.lose(&uri, "an edit of it could not be read"),
            Message::Files(paths) => self.files(&paths),
            Message::Folders { added, removed } => self.folders(added, &removed),
            Message::Configuration(value) => self.configure(&value),
            Message::Trace(on) => self.session.trace = on,
            Message::Ask { uri, reply } => self.asked.push((uri, reply)),
            Message::AskAll { reply } => self.asked_all.push(reply),
        }
    }

    fn begin(&mut self, session: Session) {
        if session.links {
            self.written_pages = Pages::written();
        }
        let options = session.options.clone();
        self.session = session;
        self.configure(&options);
    }

    fn configure(&mut self, value: &Value) {
        let before = std::mem::replace(&mut self.editor, editor_settings(value, &self.vocabulary));
        let pages = self.editor.pages.clone().map_or_else(|| self.written_pages.clone(), Pages::Base);
        self.style = Arc::new(Style::of(&self.session, pages));
        // Clients tell their settings again and again; only others are worth looking at everything anew.
        if self.editor != before {
            self.settle();
        }
    }

    /// Gives every text the settings that hold for it now, and names those that cannot hold.
    fn settle(&mut self) {
        self.outside += 1;
        self.changes.send_modify(count);
        let mut complaints: BTreeSet<String> = self.editor.faults.iter().cloned().collect();
        for text in self.texts.values_mut() {
            let (settings, faults) = settings_of(
                text.path.as_deref(),
                &self.session.folders,
                &self.editor.settings,
                &self.vocabulary,
            );
            complaints.extend(faults);
            text.settings = Some(settings);
        }
        for complaint in complaints.difference(&self.complaints) {
            self.board.show(MessageType::WARNING, format!("A setting does not hold: {complaint}"));
        }
        self.complaints = complaints;
    }

    fn open(&mut self, uri: Url, version: i32, generation: u64, text: &str) {
        let (settings, faults) = settings_of(
            path_of(&uri).as_deref(),
            &self.session.folders,
            &self.editor.settings,
            &self.vocabulary,
        );
        for fault in faults {
            if self.complaints.insert(fault.clone()) {
                self.board.show(MessageType::WARNING, format!("A setting does not hold: {fault}"));
            }
        }
        let told = self.texts.remove(&uri).and_then(|old| old.told);
        let opened = catch_unwind(AssertUnwindSafe(|| {
            let name = (uri.clone(), version, generation);
            OpenText::open(
                name,
                text,
                self.session.encoding,
                &self.session.folders,
                settings,
                &open_files(&self.texts),
            )
        }));
        match opened {
            Ok(mut text) => {
                // What another opening of the same text was told still stands in the editor.
                text.told = told.filter(|told| !told.is_empty());
                self.moved.extend(text.path.clone());
                self.texts.insert(uri, text);
            }
            Err(_) => self.lose(&uri, "it could not be read"),
        }
    }

    fn change(
        &mut self,
        uri: &Url,
        version: i32,
        generation: u64,
        changes: &[TextDocumentContentChangeEvent],
    ) {
        let Some(text) = self.texts.get_mut(uri) else {
            log::note(&format!("{uri}: changed but not open"));
            return;
        };
        self.moved.extend(text.path.clone());
        if catch_unwind(AssertUnwindSafe(|| text.change(version, generation, changes))).is_err() {
            self.lose(uri, "an edit of it could not be applied");
        }
    }

    fn close(&mut self, uri: &Url) {
        if let Some(text) = self.texts.remove(uri) {
            self.moved.extend(text.path.clone());
            self.clear(&text);
        }
    }

    /// A text that is no longer the editor's is worse than none.
    fn lose(&mut self, uri: &Url, why: &str) {
        log::trouble(&format!("{uri} is out of step: {why}"));
        if let Some(text) = self.texts.remove(uri) {
            self.clear(&text);
            let name = uri.path_segments().and_then(|mut s| s.next_back()).unwrap_or(uri.as_str());
            self.board.show(
                MessageType::ERROR,
                format!("{name} is out of step with the editor ({why}). Close it and open it again."),
            );
        }
    }

    /// Takes back what the client was told of a text.
    fn clear(&mut self, text: &OpenText) {
        if !self.session.pull && text.told.as_ref().is_none_or(|told| !told.is_empty()) {
            self.board.findings(PublishDiagnosticsParams::new(text.now.uri.clone(), Vec::new(), None));
        }
        self.changes.send_modify(count);
    }

    fn files(&mut self, paths: &[PathBuf]) {
        self.outside += 1;
        self.changes.send_modify(count);
        if paths.iter().any(|p| p.file_name().is_some_and(|name| name == SETTINGS_FILE)) {
            for text in self.texts.values_mut() {
                text.find_root(&self.session.folders);
            }
            self.settle();
        }
        for text in self.texts.values_mut().filter(|text| text.has_includes()) {
            text.files_changed = true;
        }
    }

    fn folders(&mut self, added: Vec<PathBuf>, removed: &[PathBuf]) {
        self.session.folders.retain(|f| !removed.contains(f));
        self.session.folders.extend(added);
        for text in self.texts.values_mut() {
            text.find_root(&self.session.folders);
        }
        self.settle();
    }

    /// Brings every text up to date and tells what was found.
    fn analyse(&mut self) {
        let moved = std::mem::take(&mut self.moved);
        if !moved.is_empty() {
            for text in self.texts.values_mut() {
                let others = moved.iter().filter(|path| text.path.as_ref() != Some(path));
                if others.into_iter().any(|path| text.includes(path)) {
                    text.files_changed = true;
                }
            }
        }
        let open = open_files(&self.texts);
        let mut lost = Vec::new();
        let mut changed = false;
        for text in self.texts.values_mut() {
            let began = Instant::now();
            let told = catch_unwind(AssertUnwindSafe(|| {
                let outcome = text.analyse(&open);
                let push = outcome.analysed && !self.session.pull;
                (outcome, push.then(|| diagnostics(&text.now, &self.style)))
            }));
            let Ok((outcome, found)) = told else {
                lost.push(text.now.uri.clone());
                continue;
            };
            changed |= outcome.analysed;
            self.stale |= outcome.from_outside;
            if outcome.analysed && self.session.trace {
                let (name, time) = (&text.now.uri, began.elapsed());
                self.board.trace(format!("{name}, version {}: checked in {time:.1?}", text.now.version));
            }
            let Some(found) = found else { continue };
            if text.told.as_ref().is_none_or(|told| !same(told, &found)) {
                let (uri, version) = (text.now.uri.clone(), Some(text.now.version));
                self.board.findings(PublishDiagnosticsParams::new(uri, found.clone(), version));
                text.told = Some(found);
            }
        }
        for uri in lost {
            self.lose(&uri, "it could not be checked");
        }
        if changed {
            self.changes.send_modify(count);
            if std::mem::take(&mut self.stale) {
                self.refresh();
            }
        }
    }

    /// Something outside the texts changed, which the client cannot know.
    fn refresh(&mut self) {
        let session = &self.session;
        let all = [
            (Refresh::Findings, session.refresh),
            (Refresh::Tokens, session.tokens_refresh),
            (Refresh::Hints, session.hints_refresh),
            (Refresh::Lenses, session.lenses_refresh),
        ];
        all.into_iter().filter(|(_, can)| *can).for_each(|(what, _)| self.board.refresh(what));
    }

    fn answer(&mut self) {
        for (uri, reply) in self.asked.drain(..) {
            let known = self.texts.get(&uri).map(|text| {
                let now = Snapshot { hints: self.editor.hints, ..text.now.clone() };
                (now, Arc::clone(&self.style))
            });
            // Whoever asked may have gone away.
            let _ = reply.send(known);
        }
        for reply in self.asked_all.drain(..) {
            let all = self.texts.values().map(|text| (text.now.clone(), Arc::clone(&self.style)));
            let _ = reply.send(Workspace {
                known: all.collect(),
                folders: self.session.folders.clone(),
                editor: self.editor.settings.clone(),
                style: Arc::clone(&self.style),
                encoding: self.session.encoding,
                outside: self.outside,
            });
        }
    }
}

/// The next number, short of the last, which tells that the input has ended.
fn count(changes: &mut u64) {
    *changes = changes.saturating_add(u64::from(*changes < u64::MAX - 1));
}

/// The texts of open files, where one may include another.
fn open_files(texts: &BTreeMap<Url, OpenText>) -> OpenFiles {
    let files = texts.values().filter_map(|t| Some((t.path.clone()?, t.now.desk.document().clone())));
    files.collect()
}

/// The settings of a text; one without a place on disk has those of the first open folder.
fn settings_of(
    path: Option<&Path>,
    folders: &[PathBuf],
    editor: &Settings,
    vocabulary: &Vocabulary,
) -> (Settings, Vec<String>) {
    let first = || folders.first().map(|folder| folder.join("untitled"));
    let place = path.map(Path::to_path_buf).or_else(first);
    settings_for(place.as_deref(), editor, vocabulary)
}
