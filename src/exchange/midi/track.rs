//! A player's track.

use super::line::Sound;
use super::loudness::{Levels, velocity};
use super::stage::Stage;
use super::{Channel, channel};
use crate::exchange::musicxml::voice;
use crate::music::Dynamic;
use crate::notation::tree::Mark;
use crate::rules::Desk;
use crate::score::state::PlayedState;
use midly::num::{u4, u7, u28};
use midly::{MetaMessage, MidiMessage, Track, TrackEvent, TrackEventKind};

/// Events with their ticks, in any order.
#[derive(Default)]
pub struct Events<'a>(Vec<(u64, u8, TrackEventKind<'a>)>);

impl<'a> Events<'a> {
    /// At one tick those of lower rank come first.
    pub fn push(&mut self, tick: u64, rank: u8, what: TrackEventKind<'a>) {
        self.0.push((tick, rank, what));
    }

    /// The track, with its end.
    pub fn finish(mut self, end: u64) -> Track<'a> {
        self.0.sort_by_key(|(tick, rank, _)| (*tick, *rank));
        let last = self.0.last().map_or(0, |(tick, ..)| *tick).max(end);
        self.push(last, u8::MAX, TrackEventKind::Meta(MetaMessage::EndOfTrack));
        let mut now = 0;
        let with_delta = |(tick, _, kind): (u64, u8, TrackEventKind<'a>)| {
            let delta = u32::try_from(tick - now).unwrap_or(u32::MAX).min((1 << 28) - 1);
            now = tick;
            TrackEvent { delta: u28::new(delta), kind }
        };
        self.0.into_iter().map(with_delta).collect()
    }
}

/// Expression in which a note begins, so that there is room above and below.
const EXPRESSION: f64 = 100.0;
const EXPRESSION_CONTROLLER: u8 = 11;
/// What marks add to a velocity (estimates).
const LOUDER: [(Mark, f64); 3] = [(Mark::Accent, 12.0), (Mark::Marcato, 18.0), (Mark::Ghost, -30.0)];

/// Ranks at one tick: what ends, what is set, what begins.
const ENDS: u8 = 1;
const SETS: u8 = 2;
const BEGINS: u8 = 3;

pub fn track<'a>(
    desk: &Desk,
    stage: &Stage,
    player: usize,
    name: &'a [u8],
    sounds: &[Sound],
    levels: &Levels,
) -> Track<'a> {
    let mut writer = Writer { events: Events::default(), channel: channel(player) };
    let port = u7::new(writer.channel.port);
    let meta = |what| TrackEventKind::Meta(what);
    writer.events.push(0, 0, meta(MetaMessage::TrackName(name)));
    writer.events.push(0, 0, meta(MetaMessage::MidiPort(port)));
    let of = |played: PlayedState| program(desk, player, played);
    let mut now = sounds.first().map_or_else(|| of(PlayedState::default()), |s| of(s.played));
    writer.set(0, MidiMessage::ProgramChange { program: u7::new(now) });
    writer.express(0, EXPRESSION);
    let mut moved = false;
    for (at, sound) in sounds.iter().enumerate() {
        let Ok(key) = u8::try_from(sound.midi.clamp(0, 127)).map(u7::new) else { continue };
        let program = of(sound.played);
        if std::mem::replace(&mut now, program) != program {
            writer.set(sound.start, MidiMessage::ProgramChange { program: u7::new(program) });
        }
        let level = loudness(sound, levels);
        let together = at > 0 && sounds.get(at - 1).is_some_and(|before| before.start == sound.start);
        if !together {
            if std::mem::take(&mut moved) {
                writer.express(sound.start, EXPRESSION);
            }
            let until = sounds.iter().skip(at).find(|s| s.start > sound.start).map_or(u64::MAX, |s| s.start);
            moved = writer.swell(stage, sound, levels, level, until);
        }
        let vel = u7::new(level.round().clamp(1.0, 127.0) as u8);
        writer.message(sound.start, BEGINS, MidiMessage::NoteOn { key, vel });
        writer.message(sound.stops, ENDS, MidiMessage::NoteOff { key, vel: u7::new(64) });
    }
    writer.events.finish(stage.end)
}

/// Velocity of a note.
fn loudness(sound: &Sound, levels: &Levels) -> f64 {
    let level = levels.at(sound.place);
    // A dynamic for this note alone.
    let alone = |d: &Dynamic| d.leaves() != Some(*d);
    let level = sound.dynamic.filter(alone).map_or(level, |d| level.max(f64::from(velocity(d))));
    let more: f64 = LOUDER.iter().filter(|(mark, _)| sound.marks.has(*mark)).map(|(_, more)| more).sum();
    (level + more).clamp(1.0, 127.0)
}

/// General MIDI program from 0, for what is in hand.
fn program(desk: &Desk, player: usize, played: PlayedState) -> u8 {
    let held = desk.score().head.players.get(player).and_then(|p| p.instrument(played.instrument));
    let Some(held) = held else { return 0 };
    let voice = voice(&held.instrument);
    let muted = voice.muted.filter(|_| played.mute.is_some());
    muted.unwrap_or(voice.program).saturating_sub(1)
}

struct Writer<'a> {
    events: Events<'a>,
    channel: Channel,
}

impl Writer<'_> {
    fn message(&mut self, tick: u64, rank: u8, message: MidiMessage) {
        let channel = u4::new(self.channel.channel);
        self.events.push(tick, rank, TrackEventKind::Midi { channel, message });
    }

    fn set(&mut self, tick: u64, message: MidiMessage) {
        self.message(tick, SETS, message);
    }

    fn express(&mut self, tick: u64, value: f64) {
        let value = u7::new(value.round().clamp(1.0, 127.0) as u8);
        self.set(tick, MidiMessage::Controller { controller: u7::new(EXPRESSION_CONTROLLER), value });
    }

    /// Moves the expression while a note sounds, in sixteenths; true if it did.
    fn swell(&mut self, stage: &Stage, sound: &Sound, levels: &Levels, level: f64, until: u64) -> bool {
        let per_whole = f64::from(stage.parts) * 4.0;
        let place = |tick: u64| sound.place + (tick - sound.start) as f64 / per_whole;
        let falls = matches!(sound.dynamic, Some(Dynamic::Fp | Dynamic::Sfp));
        let stop = sound.stops.min(until);
        if !falls && !levels.moves(sound.place, place(stop)) {
            return false;
        }
        let mut tick = sound.start + stage.sixteenth();
        let mut last = EXPRESSION;
        while tick < stop {
            let there = levels.at(place(tick));
            let from = if falls { level } else { levels.at(sound.place) };
            let value = (EXPRESSION * there / from.max(1.0)).round().clamp(1.0, 127.0);
            if (value - last).abs() >= 1.0 {
                self.express(tick, value);
                last = value;
            }
            tick += stage.sixteenth().max(1);
        }
        (last - EXPRESSION).abs() >= 1.0
    }
}
