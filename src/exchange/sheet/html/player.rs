//! One player's part of the page.

use super::chart::{caption, chart};
use super::entries::{Entry, entries};
use super::escape::{escaped, message, name, number, pitch};
use super::shapes::{inline, shape};
use crate::assist::playing_time::{duration, moment};
use crate::assist::sheet::{Change, Enough, FoundAt, HardBar, PlayerSheet, Sheet, Time, Unit};
use crate::exchange::sheet::words;
use std::fmt::Write as _;

/// Changes of one player that are told; of more the number is.
const MOST_TOLD: usize = 24;
/// Other bars that are named with a finding.
const MOST_BARS: usize = 24;

/// Points for which the line of a hard bar is full: an error.
const FULL_POINTS: f64 = 8.0;

/// The n-th player.
pub fn section(sheet: &Sheet, player: &PlayerSheet, at: usize) -> String {
    let (entries, left) = entries(player);
    let mut out = format!(
        r#"<section class="player" id="p{at}" aria-labelledby="h{at}"><header><h2 id="h{at}"><span class="id">{}</span>"#,
        name(&player.id)
    );
    if let Some(given) = &player.name {
        let _ = write!(out, r#" <span class="given">{}</span>"#, name(given));
    }
    let _ = write!(out, "</h2><p>{}</p></header>", who(player));
    if sheet.axis.length > 0.0 && !player.instruments.is_empty() {
        let _ = write!(
            out,
            r#"<figure>{}<figcaption>{}</figcaption></figure>"#,
            chart(sheet, player, at, &entries),
            caption(player)
        );
    }
    out.push_str(&facts(sheet, player));
    out.push_str(r#"<div class="lists">"#);
    out.push_str(&findings(sheet, &entries, left, at));
    out.push_str(&changes(player));
    let heights = format!("{}{}", passages(player), hardest(player));
    if !heights.is_empty() {
        let _ = write!(out, r#"<div class="column">{heights}</div>"#);
    }
    out.push_str("</div></section>");
    out
}

fn who(player: &PlayerSheet) -> String {
    let labels: Vec<String> = player.instruments.iter().map(|i| name(&i.label)).collect();
    let labels =
        if labels.is_empty() { "no known instrument".to_owned() } else { labels.join(", doubling ") };
    let seats = if player.seats > 1 {
        format!(", {} people read this part and the first is told", player.seats)
    } else {
        String::new()
    };
    format!("{labels}; {}{seats}", words::level(player.level))
}

fn fact(out: &mut String, label: &str, value: &str, more: &str) {
    let _ = write!(out, r#"<div><dt>{label}</dt><dd>{value}<span class="more">{more}</span></dd></div>"#);
}

fn facts(sheet: &Sheet, player: &PlayerSheet) -> String {
    let mut out = String::from(r#"<dl class="facts">"#);
    let used = &player.used;
    let bars = format!("{} of {}", used.playing, words::count(used.bars, "written bar"));
    match &player.time {
        Some(time) => {
            let more = format!("of {}; {bars}{}", duration(sheet.axis.length), gauge(time.share));
            let value =
                format!("{} <em>{}</em>", duration(time.playing_seconds), words::per_cent(time.share));
            fact(&mut out, "Playing", &value, &more);
        }
        None => fact(&mut out, "Playing", &bars, "no tempo, no seconds"),
    }
    if let Some((low, high)) = used.lowest.zip(used.highest) {
        let sounding = if words::at_concert_pitch(used) {
            "as it sounds".to_owned()
        } else {
            format!("sounding {} to {}", pitch(low.sounding), pitch(high.sounding))
        };
        let value = format!("{} <span class=\"to\">to</span> {}", pitch(low.written), pitch(high.written));
        let more = format!("{sounding}; in bars {} and {}", low.bar, high.bar);
        fact(&mut out, "Written span", &value, &more);
    }
    if let Some(time) = player.time.as_ref() {
        timed(&mut out, time);
    }
    for held in player.instruments.iter().skip(1) {
        let value = words::count(held.notes, "note");
        let time = held.playing_seconds.map(|s| format!(", {}", duration(s))).unwrap_or_default();
        fact(&mut out, "Doubling", &value, &format!("{}{time}", name(&held.label)));
    }
    out + "</dl>"
}

fn timed(out: &mut String, time: &Time) {
    let Some(longest) = &time.longest else { return };
    let more = format!(
        "{}: {} from {}",
        words::count(longest.bars, "bar"),
        words::bars(longest.first_bar, longest.last_bar),
        moment(longest.from_seconds)
    );
    fact(out, "Longest without a rest", &duration(longest.playing_seconds), &more);
    let above = words::above(time, |mark| pitch(*mark));
    if time.high.seconds > 0.0 {
        let share = time.high.seconds / time.playing_seconds.max(time.high.seconds);
        let more = format!("{above}; {} of the playing{}", words::per_cent(share), gauge(share));
        fact(out, "Up high", &duration(time.high.seconds), &more);
    } else {
        fact(out, "Up high", "never", &above);
    }
}

/// A share of 1 as a line.
fn gauge(share: f64) -> String {
    format!(
        r#"<svg class="gauge" width="100%" height="5" aria-hidden="true"><rect class="all" width="100%" height="5" rx="2.5"/><rect class="part" width="{}%" height="5" rx="2.5"/></svg>"#,
        number(100.0 * share.clamp(0.0, 1.0))
    )
}

fn findings(sheet: &Sheet, entries: &[Entry<'_>], left: usize, at: usize) -> String {
    if entries.is_empty() {
        return r#"<div class="findings"><h3>Findings</h3><p class="none">Nothing to object to.</p></div>"#
            .to_owned();
    }
    let mut out = String::from(r#"<div class="findings"><h3>Findings</h3><ol>"#);
    for (number, entry) in entries.iter().enumerate() {
        let Entry { first: FoundAt { finding, at: begins, .. }, .. } = entry;
        let bar = finding.bar.map(|bar| format!("bar {bar}")).unwrap_or_default();
        let time = begins.filter(|_| sheet.axis.unit == Unit::Seconds).map(|at| format!(", {}", moment(at)));
        let _ = write!(
            out,
            r#"<li id="p{at}f{}"><p class="what">{}<b>{}</b> <span class="place">{bar}{}</span> <code>{}</code></p><p>{}</p>{}</li>"#,
            number + 1,
            inline(shape(finding)),
            words::weight(finding),
            time.unwrap_or_default(),
            escaped(finding.rule),
            message(&finding.message),
            also(entry)
        );
    }
    out.push_str("</ol>");
    out.push_str(&more(entries.len() + left, entries.len(), "finding"));
    out + "</div>"
}

/// Where else the same is found.
fn also(entry: &Entry<'_>) -> String {
    if entry.others.is_empty() {
        return String::new();
    }
    let mut bars: Vec<i64> = entry.others.iter().filter_map(|found| found.finding.bar).collect();
    bars.dedup();
    let named: Vec<String> = bars.iter().take(MOST_BARS).map(i64::to_string).collect();
    let more = match bars.len().saturating_sub(MOST_BARS) {
        0 => String::new(),
        rest => format!(" and {rest} more"),
    };
    format!(
        r#"<p class="place">{} more of this kind: {} {}{more}</p>"#,
        entry.others.len(),
        if named.len() == 1 { "bar" } else { "bars" },
        named.join(", ")
    )
}

fn more(all: usize, told: usize, what: &str) -> String {
    match all.saturating_sub(told) {
        0 => String::new(),
        1 => format!(r#"<p class="none">and one more {what}</p>"#),
        rest => format!(r#"<p class="none">and {rest} more {what}s</p>"#),
    }
}

fn changes(player: &PlayerSheet) -> String {
    if player.changes.all.is_empty() {
        return String::new();
    }
    let told = player.changes.all.iter().take(MOST_TOLD);
    let mut out = String::from(
        r#"<div><h3>Mutes and changes</h3><table><thead><tr><th scope="col">Where</th><th scope="col">Change</th><th scope="col">Time for it</th></tr></thead><tbody>"#,
    );
    for change in told {
        let _ = write!(
            out,
            r#"<tr><td>{}</td><td>{}</td><td class="{}">{}{}</td></tr>"#,
            words::change_place(change),
            escaped(&words::change(change)),
            if matches!(change.enough, Enough::No | Enough::Hurried) { "short" } else { "enough" },
            escaped(&words::change_time(change)),
            hand_gauge(change)
        );
    }
    out.push_str("</tbody></table>");
    let all = player.changes.all.len() + player.changes.more as usize;
    out.push_str(&more(all, player.changes.all.len().min(MOST_TOLD), "change"));
    out + "</div>"
}

/// The time there is, along the time that is comfortable.
fn hand_gauge(change: &Change) -> String {
    match change.available_seconds {
        Some(seconds) if change.enough != Enough::Yes => gauge(seconds / change.needs.comfortable_seconds),
        _ => String::new(),
    }
}

fn passages(player: &PlayerSheet) -> String {
    let Some(time) = player.time.as_ref().filter(|time| !time.high.passages.is_empty()) else {
        return String::new();
    };
    let mut out = String::from(r#"<div><h3>Longest up high</h3><ul class="ranked">"#);
    let most = time.high.passages.first().map_or(1.0, |passage| passage.high_seconds);
    for passage in &time.high.passages {
        let _ = write!(
            out,
            r#"<li><b>{}</b> <span class="place">{}, {}</span> up to {}{}</li>"#,
            duration(passage.high_seconds),
            words::bars(passage.first_bar, passage.last_bar),
            moment(passage.from_seconds),
            pitch(passage.highest_written),
            gauge(passage.high_seconds / most)
        );
    }
    out + "</ul></div>"
}

fn hardest(player: &PlayerSheet) -> String {
    if player.hardest.is_empty() {
        return String::new();
    }
    // An easy part has no long lines.
    let most = player.hardest.first().map_or(1.0, |hard| hard.points).max(FULL_POINTS);
    let mut out = String::from(r#"<div><h3>Hardest bars</h3><ul class="ranked bars">"#);
    for hard in &player.hardest {
        let HardBar { bar, points, .. } = hard;
        let _ = write!(
            out,
            r#"<li><b>bar {bar}</b> {} <span>{points:.1}</span> <span class="place">{}</span></li>"#,
            gauge(points / most),
            words::hard_bar(hard)
        );
    }
    out + "</ul></div>"
}
