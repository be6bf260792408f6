//! The pages of the rules as files, so that an editor can open them from a finding.
//!
//! They are written once into the user's cache folder.

use super::log;
use crate::rules::page::pages;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use tower_lsp::lsp_types::Url;

/// Where the pages are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Pages {
    /// In this folder, as `RULE.md`.
    Folder(PathBuf),
    /// At this address, followed by the rule's name.
    Base(String),
    /// Nowhere.
    None,
}

impl Pages {
    /// Writes them, unless they are there.
    pub fn written() -> Pages {
        let Some(cache) = cache_folder() else { return Pages::None };
        match write(&cache) {
            Ok(folder) => Pages::Folder(folder),
            Err(why) => {
                log::note(&format!("the pages of the rules could not be written: {why}"));
                Pages::None
            }
        }
    }

    /// The address of a rule's page.
    pub fn of(&self, rule: &str) -> Option<Url> {
        match self {
            Pages::Folder(folder) => Url::from_file_path(folder.join(format!("{rule}.md"))).ok(),
            Pages::Base(base) => Url::parse(&format!("{base}{rule}")).ok(),
            Pages::None => None,
        }
    }
}

/// One folder for each state of the pages: another version writes its own and none is ever half new.
fn write(cache: &Path) -> std::io::Result<PathBuf> {
    let pages = pages();
    let mut state = DefaultHasher::new();
    for page in &pages {
        (page.name, &page.text).hash(&mut state);
    }
    let folder = cache.join("waterkey").join(format!("rules-{:016x}", state.finish()));
    if folder.is_dir() {
        return Ok(folder);
    }
    let beginning = folder.with_extension(std::process::id().to_string());
    std::fs::create_dir_all(&beginning)?;
    for page in &pages {
        std::fs::write(beginning.join(format!("{}.md", page.name)), format!("{}\n", page.text))?;
    }
    if std::fs::rename(&beginning, &folder).is_err() {
        // Another server was first.
        std::fs::remove_dir_all(&beginning)?;
    }
    Ok(folder)
}

/// The folder for what can be made again.
fn cache_folder() -> Option<PathBuf> {
    let variable = |name| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    if cfg!(windows) {
        return variable("LOCALAPPDATA");
    }
    variable("XDG_CACHE_HOME").or_else(|| {
        let home = variable("HOME")?;
        Some(home.join(if cfg!(target_os = "macos") { "Library/Caches" } else { ".cache" }))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn written_once_and_found_again() {
        let cache = tempfile::tempdir().unwrap();
        let folder = write(cache.path()).unwrap();
        assert_eq!(write(cache.path()).unwrap(), folder);
        let page = Pages::Folder(folder).of("too-high").unwrap();
        let text = std::fs::read_to_string(page.to_file_path().unwrap()).unwrap();
        assert!(text.starts_with('#'), "{text}");
        assert_eq!(std::fs::read_dir(cache.path().join("waterkey")).unwrap().count(), 1);
    }

    #[test]
    fn another_base() {
        let pages = Pages::Base("https://harbour.example/rules/".into());
        assert_eq!(pages.of("too-low").unwrap().as_str(), "https://harbour.example/rules/too-low");
        assert_eq!(Pages::None.of("too-low"), None);
    }
}
