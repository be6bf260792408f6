//! Scores with marker lines: what is found must be what the markers say, and nothing else.
//!
//! A marker line is a comment under a line of the score whose carets stand under the stretch that is
//! wrong: `//   ^^^ warning too-high: usual top`. `warning2` is a strong warning. The text after the
//! colon, if any, must occur in the message. Hints count only where a marker names them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use waterkey::rules::{Finding, Settings, Severity, check};
use waterkey::score::{LoadFault, Loaded, Loader, NoFiles};

#[derive(Debug, Clone, PartialEq)]
struct Marker {
    line: usize,
    from: usize,
    to: usize,
    severity: Severity,
    grade: u8,
    rule: String,
    text: String,
}

fn marker(line: &str, above: usize) -> Option<Marker> {
    let rest = line.trim_start().strip_prefix("//")?;
    let body = rest.trim_start();
    if !body.starts_with('^') {
        return None;
    }
    let carets = body.chars().take_while(|c| *c == '^').count();
    let from = line.chars().count() - body.chars().count();
    let said = body[carets..].trim();
    let (head, text) = said.split_once(':').map_or((said, ""), |(a, b)| (a, b.trim()));
    let mut words = head.split_whitespace();
    let severity = words.next()?;
    let rule = words.next()?.to_owned();
    let (word, grade) = severity.strip_suffix('2').map_or((severity, 1), |w| (w, 2));
    let severity = Severity::from_word(word).unwrap_or_else(|| panic!("no severity {word} in {line}"));
    Some(Marker { line: above, from, to: from + carets, severity, grade, rule, text: text.to_owned() })
}

fn markers(text: &str) -> Vec<Marker> {
    let mut above = 0;
    let mut all = Vec::new();
    for (i, line) in text.lines().enumerate() {
        match marker(line, above) {
            Some(m) => all.push(m),
            None => above = i,
        }
    }
    all
}

/// Column in characters of a byte of a line.
fn column(line: &str, byte: u32) -> usize {
    line.get(..byte as usize).map_or_else(|| line.chars().count(), |s| s.chars().count())
}

struct Beside(PathBuf);

impl Loader for Beside {
    fn load(&self, from: Option<&str>, relative: &str) -> Result<Loaded, LoadFault> {
        if relative.starts_with('/') || relative.contains("..") {
            return Err(LoadFault::Outside);
        }
        let base = from.map_or_else(|| self.0.clone(), PathBuf::from);
        let path = base.parent().unwrap().join(relative);
        if path == self.0 {
            return Ok(Loaded { name: String::new(), text: String::new() });
        }
        let text = std::fs::read_to_string(&path).map_err(|_| LoadFault::Missing)?;
        Ok(Loaded { name: path.to_string_lossy().into_owned(), text })
    }
}

/// What is wrong with a fixture, in words; empty if nothing.
fn judge(name: &str, text: &str, loader: &dyn Loader) -> String {
    let wanted = markers(text);
    let lines: Vec<&str> = text.lines().collect();
    let found = check(text, &Settings::default(), loader);
    let mut out = String::new();
    let matches = |m: &Marker, f: &Finding| {
        let line = lines.get(f.line as usize).copied().unwrap_or("");
        m.line == f.line as usize
            && m.from == column(line, f.span.start)
            && m.to == column(line, f.span.end)
            && m.rule == f.rule
            && m.severity == f.severity
            && (m.severity != Severity::Warning || m.grade == f.grade)
            && f.message.contains(&m.text)
    };
    for m in &wanted {
        if !found.iter().any(|f| matches(m, f)) {
            writeln!(out, "{name}:{}: wanted {m:?}", m.line + 1).unwrap();
        }
    }
    for f in &found {
        if f.severity != Severity::Hint && !wanted.iter().any(|m| matches(m, f)) {
            let line = lines.get(f.line as usize).copied().unwrap_or("");
            writeln!(
                out,
                "{name}:{}: not wanted: columns {}..{} {}{} {}: {}\n    {line}",
                f.line + 1,
                column(line, f.span.start),
                column(line, f.span.end),
                f.severity.word(),
                if f.grade == 2 { "2" } else { "" },
                f.rule,
                f.message
            )
            .unwrap();
        }
    }
    out
}

fn files(folder: &Path, all: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files(&path, all);
        } else if path.extension().is_some_and(|e| e == "brass") {
            all.push(path);
        }
    }
}

#[test]
fn every_fixture_is_found_to_be_as_its_markers_say() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    let mut all = Vec::new();
    files(&root, &mut all);
    assert!(!all.is_empty());
    let mut out = String::new();
    for path in &all {
        // Parts brought in by an `include` are read with the score that includes them.
        if path.file_name().unwrap().to_string_lossy().starts_with("included-") {
            continue;
        }
        let text = std::fs::read_to_string(path).unwrap();
        let name = path.strip_prefix(&root).unwrap().to_string_lossy().into_owned();
        out += &judge(&name, &text, &Beside(path.clone()));
    }
    assert!(out.is_empty(), "\n{out}");
}

/// The fenced `brass` examples of a text.
fn examples(markdown: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut open: Option<String> = None;
    for line in markdown.lines() {
        match &mut open {
            None if line.trim_end() == "```brass" => open = Some(String::new()),
            None => {}
            Some(_) if line.starts_with("```") => all.extend(open.take()),
            Some(text) => {
                text.push_str(line);
                text.push('\n');
            }
        }
    }
    all
}

#[test]
fn the_first_example_of_each_page_triggers_its_rule_and_the_second_is_silent() {
    let mut out = String::new();
    for page in waterkey::rules::page::pages() {
        let examples = examples(&page.text);
        // A line of 64 KiB has no place on a page.
        if page.name == "too-long" {
            continue;
        }
        assert!(examples.len() >= 2, "{} has {} examples", page.name, examples.len());
        let found = check(&examples[0], &Settings::default(), &NoFiles);
        if !found.iter().any(|f| f.rule == page.name) {
            writeln!(out, "{}: the first example gives {found:#?}", page.name).unwrap();
        }
        if !markers(&examples[0]).is_empty() {
            out += &judge(page.name, &examples[0], &NoFiles);
        }
        for example in &examples[1..] {
            let found = check(example, &Settings::default(), &NoFiles);
            // Most examples are too short to need a tempo; its hint is a page of its own.
            let other = page.name == "no-tempo";
            if found.iter().any(|f| other || f.rule != "no-tempo") {
                writeln!(out, "{}: the other example gives {found:#?}", page.name).unwrap();
            }
        }
    }
    assert!(out.is_empty(), "\n{out}");
}

#[test]
fn every_example_of_the_language_reference_is_read_without_a_fault() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/notation.md");
    let text = std::fs::read_to_string(path).unwrap();
    let mut out = String::new();
    let all = examples(&text);
    assert!(all.len() > 5);
    for (i, example) in all.iter().enumerate() {
        out += &judge(&format!("example {}", i + 1), example, &NoFiles);
    }
    assert!(out.is_empty(), "\n{out}");
}
