//! Checking one score: its text, its settings, its includes, its findings.

use super::out::Out;
use super::report::FileReport;
use super::settings::RunSettings;
use crate::host::setting_check::Vocabulary;
use crate::host::{FolderLoader, ReadError, read, read_score};
use crate::rules::{Desk, Settings, check};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

/// Checks a score on disk.
pub fn check_file(score: &Path, workspace: &[PathBuf], settings: &RunSettings) -> FileReport {
    let loader = FolderLoader::for_score(score, workspace);
    report(score.display().to_string(), read_score(score), settings.of(Some(score)), &loader)
}

/// Checks the score that comes from standard input.
pub fn check_input(settings: &RunSettings) -> FileReport {
    let text = read::text_of(io::stdin().lock(), read::LARGEST);
    report("-".to_owned(), text, settings.of(None), &FolderLoader::without_place())
}

/// Reads and checks one score that a command is about; `-` is standard input. What is wrong with the settings is
/// told on the way.
pub fn one_score(path: &Path, out: &mut Out) -> Result<Desk, String> {
    let input = path.as_os_str() == "-";
    let places = if input { Vec::new() } else { vec![path.to_owned()] };
    let all = RunSettings::read(&places, input, &Vocabulary::of_rules());
    all.complain(out);
    let (text, loader, place) = if input {
        (read::text_of(io::stdin().lock(), read::LARGEST), FolderLoader::without_place(), None)
    } else {
        (read_score(path), FolderLoader::for_score(path, &[]), Some(path))
    };
    let text = text.map_err(|why| why.to_string())?;
    Ok(Desk::new(&text, all.of(place).clone(), &loader))
}

fn report(
    path: String,
    text: Result<String, ReadError>,
    settings: &Settings,
    loader: &FolderLoader,
) -> FileReport {
    let text = match text {
        Ok(text) => text,
        Err(why) => {
            return FileReport {
                path,
                text: String::new(),
                findings: Vec::new(),
                trouble: Some(why.to_string()),
            };
        }
    };
    // A fault of ours in one score must not keep the others from being checked.
    match catch_unwind(AssertUnwindSafe(|| check(&text, settings, loader))) {
        Ok(findings) => FileReport { path, text, findings, trouble: None },
        Err(_) => {
            let trouble = Some("waterkey itself failed on this score; please report it".to_owned());
            FileReport { path, text, findings: Vec::new(), trouble }
        }
    }
}
