//! Who plays a row: names before its first barline.

use super::about::About;
use super::declared::{Person, people, players_in};
use super::item::{Item, ItemKind, List};
use crate::assist::typing::Typing;
use crate::notation::Span;
use crate::notation::tree::RowKind;

/// The first name of a row: who has none in this block yet. A whole row, if nothing stands behind it.
pub fn first(list: &mut List<'_>, whole: bool) {
    let typing = list.typing;
    let busy = busy(&typing);
    let free = people(&typing).into_iter().filter(|p| !p.players.iter().any(|i| busy.contains(i)));
    for person in free {
        let tier = u8::from(person.is_group);
        let mut item = item(&person);
        if whole {
            let name = &person.name;
            item = item.filled(&format!("{name}{} | $0 |", padding(&typing, name)));
        }
        list.put(tier, item);
    }
}

/// Further names of a row for several.
pub fn more(typing: Typing<'_>) -> Option<List<'_>> {
    typing.block()?;
    let words = typing.words(0, |t| t.kind.is_barline());
    let mut list = List::new(typing, words.span);
    let here = players_in(&typing, words.others());
    let busy = busy(&typing);
    for person in people(&typing) {
        if !person.players.iter().any(|i| here.contains(i) || busy.contains(i)) {
            list.put(u8::from(person.is_group), item(&person));
        }
    }
    Some(list)
}

/// A name by itself.
pub fn item(person: &Person<'_>) -> Item {
    let kind = if person.is_group { ItemKind::Group } else { ItemKind::Player };
    Item::plain(kind, person.name.clone(), person.detail.clone()).about(About::Name(person.name.clone()))
}

/// Players who have a row in this block, the one being typed aside.
fn busy(typing: &Typing<'_>) -> Vec<u16> {
    let Some((_, placed, below)) = typing.block() else { return Vec::new() };
    let rows = placed.read.block.rows.iter().filter(|r| r.line != below && r.kind == RowKind::Music);
    let mut busy: Vec<u16> = rows.flat_map(|r| r.people.iter().map(|p| p.player)).collect();
    busy.sort_unstable();
    busy.dedup();
    busy
}

/// Blanks that bring the first barline under that of the row above.
pub fn padding(typing: &Typing<'_>, name: &str) -> String {
    let column = || {
        let (_, placed, below) = typing.block()?;
        let above = placed.read.block.rows.iter().rev().find(|r| r.line < below)?;
        let line = placed.read.block.text.lines.get(above.line as usize)?;
        let barline = line.tokens.iter().find(|t| t.kind.is_barline())?;
        Some(Span::new(0, barline.span.start).of(&line.text).chars().count().saturating_sub(1))
    };
    let width = column().unwrap_or(0).min(40);
    " ".repeat(width.saturating_sub(name.chars().count()))
}
