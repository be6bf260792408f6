//! Edits of a row that leave its barlines where they are, if there is room in the bar.

use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::tree::{Bar, Row};

/// The edits, and blanks at the end of each bar that grew or shrank.
pub fn fit(line: &Line, row: &Row, mut edits: Vec<(Span, String)>) -> Vec<(Span, String)> {
    let paddings: Vec<(Span, String)> =
        row.bars.iter().filter_map(|bar| padding(line, bar, &edits)).collect();
    edits.extend(paddings);
    edits
}

fn padding(line: &Line, bar: &Bar, edits: &[(Span, String)]) -> Option<(Span, String)> {
    let inside = |s: Span| bar.span.start <= s.start && s.end <= bar.span.end;
    let mine: Vec<&(Span, String)> = edits.iter().filter(|(span, _)| inside(*span)).collect();
    if mine.is_empty() || mine.iter().any(|(_, with)| with.contains(['|', '\n', '\r'])) {
        return None;
    }
    let wide = |text: &str| text.chars().count();
    let (new, old) = mine
        .iter()
        .fold((0, 0), |(new, old), (span, with)| (new + wide(with), old + wide(span.of(&line.text))));
    let text = bar.span.of(&line.text);
    let blanks = (text.len() - text.trim_end_matches(' ').len()) as u32;
    let end = bar.span.end;
    let closed = line.text.get(end as usize..).is_some_and(|rest| rest.starts_with('|'));
    let touched = mine.iter().any(|(span, _)| span.end > end - blanks);
    if !closed || touched {
        return None;
    }
    let grown = u32::try_from(new.saturating_sub(old)).unwrap_or(u32::MAX);
    if grown > 0 && grown < blanks {
        Some((Span::new(end - grown, end), String::new()))
    } else if new < old {
        Some((Span::new(end, end), " ".repeat(old - new)))
    } else {
        None
    }
}
