//! What was agreed with the client, as plain facts. Decided once, by one pure function.

use super::answers::{completion, signature};
use super::legend::Legend;
use super::position::Encoding;
use serde_json::Value;
use std::path::PathBuf;
use tower_lsp::lsp_types::{
    ClientCapabilities, CodeActionClientCapabilities, DiagnosticTag, InitializeParams, MarkupKind,
    PositionEncodingKind, SemanticTokensFullOptions, TraceValue,
};

/// The facts of a session.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Session {
    pub encoding: Encoding,
    /// The client asks for diagnostics; else they are pushed.
    pub pull: bool,
    /// It can be told to ask again.
    pub refresh: bool,
    /// It shows related places.
    pub related: bool,
    /// It follows a link from a rule's name.
    pub links: bool,
    /// It greys out what is needless.
    pub unnecessary: bool,
    /// It answers questions about its configuration.
    pub configuration: bool,
    /// It can be asked to tell of changes in its configuration.
    pub register_configuration: bool,
    /// It can be asked to tell of changed files.
    pub register_files: bool,
    /// It shows Markdown in a hover; else plain text.
    pub markdown: bool,
    /// What it does with what is offered while typing.
    pub completion: completion::Style,
    /// It shows Markdown beside what is offered; else plain text.
    pub completion_markdown: bool,
    /// How it shows the form of what is being typed.
    pub signature: signature::Style,
    /// It shows an outline as a tree.
    pub tree: bool,
    /// It asks before it renames.
    pub prepare: bool,
    /// It shows what stands beside a link.
    pub link_tooltips: bool,
    /// It takes edits for a version of a text.
    pub versioned: bool,
    /// It shows edits before they are made, with what they are for.
    pub annotated: bool,
    /// It asks before it gives files other names.
    pub asks_before_moving: bool,
    /// It tells of files that have other names now.
    pub tells_of_moving: bool,
    /// It shows actions; else there are none.
    pub actions: bool,
    /// It asks for an action's edits when it is chosen.
    pub actions_later: bool,
    /// It marks the preferred of several actions.
    pub actions_preferred: bool,
    /// It shows actions that cannot be done, with the reason.
    pub actions_disabled: bool,
    /// It shows a document when asked.
    pub show_document: bool,
    /// It colours texts as it is told, all at once.
    pub tokens: Option<Legend>,
    /// It colours the lines that it shows.
    pub tokens_range: bool,
    /// It takes what changed of the colours.
    pub tokens_delta: bool,
    /// It can be told to ask for colours again.
    pub tokens_refresh: bool,
    /// It shows hints beside the text.
    pub hints: bool,
    /// It asks for the reason of a hint when it is looked at.
    pub hints_resolve: bool,
    /// It can be told to ask for hints again.
    pub hints_refresh: bool,
    /// It shows facts above lines.
    pub lenses: bool,
    /// It can be told to ask for them again.
    pub lenses_refresh: bool,
    /// It tells of folders that come and go.
    pub folders_change: bool,
    /// Folders that are open, links resolved.
    pub folders: Vec<PathBuf>,
    /// The process to outlive no longer.
    pub parent: Option<u32>,
    /// Settings given at the start.
    pub options: Value,
    pub trace: bool,
}

impl Session {
    /// Reads what the client offers.
    pub fn of(params: &InitializeParams) -> Session {
        let offered = &params.capabilities;
        let text = offered.text_document.as_ref();
        let workspace = offered.workspace.as_ref();
        let publish = text.and_then(|t| t.publish_diagnostics.as_ref());
        let is = |flag: Option<bool>| flag == Some(true);
        let items = text.and_then(|t| t.completion.as_ref()?.completion_item.as_ref());
        let forms = text.and_then(|t| t.signature_help.as_ref()?.signature_information.as_ref());
        let hints = text.and_then(|t| t.inlay_hint.as_ref());
        let tokens = text.and_then(|t| t.semantic_tokens.as_ref());
        let pull = text.is_some_and(|t| t.diagnostic.is_some());
        let action = text.and_then(|t| t.code_action.as_ref());
        let edits_later = |a: &CodeActionClientCapabilities| {
            let resolved =
                a.resolve_support.as_ref().is_some_and(|r| r.properties.iter().any(|p| p == "edit"));
            resolved && a.data_support == Some(true)
        };
        Session {
            encoding: encoding(offered),
            pull,
            refresh: pull && is(workspace.and_then(|w| w.diagnostic.as_ref()?.refresh_support)),
            // Clients that pull say nothing about these; all that do so know them.
            related: is(publish.and_then(|p| p.related_information)) || (pull && publish.is_none()),
            links: is(publish.and_then(|p| p.code_description_support)) || (pull && publish.is_none()),
            unnecessary: publish
                .and_then(|p| p.tag_support.as_ref())
                .is_some_and(|t| t.value_set.contains(&DiagnosticTag::UNNECESSARY)),
            configuration: is(workspace.and_then(|w| w.configuration)),
            register_configuration: is(
                workspace.and_then(|w| w.did_change_configuration.as_ref()?.dynamic_registration)
            ),
            register_files: is(
                workspace.and_then(|w| w.did_change_watched_files.as_ref()?.dynamic_registration)
            ),
            markdown: text
                .and_then(|t| t.hover.as_ref()?.content_format.as_ref())
                .is_some_and(|formats| formats.first() == Some(&MarkupKind::Markdown)),
            completion: completion::Style {
                snippets: is(items.and_then(|i| i.snippet_support)),
                either: is(items.and_then(|i| i.insert_replace_support)),
            },
            completion_markdown: items
                .and_then(|i| i.documentation_format.as_ref())
                .is_some_and(|formats| formats.first() == Some(&MarkupKind::Markdown)),
            signature: signature::Style {
                markdown: forms
                    .and_then(|f| f.documentation_format.as_ref())
                    .is_some_and(|formats| formats.first() == Some(&MarkupKind::Markdown)),
                offsets: is(forms.and_then(|f| f.parameter_information.as_ref()?.label_offset_support)),
            },
            tree: is(text.and_then(|t| t.document_symbol.as_ref()?.hierarchical_document_symbol_support)),
            prepare: is(text.and_then(|t| t.rename.as_ref()?.prepare_support)),
            link_tooltips: is(text.and_then(|t| t.document_link.as_ref()?.tooltip_support)),
            versioned: is(workspace.and_then(|w| w.workspace_edit.as_ref()?.document_changes)),
            annotated: workspace.is_some_and(|w| {
                w.workspace_edit.as_ref().is_some_and(|e| e.change_annotation_support.is_some())
            }),
            asks_before_moving: is(workspace.and_then(|w| w.file_operations.as_ref()?.will_rename)),
            tells_of_moving: is(workspace.and_then(|w| w.file_operations.as_ref()?.did_rename)),
            actions: action.is_some_and(|a| a.code_action_literal_support.is_some()),
            actions_later: action.is_some_and(edits_later),
            actions_preferred: is(action.and_then(|a| a.is_preferred_support)),
            actions_disabled: is(action.and_then(|a| a.disabled_support)),
            show_document: offered
                .window
                .as_ref()
                .and_then(|w| w.show_document.as_ref())
                .is_some_and(|s| s.support),
            tokens: tokens.map(|t| Legend::of(&t.token_types, &t.token_modifiers)),
            tokens_range: is(tokens.and_then(|t| t.requests.range)),
            tokens_delta: tokens.is_some_and(|t| {
                matches!(t.requests.full, Some(SemanticTokensFullOptions::Delta { delta: Some(true) }))
            }),
            tokens_refresh: is(workspace.and_then(|w| w.semantic_tokens.as_ref()?.refresh_support)),
            hints: hints.is_some(),
            hints_resolve: hints
                .and_then(|h| h.resolve_support.as_ref())
                .is_some_and(|r| r.properties.iter().any(|p| p == "tooltip")),
            hints_refresh: is(workspace.and_then(|w| w.inlay_hint.as_ref()?.refresh_support)),
            lenses: text.is_some_and(|t| t.code_lens.is_some()),
            lenses_refresh: is(workspace.and_then(|w| w.code_lens.as_ref()?.refresh_support)),
            folders_change: is(workspace.and_then(|w| w.workspace_folders)),
            folders: folders(params),
            parent: params.process_id,
            options: params.initialization_options.clone().unwrap_or_default(),
            trace: params.trace.is_some_and(|t| t != TraceValue::Off),
        }
    }
}

/// utf-8 if offered, else the first that we know, else utf-16.
fn encoding(offered: &ClientCapabilities) -> Encoding {
    let all = offered.general.as_ref().and_then(|g| g.position_encodings.as_deref()).unwrap_or_default();
    if all.contains(&PositionEncodingKind::UTF8) {
        return Encoding::Utf8;
    }
    all.iter().find_map(Encoding::of).unwrap_or_default()
}

#[allow(deprecated)] // what older clients send instead of folders
fn folders(params: &InitializeParams) -> Vec<PathBuf> {
    let resolved = |path: PathBuf| path.canonicalize().ok();
    match &params.workspace_folders {
        Some(all) => all.iter().filter_map(|f| f.uri.to_file_path().ok()).filter_map(resolved).collect(),
        None => params
            .root_uri
            .as_ref()
            .and_then(|uri| uri.to_file_path().ok())
            .or_else(|| params.root_path.as_ref().map(PathBuf::from))
            .and_then(resolved)
            .into_iter()
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn session(capabilities: Value) -> Session {
        Session::of(&serde_json::from_value(json!({"capabilities": capabilities})).unwrap())
    }

    #[test]
    fn the_encoding_follows_the_offer() {
        let chosen = |all: Value| session(json!({"general": {"positionEncodings": all}})).encoding;
        assert_eq!(session(json!({})).encoding, Encoding::Utf16);
        assert_eq!(chosen(json!([])), Encoding::Utf16);
        assert_eq!(chosen(json!(["utf-16", "utf-8"])), Encoding::Utf8);
        assert_eq!(chosen(json!(["utf-7", "utf-32", "utf-16"])), Encoding::Utf32);
        assert_eq!(chosen(json!(["utf-7"])), Encoding::Utf16);
    }

    #[test]
    fn nothing_offered_is_nothing_used() {
        assert_eq!(session(json!({})), Session::default());
    }

    #[test]
    fn pull_when_offered() {
        assert!(session(json!({"textDocument": {"diagnostic": {}}})).pull);
        assert!(!session(json!({"textDocument": {"publishDiagnostics": {}}})).pull);
        let both = json!({"textDocument": {"diagnostic": {}}, "workspace": {"diagnostic": {"refreshSupport": true}}});
        assert!(session(both).refresh);
        assert!(!session(json!({"workspace": {"diagnostic": {"refreshSupport": true}}})).refresh);
    }
}
