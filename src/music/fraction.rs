//! Exact fractions of a whole note: lengths and places in a bar.
//!
//! Eight bytes each, because a long score holds hundreds of thousands. Arithmetic is checked: a
//! result that does not fit is `None`, which reading turns into a finding, never a wrong sum.

use std::cmp::Ordering;
use std::fmt;

/// A fraction in lowest terms with a positive denominator.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Fraction {
    num: i32,
    den: u32,
}

impl Default for Fraction {
    fn default() -> Self {
        Fraction::ZERO
    }
}

impl Fraction {
    /// Nothing.
    pub const ZERO: Fraction = Fraction { num: 0, den: 1 };
    /// A whole note.
    pub const ONE: Fraction = Fraction { num: 1, den: 1 };

    /// A fraction; `None` if the denominator is 0 or the reduced terms do not fit.
    pub fn new(num: i64, den: i64) -> Option<Fraction> {
        if den == 0 {
            return None;
        }
        let g = gcd(num.unsigned_abs(), den.unsigned_abs()).max(1);
        let g = i64::try_from(g).ok()?;
        let (num, den) = if den < 0 { (-(num / g), -(den / g)) } else { (num / g, den / g) };
        Some(Fraction { num: i32::try_from(num).ok()?, den: u32::try_from(den).ok()? })
    }

    /// Upper term, reduced.
    pub fn numerator(self) -> i64 {
        i64::from(self.num)
    }

    /// Lower term, reduced, at least 1.
    pub fn denominator(self) -> i64 {
        i64::from(self.den)
    }

    /// Sum.
    pub fn plus(self, other: Fraction) -> Option<Fraction> {
        if self.den == other.den {
            let num = i64::from(self.num) + i64::from(other.num);
            if self.den == 1 {
                return Some(Fraction { num: i32::try_from(num).ok()?, den: 1 });
            }
            return Fraction::new(num, i64::from(self.den));
        }
        let left = i64::from(self.num) * i64::from(other.den);
        let right = i64::from(other.num) * i64::from(self.den);
        Fraction::new(left.checked_add(right)?, i64::from(self.den).checked_mul(i64::from(other.den))?)
    }

    /// Difference.
    pub fn minus(self, other: Fraction) -> Option<Fraction> {
        self.plus(Fraction { num: other.num.checked_neg()?, den: other.den })
    }

    /// Product with another fraction.
    pub fn times(self, other: Fraction) -> Option<Fraction> {
        Fraction::new(
            i64::from(self.num) * i64::from(other.num),
            i64::from(self.den).checked_mul(i64::from(other.den))?,
        )
    }

    /// Quotient; `None` by zero.
    pub fn over(self, other: Fraction) -> Option<Fraction> {
        Fraction::new(i64::from(self.num) * i64::from(other.den), i64::from(self.den) * i64::from(other.num))
    }

    /// The nearest floating-point number.
    pub fn to_f64(self) -> f64 {
        f64::from(self.num) / f64::from(self.den)
    }

    /// True for nothing.
    pub fn is_zero(self) -> bool {
        self.num == 0
    }

    /// True for a whole number.
    pub fn is_whole(self) -> bool {
        self.den == 1
    }
}

fn gcd(mut a: u64, mut b: u64) -> u64 {
    // Lengths are nearly always powers of two below: trailing zeros settle those without a division.
    if b.is_power_of_two() && a != 0 {
        return 1 << a.trailing_zeros().min(b.trailing_zeros());
    }
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

impl PartialOrd for Fraction {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Fraction {
    fn cmp(&self, other: &Self) -> Ordering {
        (i64::from(self.num) * i64::from(other.den)).cmp(&(i64::from(other.num) * i64::from(self.den)))
    }
}

impl fmt::Display for Fraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.den == 1 { write!(f, "{}", self.num) } else { write!(f, "{}/{}", self.num, self.den) }
    }
}

impl fmt::Debug for Fraction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}
