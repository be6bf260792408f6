//! How near a name is to what somebody typed to find it.

use crate::score::names::normal;

/// Nearer is less.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Distance {
    manner: Manner,
    /// How often letters of the name are passed over between those that were typed.
    gaps: usize,
    /// Letters of the name.
    length: usize,
}

/// How the typed letters stand in the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Manner {
    Same,
    SameButForCapitals,
    Begins,
    BeginsAWord,
    Inside,
    Scattered,
}

/// The distance of a name; `None` if it does not have the typed letters in their order. Capitals and
/// blanks do not matter.
pub fn distance(typed: &str, name: &str) -> Option<Distance> {
    let (typed_letters, letters) = (letters(typed), letters(name));
    let wanted: Vec<char> = typed_letters.iter().map(|(c, _)| *c).collect();
    let has: Vec<char> = letters.iter().map(|(c, _)| *c).collect();
    let gaps = gaps(&wanted, &has)?;
    let starts = has.windows(wanted.len().max(1)).enumerate().filter(|(_, part)| *part == wanted);
    let mut starts = starts.map(|(at, _)| at);
    let begins_word = |at: &usize| letters.get(*at).is_some_and(|(_, begins)| *begins);
    let manner = if normal(typed) == normal(name) {
        Manner::Same
    } else if wanted == has {
        Manner::SameButForCapitals
    } else if has.starts_with(&wanted) {
        Manner::Begins
    } else if starts.clone().any(|at| begins_word(&at)) {
        Manner::BeginsAWord
    } else if starts.next().is_some() {
        Manner::Inside
    } else {
        Manner::Scattered
    };
    let gaps = if manner == Manner::Scattered { gaps } else { 0 };
    Some(Distance { manner, gaps, length: has.len() })
}

/// The letters that count, small, each with whether it begins a word.
fn letters(text: &str) -> Vec<(char, bool)> {
    let mut all = Vec::new();
    for word in text.split_whitespace() {
        let mut begins = true;
        for letter in normal(&normal(word).to_lowercase()).chars() {
            all.push((letter, begins));
            begins = letter == '_' || letter == '-';
        }
    }
    all
}

fn gaps(wanted: &[char], has: &[char]) -> Option<usize> {
    let mut rest = has.iter().enumerate();
    let mut before = None;
    let mut gaps = 0;
    for letter in wanted {
        let at = rest.find(|(_, c)| *c == letter)?.0;
        gaps += usize::from(before.is_some_and(|before| before + 1 != at));
        before = Some(at);
    }
    Some(gaps)
}
