//! The handlers: positions in, one call, positions out.
//!
//! A notification's handler only hands its message over and never waits. A question's handler waits for a
//! snapshot, and what takes time is worked out on another thread.

use super::answers::{actions, completion, hover, inlay, lens, links, names, outline, signature, tokens};
use super::capabilities::announce;
use super::closed_scores::ClosedScores;
use super::commands::{self, Command};
use super::configuration::SECTION;
use super::diagnostic::{Style, diagnostics, result_id};
use super::ending::Ending;
use super::generation::Generations;
use super::guard::{own_fault, panic_text};
use super::landmarks::ClosedLandmarks;
use super::layout;
use super::legend::Legend;
use super::moved_files::{self, Moves};
use super::open_text::{Snapshot, path_of};
use super::owner::{Known, Message, Workspace};
use super::publisher::ask;
use super::session::Session;
use super::{log, parent};
use crate::host::settings_file::SETTINGS_FILE;
use crate::host::write::{write_bytes, write_text};
use serde_json::{Value, json};
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use tokio::sync::{oneshot, watch};
use tower_lsp::jsonrpc::{Error, Result};
use tower_lsp::lsp_types::*;
use tower_lsp::{Client, LanguageServer, async_trait};

/// What the handlers work with.
pub struct Backend {
    pub client: Client,
    pub owner: Sender<Message>,
    pub generations: Generations,
    pub ending: Ending,
    pub session: OnceLock<Session>,
    pub changes: watch::Receiver<u64>,
    pub closed: Arc<Mutex<ClosedScores>>,
    pub landmarks: Arc<Mutex<ClosedLandmarks>>,
}

/// The number of changes that tells that no more will come.
pub const ENDED: u64 = u64::MAX;

impl Backend {
    fn tell(&self, message: Message) {
        if self.owner.send(message).is_err() {
            log::trouble("the thread that owns the texts is gone");
        }
    }

    /// The text as all edits before this question left it.
    async fn known(&self, uri: &Url) -> Result<Option<Known>> {
        let (reply, known) = oneshot::channel();
        self.tell(Message::Ask { uri: uri.clone(), reply });
        known.await.map_err(|_| Error::internal_error())
    }

    /// Answers a question about a text as it was when it was asked.
    async fn answer<T: Send + 'static>(
        &self,
        uri: &Url,
        work: impl FnOnce(&Snapshot) -> T + Send + 'static,
    ) -> Result<T> {
        let asked = self.generations.of(uri);
        let known = self.known(uri).await?;
        let current = || self.generations.of(uri) == asked;
        if !current() {
            return Err(Error::content_modified());
        }
        let Some((snapshot, _)) = known else {
            return Err(Error::invalid_params(format!("{uri} is not open")));
        };
        let work = move || {
            #[cfg(test)]
            super::poison::taste(&snapshot.desk, super::poison::ANSWER);
            work(&snapshot)
        };
        let answer = off_thread(work).await?;
        if current() { Ok(answer) } else { Err(Error::content_modified()) }
    }

    /// Writes a part to the file it was asked for, and shows it where the client can.
    async fn written_part(
        &self,
        score: &Url,
        path: &str,
        text: String,
    ) -> Result<std::result::Result<String, String>> {
        let (score, path) = (score.clone(), path.to_owned());
        let written = off_thread(move || {
            let file = commands::place(&score, &path)?;
            write_text(&file, &text)
                .map_err(|why| format!("{}: could not be written: {why}", file.display()))?;
            Ok((file, text))
        })
        .await?;
        Ok(written.map(|(file, text)| {
            let shows = self.session.get().is_some_and(|s| s.show_document);
            if let Some(uri) = Url::from_file_path(file).ok().filter(|_| shows) {
                let client = self.client.clone();
                let params = ShowDocumentParams { uri, external: None, take_focus: None, selection: None };
                ask("window/showDocument", async move { client.show_document(params).await.map(|_| ()) });
            }
            text
        }))
    }

    /// Writes a score for other programs; the path that was written.
    async fn written_export(
        &self,
        score: &Url,
        path: &str,
        bytes: Vec<u8>,
    ) -> Result<std::result::Result<String, String>> {
        let (score, path) = (score.clone(), path.to_owned());
        off_thread(move || {
            let file = commands::place(&score, &path)?;
            write_bytes(&file, &bytes)
                .map_err(|why| format!("{}: could not be written: {why}", file.display()))?;
            Ok(file.display().to_string())
        })
        .await
    }

    /// What there is to know of the server.
    async fn debug(&self) -> Result<String> {
        let workspace = self.workspace().await?;
        let session = self.session.get().cloned().unwrap_or_default();
        off_thread(move || commands::debug(&session, &workspace)).await
    }

    /// Answers a question about a text and the texts around it, all as they were when it was asked.
    async fn answer_around<T: Send + 'static>(
        &self,
        uri: &Url,
        work: impl FnOnce(&Snapshot, &Workspace) -> T + Send + 'static,
    ) -> Result<T> {
        let asked = self.generations.of(uri);
        let workspace = self.workspace().await?;
        let current = || self.generations.of(uri) == asked;
        if !current() {
            return Err(Error::content_modified());
        }
        let open = workspace.known.iter().map(|(snapshot, _)| snapshot).find(|s| s.uri == *uri).cloned();
        let Some(snapshot) = open else {
            return Err(Error::invalid_params(format!("{uri} is not open")));
        };
        let work = move || {
            #[cfg(test)]
            super::poison::taste(&snapshot.desk, super::poison::ANSWER);
            work(&snapshot, &workspace)
        };
        let answer = off_thread(work).await?;
        if current() { Ok(answer) } else { Err(Error::content_modified()) }
    }

    /// All open texts, and what else is known of the session.
    async fn workspace(&self) -> Result<Workspace> {
        let (reply, known) = oneshot::channel();
        self.tell(Message::AskAll { reply });
        known.await.map_err(|_| Error::internal_error())
    }

    /// An error if any of these texts is another one by now.
    fn still(&self, texts: &[(Url, u64)]) -> Result<()> {
        let same = texts.iter().all(|(uri, generation)| self.generations.of(uri) == Some(*generation));
        if same { Ok(()) } else { Err(Error::content_modified()) }
    }

    /// Asks for the client's configuration, or goes back to what it gave at the start.
    fn fetch_configuration(&self) {
        let Some(session) = self.session.get() else { return };
        let (client, owner, options) = (self.client.clone(), self.owner.clone(), session.options.clone());
        ask("workspace/configuration", async move {
            let item = ConfigurationItem { scope_uri: None, section: Some(SECTION.into()) };
            let value = client.configuration(vec![item]).await?.into_iter().next();
            let value = value.filter(|v| !v.is_null()).unwrap_or(options);
            owner.send(Message::Configuration(value)).map_err(|_| Error::internal_error())
        });
    }

    /// The token types that were agreed on; all for a client that asks without having said what it knows.
    fn legend(&self) -> Legend {
        let agreed = self.session.get().and_then(|s| s.tokens.clone());
        agreed.unwrap_or_else(|| Legend::of(&[], &[]))
    }

    /// `$/setTrace`.
    pub async fn set_trace(&self, params: SetTraceParams) {
        self.tell(Message::Trace(params.value != TraceValue::Off));
    }

    /// `window/workDoneProgress/cancel`: nothing here takes long enough to show progress.
    pub async fn cancel_progress(&self, _: Value) {}
}

/// Works something out on another thread; a panic there is this question's error.
async fn off_thread<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T> {
    tokio::task::spawn_blocking(work).await.map_err(|gone| match gone.try_into_panic() {
        Ok(panic) => own_fault(panic_text(&*panic)),
        Err(_) => Error::internal_error(),
    })
}

/// Somebody waits for an answer, until this is dropped.
struct Waiting(Arc<AtomicBool>);

impl Drop for Waiting {
    fn drop(&mut self) {
        self.0.store(false, Ordering::Relaxed);
    }
}

#[async_trait]
impl LanguageServer for Backend {
    async fn initialize(&self, params: InitializeParams) -> Result<InitializeResult> {
        let session = Session::of(&params);
        if let Some(process) = session.parent {
            parent::watch(process, self.ending.clone());
        }
        let announced = announce(&session);
        if self.session.set(session.clone()).is_ok() {
            self.tell(Message::Begin(Box::new(session)));
        }
        Ok(announced)
    }

    async fn initialized(&self, _: InitializedParams) {
        let Some(session) = self.session.get() else { return };
        let registrations = registrations(session);
        if !registrations.is_empty() {
            let client = self.client.clone();
            ask("client/registerCapability", async move { client.register_capability(registrations).await });
        }
        if session.configuration {
            self.fetch_configuration();
        }
    }

    async fn shutdown(&self) -> Result<()> {
        Ok(())
    }

    async fn did_open(&self, params: DidOpenTextDocumentParams) {
        let TextDocumentItem { uri, version, text, .. } = params.text_document;
        let generation = self.generations.next(&uri);
        self.tell(Message::Open { uri, version, generation, text });
    }

    async fn did_change(&self, params: DidChangeTextDocumentParams) {
        let VersionedTextDocumentIdentifier { uri, version } = params.text_document;
        let generation = self.generations.next(&uri);
        self.tell(Message::Change { uri, version, generation, changes: params.content_changes });
    }

    async fn did_close(&self, params: DidCloseTextDocumentParams) {
        let uri = params.text_document.uri;
        self.generations.closed(&uri);
        self.tell(Message::Close { uri });
    }

    async fn did_save(&self, params: DidSaveTextDocumentParams) {
        self.tell(Message::Files(path_of(&params.text_document.uri).into_iter().collect()));
    }

    async fn did_change_watched_files(&self, params: DidChangeWatchedFilesParams) {
        self.tell(Message::Files(params.changes.iter().filter_map(|c| path_of(&c.uri)).collect()));
    }

    async fn did_rename_files(&self, params: RenameFilesParams) {
        self.tell(Message::Files(moved_files::paths(&params.files)));
    }

    async fn did_change_workspace_folders(&self, params: DidChangeWorkspaceFoldersParams) {
        let paths = |folders: Vec<WorkspaceFolder>| -> Vec<PathBuf> {
            folders.iter().filter_map(|f| path_of(&f.uri)).collect()
        };
        self.tell(Message::Folders {
            added: paths(params.event.added),
            removed: paths(params.event.removed),
        });
    }

    async fn did_change_configuration(&self, params: DidChangeConfigurationParams) {
        if self.session.get().is_some_and(|s| s.configuration) {
            self.fetch_configuration();
        } else {
            self.tell(Message::Configuration(params.settings));
        }
    }

    async fn formatting(&self, params: DocumentFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        let work = |snapshot: &Snapshot| layout::edits(snapshot, 0..=usize::MAX);
        self.answer(&params.text_document.uri, work).await.map(Some)
    }

    async fn range_formatting(&self, params: DocumentRangeFormattingParams) -> Result<Option<Vec<TextEdit>>> {
        let lines = params.range.start.line as usize..=params.range.end.line as usize;
        let work = move |snapshot: &Snapshot| layout::edits(snapshot, lines);
        self.answer(&params.text_document.uri, work).await.map(Some)
    }

    async fn on_type_formatting(
        &self,
        params: DocumentOnTypeFormattingParams,
    ) -> Result<Option<Vec<TextEdit>>> {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position;
        self.answer(&text_document.uri, move |text| layout::on_type(text, position)).await.map(Some)
    }

    async fn execute_command(&self, params: ExecuteCommandParams) -> Result<Option<Value>> {
        let command = commands::read(&params.command, &params.arguments).map_err(Error::invalid_params)?;
        let text = match command {
            Command::Chart { instrument } => off_thread(move || commands::chart(&instrument)).await?,
            Command::ChartOf { uri, player } => {
                self.answer(&uri, move |text| commands::chart_of(text, &player)).await?
            }
            Command::Part { uri, player, path } => {
                let text = self.answer(&uri, move |text| commands::part(text, &player)).await?;
                match (text, path) {
                    (Ok(text), Some(path)) => self.written_part(&uri, &path, text).await?,
                    (text, _) => text,
                }
            }
            Command::Sheet { uri } => {
                self.answer(&uri, move |text| Ok::<String, String>(commands::sheet(text))).await?
            }
            Command::Export { uri, path, player } => {
                let name = path.clone();
                let made =
                    self.answer(&uri, move |text| commands::export(text, &name, player.as_deref())).await?;
                match made {
                    Ok(bytes) => self.written_export(&uri, &path, bytes).await?,
                    Err(why) => Err(why),
                }
            }
            Command::Debug => Ok(self.debug().await?),
        };
        text.map(|text| Some(Value::String(text))).map_err(Error::invalid_params)
    }

    async fn hover(&self, params: HoverParams) -> Result<Option<Hover>> {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position_params;
        let markdown = self.session.get().is_some_and(|s| s.markdown);
        self.answer(&text_document.uri, move |text| hover::hover(text, position, markdown)).await
    }

    async fn completion(&self, params: CompletionParams) -> Result<Option<CompletionResponse>> {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position;
        let style = self.session.get().map(|s| s.completion).unwrap_or_default();
        let work = move |text: &Snapshot| completion::offered(text, position, params.context, style);
        self.answer(&text_document.uri, work).await
    }

    async fn completion_resolve(&self, item: CompletionItem) -> Result<CompletionItem> {
        let Some((uri, about)) = completion::asked(item.data.as_ref()) else { return Ok(item) };
        let markdown = self.session.get().is_some_and(|s| s.completion_markdown);
        let told = self.answer(&uri, move |text| completion::told(text, &about, markdown)).await;
        // A text that has changed or is closed has nothing to add: the item is good as it is.
        let documentation = told.ok().flatten().or(item.documentation);
        Ok(CompletionItem { documentation, ..item })
    }

    async fn signature_help(&self, params: SignatureHelpParams) -> Result<Option<SignatureHelp>> {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position_params;
        let style = self.session.get().map(|s| s.signature).unwrap_or_default();
        let work = move |text: &Snapshot| signature::forms(text, position, params.context, style);
        self.answer(&text_document.uri, work).await
    }

    async fn inlay_hint(&self, params: InlayHintParams) -> Result<Option<Vec<InlayHint>>> {
        let later = self.session.get().is_some_and(|s| s.hints_resolve);
        let work = move |text: &Snapshot| inlay::hints(text, params.range, later);
        self.answer(&params.text_document.uri, work).await.map(Some)
    }

    async fn inlay_hint_resolve(&self, hint: InlayHint) -> Result<InlayHint> {
        // One of another maker, or made for a client that asks for no reasons.
        let Some(uri) = inlay::text_of(&hint) else { return Ok(hint) };
        self.answer(&uri, move |text| inlay::resolved(text, hint)).await
    }

    async fn code_lens(&self, params: CodeLensParams) -> Result<Option<Vec<CodeLens>>> {
        self.answer(&params.text_document.uri, lens::lenses).await.map(Some)
    }

    async fn semantic_tokens_full(
        &self,
        params: SemanticTokensParams,
    ) -> Result<Option<SemanticTokensResult>> {
        let legend = self.legend();
        let work = move |text: &Snapshot| SemanticTokensResult::Tokens(tokens::full(text, &legend));
        self.answer(&params.text_document.uri, work).await.map(Some)
    }

    async fn semantic_tokens_full_delta(
        &self,
        params: SemanticTokensDeltaParams,
    ) -> Result<Option<SemanticTokensFullDeltaResult>> {
        let (legend, before) = (self.legend(), params.previous_result_id);
        let work = move |text: &Snapshot| tokens::delta(text, &legend, &before);
        self.answer(&params.text_document.uri, work).await.map(Some)
    }

    async fn semantic_tokens_range(
        &self,
        params: SemanticTokensRangeParams,
    ) -> Result<Option<SemanticTokensRangeResult>> {
        let (legend, range) = (self.legend(), params.range);
        let work =
            move |text: &Snapshot| SemanticTokensRangeResult::Tokens(tokens::range(text, &legend, range));
        self.answer(&params.text_document.uri, work).await.map(Some)
    }

    async fn document_symbol(&self, params: DocumentSymbolParams) -> Result<Option<DocumentSymbolResponse>> {
        let tree = self.session.get().is_some_and(|s| s.tree);
        self.answer(&params.text_document.uri, move |text| outline::symbols(text, tree)).await.map(Some)
    }

    async fn folding_range(&self, params: FoldingRangeParams) -> Result<Option<Vec<FoldingRange>>> {
        self.answer(&params.text_document.uri, outline::folds).await.map(Some)
    }

    async fn selection_range(&self, params: SelectionRangeParams) -> Result<Option<Vec<SelectionRange>>> {
        let positions = params.positions;
        let work = move |text: &Snapshot| outline::selections(text, &positions);
        self.answer(&params.text_document.uri, work).await.map(Some)
    }

    async fn goto_definition(&self, params: GotoDefinitionParams) -> Result<Option<GotoDefinitionResponse>> {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position_params;
        let work = move |text: &Snapshot, all: &Workspace| names::definition(text, all, position);
        self.answer_around(&text_document.uri, work).await
    }

    async fn references(&self, params: ReferenceParams) -> Result<Option<Vec<Location>>> {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position;
        let declaration = params.context.include_declaration;
        let work =
            move |text: &Snapshot, all: &Workspace| names::references(text, all, position, declaration);
        self.answer_around(&text_document.uri, work).await.map(Some)
    }

    async fn document_highlight(
        &self,
        params: DocumentHighlightParams,
    ) -> Result<Option<Vec<DocumentHighlight>>> {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position_params;
        self.answer(&text_document.uri, move |text| names::highlights(text, position)).await.map(Some)
    }

    async fn prepare_rename(
        &self,
        params: TextDocumentPositionParams,
    ) -> Result<Option<PrepareRenameResponse>> {
        let TextDocumentPositionParams { text_document, position } = params;
        let work = move |text: &Snapshot, all: &Workspace| names::prepare(text, all, position);
        let answer = self.answer_around(&text_document.uri, work).await?;
        // Nothing to rename here: no error, the editor says so itself.
        Ok(answer.ok())
    }

    async fn rename(&self, params: RenameParams) -> Result<Option<WorkspaceEdit>> {
        let TextDocumentPositionParams { text_document, position } = params.text_document_position;
        let versioned = self.session.get().is_some_and(|s| s.versioned);
        let new = params.new_name;
        let work =
            move |text: &Snapshot, all: &Workspace| names::rename(text, all, position, &new, versioned);
        let answer = self.answer_around(&text_document.uri, work).await?.map_err(Error::invalid_params)?;
        self.still(&answer.of).map(|()| Some(answer.edit))
    }

    async fn symbol(&self, params: WorkspaceSymbolParams) -> Result<Option<Vec<SymbolInformation>>> {
        let (workspace, landmarks) = (self.workspace().await?, Arc::clone(&self.landmarks));
        let work = move || {
            let mut landmarks = landmarks.lock().unwrap_or_else(PoisonError::into_inner);
            landmarks.like(&params.query, &workspace)
        };
        off_thread(work).await.map(Some)
    }

    async fn will_rename_files(&self, params: RenameFilesParams) -> Result<Option<WorkspaceEdit>> {
        let versioned = self.session.get().is_some_and(|s| s.versioned);
        let workspace = self.workspace().await?;
        let work = move || moved_files::edit(&workspace, &Moves::of(&params.files), versioned);
        let Some((edit, of)) = off_thread(work).await? else { return Ok(None) };
        self.still(&of).map(|()| Some(edit))
    }

    async fn document_link(&self, params: DocumentLinkParams) -> Result<Option<Vec<DocumentLink>>> {
        let tooltips = self.session.get().is_some_and(|s| s.link_tooltips);
        let work = move |text: &Snapshot, all: &Workspace| links::links(text, all, tooltips);
        self.answer_around(&params.text_document.uri, work).await.map(Some)
    }

    async fn code_action(&self, params: CodeActionParams) -> Result<Option<CodeActionResponse>> {
        // Who cannot show them gets none.
        let Some(session) = self.session.get().filter(|s| s.actions) else { return Ok(Some(Vec::new())) };
        let takes = actions::Takes::of(session);
        let CodeActionParams { range, context, text_document, .. } = params;
        let work = move |text: &Snapshot| actions::actions(text, range, &context, takes);
        self.answer(&text_document.uri, work).await.map(Some)
    }

    async fn code_action_resolve(&self, action: CodeAction) -> Result<CodeAction> {
        let handle =
            action.data.clone().and_then(|data| serde_json::from_value::<actions::Handle>(data).ok());
        let Some(handle) = handle else {
            return Err(Error::invalid_params("this action is not one of mine"));
        };
        let takes = self.session.get().map(actions::Takes::of).unwrap_or_default();
        let uri = handle.uri.clone();
        let going = Arc::new(AtomicBool::new(true));
        // Dropped with this handler when the client takes the question back.
        let _waiting = Waiting(Arc::clone(&going));
        let answer =
            self.answer(&uri, move |text| actions::resolved(text, action, &handle, takes, &going)).await?;
        // What cannot be done is told in the words of the refusal; the protocol calls that a failed request.
        let refused = |why: String| Error { code: (-32803).into(), message: why.into(), data: None };
        answer.ok_or_else(Error::content_modified)?.map_err(refused)
    }

    async fn diagnostic(&self, params: DocumentDiagnosticParams) -> Result<DocumentDiagnosticReportResult> {
        let uri = params.text_document.uri;
        let items = match self.known(&uri).await? {
            Some((snapshot, style)) => {
                let generation = snapshot.generation;
                let items = off_thread(move || diagnostics(&snapshot, &style)).await?;
                if self.generations.of(&uri) != Some(generation) {
                    return Err(Error::content_modified());
                }
                items
            }
            None => Vec::new(),
        };
        Ok(DocumentDiagnosticReportResult::Report(report(items, params.previous_result_id.as_deref())))
    }

    async fn workspace_diagnostic(
        &self,
        params: WorkspaceDiagnosticParams,
    ) -> Result<WorkspaceDiagnosticReportResult> {
        let before = Arc::new(params.previous_result_ids);
        let mut changes = self.changes.clone();
        loop {
            changes.borrow_and_update();
            let workspace = self.workspace().await?;
            let (asked, closed) = (Arc::clone(&before), Arc::clone(&self.closed));
            let work = move || {
                let closed = closed.lock().unwrap_or_else(PoisonError::into_inner).look(&workspace);
                workspace_reports(workspace.known, closed, &asked)
            };
            let (items, news) = off_thread(work).await?;
            // With nothing new the question stays open until there is: the client need not ask and ask.
            let ended = *changes.borrow() == ENDED;
            if news || before.is_empty() || ended || changes.changed().await.is_err() {
                return Ok(WorkspaceDiagnosticReportResult::Report(WorkspaceDiagnosticReport { items }));
            }
        }
    }
}

/// A report, or that it is the same as before.
fn report(items: Vec<Diagnostic>, before: Option<&str>) -> DocumentDiagnosticReport {
    let id = result_id(&items);
    if before == Some(id.as_str()) {
        let unchanged_document_diagnostic_report = UnchangedDocumentDiagnosticReport { result_id: id };
        return DocumentDiagnosticReport::Unchanged(RelatedUnchangedDocumentDiagnosticReport {
            related_documents: None,
            unchanged_document_diagnostic_report,
        });
    }
    let full_document_diagnostic_report = FullDocumentDiagnosticReport { result_id: Some(id), items };
    DocumentDiagnosticReport::Full(RelatedFullDocumentDiagnosticReport {
        related_documents: None,
        full_document_diagnostic_report,
    })
}

/// The reports on all open texts, on the closed ones, and on those that were and are no more; true if any
/// is new.
fn workspace_reports(
    known: Vec<(Snapshot, Arc<Style>)>,
    closed: Vec<(Url, Vec<Diagnostic>)>,
    before: &[PreviousResultId],
) -> (Vec<WorkspaceDocumentDiagnosticReport>, bool) {
    let mut news = false;
    let mut items = Vec::new();
    let mut seen = Vec::new();
    let open = known.into_iter().map(|(snapshot, style)| {
        (snapshot.uri.clone(), Some(i64::from(snapshot.version)), diagnostics(&snapshot, &style))
    });
    for (uri, version, found) in open.chain(closed.into_iter().map(|(uri, found)| (uri, None, found))) {
        let previous = before.iter().find(|p| p.uri == uri).map(|p| p.value.as_str());
        seen.push(uri.clone());
        items.push(match report(found, previous) {
            DocumentDiagnosticReport::Full(full) => {
                news = true;
                full_report(uri, version, full.full_document_diagnostic_report)
            }
            DocumentDiagnosticReport::Unchanged(same) => {
                let unchanged_document_diagnostic_report = same.unchanged_document_diagnostic_report;
                WorkspaceDocumentDiagnosticReport::Unchanged(WorkspaceUnchangedDocumentDiagnosticReport {
                    uri,
                    version,
                    unchanged_document_diagnostic_report,
                })
            }
        });
    }
    let none = FullDocumentDiagnosticReport { result_id: Some(result_id(&[])), items: Vec::new() };
    for gone in before.iter().filter(|p| !seen.contains(&p.uri)) {
        news |= none.result_id.as_ref() != Some(&gone.value);
        items.push(full_report(gone.uri.clone(), None, none.clone()));
    }
    (items, news)
}

fn full_report(
    uri: Url,
    version: Option<i64>,
    full_document_diagnostic_report: FullDocumentDiagnosticReport,
) -> WorkspaceDocumentDiagnosticReport {
    WorkspaceDocumentDiagnosticReport::Full(WorkspaceFullDocumentDiagnosticReport {
        uri,
        version,
        full_document_diagnostic_report,
    })
}

/// What the client is asked to tell of.
fn registrations(session: &Session) -> Vec<Registration> {
    let registration = |method: &str, options: Value| Registration {
        id: method.into(),
        method: method.into(),
        register_options: Some(options),
    };
    let files = session.register_files.then(|| {
        let watchers = json!([{"globPattern": "**/*.brass"}, {"globPattern": format!("**/{SETTINGS_FILE}")}]);
        registration("workspace/didChangeWatchedFiles", json!({"watchers": watchers}))
    });
    let configuration = session
        .register_configuration
        .then(|| registration("workspace/didChangeConfiguration", json!({"section": SECTION})));
    files.into_iter().chain(configuration).collect()
}
