//! Rows: rhythm, chords, music, and the bars of a phrase.

use super::bars::{chord_bars, music_bars, rhythm_bars};
use super::words::{blank, gap, is_id, kind, name, read_in, shown, tail, word};
use super::{Reads, Sheet, here, run};
use crate::notation::fault::{Fault, FaultName};
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{LineTree, PhraseLine, ReadIn, Row, RowKind};
use chumsky::prelude::*;

/// Reads a rhythm, chords or music row.
pub fn read(kind: RowKind, sheet: &mut Sheet<'_>) -> Option<LineTree> {
    sheet.kind = kind;
    let names = match kind {
        RowKind::Rhythm => {
            run(keyword("rhythm").then(rhythm_bars()).then(tail()).map(|_| Vec::new()), sheet)?
        }
        RowKind::Chords => run(keyword("chords").then(chord_bars()).then(tail()).map(|_| Vec::new()), sheet)?,
        RowKind::Music => run(names().then(music_bars()).then(tail()).map(|((names, ()), ())| names), sheet)?,
    };
    if kind == RowKind::Music && names.is_empty() && sheet.faults.is_empty() {
        let first = sheet.tokens.iter().find(|t| t.kind.is_barline()).map_or(Span::default(), |t| t.span);
        let text = "A row begins with the name of the player, group or players it is for.";
        sheet.fault(FaultName::UnknownPlayer, first, text);
    }
    Some(LineTree::Row(Box::new(row(names, sheet))))
}

/// Reads a phrase.
pub fn read_phrase(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    sheet.kind = RowKind::Music;
    sheet.phrase = true;
    let key = gap().ignore_then(read_in()).or_not();
    let head = blank().ignore_then(word("phrase")).then(gap().ignore_then(id()).or_not()).then(key);
    let head = head.then(head_junk()).map_with(|(((word, id), read_in), _), e| {
        if id.is_none() {
            e.state().fault(FaultName::Unreadable, word.span, "A phrase has a name: `phrase riff | … |`.");
        }
        (id, read_in)
    });
    let (id, read_in): (Option<Span>, Option<Option<ReadIn>>) =
        run(head.then(music_bars()).then(tail()).map(|((head, ()), ())| head), sheet)?;
    let row = row(Vec::new(), sheet);
    Some(LineTree::Phrase(Box::new(PhraseLine { id, read_in: read_in.flatten(), row })))
}

/// A name that is checked to be one.
pub fn id<'t>() -> impl Reads<'t, Span> {
    name().map_with(|span, e| {
        let sheet: &mut Sheet<'t> = e.state();
        check_id(span, sheet);
        span
    })
}

/// Faults for a name that is none.
pub fn check_id(span: Span, sheet: &mut Sheet<'_>) {
    let said = span.of(sheet.text);
    if crate::notation::line::LINE_WORDS.contains(&said) {
        let text = format!("`{said}` begins a kind of line and cannot be a name.");
        sheet.fault(FaultName::Unreadable, span, text);
    } else if !is_id(said) {
        let text = format!("`{}` is no name: a letter, then letters, digits or `_`.", shown(said));
        sheet.fault(FaultName::Unreadable, span, text);
    }
}

fn keyword<'t>(said: &'static str) -> impl Reads<'t, ()> {
    blank().ignore_then(word(said)).then(head_junk()).map(|_| ())
}

/// What stands before the first barline and is no name.
fn head_junk<'t>() -> impl Reads<'t, ()> {
    let other =
        any().filter(|t: &Token| !t.kind.is_barline() && !matches!(t.kind, Kind::Comment | Kind::Beyond));
    other.repeated().map_with(|(), e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        if let Some(span) = super::words::trimmed(sheet, range.start, range.end) {
            let bars = sheet.tokens.iter().any(|t| t.kind.is_barline());
            let text = if bars {
                format!("`{}` does not belong before the first barline.", shown(span.of(sheet.text)))
            } else {
                "The bars of a row stand between barlines: `| … | … |`.".to_owned()
            };
            sheet.fault(FaultName::Unreadable, span, text);
        }
    })
}

fn names<'t>() -> impl Reads<'t, Vec<Span>> {
    let stops =
        |t: &Token| !t.kind.is_barline() && !matches!(t.kind, Kind::Blank | Kind::Comment | Kind::Beyond);
    let boundary = any().filter(stops).not();
    let good = name().then_ignore(boundary).map_with(|span, e| {
        let sheet: &mut Sheet<'t> = e.state();
        check_id(span, sheet);
        Some(span)
    });
    let comma = name().then(any().filter(|t: &Token| matches!(t.kind, Kind::Comma | Kind::Commas)));
    let comma = comma.then_ignore(boundary).map_with(|(span, comma), e| {
        let fault =
            Fault::new(FaultName::Unreadable, comma.span, "Names are parted by blanks here, not by commas.");
        e.state().push(fault.fixed_by("Take the comma away", comma.span, ""));
        Some(span)
    });
    let bad = any().filter(stops).repeated().at_least(1).map_with(|(), e| {
        let span = here(e);
        let sheet: &mut Sheet<'t> = e.state();
        let text = format!(
            "`{}` is no name of a player: a letter, then letters, digits or `_`, with blanks between names.",
            shown(span.of(sheet.text))
        );
        sheet.fault(FaultName::UnknownPlayer, span, text);
        None
    });
    let element = choice((kind(Kind::Blank).to(None), good, comma, bad));
    empty().to(Vec::new()).foldl_with(element.repeated(), |mut names: Vec<Span>, name: Option<Span>, _| {
        names.extend(name);
        names
    })
}

fn row(names: Vec<Span>, sheet: &mut Sheet<'_>) -> Row {
    let last = sheet.tokens.iter().rev().find(|t| !matches!(t.kind, Kind::Blank | Kind::Comment));
    let barlines = sheet.tokens.iter().filter(|t| t.kind.is_barline()).take(2).count();
    let beyond = last.is_some_and(|t| t.kind == Kind::Beyond);
    let closed = barlines >= 2 && last.is_some_and(|t| t.kind.is_barline());
    if let Some(last) = last.copied()
        && !closed
        && !beyond
        && barlines > 0
        && !sheet.bars.last().is_some_and(|bar| bar.faulty)
    {
        let at = Span::new(last.span.end, last.span.end);
        let text = "The last barline of this row is missing.";
        sheet.push(Fault::new(FaultName::Unclosed, last.span, text).fixed_by("Close the row", at, " |"));
    }
    Row {
        kind: sheet.kind,
        names: names.into(),
        bars: std::mem::take(&mut sheet.bars).into(),
        nodes: std::mem::take(&mut sheet.nodes).into(),
        items: std::mem::take(&mut sheet.items).into(),
        members: std::mem::take(&mut sheet.members).into(),
        symbols: std::mem::take(&mut sheet.symbols).into(),
        plays: std::mem::take(&mut sheet.plays).into(),
        switches: std::mem::take(&mut sheet.switches).into(),
        tempos: std::mem::take(&mut sheet.tempos).into(),
        closed,
    }
}
