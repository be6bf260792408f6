//! What an editor can ask, seen from outside.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic)]

mod cursor;
mod hover;
mod laws;
mod names;
mod outline;
mod text;
mod volume;
