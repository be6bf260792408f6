//! The lines in which two texts differ.

/// Pairs of lines that are compared; beyond that everything between the first and the last difference is told.
const MOST_PAIRS: usize = 4_000_000;

/// `12 - old`, `12 + new`: lines that go by their number in the old text, lines that come by theirs in the new one,
/// both counted from 1.
pub fn changed_lines(old: &str, new: &str) -> Vec<String> {
    let (old, new): (Vec<&str>, Vec<&str>) = (old.lines().collect(), new.lines().collect());
    let same = |(a, b): &(&&str, &&str)| a == b;
    let head = old.iter().zip(&new).take_while(same).count();
    let (old_rest, new_rest) = (old.get(head..).unwrap_or_default(), new.get(head..).unwrap_or_default());
    let tail = old_rest.iter().rev().zip(new_rest.iter().rev()).take_while(same).count();
    let old_rest = old_rest.get(..old_rest.len() - tail).unwrap_or_default();
    let new_rest = new_rest.get(..new_rest.len() - tail).unwrap_or_default();
    let wide = new_rest.len() + 1;
    // How many lines two ends have in common.
    let mut common = vec![0u32; (old_rest.len() + 1) * wide];
    let of = |common: &[u32], i: usize, j: usize| common.get(i * wide + j).copied().unwrap_or(0);
    if old_rest.len().saturating_mul(new_rest.len()) <= MOST_PAIRS {
        for (i, a) in old_rest.iter().enumerate().rev() {
            for (j, b) in new_rest.iter().enumerate().rev() {
                let best = match a == b {
                    true => of(&common, i + 1, j + 1) + 1,
                    false => of(&common, i + 1, j).max(of(&common, i, j + 1)),
                };
                if let Some(place) = common.get_mut(i * wide + j) {
                    *place = best;
                }
            }
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::new();
    loop {
        match (old_rest.get(i), new_rest.get(j)) {
            (Some(a), Some(b)) if a == b => (i, j) = (i + 1, j + 1),
            (Some(a), b) if b.is_none() || of(&common, i + 1, j) >= of(&common, i, j + 1) => {
                out.push(format!("{} - {a}", head + i + 1));
                i += 1;
            }
            (_, Some(b)) => {
                out.push(format!("{} + {b}", head + j + 1));
                j += 1;
            }
            _ => return out,
        }
    }
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
