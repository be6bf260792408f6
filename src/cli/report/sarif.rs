//! Findings as SARIF 2.1.0 (OASIS Static Analysis Results Interchange Format), an open standard that
//! code hosts and build servers read. Section numbers below are those of the standard.

use super::FileReport;
use super::place::{columns, lines};
use crate::notation::Span;
use crate::rules::page::Page;
use crate::rules::{Cure, Finding, Severity};
use serde_json::{Value, json};

/// All reports as one run. `rules` are the rules that could report anything.
pub fn sarif(reports: &[FileReport], rules: &[Page]) -> Result<String, serde_json::Error> {
    let results: Vec<Value> = reports
        .iter()
        .flat_map(|report| {
            let text = if report.findings.is_empty() { Vec::new() } else { lines(&report.text) };
            report
                .findings
                .iter()
                .enumerate()
                .map(|(at, f)| result(report, &text, at, f, rules))
                .collect::<Vec<_>>()
        })
        .collect();
    let troubles: Vec<Value> = reports.iter().filter_map(notification).collect();
    serde_json::to_string(&json!({
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": [{
            "tool": {"driver": {
                "name": "waterkey",
                "version": env!("CARGO_PKG_VERSION"),
                "rules": rules.iter().map(descriptor).collect::<Vec<_>>(),
            }},
            // §3.14.17: columns are counted in Unicode code points.
            "columnKind": "unicodeCodePoints",
            "invocations": [{
                "executionSuccessful": troubles.is_empty(),
                "toolExecutionNotifications": troubles,
            }],
            "results": results,
        }],
    }))
}

/// §3.49 reportingDescriptor.
fn descriptor(rule: &Page) -> Value {
    let severity = Severity::from_word(rule.severity).unwrap_or(Severity::Warning);
    json!({
        "id": rule.name,
        "shortDescription": {"text": rule.summary},
        "help": {"text": rule.text, "markdown": rule.text},
        "defaultConfiguration": {"level": level(severity)},
    })
}

/// §3.27.10: SARIF has no level below `note`.
fn level(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Information | Severity::Hint => "note",
    }
}

/// §3.27 result.
fn result(report: &FileReport, text: &[&str], at: usize, finding: &Finding, rules: &[Page]) -> Value {
    let mut result = json!({
        "ruleId": finding.rule,
        "level": level(finding.severity),
        "message": {"text": finding.message},
        "locations": [location(report, text, finding)],
        "properties": {
            "severity": finding.severity.word(),
            "grade": finding.grade,
            "player": finding.player,
            "bar": finding.bar,
            "measured": finding.measured,
            "limit": finding.limit,
        },
    });
    if let Some(index) = rules.iter().position(|r| r.name == finding.rule) {
        put(&mut result, "ruleIndex", json!(index));
    }
    if let Some(beat) = report.beat(at)
        && let Some(properties) = result.get_mut("properties")
    {
        put(properties, "beat", json!(beat));
    }
    if !finding.related.is_empty() {
        let related: Vec<Value> = finding
            .related
            .iter()
            .map(|r| {
                json!({
                    "physicalLocation": physical(report, text, r.line, r.span),
                    "message": {"text": r.text},
                })
            })
            .collect();
        put(&mut result, "relatedLocations", Value::Array(related));
    }
    // The text of a file of another form is not there to be changed.
    let none = report.beats.is_some();
    let fixes: Vec<Value> =
        finding.cures.iter().filter_map(|cure| fix(report, text, finding, cure)).collect();
    if !fixes.is_empty() && !none {
        put(&mut result, "fixes", Value::Array(fixes));
    }
    result
}

/// §3.55 fix, for cures that are a change of text in the finding's own line.
fn fix(report: &FileReport, text: &[&str], finding: &Finding, cure: &Cure) -> Option<Value> {
    let Cure::Replace { title, edits } = cure else { return None };
    let replacements: Vec<Value> = edits
        .iter()
        .map(|(span, with)| {
            // §3.57: what is deleted, and what stands there instead.
            json!({
                "deletedRegion": region(text, finding.line, *span),
                "insertedContent": {"text": with},
            })
        })
        .collect();
    (!replacements.is_empty()).then(|| {
        json!({
            "description": {"text": title},
            "artifactChanges": [{
                "artifactLocation": {"uri": uri(&report.path)},
                "replacements": replacements,
            }],
        })
    })
}

fn put(object: &mut Value, key: &str, value: Value) {
    if let Some(object) = object.as_object_mut() {
        object.insert(key.to_owned(), value);
    }
}

/// §3.28 location, with the player as a logical location.
fn location(report: &FileReport, text: &[&str], finding: &Finding) -> Value {
    let mut location = json!({"physicalLocation": physical(report, text, finding.line, finding.span)});
    if let Some(player) = &finding.player {
        put(&mut location, "logicalLocations", json!([{"name": player, "kind": "player"}]));
    }
    location
}

/// §3.29 physicalLocation.
fn physical(report: &FileReport, text: &[&str], line: u32, span: Span) -> Value {
    if report.beats.is_some() {
        return json!({"artifactLocation": {"uri": uri(&report.path)}});
    }
    json!({"artifactLocation": {"uri": uri(&report.path)}, "region": region(text, line, span)})
}

/// §3.30 region: lines and columns count from 1, the end column is exclusive.
fn region(text: &[&str], line: u32, span: Span) -> Value {
    let (column, end_column) = columns(text.get(line as usize).copied().unwrap_or_default(), span);
    let line = u64::from(line) + 1;
    json!({"startLine": line, "startColumn": column, "endLine": line, "endColumn": end_column})
}

/// §3.58 notification for a score that could not be read.
fn notification(report: &FileReport) -> Option<Value> {
    let trouble = report.trouble.as_ref()?;
    Some(json!({
        "level": "error",
        "message": {"text": trouble},
        "locations": [{"physicalLocation": {"artifactLocation": {"uri": uri(&report.path)}}}],
    }))
}

/// A path as a URI reference (§3.4.3, RFC 3986): relative as it is, absolute with its scheme.
fn uri(path: &str) -> String {
    let path = if std::path::MAIN_SEPARATOR == '\\' { path.replace('\\', "/") } else { path.to_owned() };
    let mut uri = String::new();
    if path.starts_with('/') {
        uri.push_str("file://");
    } else if path.split('/').next().is_some_and(|first| first.contains(':')) {
        // A first segment with a colon would read as a scheme (RFC 3986, 4.2).
        uri.push_str("./");
    }
    for byte in path.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' | b':' => {
                uri.push(char::from(byte));
            }
            other => uri.push_str(&format!("%{other:02X}")),
        }
    }
    uri
}

#[cfg(test)]
mod tests {
    use super::uri;

    #[test]
    fn paths_become_uri_references() {
        assert_eq!(uri("scores/first light.brass"), "scores/first%20light.brass");
        assert_eq!(uri("/scores/é.brass"), "file:///scores/%C3%A9.brass");
        assert_eq!(uri("a:b.brass"), "./a:b.brass");
        assert_eq!(uri("100%.brass"), "100%25.brass");
    }
}
