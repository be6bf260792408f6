//! Checking one score: its text, its settings, its includes, its findings.

use super::out::Out;
use super::report::FileReport;
use super::settings::RunSettings;
use crate::assist::counting::beat_at;
use crate::exchange::import::{LARGEST, Map, Trouble, import, is_foreign};
use crate::exchange::paper::player_name;
use crate::host::setting_check::Vocabulary;
use crate::host::{FolderLoader, ReadError, read, read_score};
use crate::rules::{Desk, Settings, check};
use std::io;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

/// Checks a score on disk.
pub fn check_file(score: &Path, workspace: &[PathBuf], settings: &RunSettings) -> FileReport {
    if score.extension().and_then(|e| e.to_str()).is_some_and(is_foreign) {
        return check_foreign(score, settings.of(Some(score)));
    }
    let loader = FolderLoader::for_score(score, workspace);
    report(score.display().to_string(), read_score(score), settings.of(Some(score)), &loader)
}

/// Checks a score of another program: taken in, in memory. Its findings name part, bar and beat.
fn check_foreign(score: &Path, settings: &Settings) -> FileReport {
    let path = score.display().to_string();
    let failed = |path: String, why: String| FileReport {
        path,
        text: String::new(),
        findings: Vec::new(),
        trouble: Some(why),
        beats: None,
    };
    let bytes = match read::read_bytes(score, LARGEST) {
        Ok(bytes) => bytes,
        Err(why) => return failed(path, why.to_string()),
    };
    // A fault of ours in one score must not keep the others from being checked.
    let checked = catch_unwind(AssertUnwindSafe(|| {
        let imported = import(&bytes, &Map::default())?;
        let desk = Desk::new(&imported.text, settings.clone(), &FolderLoader::without_place());
        let mut findings = desk.findings();
        let beats = findings.iter().map(|f| beat_at(&desk, f.line, f.span)).collect();
        let players = &desk.score().head.players;
        for finding in &mut findings {
            let part = players.iter().find(|p| finding.player.as_deref() == Some(&*p.id));
            finding.player = part.map(|p| player_name(p).to_owned()).or(finding.player.take());
        }
        Ok::<_, Trouble>((imported.text, findings, beats))
    }));
    match checked {
        Ok(Ok((text, findings, beats))) => {
            FileReport { path, text, findings, trouble: None, beats: Some(beats) }
        }
        Ok(Err(why)) => failed(path, why.to_string()),
        Err(_) => failed(path, "waterkey itself failed on this score; please report it".to_owned()),
    }
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
                beats: None,
            };
        }
    };
    // A fault of ours in one score must not keep the others from being checked.
    match catch_unwind(AssertUnwindSafe(|| check(&text, settings, loader))) {
        Ok(findings) => FileReport { path, text, findings, trouble: None, beats: None },
        Err(_) => {
            let trouble = Some("waterkey itself failed on this score; please report it".to_owned());
            FileReport { path, text, findings: Vec::new(), trouble, beats: None }
        }
    }
}
