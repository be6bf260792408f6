//! What a file holds, track by track, in ticks.

use crate::exchange::import::trouble::Trouble;
use midly::{Format, MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};
use std::collections::BTreeMap;

/// A file.
#[derive(Debug, Default)]
pub struct File {
    /// Ticks of a quarter.
    pub quarter: u64,
    pub title: Option<String>,
    pub copyright: Option<String>,
    /// Place, microseconds of a quarter.
    pub tempos: Vec<(u64, u32)>,
    /// Place, beats, the value that is a beat.
    pub meters: Vec<(u64, u32, u32)>,
    /// Place, fifths, minor.
    pub keys: Vec<(u64, i32, bool)>,
    pub marks: Vec<(u64, String)>,
    pub voices: Vec<Played>,
    /// What has no place in a score, and how often.
    pub lost: BTreeMap<&'static str, usize>,
}

/// What one channel of one track plays.
#[derive(Debug)]
pub struct Played {
    pub name: String,
    pub drums: bool,
    /// From 1.
    pub program: Option<u32>,
    pub notes: Vec<Sounded>,
}

/// A key that was held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sounded {
    pub from: u64,
    pub to: u64,
    pub key: u8,
    pub velocity: u8,
}

/// The channel that the General MIDI standard keeps for drums, from 0.
const DRUMS: u8 = 9;

pub fn read(bytes: &[u8]) -> Result<File, Trouble> {
    let bytes = unwrapped(bytes);
    whole(bytes)?;
    let smf = Smf::parse(bytes).map_err(|why| Trouble::Midi(why.to_string()))?;
    let quarter = match smf.header.timing {
        Timing::Metrical(ticks) => u64::from(ticks.as_int()),
        Timing::Timecode(..) => {
            let why = "it counts in frames of a film and not in quarters, so that it has no bars";
            return Err(Trouble::Midi(why.to_owned()));
        }
    };
    if quarter == 0 {
        return Err(Trouble::Midi("a quarter of no ticks has no length".to_owned()));
    }
    let mut file = File { quarter, ..File::default() };
    let mut before = 0;
    for (number, track) in smf.tracks.iter().enumerate() {
        let ends = track.last().is_some_and(|e| e.kind == TrackEventKind::Meta(MetaMessage::EndOfTrack));
        if !ends {
            return Err(Trouble::Midi(format!("track {} has no end", number + 1)));
        }
        let start = if smf.header.format == Format::Sequential { before } else { 0 };
        before = file.track(number, track, start);
    }
    file.tempos.sort_by_key(|t| t.0);
    file.meters.sort_by_key(|t| t.0);
    file.keys.sort_by_key(|t| t.0);
    file.marks.sort_by_key(|t| t.0);
    Ok(file)
}

/// A file may stand in another one's wrapping (RIFF).
fn unwrapped(bytes: &[u8]) -> &[u8] {
    let at = bytes.windows(4).take(64).position(|w| w == b"MThd").filter(|_| bytes.starts_with(b"RIFF"));
    at.and_then(|at| bytes.get(at..)).unwrap_or(bytes)
}

/// Every chunk must be as long as it says.
fn whole(bytes: &[u8]) -> Result<(), Trouble> {
    let mut rest = bytes;
    let mut tracks = 0;
    while rest.len() >= 8 {
        let (head, behind) = rest.split_at(8);
        let (kind, length) = head.split_at(4);
        let length = length.try_into().map(u32::from_be_bytes).unwrap_or(0) as usize;
        tracks += usize::from(kind == b"MTrk");
        let Some(next) = behind.get(length..) else {
            let missing = length - behind.len();
            return Err(Trouble::Midi(format!("it is cut off: {missing} bytes are missing at its end")));
        };
        rest = next;
    }
    if tracks == 0 {
        return Err(Trouble::Midi("there is no track in it".to_owned()));
    }
    Ok(())
}

impl File {
    /// Reads a track that begins at this tick; where it ends.
    fn track(&mut self, number: usize, track: &[midly::TrackEvent<'_>], start: u64) -> u64 {
        let mut now = start;
        let mut name: Option<String> = None;
        let mut channels: BTreeMap<u8, Played> = BTreeMap::new();
        // Keys that are down: when, and how fast.
        let mut down: BTreeMap<(u8, u8), (u64, u8)> = BTreeMap::new();
        for event in track {
            now += u64::from(event.delta.as_int());
            match event.kind {
                TrackEventKind::Meta(meta) => self.meta(meta, now, number, &mut name),
                TrackEventKind::Midi { channel, message } => {
                    let channel = channel.as_int();
                    let played = channels.entry(channel).or_insert_with(|| Played {
                        name: String::new(),
                        drums: channel == DRUMS,
                        program: None,
                        notes: Vec::new(),
                    });
                    let mut up = |key: u8, down: &mut BTreeMap<(u8, u8), (u64, u8)>| {
                        if let Some((from, velocity)) = down.remove(&(channel, key)) {
                            played.notes.push(Sounded { from, to: now, key, velocity });
                        }
                    };
                    match message {
                        MidiMessage::NoteOn { key, vel } if vel.as_int() > 0 => {
                            up(key.as_int(), &mut down);
                            down.insert((channel, key.as_int()), (now, vel.as_int()));
                        }
                        MidiMessage::NoteOn { key, .. } | MidiMessage::NoteOff { key, .. } => {
                            up(key.as_int(), &mut down);
                        }
                        MidiMessage::ProgramChange { program } => {
                            let program = u32::from(program.as_int()) + 1;
                            let known = *played.program.get_or_insert(program);
                            if known != program {
                                self.lose("changes of sound in a channel");
                            }
                        }
                        MidiMessage::PitchBend { .. } => self.lose("bends of pitch"),
                        MidiMessage::Controller { .. } => {
                            self.lose("controllers (volume, pedal and the like)")
                        }
                        MidiMessage::Aftertouch { .. } | MidiMessage::ChannelAftertouch { .. } => {
                            self.lose("pressure on keys");
                        }
                    }
                }
                _ => {}
            }
        }
        // What is held at the end ends with the track.
        for ((channel, key), (from, velocity)) in down {
            if let Some(played) = channels.get_mut(&channel) {
                played.notes.push(Sounded { from, to: now, key, velocity });
            }
        }
        let many = channels.values().filter(|p| !p.notes.is_empty()).count() > 1;
        for (channel, mut played) in channels {
            if played.notes.is_empty() {
                continue;
            }
            let plain = name.clone().unwrap_or_else(|| format!("Track {}", number + 1));
            played.name = if many { format!("{plain}, channel {}", channel + 1) } else { plain };
            played.notes.sort_by_key(|n| (n.from, std::cmp::Reverse(n.key)));
            played.notes.retain(|n| n.to > n.from);
            self.voices.push(played);
        }
        now
    }

    fn lose(&mut self, what: &'static str) {
        *self.lost.entry(what).or_default() += 1;
    }

    fn meta(&mut self, meta: MetaMessage<'_>, now: u64, track: usize, name: &mut Option<String>) {
        let said = |bytes: &[u8]| {
            let text = String::from_utf8_lossy(bytes).trim().chars().take(200).collect::<String>();
            Some(text).filter(|t| !t.is_empty())
        };
        match meta {
            MetaMessage::TrackName(bytes) => {
                *name = name.take().or(said(bytes));
                if track == 0 && self.title.is_none() {
                    self.title = said(bytes);
                }
            }
            MetaMessage::Copyright(bytes) => self.copyright = self.copyright.take().or(said(bytes)),
            MetaMessage::Tempo(micros) if micros.as_int() > 0 => self.tempos.push((now, micros.as_int())),
            MetaMessage::TimeSignature(beats, power, ..) => {
                let fine = (1..=64).contains(&beats) && power <= 6;
                if fine {
                    self.meters.push((now, u32::from(beats), 1 << power));
                } else {
                    self.lose("a meter that has no name");
                }
            }
            MetaMessage::KeySignature(fifths, minor) => self.keys.push((now, i32::from(fifths), minor)),
            MetaMessage::Marker(bytes) => self.marks.extend(said(bytes).map(|m| (now, m))),
            MetaMessage::Lyric(_) => self.lose("words that are sung"),
            MetaMessage::Text(_) | MetaMessage::CuePoint(_) => self.lose("texts"),
            _ => {}
        }
    }
}
