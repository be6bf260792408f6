//! The command itself, run as a musician or a program runs it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod answer;
mod chart;
mod help;
mod pipe;
mod sound;
