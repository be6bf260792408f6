//! A reader that goes away (`| head`) is no fault.

use super::answer::{command, folder};
use std::io::Read;
use std::process::Stdio;

#[test]
fn a_closed_pipe_is_not_a_panic() {
    let dir = folder(&[]);
    for _ in 0..5 {
        let mut child = command(dir.path())
            .args(["chart", "trumpet", "in", "Bb", "--format", "json"])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        drop(child.stdout.take());
        let mut complaints = String::new();
        child.stderr.take().unwrap().read_to_string(&mut complaints).unwrap();
        assert_eq!(complaints, "");
        assert_eq!(child.wait().unwrap().code(), Some(0));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_a_fault() {
    let dir = folder(&[]);
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output =
        command(dir.path()).args(["chart", "trombone"]).stdout(full).stderr(Stdio::piped()).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8(output.stderr).unwrap().contains("could not be written"));
}
