//! The form of what is being typed.

use super::super::open_text::Snapshot;
use super::super::position::Encoding;
use super::place;
use crate::assist::{self, Occasion, Signature};
use tower_lsp::lsp_types::{
    Documentation, MarkupContent, MarkupKind, ParameterInformation, ParameterLabel, Position, SignatureHelp,
    SignatureHelpContext, SignatureHelpTriggerKind, SignatureInformation,
};

/// Signs behind which the form of something comes.
pub const SIGNS: [&str; 4] = ["[", "{", "=", ","];

/// Signs behind which the form that is shown goes on to its next part.
pub const NEXT: [&str; 3] = [" ", ":", "\""];

/// What the client shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Style {
    /// Markdown; else plain text.
    pub markdown: bool,
    /// Parts by where they stand; else by their words.
    pub offsets: bool,
}

/// `textDocument/signatureHelp`.
pub fn forms(
    snapshot: &Snapshot,
    position: Position,
    context: Option<SignatureHelpContext>,
    style: Style,
) -> Option<SignatureHelp> {
    let typed = context.is_some_and(|c| c.trigger_kind != SignatureHelpTriggerKind::INVOKED);
    let occasion = if typed { Occasion::Typed } else { Occasion::Asked };
    let found = assist::signature(&snapshot.desk, place(snapshot, position), occasion);
    let active = found.first()?.active.map(|a| a as u32);
    let signatures = found.into_iter().map(|s| information(s, style)).collect();
    Some(SignatureHelp { signatures, active_signature: Some(0), active_parameter: active })
}

fn information(signature: Signature, style: Style) -> SignatureInformation {
    let Signature { label, text, parameters, active } = signature;
    let parameter = |part: assist::Parameter| ParameterInformation {
        label: match style.offsets {
            // Offsets in a label count as utf-16 does, whatever columns of the text count.
            true => ParameterLabel::LabelOffsets(
                [part.span.start, part.span.end].map(|at| Encoding::Utf16.column(&label, at as usize)),
            ),
            false => ParameterLabel::Simple(part.span.of(&label).to_owned()),
        },
        documentation: documentation(part.text, style),
    };
    SignatureInformation {
        parameters: Some(parameters.into_iter().map(parameter).collect()),
        documentation: documentation(text, style),
        active_parameter: active.map(|a| a as u32),
        label,
    }
}

fn documentation(text: String, style: Style) -> Option<Documentation> {
    if text.is_empty() {
        return None;
    }
    let (kind, value) = match style.markdown {
        true => (MarkupKind::Markdown, text),
        false => (MarkupKind::PlainText, text.replace('`', "")),
    };
    Some(Documentation::MarkupContent(MarkupContent { kind, value }))
}
