//! The settings file of a folder of scores.

use super::read::{ReadError, read_text};
use super::setting_check::{SettingFault, Vocabulary, check};
use super::setting_value::from_toml;
use crate::rules::Settings;
use std::path::{Path, PathBuf};

/// Its name.
pub const SETTINGS_FILE: &str = "waterkey.toml";

/// The largest that is read, in bytes.
const LARGEST: u64 = 1 << 20;

/// The settings file for scores in a folder: that of the nearest folder upwards that has one.
pub fn settings_path(folder: &Path) -> Option<PathBuf> {
    folder.ancestors().map(|f| f.join(SETTINGS_FILE)).find(|p| p.is_file())
}

/// A settings file as read: what holds, and what does not.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SettingsFile {
    /// Where it lies; `None` for a text without a place.
    pub path: Option<PathBuf>,
    pub settings: Settings,
    pub faults: Vec<SettingFault>,
}

impl SettingsFile {
    /// Reads one.
    pub fn read(path: PathBuf, vocabulary: &Vocabulary) -> SettingsFile {
        match read_text(&path, LARGEST) {
            Ok(text) => SettingsFile::from_text(Some(path), &text, vocabulary),
            Err(why) => {
                SettingsFile { path: Some(path), settings: Settings::default(), faults: vec![unread(&why)] }
            }
        }
    }

    /// Reads its text.
    pub fn from_text(path: Option<PathBuf>, text: &str, vocabulary: &Vocabulary) -> SettingsFile {
        let (entries, unreadable) = from_toml(text);
        let (settings, wrong) = check(&entries, vocabulary);
        let mut faults: Vec<SettingFault> = unreadable
            .into_iter()
            .map(|u| SettingFault { line: u.line, setting: String::new(), text: u.text })
            .chain(wrong)
            .collect();
        faults.sort_by_key(|fault| fault.line);
        SettingsFile { path, settings, faults }
    }
}

fn unread(why: &ReadError) -> SettingFault {
    SettingFault { line: None, setting: String::new(), text: why.to_string() }
}
