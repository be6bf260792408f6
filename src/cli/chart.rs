//! `waterkey chart`: every note of an instrument and how it is played.

use super::out::Out;
use super::score_player::{is_score, player};
use super::{CLEAN, FAILED};
use crate::assist::{chart_text, instrument};
use crate::brass::Instrument;
use crate::brass::catalogue::entries;
use crate::brass::chart::{ChartRow, chart};
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
        match self.format {
            Format::Table => out.text(&chart_text(&instrument, tuning)),
            Format::Csv => csv(out, &chart(&instrument, tuning)),
            Format::Json => match json(&instrument, &chart(&instrument, tuning)) {
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
