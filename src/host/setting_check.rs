//! Judging settings one by one: a wrong one is named, the others hold.

use super::setting_value::{Entry, SettingValue};
use crate::brass::Level;
use crate::brass::names::edits;
use crate::rules::{Settings, Severity};
use std::fmt;

/// What can be set: names of rules, names of reading faults, and limits as (rule, key).
#[derive(Debug, Clone, Default)]
pub struct Vocabulary {
    pub rules: Vec<&'static str>,
    pub faults: Vec<&'static str>,
    pub limits: Vec<(&'static str, &'static str)>,
}

/// A setting that does not hold, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SettingFault {
    /// Line of the file, from 0, where there is a file.
    pub line: Option<u32>,
    /// The setting, such as `rules.too-high`; empty where the file itself could not be read.
    pub setting: String,
    pub text: String,
}

impl fmt::Display for SettingFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.setting.is_empty() {
            write!(f, "{}", self.text)
        } else {
            write!(f, "`{}`: {}", self.setting, self.text)
        }
    }
}

/// Lowest and highest tuning that is taken for one, in hertz (estimate: a fifth round the usual).
const TUNING: std::ops::RangeInclusive<f64> = 360.0..=540.0;

/// Everything in the entries that can hold, and what cannot.
pub fn check(entries: &[Entry], vocabulary: &Vocabulary) -> (Settings, Vec<SettingFault>) {
    let mut judge = Judge { vocabulary, settings: Settings::default(), faults: Vec::new() };
    for entry in entries {
        match entry.key.as_str() {
            "level" => judge.level(entry),
            "tuning" => judge.tuning(entry),
            "rules" => judge.each_of(entry, "rules", Judge::rule),
            "limits" => judge.each_of(entry, "limits", Judge::limits),
            key => {
                let offer = offer(key, ["level", "tuning", "rules", "limits"]);
                judge.fault(entry, key, format!("there is no such setting{offer}"));
            }
        }
    }
    (judge.settings, judge.faults)
}

struct Judge<'a> {
    vocabulary: &'a Vocabulary,
    settings: Settings,
    faults: Vec<SettingFault>,
}

impl Judge<'_> {
    fn fault(&mut self, entry: &Entry, setting: &str, text: String) {
        self.faults.push(SettingFault { line: entry.line, setting: setting.to_owned(), text });
    }

    fn level(&mut self, entry: &Entry) {
        match &entry.value {
            SettingValue::Text(word) if Level::from_word(word).is_some() => {
                self.settings.level = Level::from_word(word);
            }
            other => {
                let text = format!("write \"school\", \"amateur\" or \"professional\", not {}", shown(other));
                self.fault(entry, "level", text);
            }
        }
    }

    fn tuning(&mut self, entry: &Entry) {
        match &entry.value {
            SettingValue::Number(hertz) if TUNING.contains(hertz) => {
                self.settings.tuning = Some((hertz * 100.0).round() as u32);
            }
            other => {
                let text = format!(
                    "write A4 in hertz, a number from {} to {} such as 442, not {}",
                    TUNING.start(),
                    TUNING.end(),
                    shown(other)
                );
                self.fault(entry, "tuning", text);
            }
        }
    }

    fn each_of(&mut self, entry: &Entry, setting: &str, one: fn(&mut Self, &Entry)) {
        match &entry.value {
            SettingValue::Table(entries) => entries.iter().for_each(|entry| one(self, entry)),
            other => {
                let text = format!("this is a table, written as [{setting}], not {}", shown(other));
                self.fault(entry, setting, text);
            }
        }
    }

    /// True if the rule can be set; a fault otherwise.
    fn knows(&mut self, entry: &Entry, setting: &str) -> bool {
        let rule = entry.key.as_str();
        if self.vocabulary.rules.contains(&rule) {
            return true;
        }
        let text = if self.vocabulary.faults.contains(&rule) {
            "this is a reading fault: it is always an error and cannot be set".to_owned()
        } else {
            format!("there is no such rule{}", offer(rule, self.vocabulary.rules.iter().copied()))
        };
        self.fault(entry, setting, text);
        false
    }

    fn rule(&mut self, entry: &Entry) {
        let setting = format!("rules.{}", entry.key);
        if !self.knows(entry, &setting) {
            return;
        }
        let severity = match &entry.value {
            SettingValue::Text(word) if word == "off" => Some(None),
            SettingValue::Text(word) => Severity::from_word(word).map(Some),
            _ => None,
        };
        match severity {
            Some(severity) => {
                self.settings.severities.insert(entry.key.clone(), severity);
            }
            None => {
                let text = format!(
                    "write \"off\", \"hint\", \"information\", \"warning\" or \"error\", not {}",
                    shown(&entry.value)
                );
                self.fault(entry, &setting, text);
            }
        }
    }

    fn limits(&mut self, entry: &Entry) {
        let rule = entry.key.clone();
        let setting = format!("limits.{rule}");
        if !self.knows(entry, &setting) {
            return;
        }
        let SettingValue::Table(entries) = &entry.value else {
            let text = format!("this is a table, written as [{setting}], not {}", shown(&entry.value));
            return self.fault(entry, &setting, text);
        };
        for entry in entries {
            self.limit(&rule, entry);
        }
    }

    fn limit(&mut self, rule: &str, entry: &Entry) {
        let setting = format!("limits.{rule}.{}", entry.key);
        let keys: Vec<&str> =
            self.vocabulary.limits.iter().filter(|(r, _)| *r == rule).map(|(_, k)| *k).collect();
        if !keys.contains(&entry.key.as_str()) {
            let text = if keys.is_empty() {
                "this rule has no limits to set".to_owned()
            } else {
                format!("this rule has no such limit{}", offer(&entry.key, keys))
            };
            return self.fault(entry, &setting, text);
        }
        match entry.value {
            SettingValue::Number(number) if number.is_finite() && number >= 0.0 => {
                self.settings.limits.insert((rule.to_owned(), entry.key.clone()), number);
            }
            ref other => {
                let text = format!("write a number that is not negative, not {}", shown(other));
                self.fault(entry, &setting, text);
            }
        }
    }
}

fn shown(value: &SettingValue) -> String {
    match value {
        SettingValue::Text(text) => {
            format!("\"{}\"", text.escape_debug().to_string().chars().take(40).collect::<String>())
        }
        SettingValue::Number(number) => format!("{number}"),
        other => other.kind().to_owned(),
    }
}

/// `; did you mean …?` for the nearest word, or nothing where none is near.
fn offer<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> String {
    nearest(word, known).map_or_else(String::new, |near| format!("; did you mean `{near}`?"))
}

/// The known word with the fewest letters changed, if no more than a third of them are.
fn nearest<'a>(word: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word: String = word.chars().take(64).collect();
    known
        .into_iter()
        .map(|known| (edits(&word, known), known))
        .filter(|(changes, known)| *changes * 3 <= known.chars().count().max(word.chars().count()).max(3))
        .min_by_key(|(changes, _)| *changes)
        .map(|(_, known)| known)
}

#[cfg(test)]
mod tests {
    use super::super::setting_value::from_toml;
    use super::*;

    fn vocabulary() -> Vocabulary {
        Vocabulary {
            rules: vec!["too-high", "too-low", "no-breath"],
            faults: vec!["bar-length"],
            limits: vec![("no-breath", "seconds"), ("no-breath", "notes")],
        }
    }

    fn read(text: &str) -> (Settings, Vec<String>) {
        let (entries, unreadable) = from_toml(text);
        let (settings, faults) = check(&entries, &vocabulary());
        let lines = unreadable.iter().map(|u| format!("{:?} {}", u.line, u.text));
        (settings, lines.chain(faults.iter().map(|f| format!("{:?} {f}", f.line))).collect())
    }

    #[test]
    fn everything_right() {
        let (settings, faults) = read(
            "level = \"amateur\"\ntuning = 442.5\n[rules]\ntoo-high = \"off\"\nno-breath = \"error\"\n\
             [limits.no-breath]\nseconds = 9\n",
        );
        assert_eq!(faults, Vec::<String>::new());
        assert_eq!(settings.level, Some(Level::Amateur));
        assert_eq!(settings.tuning, Some(44250));
        assert_eq!(settings.severities.get("too-high"), Some(&None));
        assert_eq!(settings.severities.get("no-breath"), Some(&Some(Severity::Error)));
        assert_eq!(settings.limits.get(&("no-breath".into(), "seconds".into())), Some(&9.0));
    }

    #[test]
    fn every_wrong_setting_is_named_and_the_others_hold() {
        let (settings, faults) = read(
            "level = \"virtuoso\"\ntuning = 4400\ncolour = 1\n[rules]\ntoo-hihg = \"off\"\nbar-length = \"off\"\n\
             too-low = \"loud\"\nno-breath = \"hint\"\n[limits.no-breath]\nsecond = 3\nnotes = -1\n\
             [limits.too-low]\nx = 1\n",
        );
        insta::assert_snapshot!(faults.join("\n"), @r#"
        Some(0) `level`: write "school", "amateur" or "professional", not "virtuoso"
        Some(1) `tuning`: write A4 in hertz, a number from 360 to 540 such as 442, not 4400
        Some(2) `colour`: there is no such setting
        Some(4) `rules.too-hihg`: there is no such rule; did you mean `too-high`?
        Some(5) `rules.bar-length`: this is a reading fault: it is always an error and cannot be set
        Some(6) `rules.too-low`: write "off", "hint", "information", "warning" or "error", not "loud"
        Some(9) `limits.no-breath.second`: this rule has no such limit; did you mean `seconds`?
        Some(10) `limits.no-breath.notes`: write a number that is not negative, not -1
        Some(12) `limits.too-low.x`: this rule has no limits to set
        "#);
        assert_eq!(settings.severities.len(), 1);
    }

    #[test]
    fn a_line_that_is_no_toml_spoils_only_itself() {
        let (settings, faults) = read("level = amateur\ntuning = 441\n[rules\nno-breath = \"off\"\n");
        assert_eq!(settings.tuning, Some(44100));
        assert!(faults.len() >= 2, "{faults:?}");
    }
}
