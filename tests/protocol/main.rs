//! The language server itself, spoken to over its standard input and output.
//!
//! No test waits for time to pass or measures it; the only time limit is the one after which a test that
//! hangs is given up.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod actions;
mod around;
mod asked;
mod beside;
mod client;
mod colours;
mod commanded;
mod configured;
mod endings;
mod findings;
mod folders;
mod frames;
mod included;
mod laid_out;
mod landmarks;
mod linked;
mod moved;
mod offered;
mod ordered;
mod positions;
mod pulled;
mod recorder;
mod rewritten;
mod texts;
mod typed;
