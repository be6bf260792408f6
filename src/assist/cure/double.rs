//! Somebody with two things to do at once.

use super::case::{Case, RowHere};
use super::draft::Draft;
use super::lines::with_blanks;
use crate::notation::Span;
use crate::notation::tree::{RowKind, What};
use std::collections::HashSet;

/// The second name taken away, or one of the two bars left blank.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    let Some(row) = case.row().filter(|r| r.row.kind == RowKind::Music) else { return Vec::new() };
    if let Some(name) = row.tree.names.iter().find(|n| **n == case.finding.span) {
        return named_twice(case, &row, *name).into_iter().collect();
    }
    let mut all: Vec<Draft> = Vec::new();
    all.extend(left_blank(&row, &row, "in this row"));
    let others = (0..row.number).rev().filter_map(|n| RowHere::at(row.score, row.block, n));
    let others = others.filter(|o| o.players().iter().any(|p| row.players().contains(p)));
    let above: Vec<Draft> = others.filter_map(|other| left_blank(&other, &row, "in the row above")).collect();
    if above.len() > 1 {
        // Several of the row's players are told of in one place.
        let edits = above.iter().flat_map(|d| d.edits.iter().cloned()).collect();
        let title = format!("Leave what is written twice blank in the {} rows above", above.len());
        all.push(Draft::new(title, edits));
    }
    all.extend(above);
    all
}

fn named_twice(case: &Case<'_>, row: &RowHere<'_>, name: Span) -> Option<Draft> {
    let said = case.text(name);
    let theirs = row.score.head.names.players(said)?;
    let before = row.tree.names.iter().take_while(|n| **n != name);
    let already: Vec<u16> =
        before.filter_map(|n| row.score.head.names.players(case.text(*n))).flatten().collect();
    let all = theirs.iter().all(|p| already.contains(p));
    let draft = Draft::of_line(
        format!("Name {said} once"),
        case.finding.line,
        vec![(with_blanks(case.line, name), String::new())],
    );
    // Somebody else of the group would lose the row.
    all.then_some(draft)
}

/// The bars of a row that another row of the same players has too, made blank.
fn left_blank(row: &RowHere<'_>, finding_row: &RowHere<'_>, which: &str) -> Option<Draft> {
    let players = row.players();
    let [only] = players.as_slice() else { return None };
    let pair = row.placed.read.pair(*only)?;
    let elsewhere: HashSet<u32> = pair
        .rows
        .iter()
        .filter(|r| r.line != row.row.line)
        .filter(|r| row.row.line == finding_row.row.line || r.line == finding_row.row.line)
        .flat_map(|r| r.read.cells.iter().map(|c| c.bar))
        .collect();
    let cells = &row.placed.read.rows.get(row.number)?.as_ref()?.cells;
    let mut edits = Vec::new();
    let mut bars = Vec::new();
    for (source, bar) in row.tree.bars.iter().enumerate() {
        let mine: Vec<u32> = cells.iter().filter(|c| c.source as usize == source).map(|c| c.bar).collect();
        if !mine.iter().any(|b| elsewhere.contains(b)) {
            continue;
        }
        let silent = row.items(bar).iter().any(|i| matches!(i.what, What::Rests(_) | What::Rest));
        if !silent && !mine.iter().all(|b| elsewhere.contains(b)) {
            return None;
        }
        // The bar after it repeats it: blank, it would have nothing to repeat.
        let repeated = row
            .tree
            .bars
            .get(source + 1)
            .is_some_and(|next| row.items(next).iter().any(|i| matches!(i.what, What::Again(_))));
        if repeated {
            return None;
        }
        let n = row.span_of(bar).max(1) as usize;
        let wide = bar.span.of(&row.line.text).chars().count();
        let blank = if n == 1 { " ".repeat(wide.max(1)) } else { format!(" {}", "| ".repeat(n - 1)) };
        edits.push(crate::assist::TextEdit { line: row.at_line(), span: bar.span, with: blank });
        bars.push(row.number_of(row.first_bar(source)));
    }
    let title = match bars.as_slice() {
        [] => return None,
        [one] => format!("Leave bar {one} blank {which}"),
        several => format!("Leave {} bars blank {which}", several.len()),
    };
    Some(Draft::new(title, edits))
}
