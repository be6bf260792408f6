//! The language server: LSP 3.17 over standard input and output.
//!
//! ```text
//! standard input ─ inbox ─ (frames) ─ guard ─ backend ─ owner ─ board ─ publisher ─ outbox ─ standard output
//! ```
//!
//! - `inbox` is a thread; it takes frames out of any bytes and passes on what is a message.
//! - `guard` polls every handler once, in the order of the wire. Only what waits goes on beside the others.
//! - `backend` has the handlers. They hand over; none computes and none waits for the client.
//! - `owner` is a thread; it owns the texts, and it alone changes them.
//! - `publisher` is a task; it alone waits for the client.
//! - `outbox` is a thread; it writes whole frames.
//!
//! Only `position` converts columns. Only `session` and `capabilities` decide what is agreed.

mod answers;
mod backend;
mod board;
mod capabilities;
mod closed_scores;
mod commands;
mod configuration;
mod diagnostic;
mod ending;
mod frame;
mod generation;
mod guard;
mod inbox;
mod include;
mod judge;
mod kept;
mod kept_tokens;
mod landmarks;
mod layout;
mod legend;
mod log;
mod moved_files;
mod open_text;
mod outbox;
mod owner;
mod pages;
mod parent;
#[cfg(test)]
mod poison;
mod position;
mod publisher;
mod reach;
mod session;

use backend::{Backend, ENDED};
use board::Board;
use ending::Ending;
use generation::Generations;
use guard::Guard;
use outbox::Outbox;
use owner::Message;
use serde::Deserialize;
use std::io::{self, Read, Write};
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;
use std::sync::{Arc, OnceLock};
use std::time::Duration;
use tokio::runtime::{Builder, Handle};
use tokio::sync::watch;
use tower_lsp::jsonrpc::Request;
use tower_lsp::lsp_types::{DidChangeTextDocumentParams, MessageType, Url};
use tower_lsp::{LspService, Server};

/// Requests that are worked on at once: so many that `$/cancelRequest` never waits for a place.
const TOGETHER: usize = 10_000;

/// How long answers may still take after the input has ended.
const LAST_ANSWERS: Duration = Duration::from_secs(5);

/// How long a client may take to read the last of them.
const LAST_WORDS: Duration = Duration::from_secs(2);

/// Serves one client until it ends the session or is gone; the exit status.
///
/// `log` is a file to append to, or `-` for standard error; without it only trouble is told, on standard
/// error.
pub fn run(
    input: impl Read + Send + 'static,
    output: impl Write + Send + 'static,
    log: Option<&Path>,
) -> io::Result<u8> {
    log::open(log)?;
    let board = Board::default();
    tell_of_panics(board.clone());
    let runtime = Builder::new_current_thread().enable_time().thread_stack_size(16 << 20).build()?;
    let status = runtime.block_on(serve(input, output, board));
    // What still works on an answer that nobody will read need not finish.
    runtime.shutdown_background();
    status
}

async fn serve(
    input: impl Read + Send + 'static,
    output: impl Write + Send + 'static,
    board: Board,
) -> io::Result<u8> {
    let ending = Ending::default();
    let outbox = Outbox::start(output, ending.clone())?;
    let (near, far) = tokio::io::duplex(64 << 10);
    inbox::start(input, near, Handle::current(), outbox.clone(), ending.clone())?;
    let changes = Arc::new(watch::Sender::new(0));
    let owner = owner::start(board.clone(), Arc::clone(&changes))?;
    let (service, socket) = LspService::build(|client| {
        tokio::spawn(publisher::publish(board.clone(), client.clone()));
        Backend {
            client,
            owner: owner.clone(),
            generations: Generations::default(),
            ending: ending.clone(),
            session: OnceLock::new(),
            changes: changes.subscribe(),
            closed: Arc::default(),
            landmarks: Arc::default(),
        }
    })
    .custom_method("$/setTrace", Backend::set_trace)
    .custom_method("window/workDoneProgress/cancel", Backend::cancel_progress)
    .finish();
    let admit = move |request: &Request| readable(request, &owner);
    let guard = Guard::new(service, outbox.clone(), ending.clone(), admit);
    let serving = Server::new(far, outbox.clone(), socket).concurrency_level(TOGETHER).serve(guard);
    let overdue = async {
        ending.when_input_ended().await;
        changes.send_replace(ENDED);
        tokio::time::sleep(LAST_ANSWERS).await;
    };
    tokio::select! {
        () = serving => log::note("the session has ended"),
        () = ending.when_cut() => {}
        () = overdue => log::trouble("some answers were not ready when the session ended"),
    }
    outbox.finish(LAST_WORDS);
    Ok(ending.code())
}

/// False for an edit that cannot be read. It would be dropped without a word, and everything said about
/// its text from then on would be wrong; so the text is given up.
fn readable(request: &Request, owner: &Sender<Message>) -> bool {
    if request.method() != "textDocument/didChange" {
        return true;
    }
    let Some(params) = request.params() else { return false };
    if DidChangeTextDocumentParams::deserialize(params).is_ok() {
        return true;
    }
    let uri = params.pointer("/textDocument/uri").and_then(|uri| uri.as_str());
    if let Some(uri) = uri.and_then(|uri| Url::parse(uri).ok()) {
        // With nobody to receive it the session is over anyway.
        let _ = owner.send(Message::Lost { uri });
    }
    false
}

/// Every panic is logged with its place; the user is told of the first.
fn tell_of_panics(board: Board) {
    let told = AtomicBool::new(false);
    std::panic::set_hook(Box::new(move |panic| {
        let place = panic.location().map(ToString::to_string).unwrap_or_default();
        log::trouble(&format!("panic at {place}: {}", guard::panic_text(panic.payload())));
        if !told.swap(true, Ordering::SeqCst) {
            board.show(
                MessageType::ERROR,
                "waterkey met a fault of its own and went on. Its log says where; please report it.".into(),
            );
        }
    }));
}
