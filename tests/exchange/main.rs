//! Scores in other forms: whatever the score, what is written is well formed and adds up.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod bad_files;
#[path = "../parts/generated.rs"]
mod generated;
mod import;
mod midi;
mod musicxml;
mod signs;

use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;

fn desk(text: &str) -> Desk {
    Desk::new(text, Settings::default(), &NoFiles)
}

/// A text with a piece cut out, and one put in from elsewhere.
fn damaged(text: &str, cut: (usize, usize), from: usize) -> String {
    let mut chars: Vec<char> = text.chars().collect();
    let at = cut.0 % chars.len().max(1);
    let end = (at + cut.1).min(chars.len());
    let taken: Vec<char> = chars.drain(at..end).collect();
    let to = from % (chars.len() + 1);
    chars.splice(to..to, taken);
    chars.into_iter().collect()
}
