//! The only task that waits for the client, and the questions the server asks it.

use super::board::{Board, Refresh, Word};
use super::log;
use std::future::Future;
use std::time::Duration;
use tower_lsp::lsp_types::notification::{LogTrace, PublishDiagnostics, ShowMessage};
use tower_lsp::lsp_types::{LogTraceParams, ShowMessageParams};
use tower_lsp::{Client, jsonrpc};

/// A client that has not answered by then will not.
const PATIENCE: Duration = Duration::from_secs(60);

/// Tells the client what is on the board, for as long as the server lives.
pub async fn publish(board: Board, client: Client) {
    loop {
        match board.next().await {
            Word::Findings(params) => client.send_notification::<PublishDiagnostics>(params).await,
            Word::Show(typ, message) => {
                client.send_notification::<ShowMessage>(ShowMessageParams { typ, message }).await;
            }
            Word::Trace(message) => {
                client.send_notification::<LogTrace>(LogTraceParams { message, verbose: None }).await;
            }
            Word::Refresh(what) => refresh(what, client.clone()),
        }
    }
}

fn refresh(what: Refresh, client: Client) {
    match what {
        Refresh::Findings => {
            ask("workspace/diagnostic/refresh", async move { client.workspace_diagnostic_refresh().await });
        }
        Refresh::Tokens => {
            ask("workspace/semanticTokens/refresh", async move { client.semantic_tokens_refresh().await });
        }
        Refresh::Hints => {
            ask("workspace/inlayHint/refresh", async move { client.inlay_hint_refresh().await });
        }
        Refresh::Lenses => {
            ask("workspace/codeLens/refresh", async move { client.code_lens_refresh().await });
        }
    }
}

/// Asks the client something, in a task of its own.
pub fn ask(what: &'static str, question: impl Future<Output = jsonrpc::Result<()>> + Send + 'static) {
    tokio::spawn(async move {
        match tokio::time::timeout(PATIENCE, question).await {
            Ok(Ok(())) => {}
            Ok(Err(why)) => log::note(&format!("{what}: the client answered: {why}")),
            Err(_) => log::note(&format!("{what}: the client did not answer")),
        }
    });
}
