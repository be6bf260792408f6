//! The shape of a text: outline, folds, growing selections.

use super::super::open_text::Snapshot;
use super::{extent, place, stretch};
use crate::assist::{self, FoldKind, SymbolKind as Kind};
use tower_lsp::lsp_types::{
    DocumentSymbol, DocumentSymbolResponse, FoldingRange, FoldingRangeKind, Location, Position, Range,
    SelectionRange, SymbolInformation, SymbolKind,
};

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
