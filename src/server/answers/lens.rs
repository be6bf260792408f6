//! Facts above players and blocks.

use super::super::open_text::Snapshot;
use super::stretch;
use crate::assist;
use tower_lsp::lsp_types::{CodeLens, Command};

/// `textDocument/codeLens`. A lens is shown by the title of its command; one without a name of a command
/// cannot be clicked.
pub fn lenses(snapshot: &Snapshot) -> Vec<CodeLens> {
    let mut uses = std::mem::take(&mut *snapshot.kept.uses());
    let found = assist::lenses(&snapshot.desk, snapshot.clock(), &mut uses);
    *snapshot.kept.uses() = uses;
    let lens = |lens: assist::Lens| CodeLens {
        range: stretch(snapshot, lens.at),
        command: Some(Command { title: lens.text, command: String::new(), arguments: None }),
        data: None,
    };
    found.into_iter().map(lens).collect()
}
