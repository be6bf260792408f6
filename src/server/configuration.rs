//! Settings: what the editor gives, and the settings file of a score's folder, which wins.

use crate::assist::{HintKind, Wanted};
use crate::host::root::folder_of;
use crate::host::setting_check::{SettingFault, Vocabulary, check};
use crate::host::setting_value::{Entry, SettingValue};
use crate::host::settings_file::{SettingsFile, settings_path};
use crate::notation::nearest::nearest;
use crate::rules::Settings;
use serde_json::{Map, Value};
use std::path::Path;
use tower_lsp::lsp_types::Url;

/// The name of our section in an editor's configuration.
pub const SECTION: &str = "waterkey";

/// An editor's settings as read: what holds, and what does not.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct EditorSettings {
    pub settings: Settings,
    /// Another place for the pages of the rules.
    pub pages: Option<String>,
    /// Which hints are shown beside the text.
    pub hints: Wanted,
    pub faults: Vec<String>,
}

/// Reads an editor's settings: our section, or an object that holds it.
pub fn editor_settings(value: &Value, vocabulary: &Vocabulary) -> EditorSettings {
    let mut read = EditorSettings::default();
    let object = match value.get(SECTION).unwrap_or(value) {
        Value::Null => return read,
        Value::Object(object) => object,
        other => {
            let kind = value_of(other).kind();
            read.faults.push(format!("`{SECTION}`: a table of settings is expected, not {kind}"));
            return read;
        }
    };
    let mut own = object.clone();
    // Where an editor finds the program stands in the same section, and is no matter of ours.
    own.remove("path");
    match own.remove("pages") {
        None | Some(Value::Null) => {}
        Some(Value::String(base)) if Url::parse(&base).is_ok() => read.pages = Some(base),
        Some(_) => read.faults.push(
            "`pages`: the address that the rules' pages begin with is expected, such as \
             https://harbour.example/rules/"
                .into(),
        ),
    }
    match own.remove("hints") {
        None | Some(Value::Null) => {}
        Some(Value::Object(switches)) => read.hints(&switches),
        Some(other) => {
            let kind = value_of(&other).kind();
            read.faults.push(format!("`hints`: a table of switches is expected, not {kind}"));
        }
    }
    let (settings, faults) = check(&entries(&own), vocabulary);
    read.settings = settings;
    read.faults.extend(faults.iter().map(SettingFault::to_string));
    read
}

impl EditorSettings {
    /// One switch for each kind of hint.
    fn hints(&mut self, switches: &Map<String, Value>) {
        for (word, value) in switches {
            match (HintKind::from_word(word), value) {
                (Some(_), Value::Null) => {}
                (Some(kind), Value::Bool(shown)) => self.hints.set(kind, *shown),
                (Some(_), other) => {
                    let kind = value_of(other).kind();
                    self.faults.push(format!("`hints.{word}`: write `true` or `false`, not {kind}"));
                }
                (None, _) => {
                    let near = nearest(word, HintKind::ALL.map(HintKind::word));
                    let offer = near.map_or_else(
                        || format!("; there are {}", HintKind::ALL.map(HintKind::word).join(", ")),
                        |near| format!("; did you mean `{near}`?"),
                    );
                    self.faults.push(format!("`hints.{word}`: there is no such hint{offer}"));
                }
            }
        }
    }
}

fn entries(object: &Map<String, Value>) -> Vec<Entry> {
    // Editors write null for what is not set.
    let set = object.iter().filter(|(_, value)| !value.is_null());
    set.map(|(key, value)| Entry { key: key.clone(), line: None, value: value_of(value) }).collect()
}

fn value_of(value: &Value) -> SettingValue {
    match value {
        Value::String(text) => SettingValue::Text(text.clone()),
        Value::Number(number) => {
            number.as_f64().map_or(SettingValue::Other("a number"), SettingValue::Number)
        }
        Value::Object(object) => SettingValue::Table(entries(object)),
        Value::Bool(true) => SettingValue::Other("`true`"),
        Value::Bool(false) => SettingValue::Other("`false`"),
        Value::Array(_) => SettingValue::Other("a list"),
        Value::Null => SettingValue::Other("nothing"),
    }
}

/// What holds for a score: its folder's settings file over the editor's settings, and what is wrong with
/// the file.
pub fn settings_for(
    score: Option<&Path>,
    editor: &Settings,
    vocabulary: &Vocabulary,
) -> (Settings, Vec<String>) {
    let Some(path) = score.and_then(folder_of).and_then(|folder| settings_path(&folder)) else {
        return (editor.clone(), Vec::new());
    };
    let file = SettingsFile::read(path.clone(), vocabulary);
    let name = path.display();
    let faults = file.faults.iter().map(|fault| match fault.line {
        Some(line) => format!("{name}, line {}: {fault}", u64::from(line) + 1),
        None => format!("{name}: {fault}"),
    });
    (over(file.settings, editor), faults.collect())
}

/// The first where it says something, else the second.
fn over(first: Settings, second: &Settings) -> Settings {
    let mut merged = second.clone();
    merged.level = first.level.or(merged.level);
    merged.tuning = first.tuning.or(merged.tuning);
    merged.severities.extend(first.severities);
    merged.limits.extend(first.limits);
    merged
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::brass::Level;
    use crate::rules::Severity;
    use serde_json::json;

    #[test]
    fn the_section_or_its_holder() {
        let vocabulary = Vocabulary::of_rules();
        let inner = json!({"level": "amateur", "rules": {"too-high": "off"}, "limits": null});
        let read = editor_settings(&inner, &vocabulary);
        assert_eq!(read.settings.level, Some(Level::Amateur));
        assert_eq!(read.settings.severities.get("too-high"), Some(&None));
        assert_eq!(read.faults, Vec::<String>::new());
        assert_eq!(editor_settings(&json!({"waterkey": inner}), &vocabulary), read);
        let place = json!({"path": "/usr/bin/waterkey", "level": "amateur"});
        assert_eq!(editor_settings(&place, &vocabulary).faults, Vec::<String>::new());
        assert_eq!(editor_settings(&Value::Null, &vocabulary), EditorSettings::default());
    }

    #[test]
    fn every_fault_is_named_and_the_rest_holds() {
        let value = json!({"level": "virtuoso", "tuning": true, "rules": {"too-hgih": "off", "too-low": "hint"}, "pages": 3});
        let read = editor_settings(&value, &Vocabulary::of_rules());
        assert_eq!(read.faults.len(), 4, "{:?}", read.faults);
        assert_eq!(read.settings.severities.get("too-low"), Some(&Some(Severity::Hint)));
        assert_eq!(editor_settings(&json!([1]), &Vocabulary::of_rules()).faults.len(), 1);
    }

    #[test]
    fn hints_are_switched_one_by_one() {
        let value = json!({"hints": {"pitch": true, "seconds": false, "sharing": null, "fingring": true, "fingering": 1}});
        let read = editor_settings(&value, &Vocabulary::of_rules());
        assert_eq!(read.hints, Wanted { pitch: true, ..Wanted::NONE });
        assert_eq!(read.faults.len(), 2, "{:?}", read.faults);
        assert!(read.faults.iter().any(|f| f.contains("`fingering`?")), "{:?}", read.faults);
        assert_eq!(editor_settings(&json!({"hints": true}), &Vocabulary::of_rules()).faults.len(), 1);
        assert_eq!(editor_settings(&json!({}), &Vocabulary::of_rules()).hints, Wanted::default());
    }

    #[test]
    fn the_folder_wins() {
        let dir = tempfile::tempdir().unwrap();
        std::fs::write(dir.path().join("waterkey.toml"), "level = \"school\"\nodd = 1\n").unwrap();
        let editor = Settings { level: Some(Level::Amateur), tuning: Some(44200), ..Settings::default() };
        let score = dir.path().join("harbour.brass");
        let (settings, faults) = settings_for(Some(&score), &editor, &Vocabulary::of_rules());
        assert_eq!((settings.level, settings.tuning), (Some(Level::School), Some(44200)));
        assert_eq!(faults.len(), 1);
        assert_eq!(settings_for(None, &editor, &Vocabulary::of_rules()).0, editor);
    }
}
