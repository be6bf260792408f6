//! Findings for people: grouped by file, each with the piece of the score it speaks of.

use super::excerpt::excerpt;
use super::place::{column, lines};
use super::wrapped::wrapped;
use super::{Counts, FileReport};
use crate::cli::paint::{Paint, plain};
use crate::rules::{Finding, Severity};

/// What is shown, and how wide.
#[derive(Debug, Clone, Copy)]
pub struct Layout {
    pub paint: Paint,
    /// Columns of the terminal.
    pub width: usize,
    pub hints: bool,
}

/// Everything, then the counts; one report after the other, each ending with a line end.
pub fn people<'a>(reports: &'a [FileReport], layout: Layout) -> impl Iterator<Item = String> + 'a {
    let files = reports.iter().map(move |report| {
        let mut out = Page(String::new());
        file(&mut out, report, layout);
        out.0
    });
    files.chain(std::iter::once_with(move || closing(reports, layout) + "\n"))
}

struct Page(String);

impl Page {
    fn line(&mut self, text: &str) {
        self.0.push_str(text);
        self.0.push('\n');
    }
}

fn file(out: &mut Page, report: &FileReport, layout: Layout) {
    let shown: Vec<(usize, &Finding)> = report
        .findings
        .iter()
        .enumerate()
        .filter(|(_, f)| layout.hints || f.severity != Severity::Hint)
        .collect();
    if shown.is_empty() {
        return;
    }
    out.line(&layout.paint.strong(&plain(report.name())));
    out.line("");
    let text = lines(&report.text);
    let places: Vec<String> = shown
        .iter()
        .map(|(_, f)| match report.beats {
            None => format!("{}:{}", u64::from(f.line) + 1, column(line_of(&text, f.line), f.span.start)),
            Some(_) => String::new(),
        })
        .collect();
    let margin = places.iter().map(String::len).max().unwrap_or(0) + 2;
    for ((at, finding), place) in shown.into_iter().zip(&places) {
        one(out, finding, (place, report.beat(at)), margin, &text, layout);
    }
}

fn line_of<'a>(lines: &[&'a str], line: u32) -> &'a str {
    lines.get(line as usize).copied().unwrap_or_default()
}

/// Line and column, who and where in the music, how grave; the score with carets; what is wrong.
fn one(
    out: &mut Page,
    finding: &Finding,
    (place, beat): (&str, Option<&str>),
    margin: usize,
    text: &[&str],
    layout: Layout,
) {
    let Layout { paint, width, .. } = layout;
    let beat = beat.map(|beat| format!(", {beat}")).unwrap_or_default();
    let who = match (&finding.player, finding.bar) {
        (Some(player), Some(bar)) => format!("{}, bar {bar}{beat} · ", plain(player)),
        (Some(player), None) => format!("{} · ", plain(player)),
        (None, Some(bar)) => format!("bar {bar}{beat} · "),
        (None, None) => String::new(),
    };
    out.line(&format!(
        "{place:<margin$}{who}{} · {}",
        paint.severity(finding.severity, degree(finding)),
        paint.quiet(finding.rule)
    ));
    let side = " ".repeat(margin);
    let room = width.saturating_sub(margin).max(20);
    let piece = excerpt(line_of(text, finding.line), finding.span, room);
    let carets = "^".repeat(piece.carets.min(room.saturating_sub(piece.indent).max(1)));
    out.line(format!("{side}{}", piece.text).trim_end());
    out.line(&format!("{side}{}{}", " ".repeat(piece.indent), paint.severity(finding.severity, &carets)));
    for line in wrapped(&plain(&finding.message), room) {
        out.line(&format!("{side}{line}"));
    }
    for together in finding.related.chunk_by(|a, b| a.line == b.line) {
        let Some(first) = together.first() else { continue };
        let texts: Vec<String> = together.iter().map(|related| plain(&related.text).to_string()).collect();
        let note = format!("see line {}: {}", u64::from(first.line) + 1, texts.join(", "));
        for line in wrapped(&note, room) {
            out.line(&format!("{side}{}", paint.quiet(&line)));
        }
    }
    out.line("");
}

fn degree(finding: &Finding) -> &'static str {
    match finding.severity {
        Severity::Warning if finding.grade > 1 => "strong warning",
        other => other.word(),
    }
}

/// The closing line: how many scores, how many findings of each kind.
fn closing(reports: &[FileReport], layout: Layout) -> String {
    let read = reports.iter().filter(|r| r.trouble.is_none()).count();
    let counts = Counts::of(reports.iter().flat_map(|r| &r.findings));
    let mut found = Vec::new();
    let mut add = |severity, count: usize, words: String| {
        if count > 0 {
            found.push(layout.paint.severity(severity, &words));
        }
    };
    add(Severity::Error, counts.errors, number(counts.errors, "error"));
    let strong = if counts.strong > 0 { format!(" ({} strong)", counts.strong) } else { String::new() };
    add(Severity::Warning, counts.warnings, number(counts.warnings, "warning") + &strong);
    add(Severity::Information, counts.information, format!("{} for information", counts.information));
    if layout.hints {
        add(Severity::Hint, counts.hints, number(counts.hints, "hint"));
    }
    let found = if found.is_empty() { "nothing to object to".to_owned() } else { found.join(", ") };
    let hidden = match counts.hints {
        n if n > 0 && !layout.hints => format!("; {} (--hints shows them)", number(n, "hint")),
        _ => String::new(),
    };
    format!("{}: {found}{hidden}", number(read, "score"))
}

fn number(count: usize, thing: &str) -> String {
    if count == 1 { format!("1 {thing}") } else { format!("{count} {thing}s") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::Span;
    use crate::rules::Related;

    fn finding(line: u32, start: u32, end: u32, rule: &'static str, severity: Severity) -> Finding {
        Finding {
            rule,
            severity,
            grade: 1,
            line,
            span: Span::new(start, end),
            message: String::new(),
            measured: None,
            limit: None,
            player: None,
            bar: None,
            related: Vec::new(),
            cures: Vec::new(),
        }
    }

    fn reports() -> Vec<FileReport> {
        let text = "brass 1\nplayer Tp1 = trumpet in Bb\nbar 9  meter 4/4\nTp1 | q : \"港\" C5 D5 Eb6 F6 |\n";
        let high = Finding {
            grade: 2,
            player: Some("Tp1".into()),
            bar: Some(9),
            message: "Eb6 and F6 lie above written D6, the usual top of a professional on trumpet in Bb, and a \
                      lead player would be asked for them. Take them an octave lower, or give the player a `top`."
                .into(),
            related: vec![Related { line: 3, span: Span::new(28, 30), text: "F6, the second of them".into() }],
            ..finding(3, 22, 28, "too-high", Severity::Warning)
        };
        let tempo = Finding {
            message: "There is no tempo, so nothing is said about breath and rest.".into(),
            ..finding(2, 0, 5, "row-short", Severity::Hint)
        };
        let silent = FileReport {
            path: "calm.brass".into(),
            text: "brass 1\n".into(),
            findings: Vec::new(),
            trouble: None,
            beats: None,
        };
        let harbour = FileReport {
            path: "harbour.brass".into(),
            text: text.into(),
            findings: vec![tempo, high],
            trouble: None,
            beats: None,
        };
        vec![silent, harbour]
    }

    fn told(width: usize, hints: bool, colour: bool) -> String {
        people(&reports(), Layout { paint: Paint(colour), width, hints }).collect()
    }

    #[test]
    fn findings_for_people() {
        insta::assert_snapshot!(told(80, false, false));
    }

    #[test]
    fn with_hints_and_little_room() {
        insta::assert_snapshot!(told(40, true, false));
    }

    #[test]
    fn colours_change_nothing_but_colours() {
        let mut plain = told(80, true, true);
        while let Some(start) = plain.find('\u{1b}') {
            let end = plain[start..].find('m').unwrap();
            plain.replace_range(start..=start + end, "");
        }
        assert_eq!(plain, told(80, true, false));
    }
}
