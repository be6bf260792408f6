//! Findings as the protocol's diagnostics: the gravest, and of these the nearest to where the user is.

use super::open_text::Snapshot;
use super::pages::Pages;
use super::session::Session;
use crate::rules::{Finding, Severity};
use serde_json::json;
use std::cmp::Reverse;
use std::hash::{DefaultHasher, Hash, Hasher};
use tower_lsp::lsp_types::{
    CodeDescription, Diagnostic, DiagnosticRelatedInformation, DiagnosticSeverity, DiagnosticTag, Location,
    NumberOrString, Range,
};

/// More than these are not shown at once: nobody reads them, and every one costs time.
pub const MOST: usize = 200;

/// How the findings of a text are shown.
#[derive(Debug, Clone)]
pub struct Style {
    pub related: bool,
    pub links: bool,
    pub unnecessary: bool,
    pub pages: Pages,
}

impl Style {
    pub fn of(session: &Session, pages: Pages) -> Style {
        Style { related: session.related, links: session.links, unnecessary: session.unnecessary, pages }
    }
}

/// The diagnostics of a text, in its order; the last tells of how many more there are.
pub fn diagnostics(snapshot: &Snapshot, style: &Style) -> Vec<Diagnostic> {
    let (chosen, left_out) = choose(snapshot.desk.findings(), snapshot.edited);
    let mut shown: Vec<Diagnostic> = chosen.iter().map(|f| diagnostic(f, snapshot, style)).collect();
    if left_out > 0 {
        shown.push(Diagnostic {
            range: Range::default(),
            severity: Some(DiagnosticSeverity::INFORMATION),
            source: Some("waterkey".into()),
            message: format!(
                "{left_out} more findings are not shown. These {MOST} are the gravest, and the nearest to the last \
                 change; `waterkey check` lists all."
            ),
            ..Diagnostic::default()
        });
    }
    shown
}

/// The most important, in the order of the text, and the number of the others.
fn choose(mut findings: Vec<Finding>, edited: u32) -> (Vec<Finding>, usize) {
    let left_out = findings.len().saturating_sub(MOST);
    if left_out > 0 {
        findings.sort_by_key(|f| (Reverse(f.severity), Reverse(f.grade), f.line.abs_diff(edited)));
        findings.truncate(MOST);
        findings.sort_by_key(|f| (f.line, f.span));
    }
    (findings, left_out)
}

fn diagnostic(finding: &Finding, snapshot: &Snapshot, style: &Style) -> Diagnostic {
    let document = snapshot.desk.document();
    let range = |line, span| snapshot.encoding.range(document, line, span);
    let related = || {
        let all = finding.related.iter().map(|related| DiagnosticRelatedInformation {
            location: Location { uri: snapshot.uri.clone(), range: range(related.line, related.span) },
            message: related.text.clone(),
        });
        all.collect()
    };
    let needless = style.unnecessary && finding.rule == "idle-allowance";
    Diagnostic {
        range: range(finding.line, finding.span),
        severity: Some(severity(finding.severity)),
        code: Some(NumberOrString::String(finding.rule.into())),
        code_description: style
            .links
            .then(|| style.pages.of(finding.rule))
            .flatten()
            .map(|href| CodeDescription { href }),
        source: Some("waterkey".into()),
        message: finding.message.clone(),
        related_information: (style.related && !finding.related.is_empty()).then(related),
        tags: needless.then(|| vec![DiagnosticTag::UNNECESSARY]),
        data: Some(json!({
            "rule": finding.rule,
            "line": finding.line,
            "bytes": [finding.span.start, finding.span.end],
            "generation": snapshot.generation,
        })),
    }
}

fn severity(severity: Severity) -> DiagnosticSeverity {
    match severity {
        Severity::Error => DiagnosticSeverity::ERROR,
        Severity::Warning => DiagnosticSeverity::WARNING,
        Severity::Information => DiagnosticSeverity::INFORMATION,
        Severity::Hint => DiagnosticSeverity::HINT,
    }
}

/// True if the user would see no difference; only the generation may differ.
pub fn same(a: &[Diagnostic], b: &[Diagnostic]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| seen(a) == seen(b))
}

fn seen(d: &Diagnostic) -> impl PartialEq + '_ {
    (d.range, d.severity, &d.code, &d.code_description, &d.message, &d.related_information, &d.tags)
}

/// A name for this state of the diagnostics: the same for the same ones.
pub fn result_id(all: &[Diagnostic]) -> String {
    let mut state = DefaultHasher::new();
    for d in all {
        let range = (d.range.start.line, d.range.start.character, d.range.end.line, d.range.end.character);
        (range, &d.message, &d.related_information.as_ref().map(Vec::len)).hash(&mut state);
        format!("{:?}{:?}{:?}{:?}", d.severity, d.code, d.code_description, d.related_information)
            .hash(&mut state);
    }
    format!("{:016x}", state.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::Span;

    fn finding(severity: Severity, line: u32) -> Finding {
        Finding {
            rule: "too-high",
            severity,
            grade: 1,
            line,
            span: Span::new(0, 1),
            message: String::new(),
            measured: None,
            limit: None,
            player: None,
            bar: None,
            related: Vec::new(),
            cures: Vec::new(),
        }
    }

    #[test]
    fn the_gravest_then_the_nearest() {
        let mut all: Vec<Finding> = (0..1000).map(|line| finding(Severity::Warning, line)).collect();
        all.push(finding(Severity::Error, 5000));
        let (chosen, left_out) = choose(all, 500);
        assert_eq!((chosen.len(), left_out), (MOST, 801));
        assert_eq!(chosen.last().unwrap().line, 5000);
        assert!(chosen.iter().all(|f| f.line == 5000 || (400..=600).contains(&f.line)));
        assert!(chosen.is_sorted_by_key(|f| f.line));
        assert_eq!(choose(vec![finding(Severity::Hint, 3)], 0).1, 0);
    }
}
