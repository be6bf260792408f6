//! What the sheet and the hover say in the same words.

use super::{Time, Unbroken};
use crate::assist::playing_time::{duration, moment};
use crate::music::Pitch;

/// `bar 3`, `bars 3–7`; behind a repeat the last may be the lower number.
pub fn bars(first: i64, last: i64) -> String {
    if first == last { format!("bar {first}") } else { format!("bars {first}–{last}") }
}

/// `1 bar`, `12 bars`.
pub fn count(number: u64, what: &str) -> String {
    format!("{number} {what}{}", if number == 1 { "" } else { "s" })
}

/// A share of the whole in per cent.
pub fn per_cent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// `bars 9–24 from 0:31: 16 bars, 52.1 s of playing`.
pub fn unbroken(longest: &Unbroken) -> String {
    format!(
        "{} from {}: {}, {} of playing",
        bars(longest.first_bar, longest.last_bar),
        moment(longest.from_seconds),
        count(longest.bars, "bar"),
        duration(longest.playing_seconds)
    )
}

/// `12.0 s above written G5 (8 % of the playing)`.
pub fn high(time: &Time) -> String {
    let above = above(time, Pitch::to_string);
    if time.high.seconds <= 0.0 {
        return format!("nothing {above}");
    }
    let share = time.high.seconds / time.playing_seconds.max(time.high.seconds);
    format!("{} {above} ({} of the playing)", duration(time.high.seconds), per_cent(share))
}

/// `above written G5`.
pub fn above(time: &Time, pitch: impl Fn(&Pitch) -> String) -> String {
    format!("above written {}", time.high.marks_written.iter().map(pitch).collect::<Vec<_>>().join(" or "))
}
