//! A score on the desk: its text, its meaning and its findings, kept up to date edit by edit.

use super::finding::Finding;
use super::report::Report;
use super::settings::Settings;
use crate::notation::document::Document;
use crate::score::score::{Score, Sources};
use crate::score::source::Loader;
use std::ops::Range;
use std::sync::Arc;

/// A score being worked on. Reading it whole and reading what an edit touched is one code path.
///
/// A copy shares what both have; it costs little and later edits leave it alone.
#[derive(Clone)]
pub struct Desk {
    document: Document,
    score: Score,
    report: Report,
    settings: Arc<Settings>,
    files: u64,
}

impl Desk {
    /// Reads and checks a text.
    pub fn new(text: &str, settings: Settings, loader: &dyn Loader) -> Desk {
        let document = Document::new(text);
        let settings = Arc::new(settings);
        let sources = Sources { level: settings.level, loader, files: 0 };
        let score = Score::read(document.lines(), None, &sources);
        let report = Report::check(&score, None, &settings);
        Desk { document, score, report, settings, files: 0 }
    }

    /// Replaces bytes of the text by another text; the range is clamped to what is there.
    pub fn edit(&mut self, bytes: Range<usize>, with: &str, loader: &dyn Loader) {
        self.change(bytes, with);
        self.update(loader);
    }

    /// The first half of [`Desk::edit`]: the text alone. Several changes may go before one
    /// [`Desk::update`]; until then score and findings are those of the text before.
    pub fn change(&mut self, bytes: Range<usize>, with: &str) {
        self.document.edit(bytes, with);
    }

    /// The same for the whole text; the first line that is another one now.
    pub fn change_all(&mut self, text: &str) -> usize {
        self.document.replace_all(text).first
    }

    /// Puts another text in the place of the whole, keeping what is the same at both ends.
    pub fn replace_all(&mut self, text: &str, loader: &dyn Loader) {
        self.document.replace_all(text);
        self.update(loader);
    }

    /// Other settings.
    pub fn set(&mut self, settings: Settings, loader: &dyn Loader) {
        self.settings = Arc::new(settings);
        self.update(loader);
    }

    /// An included file may have changed.
    pub fn files_changed(&mut self, loader: &dyn Loader) {
        self.files += 1;
        self.update(loader);
    }

    /// Brings score and findings up to date with the text.
    pub fn update(&mut self, loader: &dyn Loader) {
        let sources = Sources { level: self.settings.level, loader, files: self.files };
        let score = Score::read(self.document.lines(), Some(&self.score), &sources);
        self.report = Report::check(&score, Some((&self.report, &self.score)), &self.settings);
        self.score = score;
    }

    /// Everything found, in the order of the text.
    pub fn findings(&self) -> Vec<Finding> {
        self.report.findings(&self.score)
    }

    /// The same, each player's own: what several find in one place is told for each of them.
    pub fn findings_apart(&self) -> Vec<Finding> {
        self.report.findings_apart(&self.score)
    }

    /// What is found in some blocks of the score, by index, and outside all blocks. Allowances of the head
    /// that silence nothing are not among it: that takes all blocks to know.
    pub fn findings_of(&self, blocks: &[usize]) -> Vec<Finding> {
        self.report.findings_of(&self.score, blocks)
    }

    /// The text.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// What it means.
    pub fn score(&self) -> &Score {
        &self.score
    }

    /// Settings in force, under the score's own lines.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// What was found, player by player.
    pub fn report(&self) -> &Report {
        &self.report
    }
}
