//! The rehearsal sheet of a score as a page for a browser, as text, and for programs.

mod html;
mod json;
mod text;
mod words;

pub use html::html;
pub use json::json;
pub use text::text;
