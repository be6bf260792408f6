//! Everybody at one look: who plays when.

use super::entries::shown;
use super::escape::name;
use super::shapes::{inline, rank, shape};
use super::strip::{strip, strip_marks};
use crate::assist::playing_time::duration;
use crate::assist::sheet::{PlayerSheet, Sheet};
use crate::exchange::sheet::words::per_cent;
use std::fmt::Write as _;

/// The table.
pub fn overview(sheet: &Sheet) -> String {
    let mut out = format!(
        r#"<section class="overview" aria-labelledby="everybody"><h2 id="everybody">Everybody</h2><table><thead><tr><th scope="col">Player</th><th scope="col" class="when">When they play{}</th><th scope="col" class="amount">Plays</th><th scope="col" class="amount wide">No rest for</th><th scope="col" class="amount wide">Up high</th><th scope="col" class="amount">Findings</th></tr></thead><tbody>"#,
        strip_marks(sheet)
    );
    for (at, player) in sheet.players.iter().enumerate() {
        out.push_str(&row(sheet, player, at + 1));
    }
    out + "</tbody></table></section>"
}

fn row(sheet: &Sheet, player: &PlayerSheet, at: usize) -> String {
    let time = player.time.as_ref();
    let used = &player.used;
    let share = match time {
        Some(time) => per_cent(time.share),
        None if used.bars > 0 => per_cent(used.playing as f64 / used.bars as f64),
        None => "–".to_owned(),
    };
    let longest = time.and_then(|t| t.longest).map_or("–".to_owned(), |l| duration(l.playing_seconds));
    let high = time.filter(|t| t.high.seconds > 0.0).map_or("–".to_owned(), |t| duration(t.high.seconds));
    let worst = shown(player).min_by_key(|f| rank(&f.finding));
    let findings = match worst {
        Some(worst) => format!("{} {}", inline(shape(&worst.finding)), shown(player).count()),
        None => "–".to_owned(),
    };
    let mut out = format!(r##"<tr><th scope="row"><a href="#p{at}">{}</a>"##, name(&player.id));
    let what = player.name.as_deref().or(player.instruments.first().map(|i| i.label.as_str()));
    if let Some(what) = what {
        let _ = write!(out, r#"<span class="more">{}</span>"#, name(what));
    }
    let _ = write!(
        out,
        r#"</th><td class="when">{}</td><td class="amount">{share}</td><td class="amount wide">{longest}</td><td class="amount wide">{high}</td><td class="amount">{findings}</td></tr>"#,
        strip(sheet, player)
    );
    out
}
