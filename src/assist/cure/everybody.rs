//! What concerns everybody, moved from a player's row to the rhythm row.

use super::case::{Case, RowHere};
use super::draft::Draft;
use super::given::fitted;
use super::lines::below;
use crate::assist::place::TextEdit;
use crate::notation::Span;
use crate::notation::tree::{FigureNode, Item, RowKind, What};

/// `[rit]` and the like.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    draft(case).into_iter().collect()
}

fn draft(case: &Case<'_>) -> Option<Draft> {
    let row = case.row().filter(|r| r.row.kind == RowKind::Music)?;
    let span = case.finding.span;
    let said = case.said();
    let instruction = match said {
        "rit" | "accel" => format!("[{said}]"),
        _ if said.starts_with("[rit") || said.starts_with("[accel") || said.starts_with("[a-tempo") => {
            said.to_owned()
        }
        _ if said.starts_with("[tempo ") => said.to_owned(),
        _ => return None,
    };
    let (source, bar) = row.bar_at(span.start)?;
    let items = row.items(bar);
    let at = row.first_bar(source);
    let before = items.iter().filter(|i| i.span.end <= span.start && i.what.is_entry());
    let entries: usize = before.map(|i| usize::from(i.times.max(1))).sum();
    let ends = !items.iter().any(|i| i.span.start >= span.end && (i.what.is_entry() || i.what.is_bars()));
    let gone = taken_out(case, span);
    let put = match rhythm(&row) {
        Some(rhythm) => into(&rhythm, at, entries, ends, &instruction)?,
        None => {
            let blanks = "| ".repeat(at as usize);
            below(case.desk, row.placed.line, &format!("rhythm {blanks}| {instruction} |"))
        }
    };
    let mut edits: Vec<TextEdit> = fitted(case, vec![(gone, String::new())])
        .into_iter()
        .map(|(span, with)| TextEdit { line: case.finding.line, span, with })
        .collect();
    edits.push(put);
    Some(Draft::new(format!("Move {instruction} to the rhythm row"), edits))
}

/// With the blanks on one side.
fn taken_out(case: &Case<'_>, span: Span) -> Span {
    let rest = case.line.text.get(span.end as usize..).unwrap_or("");
    let blanks = rest.len() - rest.trim_start_matches([' ', '\t']).len();
    Span::new(span.start, span.end + blanks as u32)
}

/// The rhythm row that rules this one, else the first of the block.
fn rhythm<'a>(row: &RowHere<'a>) -> Option<RowHere<'a>> {
    row.ruler().or_else(|| {
        let count = row.placed.read.block.rows.len();
        let mut all = (0..count).filter_map(|n| RowHere::at(row.score, row.block, n));
        all.find(|r| r.row.kind == RowKind::Rhythm)
    })
}

/// Before the place that as many others precede; `None` where the rhythm row has no such bar.
fn into(rhythm: &RowHere<'_>, bar: u32, entries: usize, ends: bool, text: &str) -> Option<TextEdit> {
    let source = (0..rhythm.tree.bars.len()).find(|s| {
        let first = rhythm.first_bar(*s);
        rhythm.tree.bars.get(*s).is_some_and(|b| (first..first + rhythm.span_of(b)).contains(&bar))
    })?;
    let there = rhythm.tree.bars.get(source)?;
    let nodes = there.nodes.of(&rhythm.tree.nodes);
    let again = rhythm.items(there).iter().find(|i: &&Item| matches!(i.what, What::Again(_)));
    let places: Vec<Span> = nodes
        .iter()
        .filter_map(|n| match n {
            FigureNode::Place(place) => Some(vec![place.span; usize::from(place.times.max(1))]),
            _ => None,
        })
        .flatten()
        .collect();
    let line = rhythm.at_line();
    let insert = |at: u32, with: String| Some(TextEdit { line, span: Span::new(at, at), with });
    if let Some(sign) = again {
        return insert(sign.span.start, format!("{text} "));
    }
    match places.get(entries).or(places.first().filter(|_| entries == 0)) {
        Some(place) if !ends => insert(place.start, format!("{text} ")),
        _ => {
            let content = super::figure::content(rhythm.tree, &rhythm.line.text, source);
            match content {
                Some(content) => insert(content.end, format!(" {text}")),
                None => insert(there.span.start, format!(" {text} ")),
            }
        }
    }
}
