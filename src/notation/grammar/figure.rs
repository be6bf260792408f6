//! Figures: when things happen.

use super::instruction::instruction;
use super::list::{again, free_word, quoted};
use super::marks::times;
use super::timing::{Length, length, value_of};
use super::unread;
use super::words::{blank, gap, kind, shown, whole};
use super::{Reads, Sheet, here};
use crate::notation::fault::{Fault, FaultName, Fix};
use crate::notation::pairing::separates;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{FigureNode, Item, Place, PlaceKind, RowKind, What};
use chumsky::error::EmptyErr;
use chumsky::prelude::*;

/// Largest number in a tuplet.
pub const TUPLET: std::ops::RangeInclusive<u32> = 1..=64;

/// The figure of a bar, up to its colon.
pub fn figure<'t>() -> impl Reads<'t, ()> {
    let early =
        choice((instruction(), quoted(), free_word())).map_with(|item: Item, e| early(item, e.state()));
    empty().foldl_with(
        choice((gap(), plain_place(), place(), open(), close(), early, bad())).repeated(),
        |(), (), _| (),
    )
}

/// Words, dynamics and instructions of a bar with a figure belong behind its colon.
fn early(item: Item, sheet: &mut Sheet<'_>) {
    let said = item.span.of(sheet.text).to_owned();
    let text = format!("`{}` belongs behind the colon; before it stands the figure.", shown(&said));
    let mut fault = Fault::new(FaultName::Unreadable, item.span, text);
    let from = sheet.tokens.partition_point(|t| t.span.end <= item.span.end);
    let rest = sheet.tokens.get(from..).unwrap_or(&[]);
    if let Some(colon) = rest.iter().find(|t| t.kind == Kind::FigureColon) {
        let blank = rest.first().filter(|t| t.kind == Kind::Blank).map_or(item.span.end, |t| t.span.end);
        let at = Span::new(colon.span.end, colon.span.end);
        let edits = vec![(Span::new(item.span.start, blank), String::new()), (at, format!(" {said}"))];
        fault.fix = Some(Fix { title: "Move it behind the colon".to_owned(), edits });
    }
    sheet.push(fault);
    sheet.items.push(item);
}

/// The places of a bar of the rhythm row, with what concerns everybody between them.
pub fn rhythm_bar<'t>() -> impl Reads<'t, ()> {
    let free = choice((instruction(), quoted(), again())).map_with(|item: Item, e| free(item, e.state()));
    empty().foldl_with(
        choice((gap(), plain_place(), place(), open(), close(), free, bad())).repeated(),
        |(), (), _| (),
    )
}

fn free(mut item: Item, sheet: &mut Sheet<'_>) {
    item.after = sheet.nodes_of_bar();
    sheet.items.push(item);
}

/// A value with nothing behind it, as most are.
fn plain_place<'t>() -> impl Reads<'t, ()> {
    custom(|inp| {
        let token: Option<Token> = inp.next();
        let alone = inp.peek().is_none_or(|next: Token| separates(next.kind));
        let sheet: &mut Sheet<'t> = inp.state();
        let value = token.filter(|t| alone && t.kind == Kind::Word).and_then(|t| value_of(t.of(sheet.text)));
        let (Some(token), Some(value)) = (token, value) else { return Err(EmptyErr::default()) };
        let (kind, times) = (PlaceKind::Entry, 1);
        sheet.place(Place { span: token.span, value, plain: true, kind, fermata: false, times });
        Ok(())
    })
}

fn place<'t>() -> impl Reads<'t, ()> {
    let takes = choice((
        kind(Kind::Minus).to(PlaceKind::Silence),
        kind(Kind::Equals).to(PlaceKind::Hold),
        empty().to(PlaceKind::Entry),
    ));
    let fermata = kind(Kind::Technique).or_not().map_with(|token, e| match token {
        None => false,
        Some(token) => only_fermata(token, e.state()),
    });
    length().then(takes).then(fermata).then(times()).map_with(
        |(((length, kind), fermata), times): (((Length, PlaceKind), bool), u16), e| {
            let span = here(e);
            let sheet: &mut Sheet<'t> = e.state();
            sheet.place(Place { span, value: length.value, plain: length.plain, kind, fermata, times });
        },
    )
}

fn only_fermata(token: Token, sheet: &mut Sheet<'_>) -> bool {
    if token.of(sheet.text) == ":fermata" {
        return true;
    }
    let text = format!(
        "A place of a figure may carry `:fermata` only; `{}` belongs to a note, or a blank is missing behind the figure's colon.",
        token.of(sheet.text)
    );
    sheet.spoil(Fault::new(FaultName::Unreadable, token.span, text));
    false
}

fn open<'t>() -> impl Reads<'t, ()> {
    let ratio = kind(Kind::Number).then(kind(Kind::Colon).ignore_then(kind(Kind::Number)).or_not());
    kind(Kind::BraceOpen).then(blank().ignore_then(ratio).or_not()).map_with(|(brace, ratio), e| {
        let span = here(e);
        let sheet: &mut Sheet<'t> = e.state();
        let (count, normal) = match ratio {
            Some((a, Some(b))) => (in_tuplet(a, sheet), in_tuplet(b, sheet)),
            Some((a, None)) => {
                let count = in_tuplet(a, sheet);
                let usual = usual_normal(count);
                let text = format!("A tuplet says how many stand in the time of how many, such as `{{{count}:{usual} …}}`.");
                let at = Span::new(a.span.end, a.span.end);
                let fault = Fault::new(FaultName::Unreadable, a.span, text);
                sheet.spoil(fault.fixed_by(format!("Write {count}:{usual}"), at, format!(":{usual}")));
                (count, usual)
            }
            None => {
                sheet.spoil(Fault::new(
                    FaultName::Unreadable,
                    brace.span,
                    "A tuplet begins with how many stand in the time of how many: `{3:2 e e e}` is three in the time of two.",
                ));
                (1, 1)
            }
        };
        sheet.nodes.push(FigureNode::Open { count, normal, span });
    })
}

/// What a tuplet of so many usually stands in the time of: the power of two below (common practice).
fn usual_normal(count: u16) -> u16 {
    match count {
        0..=2 => count + 1,
        _ => 1 << (15 - (count - 1).leading_zeros()),
    }
}

fn in_tuplet(token: Token, sheet: &mut Sheet<'_>) -> u16 {
    match whole(token, sheet.text).filter(|n| TUPLET.contains(n)) {
        Some(n) => n as u16,
        None => {
            let text = format!(
                "The numbers of a tuplet are whole, from {} to {}: `{{3:2 …}}` is three in the time of two.",
                TUPLET.start(),
                TUPLET.end()
            );
            sheet.spoil(Fault::new(FaultName::BadNumber, token.span, text));
            1
        }
    }
}

fn close<'t>() -> impl Reads<'t, ()> {
    kind(Kind::BraceClose).then(times()).map_with(|(_, times), e| {
        let span = here(e);
        let sheet: &mut Sheet<'t> = e.state();
        let empty = matches!(sheet.nodes.last(), Some(FigureNode::Open { .. }));
        if empty && sheet.nodes_of_bar() > 0 && !sheet.bar.faulty {
            sheet.spoil(Fault::new(
                FaultName::Unreadable,
                span,
                "This tuplet is empty; values stand between its braces.",
            ));
        }
        sheet.nodes.push(FigureNode::Close { times, span });
    })
}

/// What is no place: whatever touches it is read with it.
fn bad<'t>() -> impl Reads<'t, ()> {
    let first = any().filter(|t: &Token| {
        !t.kind.is_barline() && !matches!(t.kind, Kind::Comment | Kind::Beyond | Kind::FigureColon)
    });
    let rest = any().filter(|t: &Token| !separates(t.kind)).repeated();
    // In a rhythm row nothing follows the places, so that a colon there is as strange as anything else.
    let colon = kind(Kind::FigureColon).try_map_with(|t, e| {
        let sheet: &mut Sheet<'t> = e.state();
        if sheet.kind == RowKind::Rhythm { Ok(t) } else { Err(Default::default()) }
    });
    choice((first, colon)).then(rest).map_with(|_, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        if let Some(fault) = unread::in_figure(sheet, range.start, range.end) {
            sheet.push(fault);
        }
        sheet.bar.faulty = true;
        let span: Span = sheet.bytes(range);
        let item = Item { span, what: What::Bad, marks: Default::default(), times: 1, after: 0 };
        if sheet.kind == RowKind::Rhythm {
            free(item, sheet);
        }
    })
}
