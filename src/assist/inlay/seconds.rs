//! At the header of a block, when it is played and how long it lasts.

use super::HintKind;
use super::row::{Tell, Told};
use crate::assist::playing_time::{PlayingTimes, duration, moment};
use crate::notation::token::Kind;
use crate::rules::Desk;
use crate::score::clock::{BREAK_SECONDS, Clock, FERMATA_SECONDS};

/// The hint behind a header; none where no tempo is known.
pub fn hint(desk: &Desk, clock: &Clock, block: usize, tell: Tell<'_>) -> bool {
    let Some(placed) = desk.score().blocks.get(block) else { return true };
    let Some(header) = placed.read.block.text.lines.first() else { return true };
    let Some(time) = PlayingTimes::of(desk.score(), clock).block(block) else { return true };
    let told = header.tokens.iter().rev().find(|t| !matches!(t.kind, Kind::Blank | Kind::Comment));
    let byte = told.map_or(0, |t| t.span.end);
    let reason = || {
        let begins: Vec<String> = time.begins.iter().map(|at| moment(*at)).collect();
        let from = match begins.as_slice() {
            [] => "The road map never comes here.".to_owned(),
            all => format!("Begins at {} (minutes and seconds from the beginning).", all.join(", ")),
        };
        format!(
            "{from} Lasts {}; a fermata counts for {FERMATA_SECONDS} s more, a break for {BREAK_SECONDS} s (estimates).",
            duration(time.lasts)
        )
    };
    tell(&Told { byte, kind: HintKind::Seconds, label: time.words(), reason: &reason })
}
