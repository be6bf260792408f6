//! A bar that does not add up: its last value longer or shorter.

use super::case::Case;
use super::draft::Draft;
use super::figure::signs;
use super::given::fitted;
use super::lines::with_blanks;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::{Bar, FigureNode, Place, PlaceKind, RowKind};
use crate::score::figure::{expand, value_letters};
use crate::score::rhythm::single_value;
use crate::score::wording;

/// The last place of the figure takes what is missing, or gives what is too much.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    let Some(row) = case.row().filter(|r| r.row.kind != RowKind::Chords) else { return Vec::new() };
    let Some((source, bar)) = row.bar_at(case.finding.span.start) else { return Vec::new() };
    let Some(length) = row.length(row.first_bar(source)) else { return Vec::new() };
    let nodes = bar.nodes.of(&row.tree.nodes);
    let entries: usize =
        row.items(bar).iter().filter(|i| i.what.is_entry()).map(|i| usize::from(i.times.max(1))).sum();
    let single = single_value(nodes).filter(|_| row.row.kind == RowKind::Music);
    let total = match single {
        Some(value) => Fraction::new(entries as i64, 1).and_then(|n| value.times(n)),
        None => expand(nodes, &mut Vec::new()).ok(),
    };
    let (Some(total), Some(FigureNode::Place(last))) = (total, nodes.last()) else { return Vec::new() };
    let times = if single.is_some() { entries } else { usize::from(last.times.max(1)) };
    let mut drafts: Vec<Draft> = changed(case, last, times, total, length).into_iter().collect();
    drafts.extend(taken_out(case, bar, last, times, total, length));
    drafts
}

fn changed(case: &Case<'_>, last: &Place, times: usize, total: Fraction, length: Fraction) -> Option<Draft> {
    let difference = length.minus(total).filter(|d| !d.is_zero())?;
    let value = last.value.plus(difference).filter(|v| *v > Fraction::ZERO)?;
    let letters = value_letters(value)?;
    let signs = signs(last);
    let whole = case.text(last.span);
    let old = whole.split('*').next().unwrap_or(whole);
    let with = match times {
        0 | 1 => format!("{letters}{signs}"),
        2 => format!("{old} {letters}{signs}"),
        n => format!("{old}*{} {letters}{signs}", n - 1),
    };
    let what = match last.kind {
        PlaceKind::Silence => "rest",
        PlaceKind::Entry | PlaceKind::Hold => "value",
    };
    let title = if difference > Fraction::ZERO {
        format!("Make the last {what} {} longer ({letters})", wording::length(difference))
    } else {
        let less = Fraction::ZERO.minus(difference)?;
        format!("Make the last {what} {} shorter ({letters})", wording::length(less))
    };
    Some(Draft::of_line(title, case.finding.line, fitted(case, vec![(last.span, with)])))
}

/// A rest or a hold at the end that is exactly what is too much.
fn taken_out(
    case: &Case<'_>,
    bar: &Bar,
    last: &Place,
    times: usize,
    total: Fraction,
    length: Fraction,
) -> Option<Draft> {
    let excess = total.minus(length)?;
    let first = bar.figure.start;
    if times != 1 || last.value != excess || last.kind == PlaceKind::Entry || last.span.start <= first {
        return None;
    }
    let what = if last.kind == PlaceKind::Silence { "rest" } else { "hold" };
    let title = format!("Take out the last {what}: {}", wording::length(excess));
    let gone: Span = with_blanks(case.line, last.span);
    Some(Draft::of_line(title, case.finding.line, fitted(case, vec![(gone, String::new())])))
}
