//! Bars and parts of what was played.

use super::file::{File, Played};
use super::grid::{Laid, UNITS, WORDS, laid};
use super::spelling::spelled;
use crate::exchange::import::instrument::{Told, recognised};
use crate::exchange::import::loss::Losses;
use crate::exchange::import::map::Map;
use crate::exchange::import::music::{Bar, Doubt, Entry, Free, Measure, Music, Part, Tone, Voice};
use crate::exchange::import::trouble::Trouble;
use crate::exchange::midi::velocity;
use crate::music::{Dynamic, Fraction, Key, Mode};

/// More bars than this are no piece of music.
const MOST_BARS: usize = 20_000;
/// Notes that must have another dynamic before one is written (estimate).
const STEADY: usize = 3;

/// A bar in units.
#[derive(Debug, Clone, Copy)]
struct Frame {
    from: i64,
    to: i64,
}

pub fn score(file: &File, map: &Map, losses: &mut Losses) -> Result<Music, Trouble> {
    let mut music =
        Music { first: 1, title: file.title.clone(), rights: file.copyright.clone(), ..Music::default() };
    let mut doubt = Doubt { notes: 0, moved: 0, farthest: 0.0, grid: WORDS.to_owned() };
    let mut chosen: Vec<(&Played, String, Vec<Laid>)> = Vec::new();
    for (number, played) in file.voices.iter().enumerate() {
        let Some(instrument) = instrument(played, number, map, losses) else { continue };
        chosen.push((played, instrument, laid(&played.notes, file.quarter, &mut doubt)));
    }
    if chosen.is_empty() {
        return Err(Trouble::NoBrass { parts: file.voices.iter().map(|v| v.name.clone()).collect() });
    }
    let end = chosen.iter().flat_map(|(.., notes)| notes).map(|n| n.to).max().unwrap_or(0);
    let frames = bars(file, end, &mut music, losses)?;
    for (played, instrument, notes) in chosen {
        music.parts.push(part(played, instrument, &notes, &frames, &music.bars));
    }
    for (what, count) in &file.lost {
        (0..*count).for_each(|_| losses.add(*what, "", None));
    }
    music.doubt = Some(doubt);
    Ok(music)
}

fn instrument(played: &Played, number: usize, map: &Map, losses: &mut Losses) -> Option<String> {
    match map.of(&[&played.name], number) {
        Some(Some(name)) => return Some(name.to_owned()),
        Some(None) => {
            losses.add("left out, as asked", &played.name, None);
            return None;
        }
        None => {}
    }
    let told = Told { names: vec![&played.name], program: played.program, ..Told::default() };
    let found = recognised(&told).filter(|_| !played.drums).map(|found| found.name);
    found.or_else(|| {
        let other = map.others().flatten().filter(|_| !played.drums).map(str::to_owned);
        if other.is_none() {
            losses.add("left out: not known to be for brass (`--map` says for what)", &played.name, None);
        }
        other
    })
}

/// The bars as the meters make them, with keys, tempos and marks.
fn bars(file: &File, end: i64, music: &mut Music, losses: &mut Losses) -> Result<Vec<Frame>, Trouble> {
    let units = |tick: u64| (tick as f64 * UNITS as f64 / file.quarter.max(1) as f64).round() as i64;
    let mut frames = Vec::new();
    let mut now = 0;
    let (mut meter, mut key) = ((4, 4), None);
    let mut meters = file.meters.iter().peekable();
    let mut keys = file.keys.iter().peekable();
    while now < end.max(1) {
        if frames.len() >= MOST_BARS {
            return Err(Trouble::Midi(format!("it lasts for more than {MOST_BARS} bars")));
        }
        while let Some((_, beats, beat)) = meters.next_if(|(at, ..)| units(*at) <= now) {
            meter = (*beats, *beat);
        }
        while let Some((_, fifths, minor)) = keys.next_if(|(at, ..)| units(*at) <= now) {
            key = Key::from_fifths(*fifths, if *minor { Mode::Minor } else { Mode::Major });
        }
        let full = i64::from(meter.0) * 4 * UNITS / i64::from(meter.1);
        let mut to = now + full.max(1);
        // A meter that changes inside a bar ends it there.
        if let Some((at, ..)) = meters.peek()
            && units(*at) < to
            && units(*at) - now >= UNITS / 4
        {
            to = units(*at) / (UNITS / 4) * (UNITS / 4);
            losses.add(
                "a meter that changes inside a bar: the bar ends there",
                "",
                Some(frames.len() as i64),
            );
        }
        let mut bar = Bar { groups: vec![meter.0], beat: meter.1, key, ..Bar::default() };
        bar.length = whole(to - now);
        music.bars.push(bar);
        frames.push(Frame { from: now, to });
        now = to;
    }
    let at = |tick: u64| frames.partition_point(|f| f.from <= units(tick)).saturating_sub(1);
    let mut last = None;
    for (tick, micros) in &file.tempos {
        let index = at(*tick);
        let number = format!("{:.2}", 60_000_000.0 / f64::from(*micros));
        let number = number.trim_end_matches('0').trim_end_matches('.').to_owned();
        if last.as_ref() == Some(&number) {
            continue;
        }
        let Some(bar) = music.bars.get_mut(index) else { continue };
        let on = frames.get(index).is_some_and(|f| units(*tick) - f.from < UNITS / 4);
        if on && (0.01..=999.0).contains(&(60_000_000.0 / f64::from(*micros))) {
            bar.tempo = Some(format!("q = {number}"));
            last = Some(number);
        } else {
            losses.add("tempos that change inside a bar", "", Some(index as i64));
        }
    }
    for (tick, mark) in &file.marks {
        if let Some(bar) = music.bars.get_mut(at(*tick)) {
            bar.mark.get_or_insert_with(|| mark.clone());
        }
    }
    Ok(frames)
}

fn whole(units: i64) -> Fraction {
    Fraction::new(units, 4 * UNITS).unwrap_or_default()
}

fn part(played: &Played, instrument: String, notes: &[Laid], frames: &[Frame], bars: &[Bar]) -> Part {
    let mut part = Part {
        name: played.name.clone(),
        abbreviation: played.name.clone(),
        instruments: vec![instrument],
        seats: 1,
        ..Part::default()
    };
    part.measures.resize_with(frames.len(), Measure::default);
    // Notes that begin and end together are chords; a voice is what can follow each other.
    let mut groups: Vec<(i64, i64, Vec<u8>)> = Vec::new();
    for note in notes {
        match groups.iter_mut().rev().take(8).find(|(from, to, _)| (*from, *to) == (note.from, note.to)) {
            Some((.., keys)) => keys.push(note.key),
            None => groups.push((note.from, note.to, vec![note.key])),
        }
    }
    let mut ends: Vec<i64> = Vec::new();
    for (from, to, keys) in groups {
        let free = ends.iter().position(|end| *end <= from);
        let voice = free.unwrap_or_else(|| {
            ends.push(0);
            ends.len() - 1
        });
        if let Some(end) = ends.get_mut(voice) {
            *end = to;
        }
        put(&mut part, voice, (from, to), &keys, frames, bars);
    }
    for (from, level) in levels(notes) {
        let index = frames.partition_point(|f| f.from <= from).saturating_sub(1);
        if let (Some(measure), Some(frame)) = (part.measures.get_mut(index), frames.get(index)) {
            measure.free.push((whole(from - frame.from), Free::Level(level.word())));
        }
    }
    part
}

/// A chord in the bars it sounds in, tied over their barlines.
fn put(part: &mut Part, voice: usize, span: (i64, i64), keys: &[u8], frames: &[Frame], bars: &[Bar]) {
    let first = frames.partition_point(|f| f.to <= span.0);
    let mut tied = false;
    for ((frame, bar), measure) in frames.iter().zip(bars).zip(&mut part.measures).skip(first) {
        if frame.from >= span.1 {
            return;
        }
        let (from, to) = (span.0.max(frame.from), span.1.min(frame.to));
        let mut tones: Vec<Tone> =
            keys.iter().map(|key| Tone { pitch: spelled(i32::from(*key), bar.key), tied }).collect();
        tones.sort_by_key(|t| std::cmp::Reverse(t.pitch.midi()));
        let name = format!("{voice:03}");
        let at = measure.voices.iter().position(|v| v.name == name).unwrap_or_else(|| {
            measure.voices.push(Voice { name: name.clone(), entries: Vec::new() });
            measure.voices.len() - 1
        });
        if let Some(voice) = measure.voices.get_mut(at) {
            let (onset, length) = (whole(from - frame.from), whole(to - from));
            voice.entries.push(Entry { onset, length, ratio: (1, 1), tones, ..Entry::default() });
        }
        measure.voices.sort_by(|a, b| a.name.cmp(&b.name));
        tied = true;
    }
}

/// Where the dynamic nearest to what is played changes for good.
fn levels(notes: &[Laid]) -> Vec<(i64, Dynamic)> {
    let near = |velocity_: u8| {
        let steps = Dynamic::ALL.into_iter().filter(|d| d.leaves() == Some(*d));
        steps.min_by_key(|d| i32::from(velocity(*d)).abs_diff(i32::from(velocity_)))
    };
    let all: Vec<(i64, Dynamic)> = notes.iter().filter_map(|n| Some((n.from, near(n.velocity)?))).collect();
    let mut out: Vec<(i64, Dynamic)> = Vec::new();
    for (at, (from, level)) in all.iter().enumerate() {
        let changes = out.last().is_none_or(|(_, before)| before != level);
        let steady = all.iter().skip(at).take(STEADY).all(|(_, other)| other == level);
        if changes && (steady || out.is_empty()) {
            out.push((*from, *level));
        }
    }
    out
}
