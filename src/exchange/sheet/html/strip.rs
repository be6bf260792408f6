//! The strip of a player in the overview, and the rehearsal marks above all strips.

use super::escape::{escaped, number, short, shortened};
use super::room::{Anchor, BOLD, OVER, Room};
use crate::assist::sheet::{PlayerSheet, Sheet};
use crate::exchange::sheet::words;
use std::fmt::Write as _;

/// Width of a drawing that is stretched, in its own units.
pub const WIDE: f64 = 1000.0;

/// The strip of a player in the overview: how much of each stretch sounds, and where it is high.
pub fn strip(sheet: &Sheet, player: &PlayerSheet) -> String {
    const TALL: f64 = 30.0;
    let length = sheet.axis.length.max(f64::MIN_POSITIVE);
    let wide = |at: f64| (WIDE * at / length).clamp(0.0, WIDE);
    let (mut plain, mut high) = (String::new(), String::new());
    for cell in &player.chart.cells {
        let (from, to) = (wide(cell.from), wide(cell.to));
        let lasts = (cell.to - cell.from).max(f64::MIN_POSITIVE);
        let up = |share: f64| share.clamp(0.0, 1.0) * (TALL - 4.0);
        let (all, top) = (up(cell.playing / lasts).max(1.0), up(cell.high / lasts));
        let (from, long) = (short(from), short((to - from).max(0.5)));
        let _ = write!(plain, "M{from} {}v-{1}h{long}v{1}Z", short(TALL - 2.0), short(all));
        if top > 0.0 {
            let _ = write!(high, "M{from} {}v{1}h{long}v-{1}Z", short(TALL - 2.0 - all), short(top.max(1.0)));
        }
    }
    let share = player.time.as_ref().map(|time| format!(", {} of the time", words::per_cent(time.share)));
    format!(
        r#"<svg class="strip" role="img" aria-label="{} plays in {} of {} bars{}" width="100%" height="{TALL}" viewBox="0 0 {WIDE} {TALL}" preserveAspectRatio="none"><path class="ground" d="M0 28.5H{WIDE}"/><path class="plays" d="{plain}"/><path class="high" d="{high}"/></svg>"#,
        escaped(&player.id),
        player.used.playing,
        player.used.bars,
        share.unwrap_or_default(),
    )
}

/// Rehearsal marks above the strips.
pub fn strip_marks(sheet: &Sheet) -> String {
    let mut out = String::from(r#"<svg class="letters" width="100%" height="16" aria-hidden="true">"#);
    let mut room = Room::strip();
    for mark in &sheet.marks {
        let x = if sheet.axis.length > 0.0 { 100.0 * mark.at / sheet.axis.length } else { 0.0 };
        let word = shortened(&mark.name, 6);
        let Some(class) = room.take(x, Anchor::Start, BOLD, &word, OVER) else { continue };
        let _ = write!(
            out,
            r#"<text class="mark start{class}" x="{}%" y="12">{}</text>"#,
            number(x),
            escaped(&word)
        );
    }
    out + "</svg>"
}
