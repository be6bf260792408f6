//! Notices when the process that started the server is gone.

use super::ending::Ending;
#[cfg(unix)]
use rustix::process::Pid;

/// Watches a process from a thread of its own, which sleeps until then.
///
/// On systems without a way to wait for a process the end of the input has to tell.
#[cfg(unix)]
pub fn watch(process: u32, ending: Ending) {
    let Some(pid) = i32::try_from(process).ok().and_then(Pid::from_raw) else { return };
    let watcher = std::thread::Builder::new().name("parent".into()).spawn(move || {
        wait(pid);
        ending.cut("the process that started the server is gone");
    });
    if let Err(why) = watcher {
        super::log::note(&format!("the editor's process is not watched: {why}"));
    }
}

#[cfg(not(unix))]
pub fn watch(_process: u32, _ending: Ending) {}

#[cfg(unix)]
fn wait(pid: Pid) {
    #[cfg(target_os = "linux")]
    if let Ok(handle) = rustix::process::pidfd_open(pid, rustix::process::PidfdFlags::empty()) {
        use rustix::event::{PollFd, PollFlags, poll};
        // Readable when the process has ended.
        loop {
            match poll(&mut [PollFd::new(&handle, PollFlags::IN)], None) {
                Ok(_) => return,
                Err(rustix::io::Errno::INTR) => {}
                Err(_) => break,
            }
        }
    }
    // Another user's process is there all the same.
    while !matches!(rustix::process::test_kill_process(pid), Err(rustix::io::Errno::SRCH)) {
        std::thread::sleep(std::time::Duration::from_secs(3));
    }
}
