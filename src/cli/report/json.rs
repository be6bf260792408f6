//! Findings as JSON, for programs. The shape is versioned and described with the command.

use super::FileReport;
use super::place::{columns, lines};
use crate::rules::Finding;
use serde::Serialize;

#[derive(Serialize)]
struct Report<'a> {
    version: u32,
    files: Vec<File<'a>>,
}

#[derive(Serialize)]
struct File<'a> {
    path: &'a str,
    findings: Vec<Entry<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Entry<'a> {
    rule: &'a str,
    severity: &'a str,
    grade: u8,
    line: u64,
    column: usize,
    end_line: u64,
    end_column: usize,
    player: Option<&'a str>,
    bar: Option<i64>,
    /// In a file of another form, whose lines are those of the text that was made of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    beat: Option<&'a str>,
    message: &'a str,
    measured: Option<&'a str>,
    limit: Option<&'a str>,
}

/// All reports as one JSON text. Files that could not be read are left out.
pub fn json(reports: &[FileReport]) -> Result<String, serde_json::Error> {
    let files = reports
        .iter()
        .filter(|r| r.trouble.is_none())
        .map(|report| {
            let text = if report.findings.is_empty() { Vec::new() } else { lines(&report.text) };
            let findings = report
                .findings
                .iter()
                .enumerate()
                .map(|(at, f)| {
                    let line = text.get(f.line as usize).copied().unwrap_or_default();
                    Entry { beat: report.beat(at), ..entry(f, line) }
                })
                .collect();
            File { path: &report.path, findings }
        })
        .collect();
    serde_json::to_string(&Report { version: 1, files })
}

fn entry<'a>(finding: &'a Finding, line: &str) -> Entry<'a> {
    let (column, end_column) = columns(line, finding.span);
    let number = u64::from(finding.line) + 1;
    Entry {
        rule: finding.rule,
        severity: finding.severity.word(),
        grade: finding.grade,
        line: number,
        column,
        end_line: number,
        end_column,
        player: finding.player.as_deref(),
        bar: finding.bar,
        beat: None,
        message: &finding.message,
        measured: finding.measured.as_deref(),
        limit: finding.limit.as_deref(),
    }
}
