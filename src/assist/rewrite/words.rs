//! Distances in a musician's words.

use crate::music::Interval;

/// `a semitone`, `a tone`, `a minor third`, `an octave`.
pub fn distance(by: Interval) -> String {
    let down = by.steps < 0 || (by.steps == 0 && by.semitones < 0);
    let size = if down { by.inverse() } else { by };
    match (size.steps, size.semitones) {
        (1, 1) => "a semitone".to_owned(),
        (1, 2) => "a tone".to_owned(),
        _ => {
            let said = crate::assist::interval_words::direction(size);
            said.strip_suffix(" higher").unwrap_or(&said).replace("perfect ", "")
        }
    }
}

/// `up` or `down`.
pub fn way(by: Interval) -> &'static str {
    if by.steps < 0 || (by.steps == 0 && by.semitones < 0) { "down" } else { "up" }
}
