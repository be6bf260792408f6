//! `waterkey check`: reads scores and reports what cannot be played.

use super::out::Out;
use super::paint::Paint;
use super::reading::{check_file, check_input};
use super::report::people::{Layout, people};
use super::report::{FileReport, json::json, sarif::sarif};
use super::settings::RunSettings;
use super::{CLEAN, FAILED, FOUND, width};
use crate::host::find_scores;
use crate::host::setting_check::Vocabulary;
use crate::rules::Severity;
use crate::rules::page::pages;
use clap::{Args, ValueEnum};
use indicatif::{ProgressBar, ProgressStyle};
use rayon::prelude::*;
use std::io::IsTerminal;
use std::path::PathBuf;

/// Say what in a score cannot be played, is risky, or does not add up
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey check harbour.brass          one score\n  \
        waterkey check scores                 every .brass file in a folder and the folders in it\n  \
        waterkey check --hints harbour.brass  small things worth knowing, too\n  \
        waterkey check - < harbour.brass      a score from standard input\n  \
        waterkey check harbour.musicxml       a score of another program (.musicxml, .xml, .mxl, .mid):\n                                        \
        its findings name part, bar and beat\n\n\
        A file called waterkey.toml beside the score, or in a folder above it, can set the players'\n\
        level, the tuning, and how much each rule matters. `waterkey explain` lists the rules.\n\n\
        Exit status: 0 clean, 1 findings at or above --fail-on, 2 something could not be read.")]
pub struct Check {
    /// Scores, or folders to search for scores; - reads one score from standard input
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Show hints too: small things worth knowing that are never counted against a score
    #[arg(long)]
    hints: bool,

    /// For people, or for programs: json, or sarif (SARIF 2.1.0)
    #[arg(long, value_enum, default_value_t = Format::People)]
    format: Format,

    /// The least severity that makes the exit status 1
    #[arg(long, value_enum, value_name = "SEVERITY", default_value_t = FailOn::Warning)]
    fail_on: FailOn,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    People,
    Json,
    Sarif,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum FailOn {
    Error,
    Warning,
    Information,
}

impl FailOn {
    fn severity(self) -> Severity {
        match self {
            FailOn::Error => Severity::Error,
            FailOn::Warning => Severity::Warning,
            FailOn::Information => Severity::Information,
        }
    }
}

impl Check {
    pub fn run(self, out: &mut Out) -> u8 {
        let (input, places): (Vec<_>, Vec<_>) =
            self.paths.iter().cloned().partition(|p| p.as_os_str() == "-");
        let (scores, missing) = find_scores(&places);
        for place in &missing {
            out.trouble(&place.to_string());
        }
        let settings = RunSettings::read(&scores, !input.is_empty(), &Vocabulary::of_rules());
        settings.complain(out);
        let mut reports = self.check_files(&scores, &places, &settings);
        if !input.is_empty() {
            reports.push(check_input(&settings));
        }
        let mut failed = !missing.is_empty();
        for report in &reports {
            if let Some(trouble) = &report.trouble {
                out.trouble(&format!("{}: {trouble}", report.name()));
                failed = true;
            }
        }
        if let Err(why) = self.tell(out, &reports) {
            out.trouble(&format!("the report could not be written: {why}"));
            failed = true;
        }
        let least = self.fail_on.severity();
        let found = reports.iter().flat_map(|r| &r.findings).any(|f| f.severity >= least);
        match (failed, found) {
            (true, _) => FAILED,
            (false, true) => FOUND,
            (false, false) => CLEAN,
        }
    }

    /// Checks all at once, in the order of their names.
    fn check_files(&self, scores: &[PathBuf], places: &[PathBuf], settings: &RunSettings) -> Vec<FileReport> {
        let workspace: Vec<PathBuf> =
            places.iter().filter(|p| p.is_dir()).filter_map(|p| p.canonicalize().ok()).collect();
        let progress = progress(scores.len(), self.format);
        let reports = scores
            .par_iter()
            .map(|score| {
                let report = check_file(score, &workspace, settings);
                progress.inc(1);
                report
            })
            .collect();
        progress.finish_and_clear();
        reports
    }

    fn tell(&self, out: &mut Out, reports: &[FileReport]) -> Result<(), serde_json::Error> {
        match self.format {
            // With nothing read the complaints have said it all.
            Format::People if reports.iter().all(|r| r.trouble.is_some()) => {}
            Format::People => {
                let layout = Layout { paint: Paint(out.colour()), width: width(), hints: self.hints };
                people(reports, layout).for_each(|text| out.text(&text));
            }
            Format::Json => out.line(&json(reports)?),
            Format::Sarif => out.line(&sarif(reports, &pages())?),
        }
        Ok(())
    }
}

/// A bar that grows while scores are read; only for people at a terminal, and only for more than one.
fn progress(scores: usize, format: Format) -> ProgressBar {
    if scores < 2 || format != Format::People || !std::io::stderr().is_terminal() {
        return ProgressBar::hidden();
    }
    let bar = ProgressBar::new(scores as u64);
    if let Ok(style) = ProgressStyle::with_template("{bar:24} {pos} of {len} scores") {
        bar.set_style(style.progress_chars("▪▪·"));
    }
    bar
}
