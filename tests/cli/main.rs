//! The command itself, run as a musician or a program runs it.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod answer;
mod bad_input;
mod chart;
mod check;
mod explain;
mod export;
mod help;
mod manual;
mod mend;
mod parse;
mod part;
mod pipe;
mod plan;
mod report;
mod rewrite;
mod scores;
mod settings;
mod share;
mod sound;
mod soup;
mod tidy;
mod who;
