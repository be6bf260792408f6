//! A dotted value as a note and a rest.

use super::case::{Case, RowHere};
use super::draft::Draft;
use super::figure::{ruling, text_of};
use super::fit::fit;
use crate::assist::place::TextEdit;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::{FigureNode, Place, PlaceKind};
use crate::score::figure::value_letters;

/// The value of the entry that a related place of the finding points at gives up its dot. Under a rhythm row that
/// others share the bar gets a figure of its own.
pub fn draft(case: &Case<'_>, related: usize) -> Option<Draft> {
    let place = case.finding.related.get(related)?;
    let row = RowHere::on(case.desk, place.line)?;
    let (source, bar) = row.bar_at(place.span.start)?;
    let items = row.items(bar);
    let entry =
        items.iter().position(|i| i.span.start <= place.span.start && place.span.end <= i.span.end)?;
    let before = items.iter().take(entry).filter(|i| i.what.is_entry());
    let before: usize = before.map(|i| usize::from(i.times.max(1))).sum();
    let own = bar.nodes.of(&row.tree.nodes);
    let ruler = row.ruler();
    let (nodes, text) = match bar.has_figure {
        true => (own, &*row.line.text),
        false => ruling(ruler.as_ref()?, row.first_bar(source))?,
    };
    let (at, dotted) = place_of(nodes, before)?;
    let letters = dotted.span.of(text).strip_suffix('.')?;
    if letters.ends_with('.') || !letters.chars().all(|c| c.is_ascii_alphabetic()) {
        return None;
    }
    let rest = value_letters(dotted.value.over(Fraction::new(3, 1)?)?).filter(|rest| !rest.contains('+'))?;
    let with = format!("{letters} {rest}-");
    let edit = if bar.has_figure {
        (dotted.span, with.clone())
    } else {
        let (head, tail) = (text_of(nodes.get(..at)?, text), text_of(nodes.get(at + 1..)?, text));
        let figure = [head, with.clone(), tail].into_iter().filter(|part| !part.is_empty());
        let start = items.first()?.span.start;
        (Span::new(start, start), format!("{} : ", figure.collect::<Vec<_>>().join(" ")))
    };
    let line = row.at_line();
    let edits = fit(row.line, row.tree, vec![edit]);
    let edits = edits.into_iter().map(|(span, with)| TextEdit { line, span, with }).collect();
    let title = format!("Write a note and a rest, `{with}`, at {}", row.text(place.span));
    Some(Draft::new(title, edits).unlikely())
}

/// The place of the entry after so many others; `None` in a tuplet and for one of several copies.
fn place_of(nodes: &[FigureNode], before: usize) -> Option<(usize, &Place)> {
    let mut passed = 0;
    for (at, node) in nodes.iter().enumerate() {
        let FigureNode::Place(place) = node else { return None };
        if place.kind != PlaceKind::Entry {
            continue;
        }
        let times = usize::from(place.times.max(1));
        if before < passed + times {
            return (times == 1 && !place.fermata).then_some((at, place));
        }
        passed += times;
    }
    None
}
