//! `textDocument/codeAction` and `codeAction/resolve`: the ways out of what stands in a range.
//!
//! What is offered is worked out from the text as it is now; the client's diagnostics, which may be older,
//! are only given back to it with what cures them.

use super::super::open_text::Snapshot;
use super::super::session::Session;
use super::{changes, place, playable, rewrites};
use crate::assist::{Cures, Dealing, Extent, Offer, OfferKind, dealings};
use crate::rules::Finding;
use serde::{Deserialize, Serialize};
use std::sync::atomic::AtomicBool;
use tower_lsp::lsp_types::{
    CodeAction, CodeActionContext, CodeActionDisabled, CodeActionKind, CodeActionOrCommand,
    CodeActionTriggerKind, Diagnostic, NumberOrString, Range, Url,
};

/// All that may be done unasked, in one.
pub const MEND_ALL: CodeActionKind = CodeActionKind::new("source.fixAll.waterkey");

/// Findings of a range whose ways out are looked for; a range of a whole score has thousands.
const MOST_FINDINGS: usize = 24;

/// What the client can take, as far as actions go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Takes {
    /// Edits can be asked for later.
    pub later: bool,
    /// One of several can be marked.
    pub preferred: bool,
    /// What cannot be done can be shown with the reason.
    pub disabled: bool,
    /// Edits can be for a version of a text.
    pub versioned: bool,
    /// Edits can be shown before they are made, with what they are for.
    pub annotated: bool,
}

impl Takes {
    pub fn of(session: &Session) -> Takes {
        Takes {
            later: session.actions_later,
            preferred: session.actions_preferred,
            disabled: session.actions_disabled,
            versioned: session.versioned,
            annotated: session.annotated,
        }
    }
}

/// Names an action of a version of a text.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Handle {
    pub uri: Url,
    pub version: i32,
    pub generation: u64,
    pub id: Id,
}

/// Names an action of a text: what it is about, and which of the offers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Id {
    /// Of a finding, by rule, line and bytes.
    Finding {
        rule: String,
        line: u32,
        bytes: [u32; 2],
        number: usize,
    },
    /// Of a selection, line and bytes at either end: which of the offers of one kind.
    Selected {
        from: [u32; 2],
        to: [u32; 2],
        kind: Kind,
        number: usize,
    },
    All,
}

/// What is offered for a selection.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "camelCase")]
pub enum Kind {
    Move,
    /// Of what is around it.
    WiderMove,
    HandOver,
    /// Its chords shared out.
    Share,
    /// Its rows dealt another way.
    Deal,
    /// The score written another way.
    Rewrite,
    /// The blocks it touches made playable.
    Playable,
}

/// The answer to `textDocument/codeAction`.
pub fn actions(
    snapshot: &Snapshot,
    range: Range,
    context: &CodeActionContext,
    takes: Takes,
) -> Vec<CodeActionOrCommand> {
    let by = extent(snapshot, range);
    let cures = Cures::for_a_click(&snapshot.desk);
    let maker = Maker { snapshot, takes, diagnostics: &context.diagnostics };
    let mut all: Vec<CodeAction> = Vec::new();
    let mut told: Vec<Offer> = Vec::new();
    if wanted(context, &CodeActionKind::QUICKFIX) {
        for finding in graver_first(cures.touched(by)).iter().take(MOST_FINDINGS) {
            for (number, offer) in cures.offers(finding).into_iter().enumerate() {
                let bytes = [finding.span.start, finding.span.end];
                let id = Id::Finding { rule: finding.rule.to_owned(), line: finding.line, bytes, number };
                all.push(maker.action(&offer, CodeActionKind::QUICKFIX, id, Some(finding)));
                told.push(offer);
            }
        }
    }
    let mut offers: Vec<(Kind, Vec<Offer>)> = Vec::new();
    if wanted(context, &CodeActionKind::REFACTOR_REWRITE) {
        let moves = cures.moves(by);
        if moves.is_empty() && asked_for(context, "refactor") && takes.disabled && cures.has_notes(by) {
            all.push(nowhere_better());
        }
        offers.push((Kind::Move, moves));
    }
    if wants_others(context) {
        offers.push((Kind::WiderMove, cures.wider_moves(by)));
        offers.push((Kind::HandOver, cures.hand_overs(by)));
        offers.push((Kind::Share, cures.shares(by)));
    }
    for (kind, offers) in offers {
        for (number, offer) in offers.into_iter().enumerate() {
            if told.iter().all(|t| t.edits != offer.edits) {
                let id = selected(by, kind, number);
                all.push(maker.action(&offer, CodeActionKind::REFACTOR_REWRITE, id, None));
                told.push(offer);
            }
        }
    }
    if wanted(context, &CodeActionKind::REFACTOR_REWRITE) {
        for dealing in dealings(&snapshot.desk, by) {
            let id = selected(by, Kind::Deal, 0);
            all.push(maker.action(&offered(dealing), CodeActionKind::REFACTOR_REWRITE, id, None));
        }
    }
    for (number, kind, rewriting) in rewrites::offered(snapshot, by, context) {
        let id = selected(by, Kind::Rewrite, number);
        let edits =
            if takes.later { Some(Vec::new()) } else { rewrites::at_once(snapshot, context, &rewriting) };
        if let Some(edits) = edits {
            let title = rewriting.title;
            let offer = Offer { title, edits, kind: OfferKind::Move, preferred: false, safe: false };
            all.push(maker.action(&offer, kind, id, None));
        }
    }
    if let Some(title) = playable::offered(snapshot, by, context) {
        let id = selected(by, Kind::Playable, 0);
        // Who cannot ask later waits for it only if nothing else was asked for.
        let edit = match takes.later {
            true => Some(None),
            false if asked_for(context, "refactor.rewrite") => {
                let found = playable::chosen(snapshot, by, &title, takes, &AtomicBool::new(true));
                found.and_then(Result::ok).map(Some)
            }
            false => None,
        };
        if let Some(edit) = edit {
            let offer =
                Offer { title, edits: Vec::new(), kind: OfferKind::Move, preferred: false, safe: false };
            let action = maker.action(&offer, CodeActionKind::REFACTOR_REWRITE, id, None);
            all.push(CodeAction { edit, ..action });
        }
    }
    if wants_all(context, &cures)
        && let Some(offer) = cures.all()
    {
        all.push(maker.action(&offer, MEND_ALL, Id::All, None));
    }
    all.into_iter().map(CodeActionOrCommand::CodeAction).collect()
}

/// The edits of an action, or why it cannot be done; `None` if the text has no such action any more. What takes time
/// ends when nobody waits for it any more: when `going` is false.
pub fn resolved(
    snapshot: &Snapshot,
    action: CodeAction,
    handle: &Handle,
    takes: Takes,
    going: &AtomicBool,
) -> Option<Result<CodeAction, String>> {
    if handle.version != snapshot.version || handle.generation != snapshot.generation {
        return None;
    }
    let at = |[line, byte]: [u32; 2]| crate::assist::Place { line, byte };
    let cures = Cures::of(&snapshot.desk);
    let offer = match &handle.id {
        Id::All => cures.all(),
        Id::Selected { from, to, kind, number } => {
            let (by, number) = (Extent { from: at(*from), to: at(*to) }, *number);
            match kind {
                Kind::Rewrite => {
                    let edits = rewrites::chosen(snapshot, by, number, &action.title)?;
                    let edit = |edits| Some(changes(snapshot, edits, takes.versioned));
                    return Some(edits.map(|edits| CodeAction { edit: edit(edits), ..action }));
                }
                Kind::Playable => {
                    let edit = playable::chosen(snapshot, by, &action.title, takes, going)?;
                    return Some(edit.map(|edit| CodeAction { edit: Some(edit), ..action }));
                }
                Kind::Move => cures.moves(by).into_iter().nth(number),
                Kind::WiderMove => cures.wider_moves(by).into_iter().nth(number),
                Kind::HandOver => cures.hand_overs(by).into_iter().nth(number),
                Kind::Share => cures.shares(by).into_iter().nth(number),
                Kind::Deal => dealings(&snapshot.desk, by).into_iter().next().map(offered),
            }
        }
        Id::Finding { rule, line, bytes, number } => {
            let [start, end] = *bytes;
            let is = |f: &&Finding| {
                f.rule == rule && f.line == *line && (f.span.start, f.span.end) == (start, end)
            };
            let at = |byte| crate::assist::Place { line: *line, byte };
            let near = cures.touched(Extent { from: at(start), to: at(end) });
            let finding = near.iter().find(is);
            // Of many findings not everything was looked for: the title says which it was.
            let offers = || finding.map(|f| cures.offers(f)).unwrap_or_default().into_iter();
            let named = |offer: &Offer| offer.title == action.title;
            offers().nth(*number).filter(named).or_else(|| offers().find(named))
        }
    }?;
    // An included file or a setting may have changed since.
    (offer.title == action.title)
        .then(|| Ok(CodeAction { edit: Some(changes(snapshot, offer.edits, takes.versioned)), ..action }))
}

/// Rows dealt another way, as an offer that mends nothing.
fn offered(dealing: Dealing) -> Offer {
    let Dealing { title, edits } = dealing;
    Offer { title, edits, kind: OfferKind::Move, preferred: false, safe: false }
}

/// An end before the start is the start.
fn extent(snapshot: &Snapshot, range: Range) -> Extent {
    let (from, to) = (place(snapshot, range.start), place(snapshot, range.end));
    Extent { from, to: to.max(from) }
}

fn selected(by: Extent, kind: Kind, number: usize) -> Id {
    let pair = |place: crate::assist::Place| [place.line, place.byte];
    Id::Selected { from: pair(by.from), to: pair(by.to), kind, number }
}

fn graver_first(mut findings: Vec<Finding>) -> Vec<Finding> {
    findings.sort_by_key(|f| (std::cmp::Reverse(f.severity), std::cmp::Reverse(f.grade)));
    findings
}

/// True if the client wants this kind: any where it names none, else it or one that begins like it.
pub fn wanted(context: &CodeActionContext, kind: &CodeActionKind) -> bool {
    context.only.as_ref().is_none_or(|only| only.iter().any(|o| is_within(kind.as_str(), o.as_str())))
}

fn is_within(kind: &str, wider: &str) -> bool {
    wider.is_empty() || kind.strip_prefix(wider).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
}

/// True if the client names this kind or one inside it.
pub fn asked_for(context: &CodeActionContext, kind: &str) -> bool {
    context.only.as_ref().is_some_and(|only| only.iter().any(|o| is_within(o.as_str(), kind)))
}

/// Where nothing is named, the one that mends all is shown to who looks for it, not at every move of the cursor.
fn wants_all(context: &CodeActionContext, cures: &Cures<'_>) -> bool {
    match &context.only {
        Some(_) => wanted(context, &MEND_ALL),
        None => context.trigger_kind == Some(CodeActionTriggerKind::INVOKED) && cures.any_safe(),
    }
}

/// What takes more than the notes themselves, or another player, is looked for when somebody asks, not at every
/// move of the cursor.
fn wants_others(context: &CodeActionContext) -> bool {
    let moved = context.trigger_kind == Some(CodeActionTriggerKind::AUTOMATIC);
    wanted(context, &CodeActionKind::REFACTOR_REWRITE) && (!moved || context.only.is_some())
}

fn nowhere_better() -> CodeAction {
    let reason =
        "No octave lies better for these notes: nothing is wrong with where they are, or nothing is gained.";
    CodeAction {
        title: "Up or down an octave".into(),
        kind: Some(CodeActionKind::REFACTOR_REWRITE),
        disabled: Some(CodeActionDisabled { reason: reason.into() }),
        ..CodeAction::default()
    }
}

struct Maker<'a> {
    snapshot: &'a Snapshot,
    takes: Takes,
    diagnostics: &'a [Diagnostic],
}

impl Maker<'_> {
    fn action(&self, offer: &Offer, kind: CodeActionKind, id: Id, of: Option<&Finding>) -> CodeAction {
        let Snapshot { uri, version, generation, .. } = self.snapshot;
        let handle = Handle { uri: uri.clone(), version: *version, generation: *generation, id };
        let edit = || changes(self.snapshot, offer.edits.clone(), self.takes.versioned);
        let mended = of.filter(|_| offer.kind == OfferKind::Mend || offer.kind == OfferKind::Allow);
        CodeAction {
            title: offer.title.clone(),
            kind: Some(kind),
            diagnostics: mended.map(|f| self.diagnostics_of(f)).filter(|all| !all.is_empty()),
            edit: (!self.takes.later).then(edit),
            is_preferred: (self.takes.preferred && offer.preferred).then_some(true),
            data: serde_json::to_value(handle).ok().filter(|_| self.takes.later),
            ..CodeAction::default()
        }
    }

    /// The client's diagnostics that tell of this finding.
    fn diagnostics_of(&self, finding: &Finding) -> Vec<Diagnostic> {
        let desk = self.snapshot.desk.document();
        let range = self.snapshot.encoding.range(desk, finding.line, finding.span);
        let code = NumberOrString::String(finding.rule.into());
        let of = |d: &&Diagnostic| d.code.as_ref() == Some(&code) && d.range == range;
        self.diagnostics.iter().filter(of).cloned().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn context(only: Option<&[&'static str]>) -> CodeActionContext {
        let only = only.map(|all| all.iter().map(|k| CodeActionKind::new(k)).collect());
        CodeActionContext { only, ..CodeActionContext::default() }
    }

    #[test]
    fn kinds_are_asked_for_by_their_beginnings() {
        for (only, mend, all) in [
            (None, true, true),
            (Some(&[][..]), false, false),
            (Some(&[""][..]), true, true),
            (Some(&["quickfix"][..]), true, false),
            (Some(&["quickfix.waterkey"][..]), false, false),
            (Some(&["source"][..]), false, true),
            (Some(&["source.fixAll"][..]), false, true),
            (Some(&["source.fixAll.waterkey"][..]), false, true),
            (Some(&["source.fixAll.other", "source.fixA"][..]), false, false),
        ] {
            let context = context(only);
            assert_eq!(wanted(&context, &CodeActionKind::QUICKFIX), mend, "{only:?}");
            assert_eq!(wanted(&context, &MEND_ALL), all, "{only:?}");
        }
        assert!(asked_for(&context(Some(&["refactor.rewrite"])), "refactor"));
        assert!(!asked_for(&context(Some(&[""])), "refactor") && !asked_for(&context(None), "refactor"));
    }
}
