//! Text parts: what one player reads, as a score of its own.
//!
//! The text is a complete score with this player alone, laid out as `tidy` lays out. Its pitches are
//! written for the instrument in hand; keys and chord symbols stay concert pitch, as everywhere in the
//! notation. Read again, it gives the player the same notes at the same time: the same sound, dynamics,
//! mutes and seconds, fermatas and breaks of others included. The part of such a part is the same text.
//!
//! Two things cannot be said. A break of others while this player improvises is left out. Where one bar is
//! played on another instrument in a later pass (a `[switch]` inside a repeat that is not taken back), the
//! part is written for the first pass.

mod allow;
mod bar;
mod cell;
mod chords;
mod deal;
mod figure;
mod head;
mod marks;
mod pauses;
mod rhythm;
pub(super) mod ruled;
mod stretch;
mod translate;
mod who;

pub use who::{NoPlayer, find_player};

use crate::notation::Document;
use crate::notation::layout::tidied;
use crate::rules::Desk;
use crate::score::clock::Clock;
use bar::Content;
use stretch::{Stretch, stretches};

/// The part of a player, by index into the score's players; of nobody, a head without a player.
pub fn part(desk: &Desk, player: usize) -> String {
    part_timed(desk, &Clock::of(desk.score()), player)
}

/// The same, with the score's time worked out before.
pub fn part_timed(desk: &Desk, clock: &Clock, player: usize) -> String {
    let mut lines = head::lines(desk, player);
    if let Some(id) = desk.score().head.players.get(player).map(|p| p.id.clone()) {
        for stretch in stretches(desk, clock, player, id.chars().count()) {
            block(&stretch, &id, &mut lines);
        }
    }
    while lines.last().is_some_and(String::is_empty) {
        lines.pop();
    }
    lines.push(String::new());
    tidied(Document::new(&lines.join("\n")).lines())
}

fn block(stretch: &Stretch, id: &str, lines: &mut Vec<String>) {
    lines.push(
        std::iter::once(format!("bar {}", stretch.number))
            .chain(stretch.settings.iter().cloned())
            .collect::<Vec<_>>()
            .join("  "),
    );
    if !stretch.allows.is_empty() {
        lines.push(format!("allow {}", stretch.allows.join(" ")));
    }
    if stretch.bars.iter().any(|b| b.what == Content::Improvised) {
        lines.extend(row("chords", &stretch.chords));
    }
    lines.extend(row("rhythm", &stretch.shared));
    lines.extend(row("rhythm", &stretch.waits));
    if !stretch.bars.is_empty() {
        let cells: Vec<String> = stretch.cells().into_iter().map(|cell| cell.text).collect();
        lines.extend(row(id, &cells));
    }
    lines.push(String::new());
}

/// A row up to its last bar that says something; none if no bar does.
fn row(name: &str, cells: &[String]) -> Option<String> {
    let last = cells.iter().rposition(|cell| !cell.is_empty())?;
    let bars = cells.get(..=last)?.iter().map(|cell| format!(" {cell} |")).collect::<String>();
    Some(format!("{name} |{bars}"))
}
