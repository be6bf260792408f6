//! Writing a file so that it is never half there.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

/// Replaces a file's text. The new text stands beside it first and takes its place whole; permissions
/// stay, and a link goes on leading to the same file.
pub fn replace_text(path: &Path, text: &str) -> io::Result<()> {
    let real = path.canonicalize()?;
    let name = real.file_name().unwrap_or_default().to_string_lossy();
    let beside = real.with_file_name(format!(".{name}.{}.new", std::process::id()));
    let written = (|| {
        let mut file = OpenOptions::new().write(true).create_new(true).open(&beside)?;
        file.write_all(text.as_bytes())?;
        file.sync_all()?;
        fs::set_permissions(&beside, fs::metadata(&real)?.permissions())?;
        fs::rename(&beside, &real)
    })();
    if written.is_err() {
        // What could not be put in place is taken away again; the first fault is the one to report.
        let _ = fs::remove_file(&beside);
    }
    written
}
