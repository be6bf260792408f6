//! What chord it is that sounds.

use super::moment::Sounding;

/// The pitch classes that sound, one bit each.
pub fn classes(sounding: &[Sounding<'_>]) -> u16 {
    sounding.iter().fold(0, |all, s| all | 1 << s.midi.rem_euclid(12))
}

/// Classes as if this one were C.
pub fn from_root(classes: u16, root: i32) -> u16 {
    let turn = root.rem_euclid(12) as u32;
    ((classes >> turn) | (classes << (12 - turn))) & 0xfff
}

const MAJOR: u16 = 1 | 1 << 4 | 1 << 7;
const MINOR: u16 = 1 | 1 << 3 | 1 << 7;
const DOMINANT: u16 = MAJOR | 1 << 10;

/// The root of a major or minor triad or a dominant seventh; `None` for any other chord.
pub fn root_of(sounding: &[Sounding<'_>]) -> Option<i32> {
    let all = classes(sounding);
    (0..12).find(|root| matches!(from_root(all, *root), MAJOR | MINOR | DOMINANT))
}

/// The root of a chord of root and fifth alone.
pub fn root_of_bare(sounding: &[Sounding<'_>]) -> Option<i32> {
    let all = classes(sounding);
    (0..12).find(|root| from_root(all, *root) == 1 | 1 << 7)
}

/// The third of a major triad alone.
pub fn third_of_major(sounding: &[Sounding<'_>]) -> Option<i32> {
    let all = classes(sounding);
    (0..12).find(|root| from_root(all, *root) == MAJOR).map(|root| (root + 4) % 12)
}
