//! Standard output, written by a thread of its own, so that a client that does not read holds up nobody.

use super::ending::Ending;
use serde_json::Value;
use std::collections::VecDeque;
use std::io::{self, Write};
use std::pin::Pin;
use std::sync::{Arc, Condvar, Mutex, MutexGuard};
use std::task::{Context, Poll, Waker};
use std::time::Duration;
use tokio::io::AsyncWrite;

/// Bytes that may wait before those who can wait have to.
const PATIENCE: usize = 8 << 20;

#[derive(Default)]
struct Queue {
    waiting: VecDeque<Vec<u8>>,
    bytes: usize,
    /// True while the thread is writing what it took.
    writing: bool,
    /// True when nobody reads any more.
    closed: bool,
    waker: Option<Waker>,
}

/// What is to be written; whole frames only.
#[derive(Clone, Default)]
pub struct Outbox(Arc<(Mutex<Queue>, Condvar)>);

impl Outbox {
    /// Starts the thread that writes.
    pub fn start(mut output: impl Write + Send + 'static, ending: Ending) -> io::Result<Outbox> {
        let outbox = Outbox::default();
        let taken = outbox.clone();
        std::thread::Builder::new().name("output".into()).spawn(move || {
            while let Some(bytes) = taken.take() {
                if output.write_all(&bytes).and_then(|()| output.flush()).is_err() {
                    taken.close();
                    ending.cut("nobody reads the output any more");
                    return;
                }
            }
        })?;
        Ok(outbox)
    }

    fn queue(&self) -> MutexGuard<'_, Queue> {
        self.0.0.lock().unwrap_or_else(std::sync::PoisonError::into_inner)
    }

    /// Writes a message, behind what is waiting.
    pub fn message(&self, message: &Value) {
        let body = message.to_string();
        self.push(format!("Content-Length: {}\r\n\r\n{body}", body.len()).into_bytes());
    }

    fn push(&self, bytes: Vec<u8>) {
        let mut queue = self.queue();
        if !queue.closed {
            queue.bytes += bytes.len();
            queue.waiting.push_back(bytes);
            self.0.1.notify_all();
        }
    }

    /// The next to be written; `None` when nothing more will be.
    fn take(&self) -> Option<Vec<u8>> {
        let mut queue = self.queue();
        queue.writing = false;
        self.0.1.notify_all();
        loop {
            if queue.closed {
                return None;
            }
            if let Some(bytes) = queue.waiting.pop_front() {
                queue.bytes -= bytes.len();
                queue.writing = true;
                if let Some(waker) = queue.waker.take() {
                    waker.wake();
                }
                return Some(bytes);
            }
            queue = self.0.1.wait(queue).unwrap_or_else(std::sync::PoisonError::into_inner);
        }
    }

    fn close(&self) {
        let mut queue = self.queue();
        queue.closed = true;
        queue.waiting.clear();
        queue.bytes = 0;
        if let Some(waker) = queue.waker.take() {
            waker.wake();
        }
        self.0.1.notify_all();
    }

    /// Waits until everything is written, but not longer than this.
    pub fn finish(&self, limit: Duration) {
        let queue = self.queue();
        let busy = |queue: &mut Queue| !queue.closed && (queue.writing || !queue.waiting.is_empty());
        drop(self.0.1.wait_timeout_while(queue, limit, busy));
    }
}

impl AsyncWrite for Outbox {
    fn poll_write(self: Pin<&mut Self>, cx: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        {
            let mut queue = self.queue();
            if queue.closed {
                return Poll::Ready(Err(io::ErrorKind::BrokenPipe.into()));
            }
            if queue.bytes > PATIENCE {
                queue.waker = Some(cx.waker().clone());
                return Poll::Pending;
            }
        }
        self.push(bytes.to_vec());
        Poll::Ready(Ok(bytes.len()))
    }

    fn poll_flush(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<io::Result<()>> {
        Poll::Ready(Ok(()))
    }

    fn poll_shutdown(self: Pin<&mut Self>, _: &mut Context<'_>) -> Poll<io::Result<()>> {
        Poll::Ready(Ok(()))
    }
}
