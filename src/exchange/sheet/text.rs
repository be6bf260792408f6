//! The sheet as plain text.

use super::words;
use crate::assist::playing_time::{duration, moment};
use crate::assist::sheet::{PlayerSheet, Sheet, Unit};
use crate::rules::{Finding, Severity};
use std::fmt::Write as _;
use unicode_width::UnicodeWidthStr;

/// Changes and findings of one player that are told; more are counted.
const MOST_TOLD: usize = 12;
/// Hard bars of one player that are told.
const MOST_BARS: usize = 3;
/// Columns of what a fact is about.
const LABEL: usize = 20;

/// Text in lines of at most so many columns.
pub fn text(sheet: &Sheet, width: usize) -> String {
    let mut page = Page { out: String::new(), width: width.max(LABEL + 22) };
    let title = sheet.title.as_deref().unwrap_or("A score without a title");
    page.line(0, &format!("{title}: rehearsal sheet"));
    page.line(0, &summary(sheet));
    let whole: Vec<String> = sheet.findings.iter().filter(|one| told_of(one)).map(finding).collect();
    if !whole.is_empty() {
        page.out.push('\n');
        page.facts("the whole score", whole.into_iter(), "finding");
    }
    for player in &sheet.players {
        told(&mut page, sheet, player);
    }
    if !sheet.players.is_empty() {
        page.out.push('\n');
        page.line(0, words::RANKING);
        page.line(0, words::CAUTION);
    }
    page.out
}

fn summary(sheet: &Sheet) -> String {
    let mut parts = vec![words::count(sheet.players.len() as u64, "player"), words::count(sheet.bars, "bar")];
    if sheet.axis.played_bars != sheet.bars {
        parts.push(format!("{} as played", sheet.axis.played_bars));
    }
    match sheet.axis.unit {
        Unit::Seconds => parts.push(duration(sheet.axis.length)),
        Unit::Bars if sheet.bars > 0 => {
            parts.push("no seconds, since there is no tempo from the beginning".to_owned())
        }
        Unit::Bars => {}
    }
    format!("{}.", parts.join(", "))
}

fn told(page: &mut Page, sheet: &Sheet, player: &PlayerSheet) {
    page.out.push('\n');
    let labels: Vec<&str> = player.instruments.iter().map(|i| i.label.as_str()).collect();
    let labels =
        if labels.is_empty() { "no known instrument".to_owned() } else { labels.join(", doubling ") };
    let seats = if player.seats > 1 { format!(", {} people", player.seats) } else { String::new() };
    page.line(0, &format!("{}: {labels}, {}{seats}", words::called(player), words::level(player.level)));
    page.fact("plays", &words::playing(player, sheet.axis.length));
    let used = &player.used;
    if let Some(span) = words::span(used, |note| note.written) {
        page.fact("written", &span);
    }
    if let Some(span) = words::span(used, |note| note.sounding).filter(|_| !words::at_concert_pitch(used)) {
        page.fact("sounding", &span);
    }
    if let Some(time) = &player.time {
        if let Some(longest) = &time.longest {
            page.fact("longest, no rest", &words::unbroken(longest));
            page.fact("up high", &words::high(time));
        }
        page.facts("highest passages", time.high.passages.iter().map(words::high_passage), "passage");
    }
    for used in player.instruments.iter().skip(1) {
        let time = used.playing_seconds.map(|s| format!(", {}", duration(s))).unwrap_or_default();
        page.fact("doubling", &format!("{}: {}{time}", used.label, words::count(used.notes, "note")));
    }
    let changes = player.changes.all.iter().map(|change| {
        let (place, what) = (words::change_place(change), words::change(change));
        format!("{place}: {what}; {}", words::change_time(change))
    });
    page.facts("changes", changes, "change");
    let hardest = player
        .hardest
        .get(..player.hardest.len().min(MOST_BARS))
        .unwrap_or_default()
        .iter()
        .map(|hard| format!("bar {}: {:.1} ({})", hard.bar, hard.points, words::hard_bar(hard)));
    page.facts("hardest bars", hardest, "bar");
    let findings =
        player.findings.iter().filter(|found| told_of(&found.finding)).map(|found| match found.at {
            Some(at) if sheet.axis.unit == Unit::Seconds => {
                format!("{}; {}", moment(at), finding(&found.finding))
            }
            _ => finding(&found.finding),
        });
    page.facts("findings", findings.collect::<Vec<_>>().into_iter(), "finding");
}

/// Hints are left to the editor.
fn told_of(finding: &Finding) -> bool {
    finding.severity > Severity::Hint
}

fn finding(finding: &Finding) -> String {
    let bar = finding.bar.map(|bar| format!("bar {bar}: ")).unwrap_or_default();
    format!("{bar}{} {}: {}", words::weight(finding), finding.rule, finding.message)
}

struct Page {
    out: String,
    width: usize,
}

impl Page {
    /// A text that begins at the margin and goes on set in by so many columns.
    fn line(&mut self, inset: usize, text: &str) {
        let mut at = 0;
        for word in text.split_whitespace() {
            let wide = word.width();
            if at > 0 && at + 1 + wide > self.width {
                let _ = write!(self.out, "\n{:inset$}", "");
                at = inset;
            } else if at > 0 {
                self.out.push(' ');
                at += 1;
            }
            self.out.push_str(word);
            at += wide;
        }
        self.out.push('\n');
    }

    /// A label and what it is about.
    fn fact(&mut self, label: &str, text: &str) {
        let _ = write!(self.out, "  {label:0$}", LABEL - 2);
        let width = self.width;
        self.width = width - LABEL;
        let before = self.out.len();
        self.line(0, text);
        self.width = width;
        let told = self.out.split_off(before);
        let set_in = format!("\n{:LABEL$}", "");
        self.out.push_str(&told.trim_end().replace('\n', &set_in));
        self.out.push('\n');
    }

    /// Several facts under one label, and how many more there are.
    fn facts(&mut self, label: &str, all: impl ExactSizeIterator<Item = String>, what: &str) {
        let more = all.len().saturating_sub(MOST_TOLD) as u64;
        for (number, text) in all.take(MOST_TOLD).enumerate() {
            self.fact(if number == 0 { label } else { "" }, &text);
        }
        if more > 0 {
            self.fact("", &format!("and {more} more {what}{}", if more == 1 { "" } else { "s" }));
        }
    }
}
