//! Reading a score, line by line: tokens, the tree of a line, the document, the canonical layout.
//!
//! Every line can be read alone. Nothing here knows what the notes mean for a player.

pub mod document;
pub mod fault;
pub mod grammar;
pub mod layout;
pub mod line;
pub mod line_table;
pub mod nearest;
pub mod pairing;
pub mod print;
pub mod span;
#[cfg(test)]
mod tests;
pub mod token;
pub mod tree;

pub use document::Document;
pub use fault::{Fault, FaultName, Fix};
pub use line::{Ending, Line, read_line};
pub use line_table::LineTable;
pub use span::Span;
