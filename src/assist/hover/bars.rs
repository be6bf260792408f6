//! What stands for whole bars: rests, repeats, phrases, improvisation.

use super::telling::Telling;
use super::{Asked, Hover, chord, length, phrase, time};
use crate::assist::glossary::{Class, meaning};
use crate::notation::tree::{Item, Row, What};
use crate::score::row::{Cell, Content};

/// Tells of `rest 8`, `%`, `play riff` or `improvise 8`.
pub fn told(asked: Asked<'_>, row: &Row, index: usize, item: &Item) -> Option<Hover> {
    let (block, placed, below) = asked.block()?;
    let at = placed.read.block.rows.iter().position(|r| r.line == below)?;
    let cells: Vec<Cell> = placed.read.rows.get(at).and_then(|r| r.as_ref()).map_or_else(Vec::new, |read| {
        read.cells.iter().filter(|c| c.source as usize == index).copied().collect()
    });
    let first = cells.first().map(|c| c.bar).or_else(|| length::bar_of(placed, below, row, index));
    let count = match item.what {
        What::Rests(n) | What::Again(n) | What::Improvise(n) => u32::from(n.max(1)),
        _ => cells.len().max(1) as u32,
    };
    let bars = if count == 1 { "one bar".to_owned() } else { format!("{count} bars") };
    let (title, word) = match item.what {
        What::Rests(_) => (format!("Rest for {bars}"), "rest"),
        What::Again(_) => (format!("The bar before again, {bars}"), "%"),
        What::Improvise(_) => (format!("Improvised for {bars}"), "improvise"),
        _ => (format!("Plays a phrase, {bars}"), "play"),
    };
    let mut telling = Telling::new(title);
    telling.text(meaning(Class::Bars, word).unwrap_or(""));
    if let Some(first) = first {
        let number = placed.frame.first_bar + i64::from(first);
        let numbers = if count == 1 {
            format!("bar {number}")
        } else {
            format!("bars {number}–{}", number + i64::from(count) - 1)
        };
        telling.fact("Bars", numbers);
        telling.fact(
            "Lasts",
            length::seconds_of(asked, block, first, count).map(time::seconds).unwrap_or_default(),
        );
        if matches!(item.what, What::Improvise(_)) {
            chord::over(asked, block, first, count, &mut telling);
        }
    }
    match item.what {
        What::Again(_) => again(asked, row, &cells, &mut telling),
        What::Play(play) => {
            phrase::played(asked, block, below, row.plays.get(play as usize)?, item, &mut telling)
        }
        _ => {}
    }
    Some(telling.hover(asked.place.line, item.span))
}

/// What `%` repeats.
fn again(asked: Asked<'_>, row: &Row, cells: &[Cell], telling: &mut Telling) {
    let Some((_, placed, below)) = asked.block() else { return };
    let at = placed.read.block.rows.iter().position(|r| r.line == below);
    let read = at.and_then(|at| placed.read.rows.get(at)).and_then(|r| r.as_ref());
    let Some(Content::Entries { items, .. }) = cells.first().map(|c| c.content) else { return };
    let Some(source) = row.bars.get(items as usize) else { return };
    let bar = read.and_then(|r| r.cells.iter().find(|c| c.source == items)).map(|c| c.bar);
    let number = bar.map_or_else(String::new, |b| format!("bar {}: ", placed.frame.first_bar + i64::from(b)));
    telling.fact("Repeats", format!("{number}{}", asked.text(source.span).trim()));
}
