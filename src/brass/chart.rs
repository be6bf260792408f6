//! A chart of an instrument: note by note, what is read, what sounds, how it is played.

use super::compass::Nature;
use super::instrument::Instrument;
use super::level::Level;
use super::usual::IN_TUNE;
use super::way::Way;
use super::written;
use crate::music::Pitch;

/// A line of a chart.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartRow {
    pub written: Pitch,
    pub concert: Pitch,
    /// Equal-tempered frequency of the concert pitch.
    pub hertz: f64,
    pub nature: Nature,
    /// The usual way; `None` if the note cannot be played.
    pub usual: Option<Way>,
    /// Other ways that players use, the shortest tube first: none that is flat, or on a poor harmonic, by more than
    /// 35 cents. Sharp ones are corrected by pulling a slide.
    pub others: Vec<Way>,
}

/// Every note from the lowest pedal that is asked for, or the lowest ordinary note, to what professionals reach;
/// notes that the tube does not have are rows without a way. `a4` is the tuning note in hertz.
pub fn chart(instrument: &Instrument, a4: f64) -> Vec<ChartRow> {
    let limits = instrument.limits(Level::Professional);
    let from = limits.pedal_low.unwrap_or_else(|| instrument.lowest()).min(instrument.lowest());
    (from..=limits.reach).map(|midi| row(instrument, midi, a4)).collect()
}

fn row(instrument: &Instrument, midi: i32, a4: f64) -> ChartRow {
    let written = fingering_chart_spelling(midi - instrument.reads.semitones);
    let concert = written::sounding(written, instrument.reads);
    let note = instrument.note(midi);
    let others = instrument.ways(midi).iter().skip(1).filter(|way| is_used(way)).copied().collect();
    ChartRow { written, concert, hertz: concert.hertz(a4), nature: note.nature, usual: note.usual, others }
}

/// True for a way that players use beside the usual one: none that is flat, or on a poor harmonic, by more
/// than 35 cents.
pub fn is_used(way: &Way) -> bool {
    way.cents.abs() <= IN_TUNE || (way.cents > 0.0 && !way.is_poor())
}

/// Charts spell C♯ E♭ F♯ A♭ B♭ (common practice).
fn fingering_chart_spelling(midi: i32) -> Pitch {
    Pitch::plain(midi, !matches!(midi.rem_euclid(12), 1 | 6))
}
