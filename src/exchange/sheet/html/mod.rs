//! The sheet as one page for a browser or a printer. It holds everything it needs, asks for nothing over a network
//! and runs no script; it is well-formed XML as well as HTML.

mod chart;
mod entries;
mod escape;
mod overview;
mod player;
mod room;
mod shapes;
mod signs;
mod strip;

use super::words;
use crate::assist::playing_time::duration;
use crate::assist::sheet::{Sheet, Unit};
use crate::rules::Severity;
use escape::{escaped, message, name};
use std::fmt::Write as _;

/// How it looks.
const STYLE: &str = include_str!("style.css");
/// Findings of no one player that are told.
const MOST_TOLD: usize = 40;

/// Five lines of a staff that are water: what the page is known by.
const WATER: &str = r#"<svg class="water" width="100%" height="46" viewBox="0 0 600 46" preserveAspectRatio="none" aria-hidden="true"><path d="M0 7q25-6 50 0t50 0 50 0 50 0 50 0 50 0 50 0 50 0 50 0 50 0 50 0 50 0M0 15q30-5 60 0t60 0 60 0 60 0 60 0 60 0 60 0 60 0 60 0 60 0M0 23q37-4 75 0t75 0 75 0 75 0 75 0 75 0 75 0 75 0M0 31q50-3 100 0t100 0 100 0 100 0 100 0 100 0M0 39h600"/></svg>"#;

/// The page.
pub fn html(sheet: &Sheet) -> String {
    let title = sheet.title.as_deref().filter(|t| !t.trim().is_empty()).unwrap_or("A score without a title");
    let mut out = String::from("<!DOCTYPE html>\n");
    let _ = write!(
        out,
        r##"<html lang="en" xmlns="http://www.w3.org/1999/xhtml"><head><meta charset="utf-8"/><meta name="viewport" content="width=device-width, initial-scale=1"/><meta name="color-scheme" content="light dark"/><meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'"/><title>{0}: rehearsal sheet</title><style>{STYLE}</style></head><body>{1}<a class="skip" href="#players">To the players</a><header class="top">{WATER}<p class="kind">Rehearsal sheet</p><h1>{2}</h1>{3}{4}</header><main>"##,
        escaped(title),
        shapes::SHAPES,
        name(title),
        people(sheet),
        numbers(sheet)
    );
    out.push('\n');
    if sheet.players.is_empty() {
        out.push_str(r#"<p class="none">The score has no players yet.</p>"#);
    } else {
        out.push_str(&overview::overview(sheet));
        out.push_str(&key());
    }
    out.push_str(&general(sheet));
    out.push_str(r#"<div id="players">"#);
    for (at, one) in sheet.players.iter().enumerate() {
        out.push('\n');
        out.push_str(&player::section(sheet, one, at + 1));
    }
    let _ = write!(
        out,
        "\n</div></main><footer><p>{}</p><p>{}</p></footer></body></html>\n",
        words::RANKING,
        words::CAUTION
    );
    out
}

fn people(sheet: &Sheet) -> String {
    let composer = sheet.composer.as_deref().filter(|t| !t.trim().is_empty());
    let arranger = sheet.arranger.as_deref().filter(|t| !t.trim().is_empty());
    let parts: Vec<String> = [composer.map(name), arranger.map(|who| format!("arranged by {}", name(who)))]
        .into_iter()
        .flatten()
        .collect();
    if parts.is_empty() { String::new() } else { format!(r#"<p class="by">{}</p>"#, parts.join(", ")) }
}

fn numbers(sheet: &Sheet) -> String {
    let played = sheet.axis.played_bars;
    let bars = if played == sheet.bars {
        format!("<b>{}</b> bars", sheet.bars)
    } else {
        format!("<b>{}</b> bars, {played} as played", sheet.bars)
    };
    let time = match sheet.axis.unit {
        Unit::Seconds => format!("<li><b>{}</b></li>", duration(sheet.axis.length)),
        Unit::Bars if sheet.bars > 0 => "<li>no tempo, so no seconds: drawn by bars</li>".to_owned(),
        Unit::Bars => String::new(),
    };
    let found =
        sheet.players.iter().map(|one| entries::shown(one).count()).sum::<usize>() + of_all(sheet).count();
    let players = sheet.players.len();
    format!(
        r#"<ul class="numbers">{time}<li>{bars}</li><li><b>{players}</b> player{}</li><li><b>{found}</b> finding{}</li></ul>"#,
        if players == 1 { "" } else { "s" },
        if found == 1 { "" } else { "s" }
    )
}

fn of_all(sheet: &Sheet) -> impl Iterator<Item = &crate::rules::Finding> {
    sheet.findings.iter().filter(|finding| finding.severity > Severity::Hint)
}

/// How the charts are read.
fn key() -> String {
    format!(
        r#"<section class="key" aria-labelledby="key"><h2 id="key">How to read the charts</h2><p>In the table above, a bar is as tall as the share of the time that is played; its stronger part is high. In the charts time runs from left to right, the written pitch upwards, on the staff of the part's clef. The shaded band is what this player can be asked for again and again, the dashed line the usual top; thick lines are high. A line below the staff is a mute or a stopped bell. What hangs below it is the load: the deeper, the more the lips and the tongue have to do. Point at a bar to be told what is in it. Signs above the staff are findings, with their numbers in the list:</p><ul class="legend">{}</ul></section>"#,
        shapes::legend()
    )
}

/// What was found that is no one player's.
fn general(sheet: &Sheet) -> String {
    let all: Vec<_> = of_all(sheet).collect();
    if all.is_empty() {
        return String::new();
    }
    let mut out = String::from(
        r#"<section class="whole findings" aria-labelledby="whole"><h2 id="whole">The whole score</h2><ol>"#,
    );
    for finding in all.iter().take(MOST_TOLD) {
        let bar = finding.bar.map(|bar| format!("bar {bar}, ")).unwrap_or_default();
        let _ = write!(
            out,
            r#"<li><p class="what">{}<b>{}</b> <span class="place">{bar}line {}</span> <code>{}</code></p><p>{}</p></li>"#,
            shapes::inline(shapes::shape(finding)),
            words::weight(finding),
            finding.line + 1,
            escaped(finding.rule),
            message(&finding.message)
        );
    }
    out.push_str("</ol>");
    if all.len() > MOST_TOLD {
        let _ = write!(out, r#"<p class="none">and {} more</p>"#, all.len() - MOST_TOLD);
    }
    out + "</section>"
}
