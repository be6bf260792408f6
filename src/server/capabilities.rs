//! What the server announces: only what it serves, decided from the facts of the session.

use super::answers::actions::MEND_ALL;
use super::answers::{completion::SIGNS, signature};
use super::commands::COMMANDS;
use super::session::Session;
use tower_lsp::lsp_types::{
    CodeActionKind, CodeActionOptions, CodeActionProviderCapability, CodeLensOptions, CompletionOptions,
    DiagnosticOptions, DiagnosticServerCapabilities, DocumentLinkOptions, DocumentOnTypeFormattingOptions,
    ExecuteCommandOptions, FileOperationFilter, FileOperationPattern, FileOperationPatternKind,
    FileOperationRegistrationOptions, FoldingRangeProviderCapability, HoverProviderCapability,
    InitializeResult, InlayHintOptions, InlayHintServerCapabilities, OneOf, RenameOptions, SaveOptions,
    SelectionRangeProviderCapability, SemanticTokensFullOptions, SemanticTokensLegend, SemanticTokensOptions,
    SemanticTokensServerCapabilities, ServerCapabilities, ServerInfo, SignatureHelpOptions,
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
    let actions = CodeActionOptions {
        code_action_kinds: Some(vec![
            CodeActionKind::QUICKFIX,
            CodeActionKind::REFACTOR_REWRITE,
            CodeActionKind::REFACTOR_EXTRACT,
            CodeActionKind::REFACTOR_INLINE,
            MEND_ALL,
        ]),
        resolve_provider: session.actions_later.then_some(true),
        work_done_progress_options: WorkDoneProgressOptions::default(),
    };
    ServerCapabilities {
        position_encoding: Some(session.encoding.kind()),
        text_document_sync: Some(TextDocumentSyncCapability::Options(sync)),
        hover_provider: Some(HoverProviderCapability::Simple(true)),
        completion_provider: Some(completion()),
        signature_help_provider: Some(forms()),
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
        code_action_provider: session.actions.then_some(CodeActionProviderCapability::Options(actions)),
        document_formatting_provider: Some(OneOf::Left(true)),
        document_range_formatting_provider: Some(OneOf::Left(true)),
        document_on_type_formatting_provider: Some(DocumentOnTypeFormattingOptions {
            first_trigger_character: "|".into(),
            more_trigger_character: None,
        }),
        execute_command_provider: Some(ExecuteCommandOptions {
            commands: COMMANDS.map(str::to_owned).to_vec(),
            ..ExecuteCommandOptions::default()
        }),
        semantic_tokens_provider: tokens(session),
        inlay_hint_provider: session.hints.then(|| {
            OneOf::Right(InlayHintServerCapabilities::Options(InlayHintOptions {
                resolve_provider: Some(session.hints_resolve),
                work_done_progress_options: WorkDoneProgressOptions::default(),
            }))
        }),
        code_lens_provider: session.lenses.then_some(CodeLensOptions { resolve_provider: None }),
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

fn completion() -> CompletionOptions {
    CompletionOptions {
        trigger_characters: Some(SIGNS.map(String::from).into()),
        resolve_provider: Some(true),
        ..CompletionOptions::default()
    }
}

fn forms() -> SignatureHelpOptions {
    SignatureHelpOptions {
        trigger_characters: Some(signature::SIGNS.map(String::from).into()),
        retrigger_characters: Some(signature::NEXT.map(String::from).into()),
        ..SignatureHelpOptions::default()
    }
}

/// What the client asks for, in the types it knows.
fn tokens(session: &Session) -> Option<SemanticTokensServerCapabilities> {
    let legend = session.tokens.as_ref()?;
    let options = SemanticTokensOptions {
        legend: SemanticTokensLegend {
            token_types: legend.types.clone(),
            token_modifiers: legend.modifiers.clone(),
        },
        range: Some(session.tokens_range),
        full: Some(SemanticTokensFullOptions::Delta { delta: Some(session.tokens_delta) }),
        work_done_progress_options: WorkDoneProgressOptions::default(),
    };
    Some(SemanticTokensServerCapabilities::SemanticTokensOptions(options))
}

#[cfg(test)]
mod tests {
    use super::super::legend::Legend;
    use super::*;
    use serde_json::{Value, json};
    use tower_lsp::lsp_types::SemanticTokenType;

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
                "documentOnTypeFormattingProvider": {"firstTriggerCharacter": "|"},
                "executeCommandProvider": {"commands": ["waterkey.chart", "waterkey.part", "waterkey.sheet", "waterkey.export", "waterkey.debug"]},
                "hoverProvider": true,
                "signatureHelpProvider": {
                    "triggerCharacters": ["[", "{", "=", ","],
                    "retriggerCharacters": [" ", ":", "\""],
                },
                "completionProvider": {"triggerCharacters": ["[", ":", "@"], "resolveProvider": true},
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
    fn who_shows_actions_is_offered_them() {
        let session = Session { actions: true, ..Session::default() };
        let kinds = json!([
            "quickfix",
            "refactor.rewrite",
            "refactor.extract",
            "refactor.inline",
            "source.fixAll.waterkey"
        ]);
        assert_eq!(announced(&session)["codeActionProvider"], json!({"codeActionKinds": kinds}));
        let session = Session { actions_later: true, ..session };
        assert_eq!(announced(&session)["codeActionProvider"]["resolveProvider"], json!(true));
    }

    #[test]
    fn colours_for_who_shows_them() {
        let tokens = Some(Legend::of(&[SemanticTokenType::KEYWORD], &[]));
        let session = Session { tokens, tokens_delta: true, ..Session::default() };
        assert_eq!(
            announced(&session)["semanticTokensProvider"],
            json!({
                "legend": {"tokenTypes": ["keyword"], "tokenModifiers": []},
                "range": false,
                "full": {"delta": true},
            })
        );
    }

    #[test]
    fn hints_and_lenses_for_who_shows_them() {
        let session = Session { hints: true, hints_resolve: true, lenses: true, ..Session::default() };
        let all = announced(&session);
        assert_eq!(all["inlayHintProvider"], json!({"resolveProvider": true}));
        assert_eq!(all["codeLensProvider"], json!({}));
    }

    #[test]
    fn who_can_pull_pulls() {
        let session = Session { pull: true, folders_change: true, ..Session::default() };
        let all = announced(&session);
        assert_eq!(all["diagnosticProvider"]["workspaceDiagnostics"], json!(true));
        assert_eq!(all["workspace"]["workspaceFolders"]["supported"], json!(true));
    }
}
