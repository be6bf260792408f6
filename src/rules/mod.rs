//! The rules: what a player at the declared level would object to, and why.
//!
//! One file a rule; its page is that file's module documentation.

pub mod fault_page;
pub mod finding;
pub mod settings;

pub use finding::{Cure, Finding, Related, Severity};
pub use settings::Settings;
