//! Lines in the wrong place, and rows that lack their barlines.

use super::case::Case;
use super::draft::Draft;
use super::lines::{above, in_head, own_end, without};
use crate::notation::Span;
use crate::notation::tree::LineTree;
use std::mem::discriminant;

/// The line where it belongs.
pub fn moved(case: &Case<'_>) -> Vec<Draft> {
    draft(case).into_iter().collect()
}

fn draft(case: &Case<'_>) -> Option<Draft> {
    let line = case.finding.line;
    let head = &case.score().head;
    let word = case.said();
    match &case.line.tree {
        LineTree::Row(_) => {
            Some(Draft::new("Put a `bar` line before it", vec![above(case.desk, line, "bar 1")]))
        }
        LineTree::Version(_) => {
            let first = head.lines.iter().find(|l| !matches!(l.tree, LineTree::Blank));
            let there = first.is_some_and(|l| matches!(l.tree, LineTree::Version(_)));
            if there {
                return Some(Draft::new("Take it out: it stands above", vec![without(case.desk, line)]));
            }
            let edits = vec![above(case.desk, 0, case.line.text.trim()), without(case.desk, line)];
            Some(Draft::new("Make it the first line", edits))
        }
        tree if case.block().is_some() => {
            let same = |t: &LineTree| discriminant(t) == discriminant(tree);
            let text = case.line.text.trim();
            let edits = vec![in_head(case.desk, same, text), without(case.desk, line)];
            Some(Draft::new(format!("Move the `{word}` line to the head"), edits))
        }
        _ => None,
    }
}

/// Barlines round what a player is given.
pub fn barlines(case: &Case<'_>) -> Vec<Draft> {
    let id = case.said();
    let known = case.score().head.names.players(id).is_some();
    let end = own_end(case.line);
    let behind = Span::new(case.finding.span.end, case.finding.span.end);
    let at_end = Span::new(end, end);
    if !known || case.block().is_none() || end <= behind.end {
        return Vec::new();
    }
    let edits = vec![(behind, " |".to_owned()), (at_end, " |".to_owned())];
    vec![Draft::of_line("Set the barlines", case.finding.line, edits)]
}
