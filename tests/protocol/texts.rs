//! Texts that the tests use.

/// A score with nothing to find.
pub const CLEAN: &str = "\
brass 1
player Tb1 = straight trombone

bar 1  meter 4/4  tempo q = 72
Tb1 | h : E2 F2 |
";

/// The same with a note that the instrument does not have, at line 4, columns 13 to 16.
pub const GAP: &str = "\
brass 1
player Tb1 = straight trombone

bar 1  meter 4/4  tempo q = 72
Tb1 | h : E2 Eb2 |
";

/// Not a line of a score: adds a finding at its place.
pub const WRONG: &str = "no such line\n";
