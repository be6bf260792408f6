//! The nearest of some words: what somebody probably meant to write.

use crate::brass::names::edits;

/// The word with the fewest letters to change, if that is few enough to be a slip.
pub fn nearest<'w>(written: &str, words: impl IntoIterator<Item = &'w str>) -> Option<&'w str> {
    let letters = written.chars().count();
    if letters > 40 {
        return None;
    }
    // A slip is one letter in a short word, two in a longer one, three in a long one.
    let most = match letters {
        0..=1 => return None,
        2..=4 => 1,
        5..=8 => 2,
        _ => 3,
    };
    words
        .into_iter()
        .map(|word| (distance(written, word), word))
        .filter(|(distance, word)| *distance <= most && *distance < word.chars().count())
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, word)| word)
}

/// Letters to add, drop, replace or swap with their neighbour; a wrong capital costs nothing.
pub fn distance(a: &str, b: &str) -> usize {
    edits(&a.to_lowercase(), &b.to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_its_word_and_a_different_word_does_not() {
        let words = ["title", "tuning", "player", "group"];
        assert_eq!(nearest("titel", words), Some("title"));
        assert_eq!(nearest("Player", words), Some("player"));
        assert_eq!(nearest("plaier", words), Some("player"));
        assert_eq!(nearest("crescendo", words), None);
    }

    #[test]
    fn the_distance_counts_what_is_to_change() {
        assert_eq!(distance("", "abc"), 3);
        assert_eq!(distance("abc", "abc"), 0);
        assert_eq!(distance("acb", "abc"), 1);
        assert_eq!(distance("kitten", "sitting"), 3);
    }
}
