//! Laws that hold for every input, tried on many.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod air_and_lips;
mod edits;
mod music;
mod notation_document;
mod notation_faults;
mod notation_layout;
mod notation_tokens;
mod section_rules;
mod sharing;
mod slide_and_fingers;
