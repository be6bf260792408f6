//! The log: quiet unless a place for it was given; trouble always reaches standard error.

use std::fs::File;
use std::io::Write;
use std::path::Path;
use std::sync::{Mutex, OnceLock};
use std::time::Instant;

struct Log {
    began: Instant,
    place: Mutex<Option<Box<dyn Write + Send>>>,
}

static LOG: OnceLock<Log> = OnceLock::new();

/// Opens the log; `-` is standard error, `None` no log. Only the first call counts.
pub fn open(place: Option<&Path>) -> std::io::Result<()> {
    let place: Option<Box<dyn Write + Send>> = match place {
        None => None,
        Some(path) if path.as_os_str() == "-" => Some(Box::new(std::io::stderr())),
        Some(path) => Some(Box::new(File::options().create(true).append(true).open(path)?)),
    };
    let _ = LOG.set(Log { began: Instant::now(), place: Mutex::new(place) });
    Ok(())
}

/// Writes a line to the log, if there is one.
pub fn note(text: &str) {
    let _ = write(text);
}

/// Writes a line to the log, or to standard error if there is none.
pub fn trouble(text: &str) {
    if !write(text) {
        // With nowhere left to complain to, silence has to do.
        let _ = writeln!(std::io::stderr(), "waterkey: {text}");
    }
}

/// False if there is no log.
fn write(text: &str) -> bool {
    let Some(log) = LOG.get() else { return false };
    let mut place = log.place.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let Some(place) = place.as_mut() else { return false };
    let seconds = log.began.elapsed().as_secs_f64();
    writeln!(place, "{seconds:10.3} {text}").and_then(|()| place.flush()).is_ok()
}
