//! What the page and the text say in the same words.

use crate::assist::playing::{Extreme, Use};
use crate::assist::playing_time::{duration, moment};
pub use crate::assist::sheet::wording::{above, bars, count, high, per_cent, unbroken};
use crate::assist::sheet::{Change, Enough, HardBar, HighPassage, PlayerSheet};
use crate::brass::Level;
use crate::rules::{Finding, Severity};

/// `Tp1`, `Tp1, Solo Trumpet`.
pub fn called(player: &PlayerSheet) -> String {
    match &player.name {
        Some(name) => format!("{}, {name}", player.id),
        None => player.id.clone(),
    }
}

/// `F#3 in bar 12 to C6 in bar 40`, as written or as it sounds.
pub fn span(used: &Use, pitch: impl Fn(&Extreme) -> crate::music::Pitch) -> Option<String> {
    let (low, high) = (used.lowest.as_ref()?, used.highest.as_ref()?);
    Some(format!("{} in bar {} to {} in bar {}", pitch(low), low.bar, pitch(high), high.bar))
}

/// True if what is written is what sounds.
pub fn at_concert_pitch(used: &Use) -> bool {
    [used.lowest, used.highest].iter().flatten().all(|note| note.written == note.sounding)
}

/// `3:05 min of 4:10 min (74 %)`, and bars.
pub fn playing(player: &PlayerSheet, whole: f64) -> String {
    let Use { bars, playing, .. } = player.used;
    let written = format!("{playing} of {}", count(bars, "written bar"));
    match &player.time {
        Some(time) => format!(
            "{} of {} ({}); {written}",
            duration(time.playing_seconds),
            duration(whole),
            per_cent(time.share)
        ),
        None => written,
    }
}

/// `bars 40–44 from 2:10: 9.3 s, up to C6`.
pub fn high_passage(passage: &HighPassage) -> String {
    format!(
        "{} from {}: {}, up to {}",
        bars(passage.first_bar, passage.last_bar),
        moment(passage.from_seconds),
        duration(passage.high_seconds),
        passage.highest_written
    )
}

/// `open to cup mute`.
pub fn change(change: &Change) -> String {
    format!("{} to {}", change.from, change.to)
}

/// `bars 12–14`, `before bar 5`.
pub fn change_place(change: &Change) -> String {
    match change.last_bar {
        Some(last) => bars(last, change.first_bar),
        None => format!("before bar {}", change.first_bar),
    }
}

/// `2.1 s; comfortable from 3.5 s: hurried`.
pub fn change_time(change: &Change) -> String {
    let comfortable = change.needs.comfortable_seconds;
    let Some(seconds) = change.available_seconds else {
        return match change.last_bar {
            None => "before the first note".to_owned(),
            Some(_) => "no tempo, no seconds".to_owned(),
        };
    };
    let verdict = match change.enough {
        Enough::No => format!(", too little: it takes {} s at the very least", change.needs.least_seconds),
        Enough::Hurried => format!(", hurried: comfortable from {comfortable} s"),
        Enough::Yes => format!(", enough: comfortable from {comfortable} s"),
        Enough::Unasked => String::new(),
    };
    format!("{}{verdict}", duration(seconds))
}

/// `2 findings, lips 140 %, 3.1 notes a second`.
pub fn hard_bar(hard: &HardBar) -> String {
    let mut parts = Vec::new();
    if hard.findings > 0 {
        parts.push(count(hard.findings, "finding"));
    }
    if let Some(load) = hard.load {
        parts.push(format!("lips {}", per_cent(load.lips)));
        parts.push(format!("{:.1} notes a second", load.notes_per_second));
    }
    parts.join(", ")
}

/// How bars are ranked.
pub const RANKING: &str = "Hard bars are ranked by points, an estimate: an error counts 8, a strong warning 4, a \
    warning 2, an information 1; the share of the bar in which the lips work is added, high and loud notes counting \
    for more, and the notes a second divided by 4.";

/// The caution that goes with everything about strain.
pub const CAUTION: &str = "What is said of strain is a general caution and no medical advice: the player and the \
    teacher decide. Times to change, high marks and rankings are partly estimates.";

/// How much a finding matters, in words.
pub fn weight(finding: &Finding) -> &'static str {
    match finding.severity {
        Severity::Error => "error",
        Severity::Warning if finding.grade > 1 => "strong warning",
        Severity::Warning => "warning",
        Severity::Information => "information",
        Severity::Hint => "hint",
    }
}

/// The word for a level.
pub fn level(level: Level) -> &'static str {
    match level {
        Level::School => "school player",
        Level::Amateur => "amateur",
        Level::Professional => "professional",
    }
}
