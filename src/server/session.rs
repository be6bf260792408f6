//! What was agreed with the client, as plain facts. Decided once, by one pure function.

use super::position::Encoding;
use serde_json::Value;
use std::path::PathBuf;
use tower_lsp::lsp_types::{
    ClientCapabilities, DiagnosticTag, InitializeParams, MarkupKind, PositionEncodingKind, TraceValue,
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
    /// It shows an outline as a tree.
    pub tree: bool,
    /// It asks before it renames.
    pub prepare: bool,
    /// It shows what stands beside a link.
    pub link_tooltips: bool,
    /// It takes edits for a version of a text.
    pub versioned: bool,
    /// It asks before it gives files other names.
    pub asks_before_moving: bool,
    /// It tells of files that have other names now.
    pub tells_of_moving: bool,
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
        let pull = text.is_some_and(|t| t.diagnostic.is_some());
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
            tree: is(text.and_then(|t| t.document_symbol.as_ref()?.hierarchical_document_symbol_support)),
            prepare: is(text.and_then(|t| t.rename.as_ref()?.prepare_support)),
            link_tooltips: is(text.and_then(|t| t.document_link.as_ref()?.tooltip_support)),
            versioned: is(workspace.and_then(|w| w.workspace_edit.as_ref()?.document_changes)),
            asks_before_moving: is(workspace.and_then(|w| w.file_operations.as_ref()?.will_rename)),
            tells_of_moving: is(workspace.and_then(|w| w.file_operations.as_ref()?.did_rename)),
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
