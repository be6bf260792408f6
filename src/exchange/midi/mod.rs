//! Standard MIDI Files, format 1: what is heard, repeats and road map played out.
//!
//! The first track has tempos, meters, keys and marks; each player has a track and a channel, 15 to a port, at
//! sounding pitch. Dynamics are velocities, hairpins expression (controller 11); how long a note sounds depends on its
//! marks (see `length.rs`); a mute is General MIDI's muted program where there is one. Whatever takes
//! time beside the beat (fermatas, breaks, slowing down) is in the tempos, so that bars stay bars.

mod conductor;
mod length;
mod line;
mod loudness;
mod stage;
mod track;

pub use loudness::velocity;

use super::paper::bars;
use crate::rules::Desk;
use crate::score::clock::Clock;
use midly::num::u15;
use midly::{Format, Header, Smf, Timing};
use stage::Stage;

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
pub fn score(desk: &Desk) -> Vec<u8> {
    let sheet = bars(desk.score());
    let clock = Clock::of(desk.score());
    let players = desk.score().head.players.len();
    let lines: Vec<_> = (0..players).map(|player| super::paper::line(desk, &sheet, player)).collect();
    let stage = Stage::new(desk, &clock, &sheet, &lines);
    let title = desk.score().head.title.clone().unwrap_or_default();
    let played: Vec<Vec<line::Sound>> =
        (0..players).map(|player| line::sounds(desk, &stage, player)).collect();
    let names: Vec<&str> =
        desk.score().head.players.iter().map(|player| super::paper::player_name(player)).collect();
    let mut smf = Smf::new(Header::new(Format::Parallel, Timing::Metrical(u15::new(stage.parts))));
    smf.tracks.push(conductor::track(&stage, &sheet, title.as_bytes()));
    for (player, (sounds, line)) in played.iter().zip(&lines).enumerate() {
        let name = names.get(player).copied().unwrap_or_default();
        let levels = loudness::Levels::of(line, &stage.starts);
        smf.tracks.push(track::track(desk, &stage, player, name.as_bytes(), sounds, &levels));
    }
    let mut bytes = Vec::new();
    // Memory takes whatever is written to it.
    let _ = smf.write_std(&mut bytes);
    bytes
}

#[cfg(test)]
mod tests {
    use super::channel;

    #[test]
    fn no_two_of_many_players_share_a_channel_and_nobody_plays_drums() {
        let all: Vec<_> = (0..100).map(channel).collect();
        for (at, one) in all.iter().enumerate() {
            assert!(one.channel < 16 && one.channel != 9);
            assert!(!all[..at].contains(one), "{at}");
        }
        assert_eq!((all[15].port, all[15].channel), (1, 0));
    }
}
