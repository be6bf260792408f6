//! What commands that write files have in common.

use super::out::Out;
use super::{CLEAN, FOUND};
use crate::host::write::write_bytes;
use crate::rules::registry::is_reading_fault;
use crate::rules::{Desk, Severity};
use std::path::Path;

/// What a score is called in messages.
pub fn name_of(score: &Path) -> String {
    if score.as_os_str() == "-" { "standard input".to_owned() } else { score.display().to_string() }
}

/// A score's file name without its ending.
pub fn stem_of(score: &Path) -> String {
    match score.file_stem() {
        Some(stem) if score.as_os_str() != "-" => stem.to_string_lossy().into_owned(),
        _ => "score".to_owned(),
    }
}

/// Writes a file and says so; never over the score it was made from.
pub fn write_file(file: &Path, bytes: &[u8], score: &Path, out: &mut Out) -> Result<(), String> {
    let same = file.canonicalize().ok().zip(score.canonicalize().ok());
    if same.is_some_and(|(a, b)| a == b) {
        return Err(format!("{}: this is the score itself; name another file", file.display()));
    }
    write_bytes(file, bytes).map_err(|why| format!("{}: could not be written: {why}", file.display()))?;
    out.line(&format!("{} is written", file.display()));
    Ok(())
}

/// Tells of faults that may have kept something out of what is written, for one player or for all; the status.
pub fn tell_faults(desk: &Desk, player: Option<&str>, score: &Path, out: &mut Out) -> u8 {
    let mine = |of: &Option<String>| player.is_none() || of.is_none() || of.as_deref() == player;
    let findings = desk.findings();
    let faults = findings
        .iter()
        .filter(|f| is_reading_fault(f.rule) && f.severity == Severity::Error && mine(&f.player))
        .count();
    if faults == 0 {
        return CLEAN;
    }
    let (many, spoil) = if faults == 1 { ("a fault", "it spoils") } else { ("faults", "they spoil") };
    out.trouble(&format!(
        "{} has {many} of reading, and what {spoil} may be missing; `waterkey check {}` tells more",
        name_of(score),
        score.display()
    ));
    FOUND
}
