//! Bars of a row: where they begin and end, and what must not stand together in one.

use super::chords::symbols;
use super::figure::{figure, rhythm_bar};
use super::list::list;
use super::unread;
use super::words::kind;
use super::{Reads, Sheet};
use crate::notation::fault::{Fault, FaultName, Fix};
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Bar, FigureNode, Item, PlaceKind, RowKind, Slice, What};
use chumsky::prelude::*;

/// Bars of a music row or phrase.
pub fn music_bars<'t>() -> impl Reads<'t, ()> {
    let plain = barline(Kind::Barline).then(list()).map(|_| ());
    let figured = barline(Kind::FigureBarline).then(figure()).then(colon()).then(list()).map(|_| ());
    all(choice((plain, figured)))
}

/// Bars of the rhythm row.
pub fn rhythm_bars<'t>() -> impl Reads<'t, ()> {
    all(choice((barline(Kind::Barline), barline(Kind::FigureBarline))).then(rhythm_bar()).map(|_| ()))
}

/// Bars of the chords row.
pub fn chord_bars<'t>() -> impl Reads<'t, ()> {
    let plain = barline(Kind::Barline).then(symbols()).map(|_| ());
    let figured = barline(Kind::FigureBarline).then(figured_symbols_with_colon()).map(|_| ());
    all(choice((plain, figured)))
}

fn figured_symbols_with_colon<'t>() -> impl Reads<'t, ()> {
    figure().then(colon()).then(symbols()).map(|_| ())
}

/// Bars one after the other; each is finished before the next begins.
fn all<'t>(bar: impl Reads<'t, ()>) -> impl Reads<'t, ()> {
    let bar = bar.map_with(|(), e| {
        let range: SimpleSpan<usize> = e.span();
        finish(range.end, e.state());
    });
    empty().foldl_with(bar.repeated(), |(), (), _| ())
}

fn barline<'t>(which: Kind) -> impl Reads<'t, ()> {
    kind(which).map_with(|t: Token, e| {
        let sheet: &mut Sheet<'t> = e.state();
        if t.span.len() > 1 {
            let text = "Barlines that touch are read as one; a blank bar has a blank between them.";
            sheet.push(Fault::new(FaultName::Unreadable, t.span, text).fixed_by(
                "Leave one barline",
                t.span,
                "|",
            ));
        }
        sheet.bar.start = t.span.end;
        sheet.bar.figure = Span::new(t.span.end, t.span.end);
        sheet.bar.has_figure = false;
        sheet.bar.nodes = sheet.nodes.len() as u32;
        sheet.bar.items =
            if sheet.kind == RowKind::Chords { sheet.symbols.len() } else { sheet.items.len() } as u32;
        sheet.bar.faulty = false;
        sheet.bar.told = false;
        sheet.bar.nested = false;
    })
}

/// The figure's colon: what stands before it in the bar is the figure.
fn colon<'t>() -> impl Reads<'t, ()> {
    kind(Kind::FigureColon).map_with(|t: Token, e| {
        let sheet: &mut Sheet<'t> = e.state();
        let before = Span::new(sheet.bar.start, t.span.start);
        let text = before.of(sheet.text);
        let lead = (text.len() - text.trim_start_matches([' ', '\t']).len()) as u32;
        let trail = (text.len() - text.trim_end_matches([' ', '\t']).len()) as u32;
        sheet.bar.figure = Span::new(
            (before.start + lead).min(before.end),
            before.end.saturating_sub(trail).max(before.start),
        );
        sheet.bar.has_figure = sheet.nodes.len() as u32 > sheet.bar.nodes;
        if !sheet.bar.has_figure && !sheet.bar.faulty {
            sheet.bar.figure = Span::new(t.span.start, t.span.start);
            sheet.spoil(Fault::new(
                FaultName::Unreadable,
                t.span,
                "Before this colon a figure is missing, such as `q q h : C5 D5 E5`.",
            ));
        }
    })
}

fn finish(end: usize, sheet: &mut Sheet<'_>) {
    let next = sheet.tokens.get(end);
    let stop = next.map_or(sheet.text.len() as u32, |t| t.span.start);
    let open = sheet.bar;
    let items = Slice {
        start: open.items,
        end: if sheet.kind == RowKind::Chords { sheet.symbols.len() } else { sheet.items.len() } as u32,
    };
    let nodes = Slice { start: open.nodes, end: sheet.nodes.len() as u32 };
    let closed = next.is_some_and(|t| t.kind.is_barline());
    let nothing = items.is_empty() && nodes.is_empty() && !open.faulty;
    // Behind the last barline nothing stands; a row of one barline has one bar that is still open.
    if !closed && nothing && !sheet.bars.is_empty() {
        return;
    }
    match sheet.kind {
        RowKind::Music => music(sheet),
        RowKind::Rhythm => rhythm(sheet),
        RowKind::Chords => {}
    }
    let mut bar = Bar {
        span: Span::new(open.start, stop),
        figure: sheet.bar.figure,
        has_figure: sheet.bar.has_figure,
        nodes,
        items,
        faulty: sheet.bar.faulty,
    };
    if sheet.kind == RowKind::Rhythm && !nodes.is_empty() {
        bar.has_figure = true;
        bar.figure = figure_span(nodes.of(&sheet.nodes)).unwrap_or(bar.figure);
    }
    sheet.bars.push(bar);
}

fn figure_span(nodes: &[FigureNode]) -> Option<Span> {
    let span = |node: &FigureNode| match node {
        FigureNode::Place(place) => place.span,
        FigureNode::Open { span, .. } | FigureNode::Close { span, .. } => *span,
    };
    Some(span(nodes.first()?).to(span(nodes.last()?)))
}

/// What a music bar's things are, counted.
#[derive(Default)]
struct Census {
    entries: usize,
    bars: usize,
    free: usize,
    bad: usize,
    grace: Option<Span>,
    lost_grace: Option<Span>,
    first_bars: Option<Span>,
    first_timed: Option<Item>,
    second_timed: Option<Span>,
    last: Option<Span>,
}

fn census(items: &[Item]) -> Census {
    let mut c = Census::default();
    for item in items {
        c.last = Some(item.span);
        match item.what {
            What::Note(_) | What::Chord(_) => {
                c.grace = None;
                c.entries += 1;
            }
            What::Rest | What::Hold => {
                c.lost_grace = c.lost_grace.or(c.grace.take());
                c.entries += 1;
            }
            What::GraceNote(_) | What::GraceChord(_) => c.grace = c.grace.or(Some(item.span)),
            what if what.is_bars() => {
                c.bars += 1;
                c.first_bars = c.first_bars.or(Some(item.span));
            }
            What::Bad => c.bad += 1,
            _ => c.free += 1,
        }
        if item.what.is_entry() || item.what.is_bars() {
            if c.first_timed.is_none() {
                c.first_timed = Some(*item);
            } else {
                c.second_timed = c.second_timed.or(Some(item.span));
            }
        }
    }
    c.lost_grace = c.lost_grace.or(c.grace);
    c
}

fn music(sheet: &mut Sheet<'_>) {
    let found = census(sheet.items_of_bar());
    let faulty = sheet.bar.faulty;
    if sheet.phrase && sheet.bars.is_empty() {
        phrase_start(&found, sheet);
    }
    if let Some(span) = found.first_bars.filter(|_| sheet.bar.has_figure) {
        let text = format!("`{}` stands for whole bars and takes no figure.", span.of(sheet.text));
        let until = Span::new(sheet.bar.figure.start, span.start);
        let colon = sheet.text.get(..span.start as usize).and_then(|t| t.rfind(':')).map(|at| at as u32 + 1);
        let until = Span::new(until.start, colon.unwrap_or(until.end).max(until.start));
        sheet.spoil(Fault::new(FaultName::Unreadable, span, text).fixed_by(
            "Take the figure away",
            until,
            "",
        ));
    } else if let (Some(span), Some(_)) = (found.first_bars, found.second_timed) {
        let text = format!(
            "`{}` stands for whole bars and is alone between its barlines; notes and rests go into bars of their own.",
            span.of(sheet.text)
        );
        let mut fault = Fault::new(FaultName::Unreadable, span, text);
        fault.fix = Some(Fix { title: "Put barlines between them".to_owned(), edits: part(span, sheet) });
        sheet.spoil(fault);
    }
    if faulty {
        return;
    }
    if let Some(span) = found.lost_grace {
        sheet.spoil(Fault::new(
            FaultName::Unreadable,
            span,
            "A grace leads to a note of the same bar; here none follows it.",
        ));
    }
    let timed = found.entries + found.bars + found.bad;
    if timed == 0 && found.lost_grace.is_none() && (found.free > 0 || sheet.bar.has_figure) {
        nothing_timed(&found, sheet);
    }
}

/// Barlines round the thing that stands for whole bars, where timed things stand beside it.
fn part(span: Span, sheet: &Sheet<'_>) -> Vec<(Span, String)> {
    let timed = |item: &&Item| item.what.is_entry() || item.what.is_bars();
    let items = sheet.items_of_bar();
    let mut edits = Vec::new();
    if items.iter().filter(timed).any(|item| item.span.end <= span.start) {
        edits.push((Span::new(span.start, span.start), "| ".to_owned()));
    }
    if items.iter().filter(timed).any(|item| item.span.start >= span.end) {
        edits.push((Span::new(span.end, span.end), " |".to_owned()));
    }
    edits
}

/// A bar of free things only, or of a figure without its notes.
fn nothing_timed(found: &Census, sheet: &mut Sheet<'_>) {
    let figure = sheet.bar.has_figure;
    let nodes = sheet.nodes.get(sheet.bar.nodes as usize..).unwrap_or(&[]);
    let one = matches!(nodes, [FigureNode::Place(p)] if p.kind == PlaceKind::Entry && p.times == 1);
    let first = sheet.items_of_bar().first().map(|i| i.span);
    let span = match (first, found.last) {
        (Some(first), Some(last)) => first.to(last),
        _ => sheet.bar.figure,
    };
    let text = if figure {
        "This bar has a figure and nothing that is played or rested."
    } else {
        "This bar has words or dynamics and nothing that is played or rested; a bar's rest is `-`."
    };
    let mut fault = Fault::new(FaultName::PlaceCount, span, text);
    if !figure || one {
        let colon = Span::new(span.end, span.end);
        let at = found.last.map_or_else(|| after_colon(sheet, colon), |last| Span::new(last.end, last.end));
        fault = fault.fixed_by("Add a rest", at, " -");
    }
    sheet.spoil(fault);
}

/// The place behind the figure's colon.
fn after_colon(sheet: &Sheet<'_>, from: Span) -> Span {
    let rest = sheet.text.get(from.end as usize..).unwrap_or("");
    let at = from.end + rest.find(':').map_or(0, |at| at as u32 + 1);
    Span::new(at, at)
}

/// A phrase begins with something of its own, because nobody knows what it will follow.
fn phrase_start(found: &Census, sheet: &mut Sheet<'_>) {
    let nodes = sheet.nodes.get(sheet.bar.nodes as usize..).unwrap_or(&[]);
    let held = nodes.iter().find_map(|node| match node {
        FigureNode::Place(place) => Some((place.kind == PlaceKind::Hold).then_some(place.span)),
        _ => None,
    });
    let held = held.flatten();
    let first = found.first_timed.filter(|item| matches!(item.what, What::Hold | What::Again(_)));
    if let Some(span) = held.or(first.map(|item| item.span)) {
        let text = format!(
            "A phrase cannot begin with `{}`: nothing goes before it that could be held or repeated.",
            span.of(sheet.text)
        );
        sheet.spoil(Fault::new(FaultName::Unreadable, span, text));
    }
}

/// `%` is alone in a bar of the rhythm row.
fn rhythm(sheet: &mut Sheet<'_>) {
    let items: Vec<Item> = sheet.items_of_bar().to_vec();
    let places = sheet.nodes_of_bar() > 0;
    let mut seen = false;
    for item in items {
        let What::Again(times) = item.what else { continue };
        if places || seen {
            let text = "`%` repeats the whole figure of the bar before and stands alone in its bar.";
            sheet.spoil(Fault::new(FaultName::Unreadable, item.span, text));
        } else if times > 1 {
            let written = vec!["%"; usize::from(times)].join(" | ");
            sheet.spoil(unread::again_in_rhythm(item.span, written));
        }
        seen = true;
    }
}
