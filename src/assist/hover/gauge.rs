//! Where a note lies in a player's range, drawn and in words.
//!
//! One sign a semitone, low to high: `=` comfortable, `-` usual, `.` what most professionals reach or
//! what lies below the level's low, `~` pedals, blank where the instrument has no note; `O` is the note.

use super::reads::read;
use super::telling::Telling;
use crate::brass::{Level, Nature};
use crate::music::Key;
use crate::rules::lie::{Lie, lie};
use crate::score::player::PlayerInstrument;

/// Most signs drawn.
const MOST: i32 = 80;

/// Adds the drawing and the words.
pub fn told(instrument: &PlayerInstrument, level: Level, key: Option<Key>, midi: i32, telling: &mut Telling) {
    telling.fact("Range", words(instrument, level, key, midi));
    if let Some(line) = drawn(instrument, key, midi) {
        telling.drawn(line);
    }
}

/// One line: the lowest note, the range, the highest note, as the player reads them.
fn drawn(instrument: &PlayerInstrument, key: Option<Key>, midi: i32) -> Option<String> {
    let limits = &instrument.limits;
    let low = limits.pedal_low.unwrap_or(limits.low).min(limits.low);
    let (from, to) = (low.min(midi), limits.reach.max(midi));
    if to - from >= MOST {
        return None;
    }
    let signs: String = (from..=to).map(|m| if m == midi { 'O' } else { sign(instrument, m) }).collect();
    Some(format!("{} {signs} {}", read(instrument, from, key), read(instrument, to, key)))
}

fn sign(instrument: &PlayerInstrument, midi: i32) -> char {
    let limits = &instrument.limits;
    match instrument.instrument.note(midi).nature {
        Nature::Pedal => '~',
        Nature::OffSeries { by_hand: true, .. } | Nature::Ordinary | Nature::Weak => {
            if midi < limits.low {
                '.'
            } else if midi <= limits.comfortable {
                '='
            } else if midi <= limits.usual {
                '-'
            } else if midi <= limits.reach {
                '.'
            } else {
                ' '
            }
        }
        Nature::OffSeries { .. } | Nature::Gap { .. } | Nature::Below { .. } => ' ',
    }
}

fn words(instrument: &PlayerInstrument, level: Level, key: Option<Key>, midi: i32) -> String {
    let limits = &instrument.limits;
    let told = |m: i32| read(instrument, m, key).to_string();
    let whose = if instrument.own_top.is_some() { "this player's own top".to_owned() } else { top_of(level) };
    match lie(instrument, midi) {
        Lie::Fine if midi <= limits.comfortable => match limits.comfortable - midi {
            0 => format!("comfortable, at its top, {}", told(limits.comfortable)),
            under => format!("comfortable, {} below its top, {}", steps(under), told(limits.comfortable)),
        },
        Lie::Fine => format!(
            "high: above the comfortable {}, {} {whose}, {}",
            told(limits.comfortable),
            match limits.usual - midi {
                0 => "at".to_owned(),
                under => format!("{} below", steps(under)),
            },
            told(limits.usual)
        ),
        Lie::High { limit } => {
            format!(
                "{} above {whose}, {}; most professionals reach {}",
                steps(midi - limit),
                told(limit),
                told(limits.reach)
            )
        }
        Lie::Highest { limit } if instrument.own_top.is_some() => {
            format!("{} above {whose}, {}", steps(midi - limit), told(limit))
        }
        Lie::Highest { limit } => {
            format!("{} above {}, which most professionals reach", steps(midi - limit), told(limit))
        }
        Lie::Low { limit } => {
            format!("low: {} below {}, what can be relied on", steps(limit - midi), told(limit))
        }
        Lie::Pedal => "a pedal: the lowest harmonic, loose lips and much air".to_owned(),
        Lie::Weak => "only just there: the one weak note of this instrument".to_owned(),
        Lie::Gap { below, above } => {
            format!("not on this instrument: it has {} and {}, and nothing between", told(below), told(above))
        }
        Lie::Nowhere { lowest } => {
            format!("below everything this instrument has; its last note is {}", told(lowest))
        }
        Lie::OffSeries { by_hand: true, .. } => "between two harmonics, with the hand in the bell".to_owned(),
        Lie::OffSeries { nearest, partial, .. } => {
            format!("not on this tube; the nearest is {}, partial {partial}", told(nearest))
        }
    }
}

fn top_of(level: Level) -> String {
    match level {
        Level::School => "the usual top at school level".to_owned(),
        Level::Amateur => "the usual top of an amateur".to_owned(),
        Level::Professional => "the usual top of a professional".to_owned(),
    }
}

fn steps(semitones: i32) -> String {
    match semitones {
        1 => "a semitone".to_owned(),
        n => format!("{n} semitones"),
    }
}
