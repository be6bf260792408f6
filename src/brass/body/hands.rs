//! Hands: seconds to put a mute in, take it out, exchange it, close the bell, change the instrument.

use super::voice::Voice;
use crate::brass::kind::Kind;
use crate::brass::mute::Mute;

/// What is in or before the bell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Bell {
    Open,
    Muted(Mute),
    /// The hand closes the bell of a horn.
    Stopped,
}

/// Seconds between the last note before a change and the first after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandTime {
    /// Below this the change fails.
    pub least_seconds: f64,
    /// Below this it is noisy and unsafe.
    pub comfortable_seconds: f64,
    /// A published source, or "estimate".
    pub source: &'static str,
}

const fn time(least_seconds: f64, comfortable_seconds: f64, source: &'static str) -> HandTime {
    HandTime { least_seconds, comfortable_seconds, source }
}

/// Key in a settings file, under the rules that use it, and seconds.
pub type Row = (&'static str, HandTime);

const MODERN_TRUMPET: &str =
    "The Modern Trumpet, Mutes (1), 2020: 3-4 s to insert or remove; the least is an estimate";
const MODERN_EXCHANGE: &str =
    "The Modern Trumpet, Mutes (1), 2020: at least 5 s to exchange; the least is an estimate";
const TROMBONIST: &str =
    "a trombonist's blog, 2011: 3.45 s for mute and plunger are not enough, removal takes as long; estimate";
const HORN_BLOG: &str = "a horn blog, 2008: a couple of beats at least; estimate";
const TUBA_GUIDE: &str = "a tuba guide: large, noisy, may need the floor; seconds are an estimate";

/// Trumpets: in or out.
pub const TRUMPET_MUTE: Row = ("trumpet", time(1.0, 3.5, MODERN_TRUMPET));
/// Trumpets: one mute for another.
pub const TRUMPET_EXCHANGE: Row = ("trumpet-exchange", time(2.5, 5.0, MODERN_EXCHANGE));
/// A plunger (or hat) picked up or put down.
pub const PLUNGER: Row = ("plunger", time(0.7, 2.0, "estimate"));
/// Trombones: in or out.
pub const TROMBONE_MUTE: Row = ("trombone", time(1.5, 4.0, TROMBONIST));
/// Trombones: one for another, or a mute and a plunger.
pub const TROMBONE_EXCHANGE: Row = ("trombone-exchange", time(3.0, 6.0, TROMBONIST));
/// A horn's straight mute on a cord at the wrist.
pub const HORN_CORD: Row = ("horn", time(1.0, 2.5, HORN_BLOG));
/// A horn's straight mute from the floor.
pub const HORN_FLOOR: Row = ("horn-floor", time(2.0, 4.0, HORN_BLOG));
/// A horn's hand, open to stopped or back.
pub const HORN_HAND: Row = ("horn-stopped", time(0.15, 0.5, "estimate"));
/// A horn's stopping mute.
pub const STOPPING_MUTE: Row = ("stopping-mute", time(2.0, 4.0, "estimate"));
/// A bucket that is clipped on.
pub const BUCKET: Row = ("bucket", time(4.0, 7.0, "estimate"));
/// A harmon whose stem goes in or out.
pub const HARMON_STEM: Row = ("harmon-stem", time(4.0, 8.0, "estimate"));
/// Euphoniums and baritones.
pub const EUPHONIUM_MUTE: Row = ("euphonium", time(2.0, 5.0, "estimate"));
/// Tubas.
pub const TUBA_MUTE: Row = ("tuba", time(4.0, 10.0, TUBA_GUIDE));

/// Another instrument of about the same size: cold, with no note to warm it.
pub const SWITCH: Row = ("switch", time(8.0, 15.0, "estimate"));
/// Between instruments of which one is much larger, as tuba and euphonium.
pub const SWITCH_LARGE: Row = ("switch-large", time(12.0, 20.0, "estimate"));

/// Every row, for a rule's limits.
pub const ROWS: [Row; 15] = [
    TRUMPET_MUTE,
    TRUMPET_EXCHANGE,
    PLUNGER,
    TROMBONE_MUTE,
    TROMBONE_EXCHANGE,
    HORN_CORD,
    HORN_FLOOR,
    HORN_HAND,
    STOPPING_MUTE,
    BUCKET,
    HARMON_STEM,
    EUPHONIUM_MUTE,
    TUBA_MUTE,
    SWITCH,
    SWITCH_LARGE,
];

/// A player's hands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hands {
    pub voice: Voice,
    /// A horn's mute hangs from the wrist and needs not be fetched from the floor (common practice).
    pub mute_on_cord: bool,
}

impl Hands {
    /// Of somebody who plays this.
    pub fn of(voice: Voice) -> Hands {
        Hands { voice, mute_on_cord: true }
    }

    /// The row for a change; `None` where nothing changes.
    pub fn change(self, from: Bell, to: Bell) -> Option<Row> {
        use Bell::{Muted, Open, Stopped};
        if from == to {
            return None;
        }
        Some(match (from, to) {
            (Open, Stopped) | (Stopped, Open) => HORN_HAND,
            (Open | Stopped, Muted(mute)) | (Muted(mute), Open | Stopped) => self.one(mute),
            (Muted(Mute::Harmon), Muted(Mute::HarmonStemless))
            | (Muted(Mute::HarmonStemless), Muted(Mute::Harmon)) => HARMON_STEM,
            (Muted(a), Muted(b)) => {
                let exchange = match self.voice {
                    Voice::Trumpet => TRUMPET_EXCHANGE,
                    Voice::Trombone | Voice::BassTrombone => TROMBONE_EXCHANGE,
                    _ => slower(self.one(a), self.one(b)),
                };
                slower(exchange, slower(self.one(a), self.one(b)))
            }
            (Open, Open) | (Stopped, Stopped) => return None,
        })
    }

    fn one(self, mute: Mute) -> Row {
        match (mute, self.voice) {
            (Mute::Plunger | Mute::Hat, Voice::Trumpet | Voice::Trombone | Voice::BassTrombone) => PLUNGER,
            (Mute::Bucket, _) => BUCKET,
            (Mute::Stopping, _) => STOPPING_MUTE,
            (_, Voice::Trumpet) => TRUMPET_MUTE,
            (_, Voice::Horn) if self.mute_on_cord => HORN_CORD,
            (_, Voice::Horn) => HORN_FLOOR,
            (_, Voice::Trombone | Voice::BassTrombone) => TROMBONE_MUTE,
            (_, Voice::Euphonium) => EUPHONIUM_MUTE,
            (_, Voice::Tuba) => TUBA_MUTE,
        }
    }
}

fn slower(a: Row, b: Row) -> Row {
    if b.1.comfortable_seconds > a.1.comfortable_seconds { b } else { a }
}

/// Taking up another instrument.
pub fn switch(from: Kind, to: Kind) -> Row {
    if is_large(from) == is_large(to) { SWITCH } else { SWITCH_LARGE }
}

fn is_large(kind: Kind) -> bool {
    matches!(kind, Kind::Tuba | Kind::Cimbasso)
}

/// True for a mute that a hand holds while it is played.
pub fn is_held_by_hand(mute: Mute) -> bool {
    matches!(mute, Mute::Plunger | Mute::Hat)
}
