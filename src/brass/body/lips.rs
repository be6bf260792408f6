//! Lips: how long they play on, how long they stay high, how long they need to recover.
//!
//! Load is counted in seconds of ordinary playing: a second above the comfortable top or at f and louder
//! counts for more. So load adds up, and a rest never makes a passage heavier. That trumpeters tire sooner
//! than trombonists, that short phrases with frequent rests are the way, and that recovering from loud
//! playing takes long is published (The Modern Trumpet, "Endurance", 2020; an orchestral trumpeter's blog);
//! the seconds are estimates.

use super::loudness::Loudness;
use super::voice::Voice;
use crate::brass::instrument::Instrument;
use crate::brass::level::Level;

/// Shortest rest that ends a stretch of playing: the mouthpiece leaves the lips (estimate).
pub const REST_SECONDS: f64 = 2.0;
/// Shortest rest in which lips recover (estimate).
pub const RECOVERY_SECONDS: f64 = 4.0;

/// Longest stretch of playing, by voice; school, amateur, professional (estimates).
pub const STRETCH_SECONDS: [[f64; 3]; 6] = [
    [20.0, 40.0, 90.0],
    [25.0, 45.0, 100.0],
    [30.0, 60.0, 120.0],
    [30.0, 60.0, 120.0],
    [30.0, 60.0, 120.0],
    [40.0, 75.0, 150.0],
];

/// Share of the longest stretch that is left if all of it lies above the comfortable top (estimate).
pub const HIGH_SHARE: f64 = 0.6;
/// Share that is left if all of it is f or louder (estimate).
pub const LOUD_SHARE: f64 = 0.75;

/// Window of the share of time playing, in seconds (estimate).
pub const SHARE_WINDOW_SECONDS: f64 = 300.0;
/// Greatest share of time playing in it, trumpet and horn; school, amateur, professional (estimates).
pub const PLAYING_SHARE: [f64; 3] = [0.60, 0.70, 0.80];
/// What trombones, euphoniums and tubas may have more (estimate).
pub const LOW_BRASS_BONUS: f64 = 0.10;

/// Window of the time spent high, in seconds (estimate).
pub const HIGH_WINDOW_SECONDS: f64 = 60.0;
/// Most seconds above the high mark in it; school, amateur, professional (estimates).
pub const HIGH_SECONDS: [f64; 3] = [8.0, 15.0, 30.0];

/// Rest that a stretch over a limit asks for, as a share of it, before the next high or very soft entry;
/// school, amateur, professional (estimates).
pub const RECOVERY_SHARE: [f64; 3] = [1.0, 1.0, 0.5];

/// What a player's lips are judged by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lips {
    pub stretch_seconds: f64,
    pub rest_seconds: f64,
    pub high_share: f64,
    pub loud_share: f64,
    pub playing_share: f64,
    pub high_seconds: f64,
    pub recovery_share: f64,
    /// Above this sounding pitch the lips work harder: the comfortable top at the level.
    pub comfortable: i32,
    /// Above this sounding pitch time is counted as high.
    pub high_mark: i32,
}

impl Lips {
    /// Of a player at a level, from the constants above. `comfortable` is that person's own top of what
    /// can be asked for again and again, sounding.
    pub fn at(instrument: &Instrument, level: Level, comfortable: i32) -> Lips {
        let voice = Voice::of(instrument);
        let bonus = if matches!(voice, Voice::Trumpet | Voice::Horn) { 0.0 } else { LOW_BRASS_BONUS };
        Lips {
            stretch_seconds: level.pick(voice.pick(STRETCH_SECONDS)),
            rest_seconds: REST_SECONDS,
            high_share: HIGH_SHARE,
            loud_share: LOUD_SHARE,
            playing_share: level.pick(PLAYING_SHARE) + bonus,
            high_seconds: level.pick(HIGH_SECONDS),
            recovery_share: level.pick(RECOVERY_SHARE),
            comfortable,
            high_mark: high_mark(instrument, level),
        }
    }

    /// Seconds of ordinary playing for which a second of this playing counts.
    pub fn weight(&self, midi: i32, loudness: Loudness) -> f64 {
        let mut weight = 1.0;
        if midi > self.comfortable {
            weight /= self.high_share;
        }
        if loudness >= Loudness::F {
            weight /= self.loud_share;
        }
        weight
    }
}

/// The sounding pitch above which time counts as high: amateurs' comfortable top (school players' own), a
/// tone less on trumpets and horns. On B♭ trumpet written G5 (school E5), on horn F5 (D5), on trombone and
/// euphonium F4 (D4), on E♭ tuba B♭3 (estimates).
pub fn high_mark(instrument: &Instrument, level: Level) -> i32 {
    let of = instrument.limits(level.min(Level::Amateur)).comfortable;
    let less = match (Voice::of(instrument), level) {
        (Voice::Horn, _) => 2,
        (Voice::Trumpet, Level::Amateur | Level::Professional) => 2,
        _ => 0,
    };
    of - less
}
