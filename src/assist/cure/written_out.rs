//! A `%` that cannot repeat, written out.

use super::case::{Case, RowHere};
use super::draft::Draft;
use super::figure::{Figure, cut, figure, filled, of_bar, ruling};
use super::given::fitted;
use super::lines::with_blanks;
use super::notes::{mapped, tokens};
use crate::brass::written::reading_interval;
use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::{Basis, FigureNode, Item, LineTree, RowKind, SymbolKind, What};
use crate::score::phrase::PhraseKind;
use crate::score::row::{Cell, Content};
use crate::score::wording::{in_meter, length as length_words};

/// Blocks that are looked through for a bar to copy.
const MOST_BLOCKS: usize = 64;

/// More bars than this are not written out.
const MOST_BARS: u32 = 32;

/// The bar that was meant, in the place of the sign.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    let Some(row) = case.row() else { return Vec::new() };
    let found = match row.row.kind {
        RowKind::Music => music(case, &row),
        RowKind::Rhythm => rhythm(case, &row),
        RowKind::Chords => chords(case, &row),
    };
    found.into_iter().collect()
}

/// A bar as text, and how it differs from the one it was.
struct Out {
    text: String,
    told: String,
}

fn music(case: &Case<'_>, row: &RowHere<'_>) -> Option<Draft> {
    let (source, bar) = row.bar_at(case.finding.span.start)?;
    let sign = row.items(bar).iter().find(|i| i.span == case.finding.span)?;
    let What::Again(times) = sign.what else { return None };
    let first = row.first_bar(source);
    let (from, cell) = model(row, source)?;
    let Some(cell) = cell else {
        let rest = if times <= 1 { "-".to_owned() } else { format!("rest {times}") };
        let edits = fitted(case, vec![(sign.span, rest)]);
        return Some(Draft::of_line("Write a rest", case.finding.line, edits));
    };
    let number = from.number_of(cell.bar);
    let before = from.length(cell.bar)?;
    let mut bars: Vec<String> = Vec::new();
    let mut told = None;
    for at in first..first + u32::from(times.max(1)).min(MOST_BARS) {
        // What can be repeated is repeated, once there is something to repeat.
        let same = row.length(at)? == before && case.finding.rule == "bar-length" && told.is_none();
        let after = told.is_some() && row.length(at) == row.length(at - 1);
        if same || after {
            bars.push("%".to_owned());
            continue;
        }
        let out = copied(&from, row, cell, row.length(at)?, number)?;
        bars.push(out.text);
        told.get_or_insert(out.told);
    }
    if bars.len() < usize::from(times.max(1)) {
        return None;
    }
    let out = Out { text: bars.join(" | "), told: told? };
    let text = out.text;
    Some(Draft::of_line(out.told, case.finding.line, fitted(case, vec![(sign.span, text)])))
}

/// The bar to copy, with the row it stands in: the one before in the row, else the last of the same people in a
/// block before. `None` for a rest.
fn model<'a>(row: &RowHere<'a>, source: usize) -> Option<(RowHere<'a>, Option<Cell>)> {
    if let Some(before) = source.checked_sub(1) {
        let cells = &row.placed.read.rows.get(row.number)?.as_ref()?.cells;
        let cell =
            cells.iter().rfind(|c| c.source as usize <= before).filter(|c| c.source as usize == before);
        return Some((*row, cell.copied().filter(|c| c.content != Content::Silence)));
    }
    for block in (row.block.saturating_sub(MOST_BLOCKS)..row.block).rev() {
        let count = row.score.blocks.get(block)?.read.block.rows.len();
        let found = (0..count).rev().find_map(|number| {
            let other = RowHere::at(row.score, block, number)?;
            let same = other.row.kind == RowKind::Music && other.row.people == row.row.people;
            let cell =
                other.placed.read.rows.get(number)?.as_ref()?.cells.last().copied().filter(|_| same)?;
            Some((other, Some(cell)))
        });
        match found {
            Some((other, Some(cell))) if cell.content != Content::Silence => {
                return Some((other, Some(cell)));
            }
            Some(_) => break,
            None => {}
        }
    }
    Some((*row, None))
}

fn copied(from: &RowHere<'_>, to: &RowHere<'_>, cell: Cell, length: Fraction, number: i64) -> Option<Out> {
    let told = format!("Write it out as in bar {number}");
    match cell.content {
        Content::Silence => None,
        Content::Held => Some(Out { text: "=".to_owned(), told }),
        Content::Improvised => Some(Out { text: "improvise 1".to_owned(), told }),
        Content::Entries { items, .. } => {
            let source = from.tree.bars.get(items as usize)?;
            let things = source.items.of(&from.tree.items);
            let list = things.first()?.span.to(things.last()?.span);
            let at = from.first_bar(items as usize);
            let figure = of_bar(from, items as usize)?;
            let nodes = if source.has_figure {
                (source.nodes.of(&from.tree.nodes), &*from.line.text)
            } else {
                ruling(&from.ruler()?, at)?
            };
            let plain = from.text(list).to_owned();
            fitting(&figure, nodes, things, from.line, plain, length, told)
        }
        Content::Phrase { bar, shift } => {
            let player = to.score.head.players.get(usize::from(to.row.people.first()?.player))?;
            let phrase = to.score.head.phrases.get(bar.phrase)?;
            let tree = phrase.tree()?;
            let source = tree.row.bars.get(bar.items as usize)?;
            match bar.kind {
                PhraseKind::Silence => return Some(Out { text: "-".to_owned(), told }),
                PhraseKind::Held => return Some(Out { text: "=".to_owned(), told }),
                PhraseKind::Entries => {}
            }
            let things = source.items.of(&tree.row.items);
            let list = things.first()?.span.to(things.last()?.span);
            let to_concert = phrase.to_concert.then(bar.shift.then(shift));
            let reads = reading_interval(player.instruments.first()?.instrument.reads, to.placed.frame.key);
            let text = mapped(&phrase.line, list, |pitch| {
                let sounding = to_concert.apply_respelled(pitch);
                Some(match to.score.head.basis {
                    Basis::Concert => sounding,
                    Basis::Written => reads.inverse().apply_respelled(sounding),
                })
            })?;
            let entries =
                things.iter().filter(|i| i.what.is_entry()).map(|i| usize::from(i.times.max(1))).sum();
            let nodes = (source.nodes.of(&tree.row.nodes), &*phrase.line.text);
            let figure = figure(nodes.0, nodes.1, entries, bar.total?)?;
            (bar.total == Some(length)).then(|| Out { text: format!("{} : {text}", figure.text), told })
        }
    }
}

/// The bar as it is, filled with rests, or cut.
fn fitting(
    figure: &Figure,
    (nodes, figure_line): (&[FigureNode], &str),
    things: &[Item],
    line: &Line,
    list: String,
    length: Fraction,
    told: String,
) -> Option<Out> {
    if figure.length == length {
        return Some(Out { text: format!("{} : {list}", figure.text), told });
    }
    if figure.length < length {
        let rest = length_words(length.minus(figure.length)?);
        return Some(Out {
            text: format!("{} : {list}", filled(figure, length)?),
            told: format!("{told}, and rest for {rest}"),
        });
    }
    let (text, entries) = cut(nodes, figure_line, figure.entries, length)?;
    let kept = first_entries(things, line, entries)?;
    Some(Out { text: format!("{text} : {kept}"), told: format!("{told}, cut to {}", in_meter(length)) })
}

/// The text of a list's first entries, with what belongs to them.
fn first_entries(things: &[Item], line: &Line, entries: usize) -> Option<String> {
    let start = things.first()?.span.start;
    let mut count = 0;
    for item in things.iter().filter(|i| i.what.is_entry()) {
        let n = usize::from(item.times.max(1));
        if count + n < entries {
            count += n;
            continue;
        }
        let left = entries - count;
        let whole = Span::new(start, item.span.end).of(&line.text);
        if left == n {
            return Some(whole.to_owned());
        }
        let sign = tokens(line, item.span).filter(|t| t.kind == Kind::Times).last()?;
        let before = Span::new(start, sign.span.start).of(&line.text);
        return Some(if left == 1 { before.to_owned() } else { format!("{before}*{left}") });
    }
    None
}

fn rhythm(case: &Case<'_>, row: &RowHere<'_>) -> Option<Draft> {
    let (source, bar) = row.bar_at(case.finding.span.start)?;
    let sign = row.items(bar).iter().find(|i| i.span == case.finding.span)?;
    let length = row.length(row.first_bar(source))?;
    let earlier = (0..source).rev().map(|s| (*row, s));
    let blocks = (row.block.saturating_sub(MOST_BLOCKS)..row.block).rev();
    let in_blocks = blocks.flat_map(|block| {
        let rows = row.score.blocks.get(block).map_or(0, |b| b.read.block.rows.len());
        let all = (0..rows).rev().filter_map(move |n| RowHere::at(row.score, block, n));
        all.filter(|r| r.row.kind == RowKind::Rhythm)
            .flat_map(|r| (0..r.tree.bars.len()).rev().map(move |s| (r, s)))
    });
    let (from, at) = earlier
        .chain(in_blocks)
        .find(|(r, s)| r.tree.bars.get(*s).is_some_and(|b| !b.faulty && !b.nodes.is_empty()))?;
    let nodes = from.tree.bars.get(at)?.nodes.of(&from.tree.nodes);
    let mut timed = Vec::new();
    let total = crate::score::figure::expand(nodes, &mut timed).ok()?;
    let single = crate::score::rhythm::single_value(nodes).is_some();
    let text = super::figure::text_of(nodes, &from.line.text);
    let number = from.number_of(from.first_bar(at));
    let told = format!("Write the rhythm of bar {number} out");
    let (text, told) = if single || total == length {
        (text, told)
    } else if total < length {
        let missing = length.minus(total)?;
        (
            format!("{text} {}", super::figure::rests(missing)?),
            format!("{told}, and rest for {}", length_words(missing)),
        )
    } else {
        (cut(nodes, &from.line.text, 0, length)?.0, format!("{told}, cut to {}", in_meter(length)))
    };
    Some(Draft::of_line(told, case.finding.line, fitted(case, vec![(sign.span, text)])))
}

/// The last chord symbol before.
fn chords(case: &Case<'_>, row: &RowHere<'_>) -> Option<Draft> {
    let symbol = row.tree.symbols.iter().find(|s| s.span == case.finding.span)?;
    let SymbolKind::Again(times) = symbol.what else { return None };
    let last = |line: &Line, before: u32| {
        let LineTree::Row(tree) = &line.tree else { return None };
        let mut chords =
            tree.symbols.iter().rev().filter(|s| s.what == SymbolKind::Chord && s.span.end <= before);
        chords.next().map(|s| s.span.of(&line.text).to_owned())
    };
    let blocks = (row.block.saturating_sub(MOST_BLOCKS)..row.block).rev();
    let mut in_blocks = blocks.flat_map(|block| {
        let rows = row.score.blocks.get(block).map_or(0, |b| b.read.block.rows.len());
        (0..rows).rev().filter_map(move |n| RowHere::at(row.score, block, n))
    });
    let name = last(row.line, symbol.span.start).or_else(|| {
        in_blocks.find_map(|r| (r.row.kind == RowKind::Chords).then(|| last(r.line, u32::MAX))?)
    });
    let title = |name: &str| format!("Write {name}, the chord before");
    match name {
        Some(name) => {
            let text = vec![name.as_str(); usize::from(times.max(1))].join(" | ");
            Some(Draft::of_line(title(&name), case.finding.line, fitted(case, vec![(symbol.span, text)])))
        }
        None if times <= 1 => {
            let gone = with_blanks(case.line, symbol.span);
            Some(Draft::of_line(
                "Leave the bar blank",
                case.finding.line,
                fitted(case, vec![(gone, " ".to_owned())]),
            ))
        }
        None => None,
    }
}
