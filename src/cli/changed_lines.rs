//! The lines in which two texts differ, to be shown.

use crate::assist::line_hunks::hunks;
use crate::notation::Document;

/// `12 - old`, `12 + new`: lines that go by their number in the old text, lines that come by theirs in the new one,
/// both counted from 1.
pub fn changed_lines(old: &str, new: &str) -> Vec<String> {
    let (old, new) = (Document::new(old), Document::new(new));
    let old: Vec<&str> = old.lines().iter().map(|l| &*l.text).collect();
    let new: Vec<&str> = new.lines().iter().map(|l| &*l.text).collect();
    let mut out = Vec::new();
    for hunk in hunks(&old, &new) {
        let told = |all: &[&str], at: usize, sign: char| {
            format!("{} {sign} {}", at + 1, all.get(at).copied().unwrap_or(""))
        };
        out.extend(hunk.old.map(|at| told(&old, at, '-')));
        out.extend(hunk.new.map(|at| told(&new, at, '+')));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_go_and_come_are_told() {
        assert_eq!(changed_lines("a\nb\nc\n", "a\nb\nc\n"), Vec::<String>::new());
        assert_eq!(changed_lines("a\nb\nc\n", "a\nx\nb\ny\n"), ["2 + x", "3 - c", "4 + y"]);
        assert_eq!(changed_lines("", "a\n"), ["1 + a"]);
    }
}
