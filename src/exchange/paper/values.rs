//! Lengths as note values.

use crate::music::Fraction;

/// A note value: a power of two of a whole note, with dots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Value {
    /// 1 for a double whole, 0 for a whole, -2 for a quarter.
    pub power: i32,
    pub dots: u32,
}

/// The longest and the shortest value that is written.
const LONGEST: i32 = 1;
const SHORTEST: i32 = -10;
/// Most values that are tied together for one length.
const MOST_VALUES: usize = 32;

impl Value {
    /// In whole notes.
    pub fn length(self) -> Fraction {
        let unit = if self.power >= 0 {
            Fraction::new(1 << self.power.min(8), 1)
        } else {
            Fraction::new(1, 1 << (-self.power).min(20))
        };
        // One dot adds a half, two three quarters.
        let dots = self.dots.min(8);
        let factor = Fraction::new((2 << dots) - 1, 1 << dots);
        unit.zip(factor).and_then(|(unit, factor)| unit.times(factor)).unwrap_or_default()
    }

    /// Flags or beams.
    pub fn flags(self) -> usize {
        usize::try_from(-self.power - 2).unwrap_or(0)
    }
}

/// The fewest values, longest first, that make up a length; none if no sum of values does.
pub fn values(length: Fraction) -> Option<Vec<Value>> {
    let mut rest = length;
    let mut all = Vec::new();
    let mut power = LONGEST;
    while rest > Fraction::ZERO {
        if power < SHORTEST || all.len() >= MOST_VALUES {
            return None;
        }
        let fits = (0..=2).rev().map(|dots| Value { power, dots }).find(|v| v.length() <= rest);
        match fits {
            Some(value) => {
                rest = rest.minus(value.length())?;
                all.push(value);
            }
            None => power -= 1,
        }
    }
    Some(all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_length_takes_few_values() {
        let all = |n, d| values(Fraction::new(n, d).unwrap());
        assert_eq!(all(3, 8), Some(vec![Value { power: -2, dots: 1 }]));
        assert_eq!(all(7, 8), Some(vec![Value { power: -1, dots: 2 }]));
        assert_eq!(all(5, 8), Some(vec![Value { power: -1, dots: 0 }, Value { power: -3, dots: 0 }]));
        assert_eq!(all(1, 3), None);
        assert_eq!(all(0, 1), Some(Vec::new()));
        assert_eq!(Value { power: -4, dots: 0 }.flags(), 2);
    }

    proptest! {
        #[test]
        fn values_add_up(n in 1i64..200, power in 0u32..11) {
            let length = Fraction::new(n, 1 << power).unwrap();
            let Some(all) = values(length) else { return Ok(()) };
            let sum = all.iter().try_fold(Fraction::ZERO, |sum, v| sum.plus(v.length()));
            prop_assert_eq!(sum, Some(length));
        }
    }
}
