//! What the words of the command line ask of a score.

use super::{What, Where};
use crate::assist::rewrite::{Rewrite, Selected};
use crate::exchange::part::find_player;
use crate::music::{Interval, Key, Mode};
use crate::notation::Span;
use crate::notation::tree::{Basis, LineTree};
use crate::rules::Desk;

/// The blocks to go through one after the other; one round where it is about the whole score.
pub fn parts(desk: &Desk, what: &What) -> Result<Vec<usize>, String> {
    let place = match what {
        What::Up { place, .. } | What::Down { place, .. }
            if place.bars.is_none() && place.player.is_none() =>
        {
            return Ok(vec![0]);
        }
        What::Up { place, .. }
        | What::Down { place, .. }
        | What::Own { place }
        | What::Share { place }
        | What::Expand { place } => place,
        _ => return Ok(vec![0]),
    };
    if let Some(player) = &place.player {
        find_player(desk.score(), player).map_err(|why| why.to_string())?;
    }
    let blocks = &desk.score().blocks;
    Ok((0..blocks.len()).filter(|b| bars_in(desk, *b, place).is_some()).collect())
}

/// The bars of a block that are meant, from 0.
fn bars_in(desk: &Desk, block: usize, place: &Where) -> Option<(u32, u32)> {
    let frame = &desk.score().blocks.get(block)?.frame;
    let last = i64::from(frame.bars) - 1;
    let (from, to) = place.bars.unwrap_or((frame.first_bar, frame.first_bar + last));
    let (from, to) = ((from - frame.first_bar).max(0), (to - frame.first_bar).min(last));
    Some((u32::try_from(from).ok()?, u32::try_from(to).ok()?)).filter(|(from, to)| from <= to)
}

fn selected(desk: &Desk, block: usize, place: &Where) -> Result<Option<Selected>, String> {
    let Some(bars) = bars_in(desk, block, place) else { return Ok(None) };
    let player = match &place.player {
        Some(name) => {
            let index = find_player(desk.score(), name).map_err(|why| why.to_string())?;
            desk.score().head.players.get(index).map(|p| p.id.clone())
        }
        None => None,
    };
    Ok(Selected::bars(desk, block, bars, player.as_deref()))
}

/// What is meant of one of the parts; nothing where the part has no such bars.
pub fn rewrite(desk: &Desk, what: &What, part: usize) -> Result<Option<Rewrite>, String> {
    Ok(Some(match what {
        What::Concert => Rewrite::Pitch(Basis::Concert),
        What::Written => Rewrite::Pitch(Basis::Written),
        What::Up { interval, place } => return moved(desk, size(interval)?, place, part),
        What::Down { interval, place } => return moved(desk, size(interval)?.inverse(), place, part),
        What::Key { tonic } => Rewrite::Transpose(to_key(desk, tonic)?),
        What::Own { place } => return Ok(selected(desk, part, place)?.map(Rewrite::OwnFigures)),
        What::Share { place } => return Ok(selected(desk, part, place)?.map(Rewrite::SharedFigures)),
        What::Phrase { name, place } => phrase(desk, name, place)?,
        What::Inline { phrase } => inline(desk, phrase)?,
        What::Expand { place } => return expand(desk, part, place),
        What::Split { bar } => {
            let (block, at) = block_of(desk, *bar)?;
            Rewrite::Split(block, at)
        }
        What::Join { bar } => match block_of(desk, *bar)? {
            (0, 0) => return Err(format!("no block stands before bar {bar}")),
            (block, 0) => Rewrite::Join(block - 1),
            _ => return Err(format!("no block begins at bar {bar}")),
        },
        What::Renumber { from } => Rewrite::Renumber(*from),
        What::Instrument { player, instrument } => {
            let index = find_player(desk.score(), player).map_err(|why| why.to_string())?;
            Rewrite::Instrument(index, instrument.join(" "))
        }
        What::Double => Rewrite::Values { double: true },
        What::Halve => Rewrite::Values { double: false },
    }))
}

fn size(text: &str) -> Result<Interval, String> {
    Interval::parse(text)
        .filter(|i| *i != Interval::UNISON)
        .ok_or_else(|| format!("\"{text}\" is no interval; write m2, M2, m3, P4, P5, P8 and so on"))
}

fn moved(desk: &Desk, by: Interval, place: &Where, part: usize) -> Result<Option<Rewrite>, String> {
    if place.bars.is_none() && place.player.is_none() {
        return Ok(Some(Rewrite::Transpose(by)));
    }
    Ok(selected(desk, part, place)?.map(|some| Rewrite::TransposeSelected(some, by)))
}

/// The smaller of the two ways from the score's first key to one with this tonic.
fn to_key(desk: &Desk, tonic: &str) -> Result<Interval, String> {
    let wanted =
        Key::parse(tonic, Mode::Major).ok_or_else(|| format!("\"{tonic}\" is no key; write C, Bb or F#"))?;
    let now = desk.score().blocks.iter().find_map(|b| b.frame.key);
    let now = now.ok_or("the score names no key that could become another")?;
    let pitch = |key: Key, octave| crate::music::Pitch { step: key.step, alter: key.alter, octave };
    let ways = [3, 4, 5].map(|octave| Interval::between(pitch(now, 4), pitch(wanted, octave)));
    let nearest = ways.into_iter().min_by_key(|i| (i.semitones.abs(), i.steps.abs()));
    let nearest = nearest.filter(|i| *i != Interval::UNISON);
    nearest.ok_or_else(|| format!("the score is in {now} already"))
}

/// The block that holds a bar, and the bar in it, from 0.
fn block_of(desk: &Desk, bar: i64) -> Result<(usize, u32), String> {
    let found = desk.score().blocks.iter().enumerate().find_map(|(at, placed)| {
        let inside = u32::try_from(bar - placed.frame.first_bar).ok()?;
        (inside < placed.frame.bars).then_some((at, inside))
    });
    found.ok_or_else(|| format!("there is no bar {bar}"))
}

fn phrase(desk: &Desk, name: &str, place: &Where) -> Result<Rewrite, String> {
    let Some((from, to)) = place.bars.filter(|_| place.player.is_some()) else {
        return Err("a phrase is made of some bars of one player: --bars and --player are needed".to_owned());
    };
    let (block, _) = block_of(desk, from)?;
    if block_of(desk, to)?.0 != block {
        return Err("the bars of a phrase stand in one block".to_owned());
    }
    let mut some = selected(desk, block, place)?.ok_or("that player has no row there")?;
    // Of several rows of a player, the one that says something there.
    if some.rows.len() > 1 {
        some.rows.retain(|r| !r.items.is_empty());
    }
    Ok(Rewrite::Extract(some, name.to_owned()))
}

fn inline(desk: &Desk, phrase: &str) -> Result<Rewrite, String> {
    let lines = &desk.score().head.lines;
    let named = |line: &crate::notation::line::Line| match &line.tree {
        LineTree::Phrase(tree) => tree.id.is_some_and(|id| id.of(&line.text) == phrase),
        _ => false,
    };
    let found = lines.iter().position(|l| named(l));
    let found = found.ok_or_else(|| format!("this score has no phrase \"{phrase}\" of its own"))?;
    Ok(Rewrite::InlineAll(found as u32))
}

fn expand(desk: &Desk, part: usize, place: &Where) -> Result<Option<Rewrite>, String> {
    let Some(placed) = desk.score().blocks.get(part) else { return Ok(None) };
    let whole = place.bars.is_none() && place.player.is_none();
    let lines: Vec<(u32, Span)> = if whole {
        let rows = placed.read.block.rows.iter();
        rows.map(|r| (placed.line + r.line, Span::new(0, u32::MAX))).collect()
    } else {
        let Some(some) = selected(desk, part, place)? else { return Ok(None) };
        let span = |row: &crate::assist::rewrite::SelectedRow| {
            let line = placed.read.block.text.lines.get(row.line as usize)?;
            let LineTree::Row(tree) = &line.tree else { return None };
            let (first, last) = (tree.bars.get(row.sources.0)?, tree.bars.get(row.sources.1)?);
            Some((placed.line + row.line, Span::new(first.span.start, last.span.end)))
        };
        some.rows.iter().filter_map(span).collect()
    };
    Ok(Some(Rewrite::Expand(lines)))
}
