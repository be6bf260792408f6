//! Who sits beside whom: first, second, third of one section.

use crate::brass::Kind;
use crate::score::player::Player;

/// A chair of a section, as the player's name numbers it: `Tp2`, `Hn1`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Chair<'a> {
    /// The name without its number.
    pub section: &'a str,
    /// From 1.
    pub number: u32,
}

impl<'a> Chair<'a> {
    /// `None` for a name without a number.
    pub fn of(player: &'a Player) -> Option<Chair<'a>> {
        let id = player.id.as_str();
        let section = id.trim_end_matches(|c: char| c.is_ascii_digit());
        let number = id.get(section.len()..)?.parse().ok().filter(|n| (1..=99).contains(n))?;
        (!section.is_empty()).then_some(Chair { section, number })
    }

    /// True if custom has this chair above the other. Horns sit in pairs of a high and a low player: 1, 3 and 2, 4
    /// interlock, and both 1 2 3 4 and 1 3 2 4 are orders from the top. Between a low horn and a later high one
    /// custom says nothing.
    pub fn is_above(&self, other: &Chair<'_>, kind: Kind) -> bool {
        let interlocks =
            matches!(kind, Kind::Horn | Kind::NaturalHorn) && self.is_low_horn() && !other.is_low_horn();
        self.section == other.section && self.number < other.number && !interlocks
    }

    /// Second, fourth, sixth horn.
    pub fn is_low_horn(&self) -> bool {
        self.number.is_multiple_of(2)
    }
}
