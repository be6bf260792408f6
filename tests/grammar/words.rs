//! The words of the program, ready for a pattern.

use std::collections::BTreeSet;
use waterkey::assist::glossary::{Class, entries};
use waterkey::brass::catalogue;

/// The words of a class, in the order of the glossary.
pub fn of(class: Class) -> Vec<String> {
    entries().filter(|(c, ..)| *c == class.word()).map(|(_, word, _)| word.to_owned()).collect()
}

/// Names of the instruments.
pub fn instruments() -> Vec<String> {
    catalogue::entries().map(|e| e.name.to_owned()).collect::<BTreeSet<_>>().into_iter().collect()
}

/// Techniques, with their colons.
pub fn techniques() -> Vec<String> {
    of(Class::Mark).into_iter().filter(|w| w.len() > 1 && w.starts_with(':')).collect()
}

/// Signs that touch a note.
pub fn signs() -> Vec<String> {
    of(Class::Mark).into_iter().filter(|w| !w.starts_with(':')).collect()
}

/// What is made of letters and hyphens.
pub fn spelled(classes: &[Class]) -> Vec<String> {
    let letters = |w: &str| w.chars().any(|c| c.is_ascii_alphabetic());
    let is_word = |w: &String| letters(w) && w.chars().all(|c| c.is_ascii_alphabetic() || c == '-');
    classes.iter().flat_map(|class| of(*class)).filter(is_word).collect()
}

/// The words of some classes, longest first so that none hides a longer one.
pub fn words(classes: &[Class]) -> String {
    alternatives(spelled(classes))
}

pub fn alternatives(mut all: Vec<String>) -> String {
    all.sort_by(|a, b| b.len().cmp(&a.len()).then(a.cmp(b)));
    all.dedup();
    all.join("|")
}
