//! # long-high
//!
//! Somebody stays high for too long, though no single note is too high.
//!
//! **Why.** Up high the lips are pressed and stretched, and blood hardly comes into them. A peak is nothing; a
//! passage that lives at the top costs the notes that come after it.
//!
//! **Numbers.** Seconds above the high mark within any minute (`window`): school 8, amateur 15, professional 30
//! (`high-school`, …). The mark is written G5 on B♭ trumpet (E5 at school), F5 on horn (D5), sounding F4 on
//! trombone and euphonium (D4), B♭3 on E♭ tuba: the comfortable top of an amateur, or of a school player, on
//! trumpets and horns a tone less. Where the comfortable top lies higher than that mark, no more than a fifth
//! (`share`) of any 30 s (`share-window`) above it. Twice the limit makes the warning a strong one. Repeats,
//! endings and road map are played out, each tempo as it is there.
//!
//! **Source.** That the top is to be used sparingly: The Modern Trumpet, "Endurance", 2020; that a horn part
//! which never went above written G5 was the hardest of a concert: a player's account. The numbers are estimates.
//!
//! **Caution.** Playing high for long strains the lips. This is general and no medical advice; the player, and
//! the player's teacher, decide.
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, level school
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | w : F5 | h : C5 F5 | q : E5 C5 D5 F5 | h : F5 - |
//! //                                               ^^ warning long-high: 9 s
//! ```
//!
//! ```brass
//! pitch written
//! player Tp1 = trumpet in Bb, level school
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | w : F5 | h : C5 F5 | q : E5 C5 D5 F5 | h : E5 - |
//! ```
//!
//! **Fixes.** The line shared by two players; an octave down the second time; a peak instead of a plateau.

use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::window::Window;
use super::wording::{at_level, pitch_for};
use crate::brass::body::lips::{HIGH_SECONDS, HIGH_WINDOW_SECONDS, high_mark};
use crate::score::passage::{Sound, SoundKind};

/// Share of the limit from which the warning is a strong one (estimate).
const STRONG: f64 = 2.0;

/// Kinds of a piece: above the high mark, above the comfortable top.
const HIGH: u8 = 1;
const TOP: u8 = 2;
const BELOW: u8 = 0;

const fn estimate(key: &'static str, default: f64, unit: &'static str) -> Limit {
    Limit { key, default, unit, source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "long-high",
    severity: Severity::Warning,
    source: include_str!("long_high.rs"),
    limits: &[
        estimate("high-school", HIGH_SECONDS[0], "s"),
        estimate("high-amateur", HIGH_SECONDS[1], "s"),
        estimate("high-professional", HIGH_SECONDS[2], "s"),
        estimate("window", HIGH_WINDOW_SECONDS, "s"),
        estimate("share", 0.2, "of the time"),
        estimate("share-window", 30.0, "s"),
    ],
    check: Check::Passage(check),
};

/// What is carried from visit to visit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    window: Window,
    over: Option<Over>,
}

/// Longer at the top than the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Over {
    passed: Spot,
    last: Spot,
    worst: Load,
}

/// How much of the limit is used, and by what.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Load {
    used: f64,
    /// Seconds above the mark, or the share above the top.
    measured: f64,
    limit: f64,
    by_share: bool,
    mark: i32,
    instrument: u8,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(over) = &mut self.over {
            over.passed.age();
            over.last.age();
        }
    }

    /// Hears one sound; seconds up high within the window, if they are over the limit now.
    pub(super) fn hear(&mut self, passage: &Passage<'_>, sound: &Sound, told: &mut Told<'_>) -> Option<f64> {
        let limit = |key: &str| RULE.limit(passage.settings, key);
        let keep = limit("window");
        let event = sound.event(passage.events).filter(|_| sound.sounds());
        let held = event.and_then(|event| passage.instrument(event));
        let sounding_seconds = if sound.sounds() { sound.seconds } else { 0.0 };
        let (Some(event), Some(held), Some(midi)) = (event, held, sound.sounding.map(|p| p.midi())) else {
            self.window.push(BELOW, sound.seconds, sounding_seconds, keep);
            self.end_if_empty(passage, told);
            return None;
        };
        let mark = high_mark(&held.instrument, passage.level());
        let comfortable = held.limits.comfortable;
        let kind = if midi > mark { HIGH } else { 0 } | if midi > comfortable { TOP } else { 0 };
        if sound.kind == SoundKind::Grace {
            return None;
        }
        self.window.push(kind, sound.seconds, sounding_seconds, keep);
        if kind == BELOW {
            self.end_if_empty(passage, told);
            return None;
        }
        let high = self.window.counted(HIGH, keep).seconds;
        let instrument = event.played.instrument;
        let most = limit(match passage.level() {
            crate::brass::Level::School => "high-school",
            crate::brass::Level::Amateur => "high-amateur",
            crate::brass::Level::Professional => "high-professional",
        })
        .max(0.1);
        let mut load =
            Load { used: high / most, measured: high, limit: most, by_share: false, mark, instrument };
        let (span, most_share) = (limit("share-window").max(1.0), limit("share").max(0.01));
        let share = self.window.counted(TOP, span).seconds / span;
        let long = load.used > 1.0 + SAME_SECONDS;
        // The worse of the two is told.
        if comfortable > mark && share > most_share + SAME_SECONDS && share / most_share > load.used {
            load = Load {
                used: share / most_share,
                measured: share,
                limit: most_share,
                by_share: true,
                mark: comfortable,
                instrument,
            };
        }
        if load.used <= 1.0 + SAME_SECONDS {
            self.end(passage, told);
            return None;
        }
        let here = Spot::of(event);
        let over = self.over.get_or_insert(Over { passed: here, last: here, worst: load });
        over.last = here;
        if load.used > over.worst.used {
            over.worst = load;
        }
        long.then_some(high)
    }

    fn end_if_empty(&mut self, passage: &Passage<'_>, told: &mut Told<'_>) {
        if self.window.is_empty() {
            self.end(passage, told);
        }
    }

    /// What was too long is over.
    pub(super) fn end(&mut self, passage: &Passage<'_>, told: &mut Told<'_>) {
        let Some(Over { passed, last, worst }) = self.over.take() else { return };
        let Load { used, measured, limit, by_share, mark, instrument } = worst;
        let Some(held) = passage.player.instrument(instrument) else { return };
        let above = pitch_for(held, mark, passage.key);
        let setting = |key: &str| RULE.limit(passage.settings, key);
        let who = at_level(passage.level());
        let (lead, within, measured, limit) = if by_share {
            (
                format!("{:.0} % of the time above {above}", 100.0 * measured),
                format!(
                    ", counted over {} s; above that comfortable top {who} can be asked for {:.0} %",
                    setting("share-window"),
                    100.0 * limit
                ),
                format!("{:.0} %", 100.0 * measured),
                format!("{:.0} %", 100.0 * limit),
            )
        } else {
            (
                format!("{measured:.0} s above {above} within {} s", setting("window")),
                format!("; {who} can be asked for {limit} s"),
                format!("{measured:.0} s"),
                format!("{limit} s"),
            )
        };
        told.push(PassageFinding {
            rule: RULE.name,
            severity: Severity::Warning,
            grade: if used > STRONG { 2 } else { 1 },
            at: passed,
            from: passed,
            to: last,
            lead,
            tail: format!(
                "{within} (an estimate). Share the line between two players, write it an octave lower the second time, or make a peak of the plateau. A general caution, no medical advice: the player and their teacher decide."
            ),
            badness: used,
            measured: Some(measured),
            limit: Some(limit),
            related: Vec::new(),
            cures: Vec::new(),
        });
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    for sound in passage.sounds {
        carried.long_high.hear(passage, sound, told);
    }
    if passage.ends {
        carried.long_high.end(passage, told);
    }
}
