//! Which findings share a sign above a chart.

use super::entries::Entry;
use crate::assist::sheet::FoundAt;

/// Findings nearer to each other than this, in per cent, share a sign.
const NEAR: f64 = 7.0;

/// Findings that share a sign, each with the number of its entry.
pub struct Group<'a> {
    pub x: f64,
    pub all: Vec<(usize, &'a FoundAt)>,
}

impl Group<'_> {
    /// `3`, `2–4`, `2, 5`, `2, 5…`.
    pub fn label(&self) -> String {
        let mut numbers: Vec<usize> = self.all.iter().map(|(number, _)| number + 1).collect();
        numbers.sort_unstable();
        numbers.dedup();
        match numbers.as_slice() {
            [] => String::new(),
            [one] => one.to_string(),
            [first, .., last] if last - first + 1 == numbers.len() => format!("{first}–{last}"),
            [first, second] => format!("{first}, {second}"),
            [first, second, ..] => format!("{first}, {second}…"),
        }
    }
}

/// Signs from left to right; `x` is where a moment lies, in per cent.
pub fn groups<'a>(entries: &[Entry<'a>], x: impl Fn(f64) -> f64) -> Vec<Group<'a>> {
    let all =
        entries.iter().enumerate().flat_map(|(number, entry)| entry.all().map(move |found| (number, found)));
    let mut placed: Vec<(f64, usize, &FoundAt)> =
        all.filter_map(|(number, found)| Some((x(found.at?), number, found))).collect();
    placed.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let mut groups: Vec<Group<'_>> = Vec::new();
    for (at, number, found) in placed {
        match groups.last_mut() {
            Some(last) if at - last.x < NEAR => last.all.push((number, found)),
            _ => groups.push(Group { x: at, all: vec![(number, found)] }),
        }
    }
    groups
}
