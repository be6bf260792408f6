//! Colours, as the protocol's tokens: all, what changed, or those of some lines.

use super::super::kept_tokens::{KeptTokens, TokenEdit, Writer};
use super::super::legend::Legend;
use super::super::open_text::Snapshot;
use crate::assist::Ground;
use tower_lsp::lsp_types::{
    Range, SemanticTokens, SemanticTokensDelta, SemanticTokensEdit, SemanticTokensFullDeltaResult,
};

/// Numbers that a token is made of.
const NUMBERS: u32 = 5;

/// `textDocument/semanticTokens/full`.
pub fn full(snapshot: &Snapshot, legend: &Legend) -> SemanticTokens {
    let tokens = KeptTokens::new(snapshot, legend);
    let answer = SemanticTokens { result_id: Some(tokens.id()), data: tokens.data().to_vec() };
    *snapshot.kept.tokens() = Some(tokens);
    answer
}

/// `textDocument/semanticTokens/full/delta`: the smallest edit, or all of them where the result that the
/// client names is not known.
pub fn delta(snapshot: &Snapshot, legend: &Legend, before: &str) -> SemanticTokensFullDeltaResult {
    let Some((id, edit)) = change(snapshot, legend, before) else {
        return SemanticTokensFullDeltaResult::Tokens(full(snapshot, legend));
    };
    let nothing = edit.removed == 0 && edit.added.is_empty();
    let edit = SemanticTokensEdit {
        start: edit.start as u32 * NUMBERS,
        delete_count: edit.removed as u32 * NUMBERS,
        data: (!edit.added.is_empty()).then_some(edit.added),
    };
    let edits = if nothing { Vec::new() } else { vec![edit] };
    SemanticTokensFullDeltaResult::TokensDelta(SemanticTokensDelta { result_id: Some(id), edits })
}

fn change(snapshot: &Snapshot, legend: &Legend, before: &str) -> Option<(String, TokenEdit)> {
    let mut place = snapshot.kept.tokens();
    let mut kept = place.take()?;
    let changed = kept.change(snapshot, legend, before);
    *place = Some(kept);
    changed
}

/// `textDocument/semanticTokens/range`: those of its lines.
pub fn range(snapshot: &Snapshot, legend: &Legend, range: Range) -> SemanticTokens {
    let ground = Ground::of(&snapshot.desk);
    let lines = snapshot.desk.document().lines();
    let first = (range.start.line as usize).min(lines.len());
    let count = (range.end.line as usize).saturating_add(1).saturating_sub(first);
    let mut writer = Writer::new(&ground, legend, snapshot.encoding, first as u32);
    for line in lines.iter_from(first).take(count) {
        writer.line(line);
    }
    SemanticTokens { result_id: None, data: writer.data }
}
