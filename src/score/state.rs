//! What a player carries from note to note and from block to block.

use crate::brass::Mute;
use crate::music::Dynamic;

/// A set of seats, one bit each; nobody has more than [`MOST_SEATS`].
pub type SeatSet = u64;

/// Most people who can read one part.
pub const MOST_SEATS: u32 = 64;

/// On the way to another dynamic: how loud it is meanwhile nobody can say.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Swell {
    /// `cresc`
    Growing,
    /// `dim`
    Fading,
}

/// In force in the order the score is written in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct WrittenState {
    /// The last dynamic that stays.
    pub dynamic: Option<Dynamic>,
    /// Since that dynamic.
    pub swell: Option<Swell>,
    /// A dynamic for one note, which has not come yet.
    pub accent: Option<Dynamic>,
    /// Seats that have a note which `=` could hold on.
    pub held: SeatSet,
    /// True under `[solo]`: the part is read by its first seat alone.
    pub solo: bool,
}

/// In force in the order the score is played in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct PlayedState {
    /// Which of the player's instruments is in hand, 0 the first.
    pub instrument: u8,
    pub mute: Option<Mute>,
    pub stopped: bool,
    pub hand: bool,
    pub flutter: bool,
}

/// How a stretch of music changes the played state.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct PlayedChange {
    pub instrument: Option<u8>,
    pub mute: Option<Option<Mute>>,
    pub stopped: Option<bool>,
    pub hand: Option<bool>,
    pub flutter: Option<bool>,
}

impl PlayedChange {
    /// The state after, given the state before.
    pub fn after(self, before: PlayedState) -> PlayedState {
        PlayedState {
            instrument: self.instrument.unwrap_or(before.instrument),
            mute: self.mute.unwrap_or(before.mute),
            stopped: self.stopped.unwrap_or(before.stopped),
            hand: self.hand.unwrap_or(before.hand),
            flutter: self.flutter.unwrap_or(before.flutter),
        }
    }

    /// True if it changes nothing whatever came before.
    pub fn is_nothing(self) -> bool {
        self == PlayedChange::default()
    }

    /// One after the other.
    pub fn then(self, next: PlayedChange) -> PlayedChange {
        PlayedChange {
            instrument: next.instrument.or(self.instrument),
            mute: next.mute.or(self.mute),
            stopped: next.stopped.or(self.stopped),
            hand: next.hand.or(self.hand),
            flutter: next.flutter.or(self.flutter),
        }
    }

    /// `[mute NAME]`.
    pub fn mute(mute: Mute) -> PlayedChange {
        PlayedChange { mute: Some(Some(mute)), ..PlayedChange::default() }
    }

    /// `[open]`: ends mute, stopping and hand.
    pub fn open() -> PlayedChange {
        PlayedChange { mute: Some(None), stopped: Some(false), hand: Some(false), ..PlayedChange::default() }
    }

    /// `[plain]`: ends flutter, stopping and hand.
    pub fn plain() -> PlayedChange {
        PlayedChange {
            flutter: Some(false),
            stopped: Some(false),
            hand: Some(false),
            ..PlayedChange::default()
        }
    }

    /// `[switch …]`: another instrument, with nothing in it and nothing done to it.
    pub fn switch(instrument: u8) -> PlayedChange {
        PlayedChange {
            instrument: Some(instrument),
            mute: Some(None),
            stopped: Some(false),
            hand: Some(false),
            flutter: Some(false),
        }
    }
}
