//! Actions that write a score another way: their titles at once, their edits when they are chosen.

use super::super::open_text::Snapshot;
use super::actions::{asked_for, wanted};
use crate::assist::{Extent, RewriteKind, Rewriting, TextEdit, rewritings, rewritten};
use tower_lsp::lsp_types::{CodeActionContext, CodeActionKind, CodeActionTriggerKind};

/// What is offered for a stretch, with its number among all that could be.
pub fn offered(
    snapshot: &Snapshot,
    by: Extent,
    context: &CodeActionContext,
) -> Vec<(usize, CodeActionKind, Rewriting)> {
    let any =
        [CodeActionKind::REFACTOR_REWRITE, CodeActionKind::REFACTOR_EXTRACT, CodeActionKind::REFACTOR_INLINE];
    // At every move of the cursor nobody looks for them.
    let by_itself = context.only.is_none() && context.trigger_kind == Some(CodeActionTriggerKind::AUTOMATIC);
    if by_itself || !any.iter().any(|kind| wanted(context, kind)) {
        return Vec::new();
    }
    let all = rewritings(&snapshot.desk, by).into_iter().enumerate();
    let all = all.map(|(number, offer)| (number, kind(offer.kind), offer));
    all.filter(|(_, kind, _)| wanted(context, kind)).collect()
}

/// The edits of one, for a client that cannot ask later; nothing where it is refused, or where it takes as long as
/// reading the score and nobody asked for it.
pub fn at_once(snapshot: &Snapshot, context: &CodeActionContext, offer: &Rewriting) -> Option<Vec<TextEdit>> {
    let asked =
        asked_for(context, "refactor") || context.trigger_kind == Some(CodeActionTriggerKind::INVOKED);
    if offer.long && !asked {
        return None;
    }
    rewritten(&snapshot.desk, &offer.what).ok()
}

/// The edits of one that was offered, or why it cannot be; `None` if there is none of this number and title.
pub fn chosen(
    snapshot: &Snapshot,
    by: Extent,
    number: usize,
    title: &str,
) -> Option<Result<Vec<TextEdit>, String>> {
    let offer = rewritings(&snapshot.desk, by).into_iter().nth(number).filter(|o| o.title == title)?;
    Some(rewritten(&snapshot.desk, &offer.what).map_err(|why| format!("This cannot be done: {why}.")))
}

fn kind(kind: RewriteKind) -> CodeActionKind {
    match kind {
        RewriteKind::Rewrite => CodeActionKind::REFACTOR_REWRITE,
        RewriteKind::Extract => CodeActionKind::REFACTOR_EXTRACT,
        RewriteKind::Inline => CodeActionKind::REFACTOR_INLINE,
    }
}
