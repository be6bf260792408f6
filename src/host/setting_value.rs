//! Settings as they were written, whatever the file format: a tree of values that know their line.

use toml::de::{DeTable, DeValue};

/// A value of a settings file or of an editor's configuration.
#[derive(Debug, Clone, PartialEq)]
pub enum SettingValue {
    Text(String),
    Number(f64),
    Table(Vec<Entry>),
    /// Anything else, with the word for it.
    Other(&'static str),
}

impl SettingValue {
    /// What it is, for a message.
    pub fn kind(&self) -> &'static str {
        match self {
            SettingValue::Text(_) => "a text",
            SettingValue::Number(_) => "a number",
            SettingValue::Table(_) => "a table",
            SettingValue::Other(word) => word,
        }
    }
}

/// A named value.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub key: String,
    /// Line of the file, from 0, where there is a file.
    pub line: Option<u32>,
    pub value: SettingValue,
}

/// Where a TOML text could not be read, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    /// Line, from 0.
    pub line: Option<u32>,
    pub text: String,
}

/// Reads a TOML text; what is written wrongly is reported and the rest still holds.
pub fn from_toml(text: &str) -> (Vec<Entry>, Vec<Unreadable>) {
    let (table, errors) = DeTable::parse_recoverable(text);
    let unreadable = errors
        .iter()
        .map(|e| Unreadable {
            line: e.span().map(|s| line_at(text, s.start)),
            text: format!("this is not TOML: {}", e.message().trim()),
        })
        .collect();
    (entries(text, table.get_ref()), unreadable)
}

fn entries(text: &str, table: &DeTable<'_>) -> Vec<Entry> {
    let mut all: Vec<(usize, Entry)> = table
        .iter()
        .map(|(key, value)| {
            let start = key.span().start;
            let line = Some(line_at(text, start));
            (start, Entry { key: key.get_ref().to_string(), line, value: value_of(text, value.get_ref()) })
        })
        .collect();
    // In the order of the file, so that a second fault is reported after the first.
    all.sort_by_key(|(start, _)| *start);
    all.into_iter().map(|(_, entry)| entry).collect()
}

fn value_of(text: &str, value: &DeValue<'_>) -> SettingValue {
    match value {
        DeValue::String(text) => SettingValue::Text(text.to_string()),
        DeValue::Integer(number) => match i64::from_str_radix(number.as_str(), number.radix()) {
            Ok(number) => SettingValue::Number(number as f64),
            Err(_) => SettingValue::Other("a number too large"),
        },
        DeValue::Float(number) => match number.as_str().parse() {
            Ok(number) => SettingValue::Number(number),
            Err(_) => SettingValue::Other("a number too large"),
        },
        DeValue::Table(table) => SettingValue::Table(entries(text, table)),
        DeValue::Boolean(true) => SettingValue::Other("`true`"),
        DeValue::Boolean(false) => SettingValue::Other("`false`"),
        DeValue::Datetime(_) => SettingValue::Other("a date"),
        DeValue::Array(_) => SettingValue::Other("a list"),
    }
}

fn line_at(text: &str, byte: usize) -> u32 {
    let before = text.as_bytes().get(..byte).unwrap_or(text.as_bytes());
    u32::try_from(before.iter().filter(|b| **b == b'\n').count()).unwrap_or(u32::MAX)
}
