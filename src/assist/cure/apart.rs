//! A row for players who read differently, as a row for each.

use super::case::{Case, RowHere};
use super::draft::Draft;
use super::lines::{above, own_end};
use crate::assist::place::TextEdit;
use crate::notation::Span;
use crate::notation::tree::{Item, Member, What};
use crate::score::row::dealt;

/// Everybody with the notes they read in it now.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    draft(case).into_iter().collect()
}

fn draft(case: &Case<'_>) -> Option<Draft> {
    let row = case.row()?;
    let players = row.players();
    let ids: Vec<&str> = players
        .iter()
        .filter_map(|p| row.score.head.players.get(usize::from(*p)))
        .map(|p| p.id.as_str())
        .collect();
    let wide = ids.iter().map(|id| id.chars().count()).max()?;
    let names = row.tree.names.first()?.to(*row.tree.names.last()?);
    let wide = wide.max(row.text(names).chars().count());
    let barline = row.line.tokens.iter().find(|t| t.kind.is_barline())?.span.start;
    let end = own_end(row.line);
    let mut lines = players.iter().zip(&ids).map(|(player, id)| {
        let bars = of_player(&row, *player, Span::new(barline, end))?;
        Some(format!("{id:wide$} {bars}"))
    });
    let first = lines.next()??;
    let rest = lines.collect::<Option<Vec<String>>>()?;
    // The first takes the place of the row, with its remark; the others come above it.
    let line = case.finding.line;
    let start = names.start;
    let last = rest.last()?.clone();
    let mut edits: Vec<TextEdit> = vec![TextEdit { line, span: Span::new(start, end), with: last }];
    let before: Vec<String> =
        std::iter::once(first).chain(rest.iter().take(rest.len() - 1).cloned()).collect();
    let mut with = String::new();
    for text in before {
        with.push_str(&above(case.desk, line, &text).with);
    }
    edits.push(TextEdit { line, span: Span::new(0, 0), with });
    Some(Draft::new(format!("Write it out: a row for each of {} players", ids.len()), edits))
}

/// The row's bars with one player's entries of its chords.
fn of_player(row: &RowHere<'_>, player: u16, bars: Span) -> Option<String> {
    let mut out = String::new();
    let mut at = bars.start;
    for item in &row.tree.items {
        let (What::Chord(slice) | What::GraceChord(slice)) = item.what else { continue };
        let members = slice.of(&row.tree.members);
        out.push_str(row.text(Span::new(at, item.span.start)));
        out.push_str(&share(row, player, item, members)?);
        at = item.span.end;
    }
    out.push_str(row.text(Span::new(at, bars.end)));
    Some(out)
}

fn share(row: &RowHere<'_>, player: u16, item: &Item, members: &[Member]) -> Option<String> {
    let people = row.row.people.len();
    let places = row.row.people.iter().enumerate().filter(|(_, p)| p.player == player);
    let mut mine: Vec<usize> = places.filter_map(|(i, _)| dealt(i, people, members.len())).collect();
    mine.sort_unstable();
    mine.dedup();
    let texts: Vec<&str> = mine.iter().filter_map(|m| members.get(*m)).map(|m| row.text(m.span)).collect();
    let last = members.last()?;
    let behind = row.text(Span::new(last.span.end, item.span.end));
    let marks = behind.get(behind.find(')')? + 1..)?;
    let grace = if matches!(item.what, What::GraceChord(_)) { "/" } else { "" };
    Some(match texts.as_slice() {
        [] => return None,
        [one] => format!("{grace}{one}{marks}"),
        several => format!("{grace}({}){marks}", several.join(" ")),
    })
}
