//! The first track: tempos, meters, keys and marks.

use super::stage::Stage;
use super::track::Events;
use crate::exchange::paper::{OverKind, SheetBar};
use crate::music::{Key, Mode};
use crate::notation::tree::Meter;
use midly::num::u24;
use midly::{MetaMessage, Track, TrackEventKind};

/// Microseconds of a quarter where no tempo is named: what a file without one means.
const NO_TEMPO: u32 = 500_000;

pub fn track<'a>(stage: &Stage, sheet: &'a [SheetBar], title: &'a [u8]) -> Track<'a> {
    let mut events = Events::default();
    let mut meta = |tick: u64, what: MetaMessage<'a>| events.push(tick, 0, TrackEventKind::Meta(what));
    if !title.is_empty() {
        meta(0, MetaMessage::TrackName(title));
    }
    let mut tempo = None;
    let mut meter: Option<&Meter> = None;
    let mut key: Option<Option<Key>> = None;
    for played in &stage.bars {
        let Some(bar) = sheet.get(played.bar) else { continue };
        if meter != Some(&bar.meter) {
            meter = Some(&bar.meter);
            meta(played.tick, time_signature(&bar.meter));
        }
        if key != Some(bar.key) {
            key = Some(bar.key);
            meta(played.tick, key_signature(bar.key));
        }
        for over in &bar.over {
            if let OverKind::Mark(name) = &over.what {
                meta(played.tick + stage.ticks(over.onset), MetaMessage::Marker(name.as_bytes()));
            }
        }
        let mut tick = played.tick;
        for (ticks, seconds) in &played.cells {
            let quarters = *ticks as f64 / f64::from(stage.parts);
            let micros = seconds.filter(|_| *ticks > 0).map(|s| (s * 1e6 / quarters).round());
            let micros = micros.map_or(NO_TEMPO, |m| m.clamp(1.0, f64::from((1u32 << 24) - 1)) as u32);
            // One more or less is rounding.
            if tempo.is_none_or(|now: u32| now.abs_diff(micros) > 1) {
                tempo = Some(micros);
                meta(tick, MetaMessage::Tempo(u24::new(micros)));
            }
            tick += ticks;
        }
    }
    events.finish(stage.end)
}

fn time_signature(meter: &Meter) -> MetaMessage<'static> {
    let beats: u32 = meter.groups.iter().sum();
    let beats = u8::try_from(beats).unwrap_or(u8::MAX);
    let beat = meter.beat.max(1).ilog2() as u8;
    // 24 MIDI clocks are a quarter; a metronome beats the lower number, or three of it in compound meters.
    let compound = meter.beat >= 8 && meter.groups.len() == 1 && beats % 3 == 0;
    let clocks = (96u32 >> beat.min(6)) * if compound { 3 } else { 1 };
    MetaMessage::TimeSignature(beats, beat, u8::try_from(clocks.max(1)).unwrap_or(24), 8)
}

fn key_signature(key: Option<Key>) -> MetaMessage<'static> {
    let fifths = key.map_or(0, |key| key.readable().fifths());
    let minor = key.is_some_and(|key| key.mode == Mode::Minor);
    MetaMessage::KeySignature(fifths.clamp(-7, 7) as i8, minor)
}
