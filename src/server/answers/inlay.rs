//! Hints beside the text.

use super::super::open_text::Snapshot;
use super::{place, position};
use crate::assist::{self, Hint, HintKind};
use serde::{Deserialize, Serialize};
use tower_lsp::lsp_types::{InlayHint, InlayHintKind, InlayHintLabel, InlayHintTooltip, Range, Url};

/// What a hint carries so that its reason can be asked for later.
#[derive(Serialize, Deserialize)]
struct About {
    uri: Url,
    generation: u64,
    kind: String,
}

/// `textDocument/inlayHint`. With `later` the reasons are left to `inlayHint/resolve`.
pub fn hints(snapshot: &Snapshot, range: Range, later: bool) -> Vec<InlayHint> {
    let (from, to) = (place(snapshot, range.start), place(snapshot, range.end));
    let found = assist::hints(&snapshot.desk, || snapshot.clock(), from.line..=to.line, snapshot.hints);
    let inside = found.into_iter().filter(|hint| from <= hint.at && hint.at <= to);
    inside.map(|hint| told(snapshot, hint, later)).collect()
}

fn told(snapshot: &Snapshot, hint: Hint, later: bool) -> InlayHint {
    let about = About {
        uri: snapshot.uri.clone(),
        generation: snapshot.generation,
        kind: hint.kind.word().to_owned(),
    };
    InlayHint {
        position: position(snapshot, hint.at),
        label: InlayHintLabel::String(hint.label),
        // The protocol knows two kinds; editors may colour them apart.
        kind: Some(match hint.kind {
            HintKind::Pitch | HintKind::Seconds => InlayHintKind::TYPE,
            HintKind::Sharing | HintKind::Fingering | HintKind::Travel => InlayHintKind::PARAMETER,
        }),
        text_edits: None,
        tooltip: None,
        padding_left: Some(true),
        padding_right: None,
        data: if later { serde_json::to_value(about).ok() } else { None },
    }
}

/// The text that a hint belongs to, if it is one of ours.
pub fn text_of(hint: &InlayHint) -> Option<Url> {
    Some(about(hint)?.uri)
}

fn about(hint: &InlayHint) -> Option<About> {
    About::deserialize(hint.data.as_ref()?).ok()
}

/// `inlayHint/resolve`: the reason, as long as the text is the one that the hint was made for.
pub fn resolved(snapshot: &Snapshot, mut hint: InlayHint) -> InlayHint {
    let same = about(&hint).filter(|about| about.generation == snapshot.generation);
    if let Some(kind) = same.and_then(|about| HintKind::from_word(&about.kind)) {
        let at = place(snapshot, hint.position);
        let reason = assist::reason(&snapshot.desk, || snapshot.clock(), at, kind);
        hint.tooltip = reason.map(InlayHintTooltip::String);
    }
    hint
}
