//! Files: scores, what they include, and the settings that hold for them.
//!
//! The only place below the server and the commands that touches a disk. Everything before `exchange`
//! works on texts it is given.

pub mod find;
pub mod include;
pub mod read;
pub mod root;
pub mod setting_check;
pub mod setting_value;
pub mod settings_file;
pub mod way;
pub mod write;

pub use find::{Missing, find_scores};
pub use include::{FolderLoader, Refusal};
pub use read::{ReadError, read_score, text_of};
pub use settings_file::{SETTINGS_FILE, SettingsFile};
