//! The layers of `src/` use only what stands above them.

use std::path::Path;

const LAYERS: [&str; 11] = [
    "music", "brass", "notation", "score", "rules", "section", "assist", "exchange", "host", "server", "cli",
];

fn files(folder: &Path, all: &mut Vec<std::path::PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, all);
        } else if path.extension().is_some_and(|e| e == "rs") {
            all.push(path);
        }
    }
}

/// The layers a text names after `crate::`, in groups (`crate::{a, b}`) too.
fn used(text: &str) -> Vec<String> {
    let mut all = Vec::new();
    for part in text.split("crate::").skip(1) {
        if let Some(group) = part.strip_prefix('{') {
            let inside = group.split("};").next().unwrap();
            all.extend(inside.split(',').map(|w| w.trim().split("::").next().unwrap().to_owned()));
        } else {
            all.push(part.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect());
        }
    }
    all
}

#[test]
fn no_layer_looks_down() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut seen = 0;
    for (rank, layer) in LAYERS.iter().enumerate() {
        let mut all = Vec::new();
        if src.join(layer).is_dir() {
            files(&src.join(layer), &mut all);
        }
        for path in all {
            let text = std::fs::read_to_string(&path).unwrap();
            for name in used(&text) {
                if let Some(other) = LAYERS.iter().position(|l| *l == name) {
                    seen += 1;
                    assert!(other <= rank, "{} uses {name}, which stands below it", path.display());
                }
            }
        }
    }
    assert!(seen > 50, "only {seen} uses were found: the test does not see them");
}

#[test]
fn the_core_touches_no_file_no_clock_and_no_stream() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    for layer in &LAYERS[..LAYERS.iter().position(|l| *l == "exchange").unwrap()] {
        let mut all = Vec::new();
        if src.join(layer).is_dir() {
            files(&src.join(layer), &mut all);
        }
        for path in all {
            let text = std::fs::read_to_string(&path).unwrap();
            for word in [
                "std::fs",
                "std::io",
                "std::net",
                "std::env",
                "std::time",
                "std::process",
                "static mut",
                "OnceLock",
                "thread_local",
                "println!",
                "eprintln!",
            ] {
                assert!(!text.contains(word), "{} uses {word}", path.display());
            }
        }
    }
}
