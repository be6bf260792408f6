//! Scores to ask about.

use std::path::Path;
use waterkey::assist::Place;
use waterkey::host::FolderLoader;
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;

pub fn desk(text: &str) -> Desk {
    Desk::new(text, Settings::default(), &NoFiles)
}

/// Every sample with its name.
pub fn samples() -> Vec<(String, Desk)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut paths: Vec<_> = std::fs::read_dir(&folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    let brass = paths.into_iter().filter(|p| p.extension().is_some_and(|e| e == "brass"));
    let all: Vec<_> = brass
        .map(|path| {
            let text = std::fs::read_to_string(&path).unwrap();
            let desk = Desk::new(&text, Settings::default(), &FolderLoader::for_score(&path, &[]));
            (path.file_name().unwrap().to_string_lossy().into_owned(), desk)
        })
        .collect();
    assert!(all.len() >= 6);
    all
}

pub fn sample(name: &str) -> Desk {
    samples().into_iter().find(|(n, _)| n == name).unwrap().1
}

/// The place of the n-th `what` (from 0) on the n-th line that begins with `line`, counted from 0.
pub fn place(desk: &Desk, line: (&str, usize), what: (&str, usize)) -> Place {
    let lines: Vec<String> = desk.document().lines().iter().map(|l| l.text.to_string()).collect();
    let mut at = lines.iter().enumerate().filter(|(_, l)| l.starts_with(line.0));
    let (number, text) = at.nth(line.1).unwrap();
    let byte = text.match_indices(what.0).nth(what.1).unwrap().0;
    Place { line: number as u32, byte: byte as u32 }
}
