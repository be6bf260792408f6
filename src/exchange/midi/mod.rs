//! Standard MIDI Files.

mod loudness;

pub use loudness::velocity;

/// Where a part sounds: 15 parts to a port, since channel 10 is for drums.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Channel {
    pub port: u8,
    /// From 0.
    pub channel: u8,
}

/// Channels of a port that play pitches.
const PITCHED: usize = 15;
/// In General MIDI the channel of percussion, from 0.
const DRUMS: u8 = 9;

/// The channel of a part, from 0. Beyond the 128 ports that there are, the last is shared.
pub fn channel(part: usize) -> Channel {
    let port = u8::try_from(part / PITCHED).unwrap_or(u8::MAX).min(127);
    let at = (part % PITCHED) as u8;
    Channel { port, channel: at + u8::from(at >= DRUMS) }
}

/// The score as it is played.
pub fn score(_desk: &crate::rules::Desk) -> Vec<u8> {
    Vec::new()
}
