//! Rests of the right shape: none hides a beat that it does not begin on.

use super::units::Unit;
use crate::music::Fraction;
use crate::score::figure::{is_single_value, value_letters};

/// Rests from one place of a bar to another. A rest of a value stands where the value divides what has gone by;
/// in a meter of dotted beats the beat is the largest dotted rest. What a tuplet leaves may have no letters.
pub fn rests(from: Fraction, to: Fraction, beat: Fraction) -> Option<Vec<Unit>> {
    let mut values: Vec<Fraction> = Vec::new();
    for (n, d) in [(2, 1), (1, 1), (1, 2), (1, 4), (1, 8), (1, 16), (1, 32), (1, 64)] {
        values.push(Fraction::new(n, d)?);
    }
    if beat.numerator() == 3 {
        values.push(beat.plus(beat)?);
        values.push(beat);
        values.sort();
        values.reverse();
    }
    let mut out = Vec::new();
    let mut now = from;
    while now < to {
        let left = to.minus(now)?;
        let stands = |v: &&Fraction| {
            **v <= left
                && now.over(**v).is_some_and(Fraction::is_whole)
                && (beat.numerator() != 3 || within_its_beat(now, **v, beat))
        };
        let value = match values.iter().find(stands) {
            Some(value) => *value,
            // In the middle of what a longer value covers: whatever is left, if it can be written.
            None => left,
        };
        if !is_single_value(value) && value_letters(value).is_none() {
            return None;
        }
        out.push(Unit::rest(now, value, &value_letters(value)?));
        now = now.plus(value)?;
    }
    Some(out)
}

/// True for a rest that begins with a dotted beat or ends before the next begins.
fn within_its_beat(now: Fraction, value: Fraction, beat: Fraction) -> bool {
    let Some(beats) = now.over(beat) else { return false };
    let next = beats.numerator().div_euclid(beats.denominator()) + 1;
    let left = Fraction::new(next, 1).and_then(|n| n.times(beat)).and_then(|end| end.minus(now));
    beats.is_whole() || left.is_some_and(|left| value <= left)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shape(from: (i64, i64), to: (i64, i64), beat: (i64, i64)) -> String {
        let f = |(n, d)| Fraction::new(n, d).unwrap();
        let all = rests(f(from), f(to), f(beat)).unwrap();
        all.iter().map(|u| u.text.clone()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn rests_show_the_beats() {
        assert_eq!(shape((0, 1), (1, 2), (1, 4)), "h-");
        assert_eq!(shape((1, 4), (1, 1), (1, 4)), "q- h-");
        assert_eq!(shape((1, 8), (3, 4), (1, 4)), "e- q- q-");
        assert_eq!(shape((0, 1), (3, 4), (1, 4)), "h- q-");
        assert_eq!(shape((0, 1), (3, 8), (3, 8)), "q.-");
        assert_eq!(shape((1, 8), (3, 4), (3, 8)), "e- e- q.-");
    }
}
