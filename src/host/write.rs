//! Writing a file so that it is never half there.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

/// Replaces a file's text. The new text stands beside it first and takes its place whole; permissions
/// stay, and a link goes on leading to the same file.
pub fn replace_text(path: &Path, text: &str) -> io::Result<()> {
    replace(path, text.as_bytes())
}

fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let real = path.canonicalize()?;
    put_in_place(&real, bytes, Some(fs::metadata(&real)?.permissions()))
}

/// The same for a file that may not be there yet. What is there and is no file (a terminal, a pipe) is
/// written to as it is.
pub fn write_text(path: &Path, text: &str) -> io::Result<()> {
    write_bytes(path, text.as_bytes())
}

/// The same for a file that is no text.
pub fn write_bytes(path: &Path, bytes: &[u8]) -> io::Result<()> {
    match fs::metadata(path) {
        Ok(known) if known.is_file() => replace(path, bytes),
        Ok(_) => fs::write(path, bytes),
        Err(missing) if missing.kind() == io::ErrorKind::NotFound && !path.is_symlink() => {
            put_in_place(path, bytes, None)
        }
        Err(why) => Err(why),
    }
}

fn put_in_place(real: &Path, bytes: &[u8], permissions: Option<fs::Permissions>) -> io::Result<()> {
    let name = real.file_name().unwrap_or_default().to_string_lossy();
    let beside = real.with_file_name(format!(".{name}.{}.new", std::process::id()));
    let written = (|| {
        let mut file = OpenOptions::new().write(true).create_new(true).open(&beside)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        if let Some(permissions) = permissions {
            fs::set_permissions(&beside, permissions)?;
        }
        fs::rename(&beside, real)
    })();
    if written.is_err() {
        // What could not be put in place is taken away again; the first fault is the one to report.
        let _ = fs::remove_file(&beside);
    }
    written
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_text_is_replaced_and_nothing_else_remains() {
        let dir = tempfile::tempdir().unwrap();
        let score = dir.path().join("harbour.brass");
        fs::write(&score, "old").unwrap();
        replace_text(&score, "new").unwrap();
        assert_eq!(fs::read_to_string(&score).unwrap(), "new");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
        assert!(replace_text(&dir.path().join("nobody.brass"), "x").is_err());
    }

    #[test]
    fn a_new_file_is_made_and_an_old_one_replaced() {
        let dir = tempfile::tempdir().unwrap();
        let part = dir.path().join("part.brass");
        write_text(&part, "first").unwrap();
        write_text(&part, "second").unwrap();
        assert_eq!(fs::read_to_string(&part).unwrap(), "second");
        assert_eq!(fs::read_dir(dir.path()).unwrap().count(), 1);
        assert!(write_text(dir.path(), "x").is_err());
        assert!(write_text(&dir.path().join("no/where.brass"), "x").is_err());
    }

    #[cfg(unix)]
    #[test]
    fn links_and_permissions_stay() {
        use std::os::unix::fs::PermissionsExt;
        let dir = tempfile::tempdir().unwrap();
        let score = dir.path().join("harbour.brass");
        let link = dir.path().join("link.brass");
        fs::write(&score, "old").unwrap();
        fs::set_permissions(&score, fs::Permissions::from_mode(0o640)).unwrap();
        std::os::unix::fs::symlink(&score, &link).unwrap();
        replace_text(&link, "new").unwrap();
        assert!(link.is_symlink());
        assert_eq!(fs::read_to_string(&score).unwrap(), "new");
        assert_eq!(fs::metadata(&score).unwrap().permissions().mode() & 0o777, 0o640);
    }
}
