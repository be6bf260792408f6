//! What a score means: events, time, the order of play, seen from outside.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod deals;
mod layers;
mod passages;
mod plans;
mod time;
mod tongues;
