//! What an editor can ask, seen from outside.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod beside;
mod colours;
mod completion;
mod completion_laws;
mod cure_laws;
mod cures;
mod cursor;
#[path = "../parts/generated.rs"]
mod generated;
mod hand_over;
mod hand_over_laws;
mod hover;
mod laws;
mod names;
mod outline;
mod ranking;
mod rows;
mod share_laws;
mod share_out;
mod sheet;
mod signature;
mod text;
mod volume;
