//! Rows of several players written out first, where somebody of them is to play something else.

use super::line::covering;
use super::{Declined, Handed, finish};
use crate::assist::cure::Trial;
use crate::assist::line_hunks;
use crate::assist::rows::{same_music, write_out_row};
use crate::rules::Desk;
use crate::section::Stretch;

/// Rows that are written out for one change.
const MOST_ROWS: usize = 4;

/// A change made after the rows on which these players stand with others were written out; `moved` are the players
/// whose notes of the stretch go, each with whoever has them then.
pub fn apart(
    desk: &Desk,
    stretch: &Stretch,
    moved: &[(usize, Option<usize>)],
    change: &dyn Fn(&Desk) -> Result<Handed, Declined>,
) -> Result<Handed, Declined> {
    let players: Vec<usize> = moved.iter().flat_map(|(from, to)| [Some(*from), *to]).flatten().collect();
    let mut now: Option<Desk> = None;
    let mut names = Vec::new();
    for _ in 0..MOST_ROWS {
        let Some((name, written)) = one(now.as_ref().unwrap_or(desk), stretch, &players)? else { break };
        names.push(name);
        now = Some(written);
    }
    let now = now.ok_or(Declined::SharedRow)?;
    let changed = change(&now)?;
    let after = changed.trial.desk();
    let placed = desk.score().blocks.get(stretch.block).ok_or(Declined::Unread)?;
    let then = after.score().blocks.get(stretch.block).ok_or(Declined::Unread)?;
    let old: Vec<&str> = placed.read.block.text.lines.iter().map(|l| &*l.text).collect();
    let new: Vec<&str> = then.read.block.text.lines.iter().map(|l| &*l.text).collect();
    let edits = line_hunks::edits(desk, placed.line, &old, &new).ok_or(Declined::Unread)?;
    let handed = finish(desk, vec![edits], stretch, moved)?;
    let others = |player: usize| !players.contains(&player);
    if !same_music(desk, handed.trial.desk(), stretch.block, &others) {
        return Err(Declined::Otherwise);
    }
    Ok(Handed { written_out: names, ..handed })
}

/// The first of the rows in question, by name, and the text with it written out.
fn one(desk: &Desk, stretch: &Stretch, players: &[usize]) -> Result<Option<(String, Desk)>, Declined> {
    for player in players {
        let rows = covering(desk, stretch, *player)?;
        let Some(row) = rows.iter().find(|r| r.players().len() > 1) else { continue };
        let first = row.tree.names.first().ok_or(Declined::Unread)?;
        let last = row.tree.names.last().ok_or(Declined::Unread)?;
        let name = row.text(first.to(*last)).to_owned();
        let edits = write_out_row(desk, row).ok_or(Declined::SharedRow)?;
        let trial = Trial::of(desk, &edits).ok_or(Declined::Unread)?;
        return Ok(Some((name, trial.into_desk())));
    }
    Ok(None)
}
