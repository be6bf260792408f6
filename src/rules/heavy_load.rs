//! # heavy-load
//!
//! Somebody plays most of the time, for minutes on end.
//!
//! **Why.** Short rests keep a stretch of playing within bounds, but lips also need time to come back. A part
//! that plays nearly always is impractical however it is cut up.
//!
//! **Numbers.** The share of any five minutes (`window`) in which the player sounds: on trumpet and horn at
//! school 0.6, for amateurs 0.7, for professionals 0.8 (`school`, …); on trombone, baritone, euphonium and tuba
//! 0.1 more (`low-brass`). It is looked at wherever 2 s of rest follow, or the end; time before the piece counts
//! as rest, and so a piece shorter than that share of five minutes is never too much. In a stretch without
//! such a rest that began before the five minutes, what sounds is taken as spread evenly. Repeats, endings
//! and road map are played out.
//!
//! **Source.** A trumpet work with two full bars of rest was called impractical by players (players'
//! accounts); hymns of five verses without a rest are unplayable (a hornists' journal, 2009). The shares
//! are estimates.
//!
//! **Caution.** This is general and no medical advice; the player, and the player's teacher, decide.
//!
//! ```brass
//! player Tp1 = trumpet in Bb, level school
//! allow no-rest
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | h : C5 C5, | %*12 | w : - | h : C5 C5, | %*12 | w : - | h : C5 C5, | %*12 | w : - | h : C5 D5, | %*12 | - |
//! //                                                                                               ^^^ warning heavy-load: 69 %
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb, level school
//! allow no-rest
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | h : C5 C5, | %*12 | w : - | h : C5 C5, | %*12 | w : - | h : C5 C5, | %*12 | - | rest 12 | - |
//! ```
//!
//! **Fixes.** Another player takes over every 8 to 16 bars; inner voices left out; a verse without this part.

use super::finding::Severity;
use super::passage::{Carried, Passage, PassageFinding, SAME_SECONDS, Spot, Told};
use super::rule::{Check, Limit, Rule};
use super::window::Window;
use super::wording::at_level;
use crate::brass::Level;
use crate::brass::body::Voice;
use crate::brass::body::lips::{LOW_BRASS_BONUS, PLAYING_SHARE, REST_SECONDS, SHARE_WINDOW_SECONDS};
use crate::score::event::Event;

const fn share(key: &'static str, default: f64) -> Limit {
    Limit { key, default, unit: "of the time", source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "heavy-load",
    severity: Severity::Warning,
    source: include_str!("heavy_load.rs"),
    limits: &[
        share("school", PLAYING_SHARE[0]),
        share("amateur", PLAYING_SHARE[1]),
        share("professional", PLAYING_SHARE[2]),
        share("low-brass", LOW_BRASS_BONUS),
        Limit { key: "window", default: SHARE_WINDOW_SECONDS, unit: "s", source: "estimate" },
    ],
    check: Check::Passage(check),
};

/// A stretch counts.
const STRETCH: u8 = 1;

/// What is carried from visit to visit.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    window: Window,
    silence_seconds: f64,
    stretch: Option<Stretch>,
    over: Option<Over>,
}

/// From one rest to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stretch {
    first: Spot,
    last: Spot,
    seconds: f64,
    sounding_seconds: f64,
    limit: f64,
}

/// More than the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Over {
    first: Spot,
    passed: Spot,
    last: Spot,
    share: f64,
    limit: f64,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(stretch) = &mut self.stretch {
            stretch.first.age();
            stretch.last.age();
        }
        if let Some(over) = &mut self.over {
            over.first.age();
            over.passed.age();
            over.last.age();
        }
    }
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let state = &mut carried.heavy_load;
    let window = RULE.limit(passage.settings, "window").max(1.0);
    for sound in passage.sounds {
        if !sound.sounds() {
            state.silence_seconds += sound.seconds;
            if state.silence_seconds > REST_SECONDS - SAME_SECONDS {
                close(passage, state, window, told);
            }
            continue;
        }
        let Some(event) = sound.event(passage.events) else { continue };
        let silence = std::mem::take(&mut state.silence_seconds);
        let here = Spot::of(event);
        if state.stretch.is_none() {
            state.window.push(0, silence, 0.0, window);
            if state.window.is_empty() {
                tell(passage, state, window, told);
            }
        }
        let stretch = state.stretch.get_or_insert(Stretch {
            first: here,
            last: here,
            seconds: -silence,
            sounding_seconds: 0.0,
            limit: 1.0,
        });
        stretch.last = here;
        stretch.seconds += silence + sound.seconds;
        stretch.sounding_seconds += sound.seconds;
        stretch.limit = limit(passage, event);
    }
    if passage.ends {
        close(passage, state, window, told);
        tell(passage, state, window, told);
    }
}

fn limit(passage: &Passage<'_>, event: &Event) -> f64 {
    let of = |key: &str| RULE.limit(passage.settings, key);
    let share = of(match passage.level() {
        Level::School => "school",
        Level::Amateur => "amateur",
        Level::Professional => "professional",
    });
    let low = passage
        .instrument(event)
        .is_some_and(|held| !matches!(Voice::of(&held.instrument), Voice::Trumpet | Voice::Horn));
    share + if low { of("low-brass") } else { 0.0 }
}

/// A stretch is over.
fn close(passage: &Passage<'_>, state: &mut State, window: f64, told: &mut Told<'_>) {
    let Some(stretch) = state.stretch.take() else { return };
    state.window.push(STRETCH, stretch.seconds, stretch.sounding_seconds, window);
    // The silence so far comes when it is over; the next stretch is another piece.
    let share = state.window.counted(STRETCH, window).sounding_seconds / window;
    if share <= stretch.limit + SAME_SECONDS {
        tell(passage, state, window, told);
        return;
    }
    let over = state.over.get_or_insert(Over {
        first: stretch.first,
        passed: stretch.last,
        last: stretch.last,
        share,
        limit: stretch.limit,
    });
    over.last = stretch.last;
    if share > over.share {
        (over.share, over.limit) = (share, stretch.limit);
    }
}

fn tell(passage: &Passage<'_>, state: &mut State, window: f64, told: &mut Told<'_>) {
    let Some(Over { first, passed, last, share, limit }) = state.over.take() else { return };
    told.push(PassageFinding {
        rule: told.rule,
        severity: Severity::Warning,
        grade: 1,
        at: passed,
        from: first,
        to: last,
        lead: format!("Playing {:.0} % of {window:.0} s", 100.0 * share),
        tail: format!(
            "; {} can be asked for {:.0} % on this instrument (an estimate). Let another player take over every 8 to 16 bars, leave out an inner voice, or a verse. A general caution, no medical advice: the player and their teacher decide.",
            at_level(passage.level()),
            100.0 * limit
        ),
        badness: share / limit,
        measured: Some(format!("{:.0} %", 100.0 * share)),
        limit: Some(format!("{:.0} %", 100.0 * limit)),
        related: Vec::new(),
        cures: Vec::new(),
    });
}
