//! Text parts: what one player reads is what the score says, at the same time, and nothing else.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod generated;
mod heard;
mod laws;
mod looks;
