//! Scores written another way: what is heard stays what it was.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout
)]

mod back;
#[path = "../parts/generated.rs"]
mod generated;
#[path = "../parts/heard.rs"]
#[allow(dead_code)] // what parts need besides
mod heard;
mod judge;
mod laws;
mod ways;
