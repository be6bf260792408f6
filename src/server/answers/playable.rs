//! The action that makes blocks playable: its title at once, its moves when it is chosen.

use super::super::open_text::Snapshot;
use super::actions::{Takes, wanted};
use super::{changes, edits};
use crate::assist::Extent;
use crate::assist::playable::{bars, blocks_at, hurts, playable};
use std::collections::HashMap;
use std::sync::atomic::{AtomicBool, Ordering};
use tower_lsp::lsp_types::{
    AnnotatedTextEdit, ChangeAnnotation, CodeActionContext, CodeActionKind, CodeActionTriggerKind,
    DocumentChanges, OneOf, OptionalVersionedTextDocumentIdentifier, TextDocumentEdit, WorkspaceEdit,
};

/// Names the one annotation of the edit.
const ANNOTATION: &str = "playable";

/// The title, where something in the blocks that a stretch touches could be cleared. It is looked for when somebody
/// asks, not at every move of the cursor.
pub fn offered(snapshot: &Snapshot, by: Extent, context: &CodeActionContext) -> Option<String> {
    let by_itself = context.trigger_kind == Some(CodeActionTriggerKind::AUTOMATIC) && context.only.is_none();
    if by_itself || !wanted(context, &CodeActionKind::REFACTOR_REWRITE) {
        return None;
    }
    title(snapshot, by)
}

fn title(snapshot: &Snapshot, by: Extent) -> Option<String> {
    let blocks = blocks_at(&snapshot.desk, by.from.line, by.to.line)?;
    hurts(&snapshot.desk, &blocks).then(|| format!("Make {} playable", bars(&snapshot.desk, &blocks)))
}

/// What is to be changed, or why nothing is; `None` if the text offers no such thing any more. The search ends when
/// `going` is false.
pub fn chosen(
    snapshot: &Snapshot,
    by: Extent,
    named: &str,
    takes: Takes,
    going: &AtomicBool,
) -> Option<Result<WorkspaceEdit, String>> {
    let title = title(snapshot, by).filter(|title| title == named)?;
    let blocks = blocks_at(&snapshot.desk, by.from.line, by.to.line)?;
    let found = playable(&snapshot.desk, blocks, &mut |_| going.load(Ordering::Relaxed));
    Some(found.map_err(|why| format!("This cannot be done: {why}.")).map(|found| {
        if !(takes.annotated && takes.versioned) {
            return changes(snapshot, found.edits, takes.versioned);
        }
        let steps: Vec<String> = found.steps.iter().map(ToString::to_string).collect();
        let left = match found.left.len() {
            0 => String::new(),
            n => format!(". {n} of {} findings stay", found.before),
        };
        let annotation = ChangeAnnotation {
            label: title,
            needs_confirmation: Some(true),
            description: Some(format!("{}{left}", steps.join(". "))),
        };
        let edit =
            |text_edit| OneOf::Right(AnnotatedTextEdit { text_edit, annotation_id: ANNOTATION.to_owned() });
        let (uri, version) = (snapshot.uri.clone(), Some(snapshot.version));
        let document = TextDocumentEdit {
            text_document: OptionalVersionedTextDocumentIdentifier { uri, version },
            edits: edits(snapshot, found.edits).into_iter().map(edit).collect(),
        };
        WorkspaceEdit {
            document_changes: Some(DocumentChanges::Edits(vec![document])),
            change_annotations: Some(HashMap::from([(ANNOTATION.to_owned(), annotation)])),
            ..WorkspaceEdit::default()
        }
    }))
}
