//! A score from concert to written pitch, or back.

use super::draft::Draft;
use super::faults::sound_everywhere;
use super::hands::readings;
use super::pitch::{Change, View};
use super::{Refusal, numbered};
use crate::music::Interval;
use crate::notation::Span;
use crate::notation::tree::{Basis, LineTree, RowKind};
use crate::rules::Desk;

/// The whole score read the other way.
pub fn draft<'a>(desk: &'a Desk, to: Basis) -> Result<Draft<'a>, Refusal> {
    let score = desk.score();
    if score.head.basis == to {
        return Err(Refusal::new(match to {
            Basis::Concert => "the score is at concert pitch already",
            Basis::Written => "the score is at written pitch already",
        }));
    }
    sound_everywhere(desk)?;
    let mut draft = Draft::of(desk);
    head(desk, to, &mut draft)?;
    for block in 0..score.blocks.len() {
        of_block(desk, block, to, &mut draft)?;
    }
    Ok(draft)
}

/// The line that says how pitches are meant. One that had to be put in stands at the very top, and one that
/// stands there goes again.
fn head(desk: &Desk, to: Basis, draft: &mut Draft<'_>) -> Result<(), Refusal> {
    let lines = &desk.score().head.lines;
    let known = lines.iter().rposition(|l| matches!(l.tree, LineTree::Basis(Some(_))));
    let version = lines.iter().position(|l| matches!(l.tree, LineTree::Version(_)));
    let top = version.map_or(0, |at| at + 1);
    match (known, to) {
        (Some(at), Basis::Concert) if at == top => draft.remove(at as u32),
        (Some(at), _) => {
            let Some(line) = lines.get(at) else { return Ok(()) };
            let (old, new) = match to {
                Basis::Concert => ("written", "concert"),
                Basis::Written => ("concert", "written"),
            };
            let found = line.text.find(old).ok_or_else(|| Refusal::new("the pitch line cannot be read"))?;
            draft.put(at as u32, Span::new(found as u32, (found + old.len()) as u32), new);
        }
        (None, Basis::Written) => match version {
            Some(at) => draft.below(at as u32, "pitch written"),
            None => draft.above(0, "pitch written"),
        },
        // What an included file says is no line of this one.
        (None, Basis::Concert) => {
            return Err(Refusal::new("nothing in this text says that its pitch is written"));
        }
    }
    Ok(())
}

fn of_block(desk: &Desk, block: usize, to: Basis, draft: &mut Draft<'_>) -> Result<(), Refusal> {
    let score = desk.score();
    let Some(placed) = score.blocks.get(block) else { return Ok(()) };
    if !placed.read.block.rows.iter().any(|r| r.kind == RowKind::Music) {
        return Ok(());
    }
    for row in &placed.read.block.rows {
        // One row has one transposition, even where nobody plays.
        let reads = |p: &crate::score::head::Person| {
            Some(score.head.players.get(usize::from(p.player))?.instruments.first()?.instrument.reads)
        };
        let mut all = row.people.iter().filter_map(reads);
        let first = all.next();
        if all.any(|other| Some(other) != first) {
            return Err(Refusal::new(format!(
                "in the block of bar {} a row is for players who read the same note differently; give each transposition a row of its own first",
                placed.frame.first_bar
            )));
        }
    }
    let readings = readings(desk, block)?;
    let key = placed.frame.key;
    for row in placed.read.block.rows.iter().filter(|r| r.kind == RowKind::Music) {
        let Some(line) = placed.read.block.text.lines.get(row.line as usize) else { continue };
        let LineTree::Row(tree) = &line.tree else { continue };
        for (at, item) in tree.items.iter().enumerate() {
            let Some(reading) = readings.get(&(row.line, at as u32)) else { continue };
            let reads = reading.interval;
            let concert = View { sounds: Interval::UNISON, key, basis: Basis::Concert };
            let written = View { sounds: reads, key, basis: Basis::Written };
            let change = match to {
                Basis::Written => Change {
                    old: concert,
                    new: written,
                    row: reads.inverse(),
                    keeps_fingerings: true,
                    names_trills: true,
                },
                Basis::Concert => Change {
                    old: written,
                    new: concert,
                    row: reads,
                    keeps_fingerings: true,
                    names_trills: true,
                },
            };
            let edits = change
                .item(line, tree, item)
                .map_err(|why| numbered(desk, block, row.line, item.span, why))?;
            draft.put_all(placed.line + row.line, edits);
        }
    }
    Ok(())
}
