//! `waterkey chart`: every note of an instrument and how it is played.

use super::instrument_words::instrument;
use super::out::Out;
use super::score_player::{is_score, player};
use super::{CLEAN, FAILED};
use crate::brass::catalogue::entries;
use crate::brass::chart::{ChartRow, chart};
use crate::brass::{Instrument, Level, Nature, Way, hand};
use crate::music::Pitch;
use clap::{Args, ValueEnum};
use serde::Serialize;
use std::sync::Arc;

/// Print every note of an instrument: what is read, what sounds, and how it is played
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey chart trumpet in Bb\n  \
        waterkey chart natural horn in C basso\n  \
        waterkey chart bass trombone --format csv\n  \
        waterkey chart harbour.brass Tp1    for a player of a score\n  \
        waterkey chart                      the names of all instruments\n\n\
        Valves are written as one number, 13 for first and third, and 0 for none; T is the thumb valve\n\
        of a double horn or the first attachment of a trombone, G the second; on a slide the number is\n\
        the nearest position, and `at` tells exactly where. Cents say how far the tube itself lies above\n\
        (+) or below (-) equal temperament, before the player corrects it. The written range is what may\n\
        be asked of players of each level, without pedals; `waterkey explain too-high` says more.")]
pub struct Chart {
    /// The instrument and the key it is read in, as in a score, or a score and one of its players; without
    /// it, the names of all instruments
    #[arg(value_name = "INSTRUMENT")]
    words: Vec<String>,

    /// A table for people, or json or csv for programs
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,

    /// The tuning note A4, in hertz; 440 if neither this nor the score says otherwise
    #[arg(long, value_name = "HERTZ", value_parser = super::tuning)]
    tuning: Option<f64>,
}

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

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Table,
    Json,
    Csv,
}

impl Chart {
    pub fn run(self, out: &mut Out) -> u8 {
        if self.words.is_empty() {
            entries().for_each(|entry| out.line(&entry.full_name()));
            return CLEAN;
        }
        let (instrument, tuning) = match self.instrument() {
            Ok(found) => found,
            Err(why) => {
                out.trouble(&why);
                return FAILED;
            }
        };
        let rows = chart(&instrument, tuning);
        match self.format {
            Format::Table => table(out, &instrument, &rows, tuning),
            Format::Csv => csv(out, &rows),
            Format::Json => match json(&instrument, &rows) {
                Ok(text) => out.line(&text),
                Err(why) => {
                    out.trouble(&format!("the chart could not be written: {why}"));
                    return FAILED;
                }
            },
        }
        CLEAN
    }

    fn instrument(&self) -> Result<(Arc<Instrument>, f64), String> {
        let (found, tuning) = match self.words.as_slice() {
            [score, id] if is_score(score) => {
                let held = player(score, id)?;
                let first = held.instruments.into_iter().next();
                (first.ok_or_else(|| format!("{id} holds no instrument"))?, held.tuning)
            }
            [score, ..] if is_score(score) => {
                return Err(format!("name one player after the score: waterkey chart {score} Tp1"));
            }
            words => (Arc::new(instrument(words)?), 440.0),
        };
        Ok((found, self.tuning.unwrap_or(tuning)))
    }
}

fn table(out: &mut Out, instrument: &Instrument, rows: &[ChartRow], tuning: f64) {
    let slide = instrument.build.slide().is_some();
    out.line(&format!("{}, A4 = {tuning} Hz", instrument.name));
    out.line(&limits(instrument));
    out.line("");
    let (exact, others) = if slide { ("   at", "partial, at") } else { ("", "partial, cents") };
    out.line(&format!("written  concert        Hz  usual  partial  cents{exact}  others ({others})"));
    for row in rows {
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
        out.line(format!("{pitches}  {how}").trim_end());
    }
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

/// One line a note; the other ways in one field, parted by blanks.
fn csv(out: &mut Out, rows: &[ChartRow]) {
    out.line("written,concert,hertz,usual,partial,cents,others");
    for row in rows {
        let usual = row
            .usual
            .map_or_else(|| ",,".to_owned(), |w| format!("{},{},{}", w.how, w.partial, tenths(w.cents)));
        let others: Vec<String> = row.others.iter().map(|w| w.how.to_string()).collect();
        out.line(&format!("{},{},{:.2},{usual},{}", row.written, row.concert, row.hertz, others.join(" ")));
    }
}

#[derive(Serialize)]
struct ChartJson<'a> {
    instrument: &'a str,
    notes: Vec<NoteJson>,
}

#[derive(Serialize)]
struct NoteJson {
    written: String,
    concert: String,
    hertz: f64,
    usual: Option<String>,
    partial: Option<u16>,
    cents: Option<f64>,
    others: Vec<WayJson>,
}

#[derive(Serialize)]
struct WayJson {
    how: String,
    partial: u16,
    cents: f64,
}

fn json(instrument: &Instrument, rows: &[ChartRow]) -> Result<String, serde_json::Error> {
    let notes = rows
        .iter()
        .map(|row| NoteJson {
            written: row.written.to_string(),
            concert: row.concert.to_string(),
            hertz: (row.hertz * 100.0).round() / 100.0,
            usual: row.usual.map(|w| w.how.to_string()),
            partial: row.usual.map(|w| w.partial),
            cents: row.usual.map(|w| tenths(w.cents)),
            others: row
                .others
                .iter()
                .map(|w| WayJson { how: w.how.to_string(), partial: w.partial, cents: tenths(w.cents) })
                .collect(),
        })
        .collect();
    serde_json::to_string(&ChartJson { instrument: &instrument.name, notes })
}

/// Cents to a tenth, and never a negative nothing.
fn tenths(cents: f32) -> f64 {
    (f64::from(cents) * 10.0).round() / 10.0 + 0.0
}
