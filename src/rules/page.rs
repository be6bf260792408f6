//! The page of a rule: the comment at the head of its file, as Markdown.

use super::registry::{RULES, rule};
use super::rule::Limit;
use crate::notation::FaultName;

/// A page.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    pub name: &'static str,
    /// Markdown, the title first.
    pub text: String,
    /// The first paragraph in one line.
    pub summary: String,
    /// Severity of its ordinary findings, in a word.
    pub severity: &'static str,
    /// True for what is wrong with the text itself and cannot be allowed or configured.
    pub reading: bool,
    pub limits: &'static [Limit],
}

/// The page of a rule or reading fault.
pub fn page(name: &str) -> Option<Page> {
    if let Some(rule) = rule(name) {
        return Some(make(rule.name, leading_comment(rule.source), rule.severity.word(), false, rule.limits));
    }
    let fault = FaultName::ALL.into_iter().find(|f| f.word() == name)?;
    let text = super::reading::page(fault);
    Some(make(fault.word(), text.trim_end().to_owned(), super::reading::severity(fault), true, &[]))
}

/// All pages, rules first.
pub fn pages() -> Vec<Page> {
    let rules = RULES.into_iter().map(|r| r.name);
    let faults = FaultName::ALL.into_iter().map(FaultName::word);
    rules.chain(faults).filter_map(page).collect()
}

fn make(
    name: &'static str,
    text: String,
    severity: &'static str,
    reading: bool,
    limits: &'static [Limit],
) -> Page {
    let summary = text
        .lines()
        .skip_while(|l| l.starts_with('#') || l.trim().is_empty())
        .take_while(|l| !l.trim().is_empty())
        .collect::<Vec<_>>()
        .join(" ");
    Page { name, text, summary, severity, reading, limits }
}

/// The `//!` lines a source file begins with, without their marks.
fn leading_comment(source: &str) -> String {
    let lines: Vec<&str> = source
        .lines()
        .map_while(|l| l.strip_prefix("//!"))
        .map(|l| l.strip_prefix(' ').unwrap_or(l))
        .collect();
    lines.join("\n").trim_end().to_owned()
}
