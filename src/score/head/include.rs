//! Included texts: their `player group instrument phrase allow include` lines read as if they stood
//! in the score.

use super::Head;
use crate::notation::document::split;
use crate::notation::line::{Line, read_line};
use crate::notation::tree::LineTree;
use crate::notation::{Fault, FaultName, Span};
use crate::score::source::{LoadFault, Loaded, Loader};
use std::sync::Arc;

/// More files than this in one score are refused.
const MOST_FILES: usize = 64;

/// A text that was included, and its lines.
#[derive(Debug, Clone)]
pub struct Included {
    pub name: String,
    pub text: String,
    pub lines: Vec<Arc<Line>>,
}

/// What the loader said when it was asked for a file: from which file, by which path, and the name of what
/// it gave.
pub type Asked = (Option<String>, String, Result<String, LoadFault>);

/// Gives again what was read for a head, without reading anything: for trying an edit out.
pub struct ReadAlready(pub Arc<Head>);

impl Loader for ReadAlready {
    fn load(&self, from: Option<&str>, relative: &str) -> Result<Loaded, LoadFault> {
        let asked = self.0.asked.iter().find(|(f, path, _)| f.as_deref() == from && path == relative);
        let name = match asked {
            Some((_, _, answer)) => answer.clone()?,
            None => return Err(LoadFault::Missing),
        };
        let text = self.0.included.iter().find(|file| file.name == name).map(|file| file.text.clone());
        Ok(Loaded { name, text: text.unwrap_or_default() })
    }
}

/// A line that counts as one of the head's.
#[derive(Debug, Clone)]
pub struct HeadLine {
    pub line: Arc<Line>,
    /// Line of the score: its own, or the `include` that brings it.
    pub at: u32,
    /// File, its line (from 1) and the path on the `include` line, if it was brought.
    pub from: Option<(String, u32, Span)>,
}

impl HeadLine {
    /// Where a fault of this line is shown: in place, or at the `include` that brings it.
    pub fn place(&self, fault: Fault) -> (u32, Fault) {
        match &self.from {
            None => (self.at, fault),
            Some((file, line, path)) => {
                let text = format!("{file}, line {line}: {}", fault.text);
                (self.at, Fault { span: *path, text, fix: None, ..fault })
            }
        }
    }
}

/// All head lines in reading order, the files that were read, and what was asked for.
pub fn gather(
    lines: &[Arc<Line>],
    before: Option<&Head>,
    loader: &dyn Loader,
    faults: &mut Vec<(u32, Fault)>,
) -> (Vec<HeadLine>, Vec<Arc<Included>>, Vec<Asked>) {
    let (all, files, asked, open) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    let mut gatherer = Gatherer { before, loader, faults, all, files, asked, open };
    for (i, line) in lines.iter().enumerate() {
        gatherer.all.push(HeadLine { line: Arc::clone(line), at: i as u32, from: None });
        if let LineTree::Include(Some(path)) = &line.tree {
            gatherer.include(path.of(&line.text), None, i as u32, *path);
        }
    }
    (gatherer.all, gatherer.files, gatherer.asked)
}

struct Gatherer<'a> {
    before: Option<&'a Head>,
    loader: &'a dyn Loader,
    faults: &'a mut Vec<(u32, Fault)>,
    all: Vec<HeadLine>,
    files: Vec<Arc<Included>>,
    asked: Vec<Asked>,
    /// Names of the files being read, outermost first.
    open: Vec<String>,
}

impl Gatherer<'_> {
    /// `shown` is where faults stand in the score's own line `at`.
    fn include(&mut self, path: &str, from: Option<&str>, at: u32, shown: Span) {
        let fault = |text: String| (at, Fault::new(FaultName::IncludeFault, shown, text));
        let loaded = self.loader.load(from, path);
        let answer = loaded.as_ref().map(|l| l.name.clone()).map_err(Clone::clone);
        self.asked.push((from.map(str::to_owned), path.to_owned(), answer));
        let loaded = match loaded {
            Ok(loaded) => loaded,
            Err(reason) => {
                self.faults.push(fault(reason_text(path, &reason)));
                return;
            }
        };
        // The score's own file has an empty name.
        if self.open.contains(&loaded.name) || loaded.name.is_empty() {
            self.faults.push(fault(format!("`{path}` includes itself, directly or through others.")));
            return;
        }
        if self.files.iter().any(|f| f.name == loaded.name) {
            // Read already: not read again.
            return;
        }
        if self.files.len() >= MOST_FILES {
            self.faults
                .push(fault(format!("More than {MOST_FILES} files are included; this one is not read.")));
            return;
        }
        let file = self.file(&loaded.name, loaded.text);
        self.files.push(Arc::clone(&file));
        self.open.push(loaded.name.clone());
        for (n, line) in file.lines.iter().enumerate() {
            let head_line =
                HeadLine { line: Arc::clone(line), at, from: Some((path.to_owned(), n as u32 + 1, shown)) };
            let wanted = matches!(
                line.tree,
                LineTree::Player(_)
                    | LineTree::Group(_)
                    | LineTree::Instrument(_)
                    | LineTree::Phrase(_)
                    | LineTree::Allow(_)
                    | LineTree::Include(_)
                    | LineTree::Bad
            );
            if !wanted {
                continue;
            }
            self.faults.extend(line.faults.iter().map(|f| head_line.place(f.clone())));
            if let LineTree::Include(Some(inner)) = &line.tree {
                self.include(inner.of(&line.text), Some(&loaded.name), at, shown);
            }
            self.all.push(head_line);
        }
        self.open.pop();
    }

    /// The lines of a file; those of an unchanged one are taken over.
    fn file(&self, name: &str, text: String) -> Arc<Included> {
        let old =
            self.before.and_then(|head| head.included.iter().find(|f| f.name == name && f.text == text));
        if let Some(old) = old {
            return Arc::clone(old);
        }
        let lines = split(&text).map(|(line, ending)| Arc::new(read_line(line, ending))).collect();
        Arc::new(Included { name: name.to_owned(), text, lines })
    }
}

fn reason_text(path: &str, reason: &LoadFault) -> String {
    match reason {
        LoadFault::NoPlace => {
            format!("This text has no place on disk yet, so `{path}` cannot be found. Save it first.")
        }
        LoadFault::Outside => format!(
            "`{path}` lies outside the score's folder. Included files are named relative to the score and stay inside its root folder."
        ),
        LoadFault::Missing => format!("There is no file `{path}` beside the score."),
        LoadFault::Unreadable(why) => format!("`{path}` could not be read: {why}."),
    }
}
