//! Air: how much is at hand, how fast it goes, how fast it comes back.
//!
//! The litres a second for each voice and dynamic are estimates set between published measurements: flow
//! in wind playing of under 0.05 to over 1.6 L/s and nearly the whole vital capacity in use (Bouhuys,
//! J. Appl. Physiol. 19, 967-975, 1964; abstract); 0.1 to 1 L/s, tuba above it, and a deep breath of about
//! 5 L (Wolfe, UNSW, "Air speed and blowing pressure"); trumpet 10 L/min very high to 25-30 L/min low, tuba
//! 7 to well over 120 L/min (Jacobs, c. 1960, in Frederiksen, Song and Wind, 1996).

use super::loudness::Loudness;
use super::voice::Voice;
use crate::brass::level::Level;
use crate::brass::limits::Limits;

/// Litres at hand after a full breath: school, amateur, professional (estimate; a deep breath is about 5 L,
/// of which the last is of no use).
pub const USABLE_LITRES: [f64; 3] = [2.0, 3.0, 4.0];

/// Most seconds on one breath however little it flows: breath-holding comfort (estimate; Bouhuys 1964 found
/// some instruments limited by it). School, amateur, professional.
pub const COMFORT_SECONDS: [f64; 3] = [12.5, 18.75, 25.0];

/// Longest sound of one player without any gap: 6 L at 0.1 L/s. Beyond it only circular breathing helps.
pub const LONGEST_SECONDS: f64 = 60.0;

/// Shortest gap in which any air comes in (estimate).
pub const CATCH_SECONDS: f64 = 0.25;

/// Litres a second that come in (estimate; deep inhalations are rapid in all players, Bouhuys 1964).
pub const REFILL_LITRES_PER_SECOND: f64 = 3.0;

/// Seconds without an exchange of air after which it is stale (estimate after Bouhuys 1964).
pub const STALE_SECONDS: f64 = 40.0;

/// Shortest gap in which stale air goes out and fresh air comes in (estimate).
pub const EXCHANGE_SECONDS: f64 = 0.5;

/// Breaths beyond which nobody counts any more: so much too long is not made worse by more. Without an end to
/// the count, a line that never rests would be another one to its last bar after each edit.
pub const MOST_BREATHS: f64 = 20.0;

/// Seconds that a breath mark takes from the end of its note, if that leaves half of the note: the shortest
/// full breath (estimate).
pub const MARK_SECONDS: f64 = 0.6;

/// Share of its length that a staccato note sounds (common practice).
pub const STACCATO_SHARE: f64 = 0.5;

/// Litres a second in the middle register at pp, mf, f, ff, by voice (estimates, see above). What one voice
/// needs between two of them is their geometric mean; fff is a tenth more than ff.
pub const FLOW_LITRES_PER_SECOND: [[f64; 4]; 6] = [
    [0.10, 0.18, 0.27, 0.40],
    [0.10, 0.22, 0.35, 0.55],
    [0.14, 0.35, 0.60, 0.90],
    [0.17, 0.45, 0.80, 1.20],
    [0.14, 0.38, 0.65, 1.00],
    [0.15, 0.65, 1.20, 1.80],
];

/// Share of ff that fff needs (estimate).
pub const FFF_SHARE: f64 = 1.1;
/// Share of the middle flow in the bottom and the top fifth of the range (estimates; lower uses more than
/// higher: Hynds, The Composer's Guide to the Tuba, 2019).
pub const BOTTOM_SHARE: f64 = 1.3;
pub const TOP_SHARE: f64 = 0.6;

/// What a player's breathing is judged by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    pub usable_litres: f64,
    pub comfort_seconds: f64,
    pub catch_seconds: f64,
    pub refill_litres_per_second: f64,
    pub stale_seconds: f64,
    pub exchange_seconds: f64,
    pub mark_seconds: f64,
}

impl Air {
    /// At a level, from the constants above.
    pub fn at(level: Level) -> Air {
        Air {
            usable_litres: level.pick(USABLE_LITRES),
            comfort_seconds: level.pick(COMFORT_SECONDS),
            catch_seconds: CATCH_SECONDS,
            refill_litres_per_second: REFILL_LITRES_PER_SECOND,
            stale_seconds: STALE_SECONDS,
            exchange_seconds: EXCHANGE_SECONDS,
            mark_seconds: MARK_SECONDS,
        }
    }

    /// Litres that come in during a gap, however empty the lungs are.
    pub fn refill_litres(&self, gap_seconds: f64) -> f64 {
        if gap_seconds < self.catch_seconds { 0.0 } else { self.refill_litres_per_second * gap_seconds }
    }

    /// Seconds of breath that a player takes from the end of a note: no more than half of it.
    pub fn taken_seconds(&self, note_seconds: f64) -> f64 {
        self.mark_seconds.min(note_seconds / 2.0)
    }

    /// Litres counted at most.
    pub fn most_litres(&self) -> f64 {
        MOST_BREATHS * self.usable_litres
    }

    /// Seconds on one breath counted at most.
    pub fn most_seconds(&self) -> f64 {
        MOST_BREATHS * self.comfort_seconds
    }

    /// Seconds without an exchange of air counted at most.
    pub fn most_stale_seconds(&self) -> f64 {
        MOST_BREATHS * self.stale_seconds
    }

    /// Seconds that a full breath lasts at one flow.
    pub fn lasts_seconds(&self, flow_litres_per_second: f64) -> f64 {
        (self.usable_litres / flow_litres_per_second).min(self.comfort_seconds)
    }
}

/// Where a note lies in the range, as far as breath cares.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Fifth {
    Bottom,
    Middle,
    Top,
}

impl Fifth {
    /// Of a sounding pitch between the lowest and the usual highest note of these limits.
    pub fn of(limits: &Limits, midi: i32) -> Fifth {
        let span = limits.usual - limits.low;
        if 5 * (midi - limits.low) < span {
            Fifth::Bottom
        } else if 5 * (limits.usual - midi) < span {
            Fifth::Top
        } else {
            Fifth::Middle
        }
    }
}

/// Litres a second.
pub fn flow_litres_per_second(voice: Voice, loudness: Loudness, fifth: Fifth) -> f64 {
    let [pp, mf, f, ff] = voice.pick(FLOW_LITRES_PER_SECOND);
    let middle = match loudness {
        Loudness::Pp => pp,
        Loudness::P => (pp * mf).sqrt(),
        Loudness::Mf => mf,
        Loudness::F => f,
        Loudness::Ff => ff,
        Loudness::Fff => ff * FFF_SHARE,
    };
    match fifth {
        Fifth::Bottom => middle * BOTTOM_SHARE,
        Fifth::Middle => middle,
        Fifth::Top => middle * TOP_SHARE,
    }
}

/// The state of a player's lungs.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Lungs {
    /// Litres used since they were full; beyond what is usable the player has run out.
    pub used_litres: f64,
    /// Sounding seconds since the last gap in which air came in.
    pub since_breath_seconds: f64,
    /// Seconds since the last exchange of stale air.
    pub since_exchange_seconds: f64,
}

impl Lungs {
    /// A sound.
    pub fn blow(&mut self, seconds: f64, flow_litres_per_second: f64, air: &Air) {
        self.used_litres = (self.used_litres + seconds * flow_litres_per_second).min(air.most_litres());
        self.since_breath_seconds = (self.since_breath_seconds + seconds).min(air.most_seconds());
        self.age(seconds, air);
    }

    /// Air grows stale.
    fn age(&mut self, seconds: f64, air: &Air) {
        self.since_exchange_seconds = (self.since_exchange_seconds + seconds).min(air.most_stale_seconds());
    }

    /// A silence, given whole: two halves of a gap are one breath and not two.
    pub fn rest(&mut self, seconds: f64, air: &Air) {
        if seconds >= air.exchange_seconds {
            self.since_exchange_seconds = 0.0;
        } else {
            self.age(seconds, air);
        }
        if seconds >= air.catch_seconds {
            self.used_litres = (self.used_litres - air.refill_litres(seconds)).max(0.0);
            self.since_breath_seconds = 0.0;
        }
    }

    /// Litres left; negative when the player has run out.
    pub fn left_litres(&self, air: &Air) -> f64 {
        air.usable_litres - self.used_litres
    }

    /// Share of a full breath used, by air or by comfort, whichever is worse: over 1 is a phrase too long,
    /// over 2 one that nobody at this level plays.
    pub fn share_used(&self, air: &Air) -> f64 {
        (self.used_litres / air.usable_litres).max(self.since_breath_seconds / air.comfort_seconds)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_gap_below_the_quickest_breath_brings_nothing() {
        let air = Air::at(Level::Professional);
        let mut lungs = Lungs { used_litres: 3.0, ..Lungs::default() };
        lungs.rest(0.24, &air);
        assert_eq!(lungs.used_litres, 3.0);
        lungs.rest(0.25, &air);
        assert_eq!(lungs.used_litres, 2.25);
        lungs.rest(1.0, &air);
        assert_eq!(lungs.used_litres, 0.0, "no fuller than full");
    }

    #[test]
    fn stale_air_needs_half_a_second() {
        let air = Air::at(Level::Amateur);
        let mut lungs = Lungs::default();
        for _ in 0..20 {
            lungs.blow(2.0, 0.1, &air);
            lungs.rest(0.3, &air);
        }
        assert!(lungs.since_exchange_seconds > air.stale_seconds);
        assert!(lungs.share_used(&air) < 0.5, "full, but stale");
        lungs.rest(0.5, &air);
        assert_eq!(lungs.since_exchange_seconds, 0.0);
    }
}
