//! A tempo for music that has none.

use super::case::Case;
use super::draft::Draft;
use super::lines::own_end;
use crate::assist::counting::{beat_length, meter};
use crate::notation::Span;
use crate::score::figure::value_letters;

/// A walking tempo, counted as the meter is felt.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    let beat = case.block().and_then(|(_, placed, _)| beat_length(meter(placed, 0)?));
    let letters = beat.and_then(value_letters).filter(|l| !l.contains('+')).unwrap_or_else(|| "q".to_owned());
    let end = own_end(case.line);
    let tempo = format!("tempo {letters} = 72");
    let edit = (Span::new(end, end), format!("  {tempo}"));
    vec![Draft::of_line(format!("Set a tempo: {letters} = 72"), case.finding.line, vec![edit])]
}
