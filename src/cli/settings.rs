//! The settings that hold for the scores of one run: each settings file is read and complained of once.

use crate::cli::out::Out;
use crate::host::root::folder_of;
use crate::host::setting_check::Vocabulary;
use crate::host::settings_file::{SettingsFile, settings_path};
use crate::rules::Settings;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Settings by the folder a score lies in.
#[derive(Default)]
pub struct RunSettings {
    /// The settings file of each folder, links resolved.
    folders: BTreeMap<PathBuf, Option<PathBuf>>,
    files: BTreeMap<PathBuf, SettingsFile>,
    none: Settings,
}

impl RunSettings {
    /// Reads what holds for these scores and, if `here`, for a text without a place of its own.
    pub fn read(scores: &[PathBuf], here: bool, vocabulary: &Vocabulary) -> RunSettings {
        let mut settings = RunSettings::default();
        let current = here.then(|| Path::new(".").canonicalize().ok()).flatten();
        for folder in scores.iter().filter_map(|s| folder_of(s)).chain(current) {
            if settings.folders.contains_key(&folder) {
                continue;
            }
            let path = settings_path(&folder);
            if let Some(path) = &path {
                settings
                    .files
                    .entry(path.clone())
                    .or_insert_with(|| SettingsFile::read(path.clone(), vocabulary));
            }
            settings.folders.insert(folder, path);
        }
        settings
    }

    /// The settings for a score; for a text from standard input, those of the current folder.
    pub fn of(&self, score: Option<&Path>) -> &Settings {
        let folder = match score {
            Some(score) => folder_of(score),
            None => Path::new(".").canonicalize().ok(),
        };
        folder
            .and_then(|folder| self.folders.get(&folder)?.as_ref())
            .and_then(|path| self.files.get(path))
            .map_or(&self.none, |file| &file.settings)
    }

    /// Names every setting that does not hold.
    pub fn complain(&self, out: &mut Out) {
        let here = Path::new(".").canonicalize().unwrap_or_default();
        for (path, file) in &self.files {
            let path = path.strip_prefix(&here).unwrap_or(path);
            for fault in &file.faults {
                let line = fault.line.map_or_else(String::new, |line| format!(":{}", u64::from(line) + 1));
                out.trouble(&format!("{}{line}: {fault}", path.display()));
            }
        }
    }
}
