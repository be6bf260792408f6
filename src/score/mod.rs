//! What the text means: players, blocks, and each player's events in time.
//!
//! An edit costs what it touches: everything is made of parts that are taken over unless the lines
//! they were read from, or the facts they depend on, have changed. Reading from scratch is the same
//! code with nothing to take over.

pub mod block;
pub mod chords;
pub mod clock;
pub mod event;
pub mod figure;
pub mod frame;
pub mod head;
pub mod names;
pub mod order;
pub mod pair;
pub mod passage;
pub mod phrase;
pub mod player;
pub mod read;
pub mod rhythm;
pub mod row;
#[allow(clippy::module_inception)] // the score of the module `score`
pub mod score;
pub mod source;
pub mod state;
pub mod trill;
pub mod turn;
pub mod wording;

pub use score::{Score, Sources};
pub use source::{LoadFault, Loaded, Loader, NoFiles};
