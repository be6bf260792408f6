//! What the fingers, the thumb or the slide do, as players write it: `12`, `0`, `T13`, `5`, `TG3`.

use std::fmt;

/// A fingering or a slide position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct How {
    /// The horn's thumb valve or the first attachment is down.
    pub thumb: bool,
    /// The second attachment is down.
    pub second: bool,
    /// Valves down, bit 0 for valve 1; on a slide the position's one bit, bit 0 for first position.
    pub digits: u8,
}

impl How {
    /// Nothing down.
    pub const OPEN: How = How { thumb: false, second: false, digits: 0 };

    /// From its parts.
    pub const fn new(thumb: bool, second: bool, digits: u8) -> How {
        How { thumb, second, digits }
    }

    /// Valves alone.
    pub const fn valves(digits: u8) -> How {
        How::new(false, false, digits)
    }

    /// The same attachments at a slide position, 1 to 7.
    pub fn at_position(self, position: u8) -> How {
        How { digits: 1 << (position.clamp(1, 7) - 1), ..self }
    }

    /// The one digit, if there is exactly one: a slide's position.
    pub fn position(self) -> Option<u8> {
        if self.digits.count_ones() == 1 { Some(self.digits.trailing_zeros() as u8 + 1) } else { None }
    }

    /// Reads what follows the `@` in a score: `T` and `G` first, then digits 1 to 7 upwards, or `0`.
    pub fn parse(text: &str) -> Option<How> {
        let (thumb, rest) = text.strip_prefix('T').map_or((false, text), |rest| (true, rest));
        let (second, rest) = rest.strip_prefix('G').map_or((false, rest), |rest| (true, rest));
        if rest == "0" {
            return Some(How::new(thumb, second, 0));
        }
        let mut digits = 0u8;
        for c in rest.chars() {
            let bit = 1u8 << c.to_digit(8).filter(|d| *d >= 1)?.checked_sub(1)?;
            if digits >= bit {
                return None;
            }
            digits |= bit;
        }
        (digits != 0).then_some(How::new(thumb, second, digits))
    }
}

impl fmt::Display for How {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.thumb {
            f.write_str("T")?;
        }
        if self.second {
            f.write_str("G")?;
        }
        if self.digits == 0 {
            return f.write_str("0");
        }
        (1..=7).filter(|d| self.digits & (1 << (d - 1)) != 0).try_for_each(|d| write!(f, "{d}"))
    }
}
