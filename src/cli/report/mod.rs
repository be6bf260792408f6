//! Telling findings: to people, and to programs.

pub mod excerpt;
pub mod json;
pub mod page;
pub mod people;
pub mod place;
pub mod sarif;
pub mod wrapped;

use crate::rules::{Finding, Severity};

/// What is told of one score.
pub struct FileReport {
    /// As it was named on the command line, or found in a folder; `-` for standard input.
    pub path: String,
    /// The score's text; empty when it could not be read.
    pub text: String,
    pub findings: Vec<Finding>,
    /// Why it was not checked.
    pub trouble: Option<String>,
    /// For a file of another form, whose lines nobody sees: the beat of each finding.
    pub beats: Option<Vec<Option<String>>>,
}

impl FileReport {
    /// The beat of a finding, where the file has no lines to point at.
    pub fn beat(&self, finding: usize) -> Option<&str> {
        self.beats.as_ref()?.get(finding)?.as_deref()
    }

    /// The name for people.
    pub fn name(&self) -> &str {
        if self.path == "-" { "standard input" } else { &self.path }
    }
}

/// Findings by severity, and how many of the warnings are strong ones.
#[derive(Default)]
pub struct Counts {
    pub errors: usize,
    pub warnings: usize,
    pub strong: usize,
    pub information: usize,
    pub hints: usize,
}

impl Counts {
    pub fn of<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> Counts {
        let mut counts = Counts::default();
        for finding in findings {
            match finding.severity {
                Severity::Error => counts.errors += 1,
                Severity::Warning => {
                    counts.warnings += 1;
                    counts.strong += usize::from(finding.grade > 1);
                }
                Severity::Information => counts.information += 1,
                Severity::Hint => counts.hints += 1,
            }
        }
        counts
    }
}
