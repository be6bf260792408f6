//! A bar with more entries than places, or fewer.

use super::case::{Case, RowHere};
use super::draft::Draft;
use super::given::fitted;
use super::lines::with_blanks;
use super::notes::tokens;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::token::Kind;
use crate::notation::tree::{Bar, Item, PlaceKind, RowKind, What};
use crate::score::figure::expand;
use crate::score::rhythm::{Ruling, single_value};
use crate::score::row::list_span;

/// What is too much taken out; what is missing rested or held.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    if let Some(row) = case.row().filter(|r| r.row.kind == RowKind::Chords) {
        return symbols(case, &row).into_iter().collect();
    }
    let Some((items, wanted)) = counted(case) else { return Vec::new() };
    let entries: usize = items.iter().filter(|i| i.what.is_entry()).map(times).sum();
    if entries > wanted {
        fewer(case, items, wanted).into_iter().collect()
    } else {
        more(case, items, wanted - entries)
    }
}

/// Chord symbols: those for which there is no place taken out; a figure with too many places taken away.
fn symbols(case: &Case<'_>, row: &RowHere<'_>) -> Option<Draft> {
    let (_, bar) = row.bar_at(case.finding.span.start)?;
    let mut places = Vec::new();
    expand(bar.nodes.of(&row.tree.nodes), &mut places).ok()?;
    let wanted = places.iter().filter(|p| p.kind == PlaceKind::Entry).count();
    let symbols = bar.items.of(&row.tree.symbols);
    let line = case.finding.line;
    if let (Some(first), Some(last)) = (symbols.get(wanted), symbols.last()) {
        let span = first.span.to(last.span);
        let title = format!("Take out {}", case.text(span));
        let gone = (with_blanks(case.line, span), String::new());
        return Some(Draft::of_line(title, line, fitted(case, vec![gone])).unlikely());
    }
    let figure = Span::new(bar.figure.start, symbols.first()?.span.start);
    let title = "Leave out the figure: the chords share the bar equally";
    bar.has_figure.then(|| Draft::of_line(title, line, fitted(case, vec![(figure, String::new())])))
}

fn times(item: &Item) -> usize {
    usize::from(item.times.max(1))
}

/// The things of the bar and the number of places it has.
fn counted<'a>(case: &Case<'a>) -> Option<(&'a [Item], usize)> {
    let at = case.finding.span.start;
    let tree = case.bars()?;
    let bar: &Bar = tree.bars.get(tree.bars.partition_point(|b| b.span.start <= at).checked_sub(1)?)?;
    let items = bar.items.of(&tree.items);
    // A fault inside a chord is not about the number of entries.
    if items.iter().any(|i| matches!(i.what, What::Chord(_)) && i.span.start < at && at < i.span.end) {
        return None;
    }
    let row = case.row().filter(|r| r.row.kind == RowKind::Music);
    if case.phrase().is_none() && row.is_none() {
        return None;
    }
    let ruled = |row: RowHere<'a>| {
        let (source, _) = row.bar_at(at)?;
        let first = row.first_bar(source);
        let rhythm = row.placed.read.rhythms.get(row.row.ruled_by? as usize)?.as_ref()?;
        match rhythm.ruling(first) {
            Ruling::Places(slice) => {
                Some(slice.of(&rhythm.places).iter().filter(|p| p.kind == PlaceKind::Entry).count())
            }
            Ruling::Single(value) => fits(row.length(first)?, value),
            _ => None,
        }
    };
    let wanted = if bar.has_figure {
        let nodes = bar.nodes.of(&tree.nodes);
        match single_value(nodes) {
            Some(value) => {
                let row = row?;
                fits(row.length(row.first_bar(row.bar_at(at)?.0))?, value)
            }
            None => {
                let mut places = Vec::new();
                expand(nodes, &mut places).ok()?;
                Some(places.iter().filter(|p| p.kind == PlaceKind::Entry).count())
            }
        }
    } else {
        ruled(row?)
    };
    Some((items, wanted?))
}

/// How many of a value fill a bar.
fn fits(length: Fraction, value: Fraction) -> Option<usize> {
    usize::try_from(length.over(value).filter(|n| n.is_whole())?.numerator()).ok()
}

fn fewer(case: &Case<'_>, items: &[Item], wanted: usize) -> Option<Draft> {
    let mut edits: Vec<(Span, String)> = Vec::new();
    let (mut count, mut gone) = (0, 0);
    for item in items {
        let grace = matches!(item.what, What::GraceNote(_) | What::GraceChord(_));
        if count >= wanted && (grace || item.what.is_entry()) {
            edits.push((with_blanks(case.line, item.span), String::new()));
        }
        if !item.what.is_entry() {
            continue;
        }
        let n = times(item);
        gone += (count + n).saturating_sub(wanted.max(count));
        if count < wanted && count + n > wanted {
            let sign = tokens(case.line, item.span).filter(|t| t.kind == Kind::Times).last()?;
            let left = wanted - count;
            edits.push((sign.span, if left == 1 { String::new() } else { format!("*{left}") }));
        }
        count += n;
    }
    let what = if gone == 1 { "entry" } else { "entries" };
    let title = format!("Take out what is too much: {gone} {what}");
    (wanted > 0 && gone > 0).then(|| Draft::of_line(title, case.finding.line, fitted(case, edits)).unlikely())
}

fn more(case: &Case<'_>, items: &[Item], missing: usize) -> Vec<Draft> {
    let Some(list) = list_span(items).filter(|_| (1..=64).contains(&missing)) else { return Vec::new() };
    let entries = if missing == 1 { "1 entry".to_owned() } else { format!("{missing} entries") };
    let at = Span::new(list.end, list.end);
    let fill = |title: String, sign: &str| {
        Draft::of_line(title, case.finding.line, fitted(case, vec![(at, format!(" {sign}").repeat(missing))]))
    };
    let last = items.iter().rev().find(|i| i.what.is_entry()).map(|i| i.what);
    let mut drafts = Vec::new();
    if case.finding.cures.is_empty() {
        drafts.push(fill(format!("Fill the bar with rests: {entries}"), "-"));
    }
    if matches!(last, Some(What::Note(_) | What::Chord(_) | What::Hold)) {
        drafts.push(fill(format!("Hold the last note: {entries}"), "="));
    }
    drafts
}
