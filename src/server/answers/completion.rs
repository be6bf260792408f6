//! What may stand where somebody is typing.

use super::super::open_text::Snapshot;
use super::{place, stretch};
use crate::assist::completion::{About, about, completion, completion_after};
use crate::assist::{Completions, Item, ItemKind, Stretch};
use serde_json::{Value, json};
use tower_lsp::lsp_types::{
    CompletionContext, CompletionItem, CompletionItemKind, CompletionList, CompletionResponse,
    CompletionTextEdit, CompletionTriggerKind, Documentation, InsertReplaceEdit, InsertTextFormat,
    MarkupContent, MarkupKind, Position, Range, TextEdit,
};

/// Signs that begin something that may be offered at once. A blank or a comma is none of them: they are
/// typed all the time, and a list at each would be in the way.
pub const SIGNS: [char; 3] = ['[', ':', '@'];

/// What the client does with an item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Style {
    /// It takes snippets.
    pub snippets: bool,
    /// It lets people choose whether the rest of a word is replaced.
    pub either: bool,
}

/// `textDocument/completion`.
pub fn offered(
    snapshot: &Snapshot,
    position: Position,
    context: Option<CompletionContext>,
    style: Style,
) -> Option<CompletionResponse> {
    let place = place(snapshot, position);
    let sign = context
        .filter(|c| c.trigger_kind == CompletionTriggerKind::TRIGGER_CHARACTER)
        .and_then(|c| c.trigger_character?.chars().next());
    let found = match sign {
        Some(sign) => completion_after(&snapshot.desk, place, sign)?,
        None => completion(&snapshot.desk, place)?,
    };
    let range = |span| stretch(snapshot, Stretch { line: found.line, span });
    let (typed, word) = (range(found.typed), range(found.word));
    let Completions { items, complete, .. } = found;
    let items = items.into_iter().map(|i| item(snapshot, i, (typed, word), style)).collect();
    Some(CompletionResponse::List(CompletionList { is_incomplete: !complete, items }))
}

fn item(snapshot: &Snapshot, item: Item, (insert, replace): (Range, Range), style: Style) -> CompletionItem {
    let snippet = item.snippet.filter(|_| style.snippets);
    let format = snippet.as_ref().map(|_| InsertTextFormat::SNIPPET);
    let new_text = snippet.unwrap_or(item.text);
    let edit = match style.either && insert != replace {
        true => CompletionTextEdit::InsertAndReplace(InsertReplaceEdit { new_text, insert, replace }),
        false => CompletionTextEdit::Edit(TextEdit { range: replace, new_text }),
    };
    let key = item.about.key();
    CompletionItem {
        kind: Some(kind(item.kind)),
        detail: (!item.detail.is_empty()).then_some(item.detail),
        sort_text: Some(item.sort),
        // Told always: Neovim takes what has none for what was sifted here.
        filter_text: Some(item.filter),
        label: item.label,
        insert_text_format: format,
        text_edit: Some(edit),
        data: (!key.is_empty()).then(|| json!({"uri": snapshot.uri, "about": key})),
        ..CompletionItem::default()
    }
}

/// The protocol's kinds are those of program texts; these are the nearest, of the oldest ones.
fn kind(kind: ItemKind) -> CompletionItemKind {
    match kind {
        ItemKind::Word => CompletionItemKind::KEYWORD,
        ItemKind::Template => CompletionItemKind::SNIPPET,
        ItemKind::Note => CompletionItemKind::VALUE,
        ItemKind::Value => CompletionItemKind::UNIT,
        ItemKind::Player => CompletionItemKind::VARIABLE,
        ItemKind::Group => CompletionItemKind::INTERFACE,
        ItemKind::Phrase => CompletionItemKind::FUNCTION,
        ItemKind::Instrument => CompletionItemKind::CLASS,
        ItemKind::Mark => CompletionItemKind::REFERENCE,
        ItemKind::Rule => CompletionItemKind::MODULE,
        ItemKind::Sign => CompletionItemKind::TEXT,
        ItemKind::Setting => CompletionItemKind::ENUM,
    }
}

/// The text that an item was offered for, and what it is about; `None` for data that is none of ours.
pub fn asked(data: Option<&Value>) -> Option<(tower_lsp::lsp_types::Url, About)> {
    let data = data?;
    let uri = data.get("uri")?.as_str()?.parse().ok()?;
    Some((uri, About::parse(data.get("about")?.as_str()?)?))
}

/// What is told of it, as the client likes it.
pub fn told(snapshot: &Snapshot, wanted: &About, markdown: bool) -> Option<Documentation> {
    let told = about(&snapshot.desk, wanted)?;
    let (kind, value) =
        if markdown { (MarkupKind::Markdown, told.markdown) } else { (MarkupKind::PlainText, told.plain) };
    Some(Documentation::MarkupContent(MarkupContent { kind, value }))
}
