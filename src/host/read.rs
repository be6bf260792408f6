//! Reading a file as text, or saying clearly why not.

use std::fmt;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// The largest score that is read, in bytes: some hundred times a symphony.
pub const LARGEST: u64 = 64 << 20;

/// Why a file is no text that we can read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadError {
    /// Nothing of this name.
    Missing,
    /// A folder, a pipe or a device.
    NotAFile,
    /// More bytes than the limit.
    TooLarge { limit: u64 },
    /// The first byte that is no UTF-8, counted from 0, and its line and column, from 1; `sixteen` where
    /// the file looks like UTF-16.
    NotUtf8 { byte: usize, line: usize, column: usize, sixteen: bool },
    /// The system's reason.
    System(String),
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ReadError::Missing => write!(f, "there is no such file"),
            ReadError::NotAFile => write!(f, "this is not a file"),
            ReadError::TooLarge { limit } => {
                write!(f, "larger than {} MB, the most that is read", limit >> 20)
            }
            ReadError::NotUtf8 { sixteen: true, .. } => {
                write!(f, "this text is in UTF-16; save it as UTF-8 and try again")
            }
            ReadError::NotUtf8 { byte, line, column, .. } => write!(
                f,
                "not UTF-8 at byte {byte} (line {line}, column {column}); save the text as UTF-8 and try again"
            ),
            ReadError::System(why) => write!(f, "{why}"),
        }
    }
}

impl From<io::Error> for ReadError {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::NotFound => ReadError::Missing,
            io::ErrorKind::IsADirectory => ReadError::NotAFile,
            _ => ReadError::System(error.to_string()),
        }
    }
}

/// The text of a score.
pub fn read_score(path: &Path) -> Result<String, ReadError> {
    read_text(path, LARGEST)
}

/// The text of a file of at most so many bytes.
pub fn read_text(path: &Path, limit: u64) -> Result<String, ReadError> {
    // Looked at before it is opened: opening a pipe would wait for whoever writes it.
    if !std::fs::metadata(path)?.is_file() {
        return Err(ReadError::NotAFile);
    }
    text_of(File::open(path)?, limit)
}

/// The bytes of a file of at most so many.
pub fn read_bytes(path: &Path, limit: u64) -> Result<Vec<u8>, ReadError> {
    if !std::fs::metadata(path)?.is_file() {
        return Err(ReadError::NotAFile);
    }
    bytes_of(File::open(path)?, limit)
}

/// The bytes that a reader gives, at most so many.
pub fn bytes_of(reader: impl Read, limit: u64) -> Result<Vec<u8>, ReadError> {
    let mut bytes = Vec::new();
    reader.take(limit.saturating_add(1)).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > limit {
        return Err(ReadError::TooLarge { limit });
    }
    Ok(bytes)
}

/// The text that a reader gives, of at most so many bytes.
pub fn text_of(reader: impl Read, limit: u64) -> Result<String, ReadError> {
    let bytes = bytes_of(reader, limit)?;
    String::from_utf8(bytes).map_err(|error| {
        let byte = error.utf8_error().valid_up_to();
        let bytes = error.as_bytes();
        let good = bytes.get(..byte).unwrap_or_default();
        let begun = good.iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
        let line = good.iter().filter(|b| **b == b'\n').count() + 1;
        let column = String::from_utf8_lossy(good.get(begun..).unwrap_or_default()).chars().count() + 1;
        let sixteen = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
        ReadError::NotUtf8 { byte, line, column, sixteen }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_bad_byte_is_named() {
        assert_eq!(
            text_of(&b"brass 1\nt\xc3\xa9\xff"[..], 100),
            Err(ReadError::NotUtf8 { byte: 11, line: 2, column: 3, sixteen: false })
        );
        assert!(text_of(&b"\xff\xfeb\0"[..], 100).unwrap_err().to_string().contains("UTF-16"));
    }

    #[test]
    fn the_limit_is_inclusive() {
        assert_eq!(text_of(&b"12345"[..], 5), Ok("12345".into()));
        assert_eq!(text_of(&b"123456"[..], 5), Err(ReadError::TooLarge { limit: 5 }));
    }
}
