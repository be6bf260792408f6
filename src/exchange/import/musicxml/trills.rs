//! Upper notes of trills, named where the score's key does not say them.

use crate::exchange::import::music::{Bar, Part};
use crate::score::trill::above;

/// A part may show another key than the score has, or none, so that this waits until all parts are read.
pub fn name(parts: &mut [Part], bars: &[Bar]) {
    for part in parts {
        for (measure, bar) in part.measures.iter_mut().zip(bars) {
            for signs in measure.voices.iter_mut().flat_map(|v| &mut v.entries).map(|e| &mut e.signs) {
                let Some((note, upper)) = signs.trill else { continue };
                if upper == above(note, note, bar.key) {
                    continue;
                }
                let plain = signs.marks.iter_mut().filter(|m| *m == ":trill");
                plain.for_each(|mark| *mark = format!(":trill={upper}"));
            }
        }
    }
}
