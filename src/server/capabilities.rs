//! What the server announces: only what it serves, decided from the facts of the session.

use super::session::Session;
use tower_lsp::lsp_types::{
    DiagnosticOptions, DiagnosticServerCapabilities, DocumentLinkOptions, FileOperationFilter,
    FileOperationPattern, FileOperationPatternKind, FileOperationRegistrationOptions,
    FoldingRangeProviderCapability, HoverProviderCapability, InitializeResult, OneOf, RenameOptions,
    SaveOptions, SelectionRangeProviderCapability, ServerCapabilities, ServerInfo,
    TextDocumentSyncCapability, TextDocumentSyncKind, TextDocumentSyncOptions, TextDocumentSyncSaveOptions,
    WorkDoneProgressOptions, WorkspaceFileOperationsServerCapabilities, WorkspaceFoldersServerCapabilities,
    WorkspaceServerCapabilities,
};

/// The answer to `initialize`.
pub fn announce(session: &Session) -> InitializeResult {
    let info = ServerInfo { name: "waterkey".into(), version: Some(env!("CARGO_PKG_VERSION").into()) };
    InitializeResult { capabilities: capabilities(session), server_info: Some(info) }
}

fn capabilities(session: &Session) -> ServerCapabilities {
    let sync = TextDocumentSyncOptions {
        open_close: Some(true),
        change: Some(TextDocumentSyncKind::INCREMENTAL),
        save: Some(TextDocumentSyncSaveOptions::SaveOptions(SaveOptions { include_text: Some(false) })),
        ..TextDocumentSyncOptions::default()
    };
    let diagnostics = DiagnosticOptions {
        identifier: Some("waterkey".into()),
        inter_file_dependencies: true,
        workspace_diagnostics: true,
        work_done_progress_options: WorkDoneProgressOptions::default(),
    };
    let renaming = RenameOptions {
        prepare_provider: Some(true),
        work_done_progress_options: WorkDoneProgressOptions::default(),
    };
    ServerCapabilities {
        position_encoding: Some(session.encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        document_symbol_provider: Some(OneOf::Left(true)),
        folding_range_provider: Some(FoldingRangeProviderCapability::Simple(true)),
        selection_range_provider: Some(SelectionRangeProviderCapability::Simple(true)),
        definition_provider: Some(OneOf::Left(true)),
        references_provider: Some(OneOf::Left(true)),
        document_highlight_provider: Some(OneOf::Left(true)),
        rename_provider: Some(if session.prepare { OneOf::Right(renaming) } else { OneOf::Left(true) }),
        workspace_symbol_provider: Some(OneOf::Left(true)),
        document_link_provider: Some(DocumentLinkOptions {
            resolve_provider: Some(false),
            work_done_progress_options: WorkDoneProgressOptions::default(),
        }),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        diagnostic_provider: session.pull.then_some(DiagnosticServerCapabilities::Options(diagnostics)),
        workspace: workspace(session),
        ..ServerCapabilities::default()
    }
}

/// What concerns folders and files.
fn workspace(session: &Session) -> Option<WorkspaceServerCapabilities> {
    let folders = WorkspaceFoldersServerCapabilities {
        supported: Some(true),
        change_notifications: Some(OneOf::Left(true)),
    };
    let any_file = |matches| FileOperationFilter {
        scheme: Some("file".into()),
        pattern: FileOperationPattern { glob: "**".into(), matches: Some(matches), options: None },
    };
    // A file of any name may be included, and folders move with what lies in them.
    let any = FileOperationRegistrationOptions {
        filters: vec![any_file(FileOperationPatternKind::File), any_file(FileOperationPatternKind::Folder)],
    };
    let moving = session.asks_before_moving || session.tells_of_moving;
    let all = WorkspaceServerCapabilities {
        workspace_folders: session.folders_change.then_some(folders),
        file_operations: moving.then(|| WorkspaceFileOperationsServerCapabilities {
            will_rename: session.asks_before_moving.then(|| any.clone()),
            did_rename: session.tells_of_moving.then_some(any),
            ..WorkspaceFileOperationsServerCapabilities::default()
        }),
    };
    (session.folders_change || moving).then_some(all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::{Value, json};

    fn announced(session: &Session) -> Value {
        serde_json::to_value(announce(session)).unwrap()["capabilities"].clone()
    }

    #[test]
    fn the_least_client_gets_the_least() {
        assert_eq!(
            announced(&Session::default()),
            json!({
                "positionEncoding": "utf-16",
                "textDocumentSync": {"openClose": true, "change": 2, "save": {"includeText": false}},
                "documentFormattingProvider": true,
                "documentRangeFormattingProvider": true,
                "hoverProvider": true,
                "documentSymbolProvider": true,
                "foldingRangeProvider": true,
                "selectionRangeProvider": true,
                "definitionProvider": true,
                "referencesProvider": true,
                "documentHighlightProvider": true,
                "renameProvider": true,
                "workspaceSymbolProvider": true,
                "documentLinkProvider": {"resolveProvider": false},
            })
        );
    }

    #[test]
    fn who_asks_before_renaming_may() {
        let session = Session { prepare: true, ..Session::default() };
        assert_eq!(announced(&session)["renameProvider"], json!({"prepareProvider": true}));
    }

    #[test]
    fn who_can_pull_pulls() {
        let session = Session { pull: true, folders_change: true, ..Session::default() };
        let all = announced(&session);
        assert_eq!(all["diagnosticProvider"]["workspaceDiagnostics"], json!(true));
        assert_eq!(all["workspace"]["workspaceFolders"]["supported"], json!(true));
    }
}
