//! Rows of single players that move together gathered on one.

use super::Draft;
use crate::assist::cure::{RowHere, own_end};
use crate::notation::tree::{Bar, Instruction, Item, RowKind, What};
use crate::rules::Desk;
use crate::score::head::Named;

/// `None` where the lines are not rows of players who move together.
pub fn draft(desk: &Desk, first: u32, last: u32) -> Option<Draft> {
    let mut rows = Vec::new();
    for line in first..=last {
        rows.push(RowHere::on(desk, line)?);
        if rows.len() > 64 {
            return None;
        }
    }
    let top = rows.first().copied()?;
    let fits = |row: &RowHere<'_>| {
        row.block == top.block
            && row.row.kind == RowKind::Music
            && row.row.sure
            && row.line.faults.is_empty()
            && row.tree.closed
            && row.row.people.len() == 1
            && row.row.ruled_by == top.row.ruled_by
            && row.tree.bars.len() == top.tree.bars.len()
    };
    if rows.len() < 2 || !rows.iter().all(fits) {
        return None;
    }
    let players: Vec<u16> = rows.iter().filter_map(|row| Some(row.row.people.first()?.player)).collect();
    let (name, order) = named(desk, &rows, &players)?;
    let rows: Vec<RowHere<'_>> = order.iter().filter_map(|i| rows.get(*i).copied()).collect();
    let mut text = top.line.text.get(..top.tree.names.first()?.start as usize)?.to_owned();
    text += &name;
    text += " |";
    for at in 0..top.tree.bars.len() {
        let bars: Vec<(&RowHere<'_>, &Bar)> =
            rows.iter().map(|row| Some((row, row.tree.bars.get(at)?))).collect::<Option<_>>()?;
        text += &bar(&bars)?;
        text += "|";
    }
    text += top.line.text.get(own_end(top.line) as usize..)?;
    // A remark on a row that goes would be lost.
    let remark =
        |row: &RowHere<'_>| !row.line.text.get(own_end(row.line) as usize..).unwrap_or("").trim().is_empty();
    if rows.iter().any(|row| row.at_line() != top.at_line() && remark(row)) {
        return None;
    }
    let title = format!("Gather {} rows on one: {name}", rows.len());
    Some(Draft { title, block: top.block, first, last, lines: vec![text] })
}

/// What the row is called, and the order of its people: a group that is these players, else their names.
fn named(desk: &Desk, rows: &[RowHere<'_>], players: &[u16]) -> Option<(String, Vec<usize>)> {
    let names = &desk.score().head.names;
    let mut set = players.to_vec();
    set.sort_unstable();
    for line in &desk.score().head.lines {
        let crate::notation::tree::LineTree::Group(group) = &line.tree else { continue };
        let Some(id) = group.id.map(|id| id.of(&line.text)) else { continue };
        let Some(Named::Group(all)) = names.get(id) else { continue };
        let mut members = all.clone();
        members.sort_unstable();
        if members == set {
            let order = all.iter().map(|p| players.iter().position(|q| q == p)).collect::<Option<_>>()?;
            return Some((id.to_owned(), order));
        }
    }
    let said: Vec<&str> =
        rows.iter().filter_map(|row| Some(row.tree.names.first()?.of(&row.line.text))).collect();
    Some((said.join(" "), (0..rows.len()).collect()))
}

/// A bar of all of them, blanks around it included.
fn bar(bars: &[(&RowHere<'_>, &Bar)]) -> Option<String> {
    let (row, top) = bars.first()?;
    let same_figure = |(r, b): &(&RowHere<'_>, &Bar)| {
        b.has_figure == top.has_figure && squeezed(r.text(b.figure)) == squeezed(row.text(top.figure))
    };
    let count = row.items(top).len();
    if !bars.iter().all(|b| same_figure(b) && b.0.items(b.1).len() == count && !b.1.faulty) {
        return None;
    }
    let mut out = String::from(" ");
    if top.has_figure {
        out += row.text(top.figure);
        out += " : ";
    }
    for at in 0..count {
        let items: Vec<(&RowHere<'_>, &Item)> =
            bars.iter().map(|(row, bar)| Some((*row, row.items(bar).get(at)?))).collect::<Option<_>>()?;
        out += &item(&items)?;
        out += " ";
    }
    Some(out)
}

fn squeezed(text: &str) -> String {
    text.split([' ', '\t']).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// What all of them have at one place: the same, or a chord.
fn item(items: &[(&RowHere<'_>, &Item)]) -> Option<String> {
    let (row, first) = items.first()?;
    let text = row.text(first.span);
    if matches!(first.what, What::Instruction(Instruction::Solo | Instruction::Tutti)) {
        return None;
    }
    if items.iter().all(|(row, item)| row.text(item.span) == text) {
        return Some(text.to_owned());
    }
    let grace = matches!(first.what, What::GraceNote(_));
    let times = first.times;
    let mut parts: Vec<(&str, &str)> = Vec::with_capacity(items.len());
    for (row, item) in items {
        let fits = match item.what {
            What::GraceNote(_) => grace,
            What::Note(_) | What::Rest | What::Hold => !grace,
            _ => false,
        };
        if !fits || item.times != times {
            return None;
        }
        let said = row.text(item.span);
        let said = said.strip_prefix('/').unwrap_or(said);
        let said = said.rsplit_once('*').map_or(said, |(before, _)| before);
        let head = row
            .line
            .tokens
            .iter()
            .find(|t| t.span.start >= item.span.start && t.kind != crate::notation::token::Kind::Slash)?;
        parts.push(said.split_at_checked(head.span.len() as usize)?);
    }
    let (_, marks) = *parts.first()?;
    let slash = if grace { "/" } else { "" };
    let behind = if times > 1 { format!("*{times}") } else { String::new() };
    // The first named takes the top, which stands last.
    if parts.iter().all(|(_, other)| *other == marks) {
        let inside: Vec<&str> = parts.iter().rev().map(|(head, _)| *head).collect();
        return Some(format!("{slash}({}){marks}{behind}", inside.join(" ")));
    }
    if parts.iter().any(|(head, marks)| matches!(*head, "-" | "=") && !marks.is_empty()) {
        return None;
    }
    let inside: Vec<String> = parts.iter().rev().map(|(head, marks)| format!("{head}{marks}")).collect();
    Some(format!("{slash}({}){behind}", inside.join(" ")))
}
