//! Cues: before an entry after a long silence, the last bars of what somebody else plays, small, in the pitch in
//! which this player reads.
//!
//! A silence is as long as the rule `long-silence` has it (`bars`), counted on paper: repeats are not played out. As
//! there, the cue is of whoever is heard last before the entry; here it must be somebody who plays in the bars that
//! are shown. Of several notes at once the highest is shown.

use super::clefs::middle;
use super::tones::{Chord, ChordKind, Lines, Reading, Tone, chords};
use crate::exchange::paper::{SheetBar, line, player_name};
use crate::music::{Clef, Fraction, Interval};
use crate::notation::tree::Marks;
use crate::rules::{Desk, long_silence};
use crate::score::player::Player;

/// Bars that a cue shows (common practice).
pub const BARS: usize = 4;

/// What is shown before an entry.
pub struct Cue {
    /// The first of the bars on the sheet that it takes.
    pub first: usize,
    /// Words over it: who plays.
    pub words: String,
}

/// Somebody else, as it sounds.
struct Heard<'a> {
    player: &'a Player,
    chords: Vec<Vec<Chord>>,
}

/// Puts cues in the place of a player's silent bars.
pub fn put(
    desk: &Desk,
    sheet: &[SheetBar],
    player: usize,
    reading: &Reading<'_>,
    clefs: &[Clef],
    own: &mut [Vec<Chord>],
) -> Vec<Cue> {
    let least = long_silence::RULE.limit(desk.settings(), "bars").max(BARS as f64);
    let entries = entries(own, least);
    if entries.is_empty() {
        return Vec::new();
    }
    let others = desk.score().head.players.iter().enumerate().filter(|(other, _)| *other != player);
    let others: Vec<Heard<'_>> = others
        .map(|(other, of)| {
            let reading = Reading { player: of, basis: reading.basis, concert: true };
            Heard { player: of, chords: chords(&line(desk, sheet, other), sheet, &reading) }
        })
        .collect();
    let mut all = Vec::new();
    for entry in entries {
        let first = entry - BARS;
        let last = |heard: &Heard<'_>| last_heard(heard.chords.get(first..entry)?);
        // Of those who end together the last, as the rule has it.
        let Some((heard, _)) = others.iter().filter_map(|h| Some((h, last(h)?))).max_by_key(|(_, end)| *end)
        else {
            continue;
        };
        let reads: Vec<(u8, Interval)> = (first..entry)
            .zip(sheet.get(first..entry).unwrap_or_default())
            .map(|(at, bar)| (hand(own, at), bar))
            .map(|(hand, bar)| (hand, reading.interval(hand, bar.key).inverse()))
            .collect();
        let shown = heard.chords.get(first..entry).unwrap_or_default();
        let octaves = octaves(shown, &reads, clefs.get(first).copied());
        let mut before: Option<i32> = None;
        let bars = own.get_mut(first..entry).unwrap_or_default();
        for ((slot, from), (hand, read)) in bars.iter_mut().zip(shown).zip(reads) {
            let read = read.then(octave(octaves));
            let played = slot.first().map(|c| c.played);
            *slot = from.iter().map(|chord| small(chord, read)).collect();
            for chord in slot.iter_mut() {
                chord.played = played.unwrap_or(chord.played);
                chord.played.instrument = hand;
            }
            tie(slot, &mut before);
        }
        untie(bars);
        let name = player_name(heard.player);
        let words = match octaves {
            0 => format!("cue: {name}"),
            n => {
                let (by, way) = (n.unsigned_abs(), if n > 0 { "lower" } else { "higher" });
                let by = if by == 1 { "an octave".to_owned() } else { format!("{by} octaves") };
                format!("cue: {name} (sounds {by} {way})")
            }
        };
        all.push(Cue { first, words });
    }
    all
}

/// The bars in which the player enters after this many bars of nothing.
fn entries(own: &[Vec<Chord>], least: f64) -> Vec<usize> {
    let mut silent = 0usize;
    let mut all = Vec::new();
    for (at, bar) in own.iter().enumerate() {
        let plays = bar.iter().any(|c| c.kind != ChordKind::Rest);
        if plays && silent >= BARS && silent as f64 >= least {
            all.push(at);
        }
        silent = if plays { 0 } else { silent + 1 };
    }
    all
}

/// Bar and end of the last that sounds; `None` if nothing does.
fn last_heard(bars: &[Vec<Chord>]) -> Option<(usize, Fraction)> {
    let sounds = |bar: &Vec<Chord>| bar.iter().rfind(|c| !c.tones.is_empty()).cloned();
    let (at, chord) = bars.iter().enumerate().rev().find_map(|(at, bar)| Some((at, sounds(bar)?)))?;
    Some((at, chord.onset.plus(chord.length)?))
}

/// The instrument in hand in a bar.
fn hand(own: &[Vec<Chord>], at: usize) -> u8 {
    own.iter().take(at + 1).rev().find_map(|bar| bar.first()).map_or(0, |c| c.played.instrument)
}

/// How many octaves up the cue is written so that it stands in the stave.
fn octaves(shown: &[Vec<Chord>], reads: &[(u8, Interval)], clef: Option<Clef>) -> i32 {
    let bars = shown.iter().zip(reads).flat_map(|(bar, (_, read))| {
        let tones = bar.iter().filter_map(|c| c.tones.last());
        tones.map(|tone| read.apply_respelled(tone.pitch).staff())
    });
    let places: Vec<i32> = bars.collect();
    let (Some(low), Some(high)) = (places.iter().min(), places.iter().max()) else { return 0 };
    let off = middle(clef.unwrap_or(Clef::Treble)) * 2 - (low + high);
    // Not for less than an octave from the middle of the stave.
    if off.abs() < 14 { 0 } else { (off as f64 / 14.0).round() as i32 }
}

fn octave(many: i32) -> Interval {
    Interval::new(7 * many, 12 * many)
}

/// A chord as a cue has it: rhythm and the highest note.
fn small(chord: &Chord, read: Interval) -> Chord {
    let tone = chord.tones.last().map(|tone| Tone { pitch: read.apply_respelled(tone.pitch), ..*tone });
    Chord {
        kind: if tone.is_some() { ChordKind::Sound } else { ChordKind::Rest },
        tones: tone.into_iter().collect(),
        graces: Vec::new(),
        marks: Marks::default(),
        fermata: false,
        trill: None,
        lines: Lines::default(),
        cue: true,
        ..chord.clone()
    }
}

/// A tie needs both its notes in the cue; `before` is the note that is tied to what follows.
fn tie(bar: &mut [Chord], before: &mut Option<i32>) {
    for chord in bar {
        let tone = chord.tones.first_mut();
        let here = tone.and_then(|tone| {
            tone.tied &= *before == Some(tone.midi);
            tone.ties.then_some(tone.midi)
        });
        *before = here;
    }
}

/// What follows says whether it is tied.
fn untie(bars: &mut [Vec<Chord>]) {
    let mut follows = false;
    for chord in bars.iter_mut().rev().flat_map(|bar| bar.iter_mut().rev()) {
        let tied = chord.tones.first_mut().map(|tone| {
            tone.ties = follows;
            tone.tied
        });
        follows = tied.unwrap_or(false);
    }
}
