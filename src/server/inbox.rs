//! The thread that owns standard input: takes frames out of it and passes on what is a message.

use super::ending::Ending;
use super::frame::{Frame, Frames};
use super::judge::{Verdict, judge};
use super::log;
use super::outbox::Outbox;
use serde_json::json;
use std::io::{self, Read};
use tokio::io::{AsyncWriteExt, DuplexStream};
use tokio::runtime::Handle;

/// Starts the thread. It ends with the input or with `exit`, and closes the stream it passes on to.
pub fn start(
    input: impl Read + Send + 'static,
    mut messages: DuplexStream,
    runtime: Handle,
    outbox: Outbox,
    ending: Ending,
) -> io::Result<()> {
    std::thread::Builder::new().name("input".into()).spawn(move || {
        let mut frames = Frames::new(input);
        let pass = |messages: &mut DuplexStream, body: &[u8]| {
            let head = format!("Content-Length: {}\r\n\r\n", body.len());
            runtime.block_on(async {
                messages.write_all(head.as_bytes()).await?;
                messages.write_all(body).await
            })
        };
        loop {
            let body = match frames.next() {
                Ok(Frame::Body(body)) => body,
                Ok(Frame::BadLength) => {
                    log::note("a frame whose length is no length");
                    outbox.message(&json!({"jsonrpc": "2.0", "id": null,
                        "error": {"code": -32700, "message": "Content-Length is not a length that is taken."}}));
                    continue;
                }
                Ok(Frame::End) => break,
                Err(why) => {
                    log::note(&format!("the input could not be read: {why}"));
                    break;
                }
            };
            match judge(&body) {
                Verdict::Message { exit } => {
                    if pass(&mut messages, &body).is_err() || exit {
                        break;
                    }
                }
                Verdict::Answer(answer) => {
                    log::note(&format!("a frame that is no message: {answer}"));
                    frames.give_back(&body);
                    outbox.message(&answer);
                }
                Verdict::Drop(why) => log::note(&format!("dropped {why}")),
            }
        }
        drop(messages);
        ending.input_ended();
    })?;
    Ok(())
}
