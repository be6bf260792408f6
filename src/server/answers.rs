//! What `assist` says, in the protocol's words: places in, one call, places out.

use super::open_text::Snapshot;
use crate::assist::{self, Extent, FoldKind, Place, Stretch, SymbolKind as Kind};
use std::collections::HashMap;
use tower_lsp::lsp_types::*;

/// The place of a position.
fn place(snapshot: &Snapshot, position: Position) -> Place {
    let document = snapshot.desk.document();
    Place::of_byte(document, snapshot.encoding.offset(document, position))
}

fn stretch(snapshot: &Snapshot, at: Stretch) -> Range {
    snapshot.encoding.range(snapshot.desk.document(), at.line, at.span)
}

fn extent(snapshot: &Snapshot, extent: Extent) -> Range {
    let document = snapshot.desk.document();
    let position = |place: Place| {
        let text = document.lines().get(place.line as usize).map_or("", |l| &l.text);
        Position { line: place.line, character: snapshot.encoding.column(text, place.byte as usize) }
    };
    Range { start: position(extent.from), end: position(extent.to) }
}

/// `textDocument/hover`, as Markdown or as plain text.
pub fn hover(snapshot: &Snapshot, position: Position, markdown: bool) -> Option<Hover> {
    let found = assist::hover(&snapshot.desk, place(snapshot, position))?;
    let (kind, value) =
        if markdown { (MarkupKind::Markdown, found.markdown) } else { (MarkupKind::PlainText, found.plain) };
    let at = Stretch { line: found.line, span: found.span };
    Some(Hover {
        contents: HoverContents::Markup(MarkupContent { kind, value }),
        range: Some(stretch(snapshot, at)),
    })
}

/// `textDocument/documentSymbol`, as a tree or, for clients without trees, as a list.
pub fn symbols(snapshot: &Snapshot, tree: bool) -> DocumentSymbolResponse {
    let all = assist::symbols(&snapshot.desk);
    if tree {
        return DocumentSymbolResponse::Nested(all.into_iter().map(|s| nested(snapshot, s)).collect());
    }
    let mut flat = Vec::new();
    for symbol in all {
        flatten(snapshot, symbol, None, &mut flat);
    }
    DocumentSymbolResponse::Flat(flat)
}

#[allow(deprecated)] // a field the protocol no longer uses, and the type still has
fn nested(snapshot: &Snapshot, symbol: assist::Symbol) -> DocumentSymbol {
    DocumentSymbol {
        name: symbol.name,
        detail: (!symbol.detail.is_empty()).then_some(symbol.detail),
        kind: kind(symbol.kind),
        tags: None,
        deprecated: None,
        range: extent(snapshot, symbol.extent),
        selection_range: stretch(snapshot, symbol.selection),
        children: Some(symbol.children.into_iter().map(|s| nested(snapshot, s)).collect()),
    }
}

#[allow(deprecated)] // as above
fn flatten(
    snapshot: &Snapshot,
    symbol: assist::Symbol,
    within: Option<&str>,
    out: &mut Vec<SymbolInformation>,
) {
    let range = extent(snapshot, symbol.extent);
    out.push(SymbolInformation {
        name: symbol.name.clone(),
        kind: kind(symbol.kind),
        tags: None,
        deprecated: None,
        location: Location { uri: snapshot.uri.clone(), range },
        container_name: within.map(str::to_owned),
    });
    for child in symbol.children {
        flatten(snapshot, child, Some(&symbol.name), out);
    }
}

/// The protocol's kinds are those of program texts; these are the nearest.
fn kind(kind: Kind) -> SymbolKind {
    match kind {
        Kind::Head => SymbolKind::NAMESPACE,
        Kind::Player => SymbolKind::VARIABLE,
        Kind::Group => SymbolKind::ARRAY,
        Kind::Instrument => SymbolKind::CLASS,
        Kind::Phrase => SymbolKind::FUNCTION,
        Kind::Block => SymbolKind::MODULE,
        Kind::Row => SymbolKind::FIELD,
        Kind::Rhythm => SymbolKind::EVENT,
        Kind::Chords => SymbolKind::STRING,
    }
}

/// `textDocument/foldingRange`.
pub fn folds(snapshot: &Snapshot) -> Vec<FoldingRange> {
    let kind = |kind| match kind {
        FoldKind::Comments => FoldingRangeKind::Comment,
        FoldKind::Head | FoldKind::Block => FoldingRangeKind::Region,
    };
    assist::folding(&snapshot.desk)
        .into_iter()
        .map(|fold| FoldingRange {
            start_line: fold.first,
            end_line: fold.last,
            kind: Some(kind(fold.kind)),
            ..FoldingRange::default()
        })
        .collect()
}

/// `textDocument/selectionRange`: from the smallest outwards, each the parent of the one before.
pub fn selections(snapshot: &Snapshot, positions: &[Position]) -> Vec<SelectionRange> {
    positions
        .iter()
        .map(|position| {
            let grown = assist::selection(&snapshot.desk, place(snapshot, *position));
            let outwards = grown.into_iter().rev().fold(None, |parent, all| {
                Some(SelectionRange { range: extent(snapshot, all), parent: parent.map(Box::new) })
            });
            outwards
                .unwrap_or(SelectionRange { range: Range { start: *position, end: *position }, parent: None })
        })
        .collect()
}

/// `textDocument/definition`, inside the text.
pub fn definition(snapshot: &Snapshot, position: Position) -> Option<GotoDefinitionResponse> {
    let at = assist::definition(&snapshot.desk, place(snapshot, position))?;
    let range = stretch(snapshot, at);
    Some(GotoDefinitionResponse::Scalar(Location { uri: snapshot.uri.clone(), range }))
}

/// `textDocument/references`, inside the text.
pub fn references(snapshot: &Snapshot, position: Position, declaration: bool) -> Vec<Location> {
    assist::references(&snapshot.desk, place(snapshot, position), declaration)
        .into_iter()
        .map(|at| Location { uri: snapshot.uri.clone(), range: stretch(snapshot, at) })
        .collect()
}

/// `textDocument/documentHighlight`.
pub fn highlights(snapshot: &Snapshot, position: Position) -> Vec<DocumentHighlight> {
    assist::highlight(&snapshot.desk, place(snapshot, position))
        .into_iter()
        .map(|mention| {
            let kind =
                if mention.declares { DocumentHighlightKind::WRITE } else { DocumentHighlightKind::READ };
            DocumentHighlight { range: stretch(snapshot, mention.at), kind: Some(kind) }
        })
        .collect()
}

/// `textDocument/prepareRename`; the reason where nothing can be renamed.
pub fn prepare(snapshot: &Snapshot, position: Position) -> Result<PrepareRenameResponse, String> {
    let found = assist::prepare(&snapshot.desk, place(snapshot, position))?;
    let range = stretch(snapshot, found.at);
    Ok(PrepareRenameResponse::RangeWithPlaceholder { range, placeholder: found.text })
}

/// `textDocument/rename`; the reason where it cannot be done.
pub fn rename(
    snapshot: &Snapshot,
    position: Position,
    new: &str,
    versioned: bool,
) -> Result<WorkspaceEdit, String> {
    let edits: Vec<TextEdit> = assist::rename(&snapshot.desk, place(snapshot, position), new)?
        .into_iter()
        .map(|edit| {
            let range = stretch(snapshot, Stretch { line: edit.line, span: edit.span });
            TextEdit { range, new_text: edit.with }
        })
        .collect();
    if !versioned {
        let changes = HashMap::from([(snapshot.uri.clone(), edits)]);
        return Ok(WorkspaceEdit { changes: Some(changes), ..WorkspaceEdit::default() });
    }
    let text_document = OptionalVersionedTextDocumentIdentifier {
        uri: snapshot.uri.clone(),
        version: Some(snapshot.version),
    };
    let edits = edits.into_iter().map(OneOf::Left).collect();
    let changes = DocumentChanges::Edits(vec![TextDocumentEdit { text_document, edits }]);
    Ok(WorkspaceEdit { document_changes: Some(changes), ..WorkspaceEdit::default() })
}
