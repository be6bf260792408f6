//! The chart of an instrument as a table for people: every note, how it is played, how high each level goes.

use crate::brass::chart::{ChartRow, chart};
use crate::brass::{Instrument, Level, Nature, Way, hand};
use crate::music::Pitch;
use std::fmt::Write as _;

/// Other ways shown in the table for people; json and csv have all.
const MOST_OTHERS: usize = 5;

/// The ways most in tune, in the order they are held; harmonics that are out of tune by nature come last.
fn useful(others: &[Way]) -> Vec<&Way> {
    let mut ranked: Vec<(usize, &Way)> = others.iter().enumerate().collect();
    ranked.sort_by(|(_, a), (_, b)| {
        let poor = |way: &Way| matches!(way.partial, 7 | 11 | 13 | 14);
        poor(a).cmp(&poor(b)).then(a.cents.abs().total_cmp(&b.cents.abs()))
    });
    ranked.truncate(MOST_OTHERS);
    ranked.sort_by_key(|(place, _)| *place);
    ranked.into_iter().map(|(_, way)| way).collect()
}

/// The table, a line a note; `tuning` is A4 in hertz.
pub fn chart_text(instrument: &Instrument, tuning: f64) -> String {
    let mut out = String::new();
    let rows = chart(instrument, tuning);
    let slide = instrument.build.slide().is_some();
    let _ = writeln!(out, "{}, A4 = {tuning} Hz", instrument.name);
    let _ = writeln!(out, "{}\n", limits(instrument));
    let (exact, others) = if slide { ("   at", "partial, at") } else { ("", "partial, cents") };
    let _ = writeln!(out, "written  concert        Hz  usual  partial  cents{exact}  others ({others})");
    for row in &rows {
        let pitches =
            format!("{:<7}  {:<7}  {:>8.2}", row.written.to_string(), row.concert.to_string(), row.hertz);
        let how = match row.usual {
            Some(way) => {
                let others: Vec<String> =
                    useful(&row.others).into_iter().map(|way| other(way, slide)).collect();
                let exact = if slide { format!("  {:>3.1}", way.position) } else { String::new() };
                format!(
                    "{:<5}  {:>7}  {:>5}{exact}  {}",
                    way.how.to_string(),
                    way.partial,
                    cents(way),
                    others.join("  ")
                )
            }
            None => absent(row, instrument),
        };
        let _ = writeln!(out, "{}", format!("{pitches}  {how}").trim_end());
    }
    out
}

/// How low and how high players of each level go, as they read it.
fn limits(instrument: &Instrument) -> String {
    let written =
        |midi: i32| crate::brass::written::written(Pitch::plain(midi, true), instrument.reads).to_string();
    let levels = Level::ALL.map(|level| {
        let limits = instrument.limits(level);
        format!("{} {} to {}", level.word(), written(limits.low), written(limits.usual))
    });
    let reach = written(instrument.limits(Level::Professional).reach);
    format!("written range: {}; most professionals reach {reach}", levels.join(", "))
}

fn other(way: &Way, slide: bool) -> String {
    if slide {
        format!("{} ({}, {:.1})", way.how, way.partial, way.position)
    } else {
        format!("{} ({}, {})", way.how, way.partial, cents(*way))
    }
}

/// Whole cents with their sign; 0 without.
fn cents(way: Way) -> String {
    match way.cents.round() as i32 {
        0 => "0".to_owned(),
        cents => format!("{cents:+}"),
    }
}

/// Why a note cannot be played.
fn absent(row: &ChartRow, instrument: &Instrument) -> String {
    let written =
        |midi: i32| crate::brass::written::written(Pitch::plain(midi, true), instrument.reads).to_string();
    match row.nature {
        Nature::Gap { below, above } => format!("none: between {} and {}", written(below), written(above)),
        Nature::Below { lowest } => format!("none: below the lowest pedal {}", written(lowest)),
        Nature::OffSeries { by_hand: true, .. } => match hand::lowered(instrument.tube, row.concert.midi()) {
            Some(harmonic) => format!("with the hand in the bell, from partial {}", harmonic.partial),
            None => "with the hand in the bell".to_owned(),
        },
        Nature::OffSeries { nearest, partial, by_hand: false } => {
            format!("none: the nearest is {} (partial {partial})", written(nearest))
        }
        Nature::Ordinary | Nature::Weak | Nature::Pedal => "none".to_owned(),
    }
}
