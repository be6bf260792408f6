//! Notes without values: the rhythm of a bar near by that has as many.

use super::case::{Case, RowHere};
use super::draft::Draft;
use super::figure::{Figure, of_bar};
use super::given::fitted;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::RowKind;
use crate::score::figure::{is_single_value, value_letters};

/// The bar before in the same row, or the row above in the same bar: whoever moves together has it too.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    if case.phrase().is_some() {
        return in_phrase(case).into_iter().collect();
    }
    near(case).unwrap_or_default()
}

fn near(case: &Case<'_>) -> Option<Vec<Draft>> {
    let row = case.row().filter(|r| r.row.kind == RowKind::Music)?;
    let (source, bar) = row.bar_at(case.finding.span.start)?;
    let items = row.items(bar);
    let entries: usize =
        items.iter().filter(|i| i.what.is_entry()).map(|i| usize::from(i.times.max(1))).sum();
    let at = row.first_bar(source);
    let start = items.first()?.span.start;
    let length = row.length(at)?;
    let fits = |f: &Figure| f.length == length && f.entries == entries;
    let draft = |figure: Figure, whose: String| {
        let edit = (Span::new(start, start), format!("{} : ", figure.text));
        let title = format!("Give it the rhythm of {whose}: `{}`", figure.text);
        Draft::of_line(title, case.finding.line, fitted(case, vec![edit]))
    };
    let mut drafts = Vec::new();
    let before = (0..source).rev().find_map(|s| Some((s, of_bar(&row, s).filter(fits)?)));
    if let Some((s, figure)) = before {
        drafts.push(draft(figure, format!("bar {}", row.number_of(row.first_bar(s)))));
    }
    let above = (0..row.number).rev().find_map(|number| {
        let other = RowHere::at(row.score, row.block, number).filter(|r| r.row.kind == RowKind::Music)?;
        let same = (0..other.tree.bars.len()).find(|s| other.first_bar(*s) == at)?;
        Some((of_bar(&other, same).filter(fits)?, other.text(*other.tree.names.first()?)))
    });
    if let Some((figure, name)) = above {
        drafts.push(draft(figure, name.to_owned()));
    }
    Some(drafts)
}

/// A phrase has bars of the first meter, as far as anybody knows.
fn in_phrase(case: &Case<'_>) -> Option<Draft> {
    let tree = case.bars()?;
    let at = case.finding.span.start;
    let bar = tree.bars.get(tree.bars.partition_point(|b| b.span.start <= at).checked_sub(1)?)?;
    let items = bar.items.of(&tree.items);
    let Some(first) = items.first() else {
        let rest = (Span::new(bar.span.start, bar.span.start), " -".to_owned());
        return Some(Draft::of_line("Write a bar's rest", case.finding.line, fitted(case, vec![rest])));
    };
    let entries: usize =
        items.iter().filter(|i| i.what.is_entry()).map(|i| usize::from(i.times.max(1))).sum();
    let meter = case.score().blocks.first().and_then(|b| b.frame.meters.first()?.length());
    let n = Fraction::new(i64::try_from(entries).ok()?, 1)?;
    let unit = meter.unwrap_or(Fraction::ONE).over(n).filter(|unit| is_single_value(*unit))?;
    let letters = value_letters(unit).filter(|letters| !letters.contains('+'))?;
    let edit = (Span::new(first.span.start, first.span.start), format!("{letters} : "));
    let title = format!("Make every note of this bar `{letters}`");
    Some(Draft::of_line(title, case.finding.line, fitted(case, vec![edit])))
}
