//! The brass core against published tables.
//!
//! `data/` holds the tables, each row with its source; `data/sources.tsv` has the titles. Nothing of them is
//! input to the program. A row that disagrees is listed as an exception with its reason, and an exception that
//! has come to agree fails too.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test says what is wrong by failing"
)]

mod body;
mod catalogue;
mod checks;
mod choices;
mod four_valves;
mod horns;
mod instruments;
mod intonation;
mod laws;
mod natural;
mod oracle;
mod own;
mod plans;
mod practice;
mod ranges;
mod reading;
mod rows;
mod slides;
mod transposition;
mod trills;
mod trumpet;
