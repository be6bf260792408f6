//! Clefs of a player who has several instruments.

use crate::exchange::import::instrument::usual_clef;
use crate::exchange::import::music::{Free, Part};
use crate::music::Fraction;
use std::collections::BTreeSet;

/// In the file a clef holds whatever is in hand; in the notation each instrument begins in its own. Clefs are
/// named where these differ.
pub fn by_instrument(part: &mut Part) {
    let mut own: Vec<Option<&'static str>> = part.instruments.iter().map(|name| usual_clef(name)).collect();
    if let Some(first) = own.first_mut() {
        *first = part.clef.or(*first);
    }
    let mut in_file = own.first().copied().flatten();
    let mut assumed = in_file;
    for measure in &mut part.measures {
        let places: BTreeSet<Fraction> = measure
            .free
            .iter()
            .filter(|(_, free)| matches!(free, Free::Clef(_) | Free::Switch(_)))
            .map(|(onset, _)| *onset)
            .collect();
        for place in places {
            for (_, free) in measure.free.iter().filter(|(onset, _)| *onset == place) {
                match free {
                    Free::Clef(word) => in_file = Some(word),
                    Free::Switch(index) => assumed = own.get(*index).copied().flatten().or(in_file),
                    _ => {}
                }
            }
            measure.free.retain(|(onset, free)| *onset != place || !matches!(free, Free::Clef(_)));
            if let Some(clef) = in_file.filter(|clef| assumed != Some(*clef)) {
                measure.free.push((place, Free::Clef(clef)));
                assumed = in_file;
            }
        }
    }
}
