//! Intervals in words.

use crate::music::Interval;

/// `a major second lower`, `an octave and a minor third higher`, `the same`.
pub fn direction(interval: Interval) -> String {
    let down = interval.steps < 0 || (interval.steps == 0 && interval.semitones < 0);
    let size = if down { interval.inverse() } else { interval };
    if size == Interval::UNISON {
        return "the same".to_owned();
    }
    format!("{} {}", size_words(size), if down { "lower" } else { "higher" })
}

/// `a major second`, `two octaves`, `an octave and a minor third`.
fn size_words(size: Interval) -> String {
    let octaves = size.steps.div_euclid(7);
    let simple = Interval::new(size.steps.rem_euclid(7), size.semitones - 12 * octaves);
    let octave_words = match octaves {
        0 => String::new(),
        1 => "an octave".to_owned(),
        2 => "two octaves".to_owned(),
        3 => "three octaves".to_owned(),
        n => format!("{n} octaves"),
    };
    let simple_words = match (simple == Interval::UNISON, octaves) {
        (true, _) => String::new(),
        _ => simple_words(simple),
    };
    match (octave_words.is_empty(), simple_words.is_empty()) {
        (false, false) => format!("{octave_words} and {simple_words}"),
        (false, true) => octave_words,
        _ => simple_words,
    }
}

fn simple_words(simple: Interval) -> String {
    const NUMBERS: [&str; 7] = ["unison", "second", "third", "fourth", "fifth", "sixth", "seventh"];
    let number = NUMBERS.get(simple.steps.rem_euclid(7) as usize).copied().unwrap_or("unison");
    let short = simple.to_string();
    let quality = match short.trim_start_matches('-').chars().next() {
        Some('M') => "a major",
        Some('m') => "a minor",
        Some('A') => "an augmented",
        Some('d') => "a diminished",
        _ => "a perfect",
    };
    format!("{quality} {number}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_players_say_them() {
        assert_eq!(direction(Interval::new(-1, -2)), "a major second lower");
        assert_eq!(direction(Interval::new(-4, -7)), "a perfect fifth lower");
        assert_eq!(direction(Interval::new(-8, -14)), "an octave and a major second lower");
        assert_eq!(direction(Interval::new(2, 3)), "a minor third higher");
        assert_eq!(direction(Interval::new(7, 12)), "an octave higher");
        assert_eq!(direction(Interval::UNISON), "the same");
    }
}
