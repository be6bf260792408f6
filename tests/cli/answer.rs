//! Running the command and keeping what it said.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Stdio};

/// What one run gave.
#[derive(Debug)]
pub struct Answer {
    /// Exit status.
    pub status: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Answer {
    /// The answer as JSON.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|e| panic!("{e}: {self:?}"))
    }
}

/// Names of an object's members, sorted.
pub fn members(object: &serde_json::Value) -> Vec<&str> {
    let mut names: Vec<&str> = object.as_object().unwrap().keys().map(String::as_str).collect();
    names.sort_unstable();
    names
}

/// The command, ready to run in a folder, away from the settings of whoever runs the tests.
pub fn command(folder: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_waterkey"));
    command.current_dir(folder).env_remove("NO_COLOR").env_remove("RUST_BACKTRACE");
    command
}

/// Runs it in a folder.
pub fn run(folder: &Path, arguments: &[&str]) -> Answer {
    run_with(folder, arguments, b"")
}

/// Runs it in a folder with something on standard input.
pub fn run_with(folder: &Path, arguments: &[&str], input: &[u8]) -> Answer {
    let mut child = command(folder)
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // It may end without reading; what it says then is what counts.
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let writer = std::thread::spawn(move || {
        let _ = stdin.write_all(&input);
    });
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap();
    Answer {
        status: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// A folder with these files in it.
pub fn folder(files: &[(&str, &str)]) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    for (name, text) in files {
        let path = dir.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    dir
}
