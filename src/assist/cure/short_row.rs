//! A row that ends before its block does.

use super::case::Case;
use super::draft::Draft;
use crate::notation::Span;
use crate::notation::tree::RowKind;

/// The bars that are missing, rested or blank.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    let Some(row) = case.row().filter(|r| r.row.kind == RowKind::Music) else { return Vec::new() };
    let missing = row.placed.read.block.bars.saturating_sub(row.row.bars);
    if !(1..=4096).contains(&missing) {
        return Vec::new();
    }
    let at = Span::new(case.finding.span.end, case.finding.span.end);
    let room = room(case);
    let rest = if missing == 1 { "-".to_owned() } else { format!("rest {missing}") };
    let draft = |title: String, text: String| Draft::of_line(title, case.finding.line, vec![(at, text)]);
    let title =
        if missing == 1 { "Add a bar's rest".to_owned() } else { format!("Add {missing} bars' rest") };
    let mut all = vec![draft(title, format!(" {rest:room$} |"))];
    if missing == 1 {
        all.push(draft("Add a blank bar".to_owned(), format!(" {:room$} |", "")).unlikely());
    } else if missing <= 16 {
        let title = format!("Add {missing} blank bars");
        all.push(draft(title, " |".repeat(missing as usize)).unlikely());
    }
    all
}

/// Width of the missing bars where another row of the block has the same barlines so far.
fn room(case: &Case<'_>) -> usize {
    let (Some((_, placed, _)), Some(mine)) = (case.block(), case.row()) else { return 0 };
    let end = case.finding.span.start;
    let block = &placed.read.block;
    let others = block.rows.iter().filter(|r| r.bars == block.bars && r.line != mine.row.line);
    others
        .filter_map(|other| {
            let line = block.text.lines.get(other.line as usize)?;
            let barlines = line.tokens.iter().filter(|t| t.kind.is_barline()).map(|t| t.span.start);
            let all: Vec<u32> = barlines.collect();
            let last = all.contains(&end).then(|| all.last())??;
            (line.text.is_ascii() && case.line.text.is_ascii()).then_some(last.checked_sub(end + 3)? as usize)
        })
        .next()
        .unwrap_or(0)
}
