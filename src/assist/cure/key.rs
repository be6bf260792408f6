//! A key that is hard to read.

use super::case::Case;
use super::draft::Draft;
use super::lines::{of_head, own_end};
use crate::assist::place::TextEdit;
use crate::notation::Span;
use crate::notation::tree::{LineTree, SettingKind};

/// The same key by its other name, or parts without signatures.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    [other_name(case), no_signature(case)].into_iter().flatten().collect()
}

fn other_name(case: &Case<'_>) -> Option<Draft> {
    let LineTree::Block(header) = &case.line.tree else { return None };
    let setting = header.settings.iter().find(|s| s.span == case.finding.span)?;
    let SettingKind::Key(Some(key)) = setting.what else { return None };
    let other = key.enharmonic()?;
    let title = format!("Call the key {other}");
    Some(Draft::of_line(title, case.finding.line, vec![(setting.span, format!("key {other}"))]))
}

fn no_signature(case: &Case<'_>) -> Option<Draft> {
    let mut edits = Vec::new();
    let mut names = Vec::new();
    for index in case.players() {
        let player = case.score().head.players.get(usize::from(index))?;
        let line = of_head(case.desk, &player.line).filter(|_| player.line.faults.is_empty())?;
        let end = own_end(&player.line);
        edits.push(TextEdit { line, span: Span::new(end, end), with: ", signature none".to_owned() });
        names.push(player.id.as_str());
    }
    let title = match names.as_slice() {
        [] => return None,
        [one] => format!("Give {one} a part without key signatures"),
        [one, two] => format!("Give {one} and {two} parts without key signatures"),
        all => format!("Give {} players parts without key signatures", all.len()),
    };
    Some(Draft::new(title, edits).trusted())
}
