//! What somebody may want to go to by its name, in any of many texts.

use super::place::Stretch;
use super::volume::Body;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::tree::{LineTree, SettingKind, TextField};
use std::sync::Arc;

/// What a landmark is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LandmarkKind {
    Title,
    Player,
    Group,
    /// An instrument of the score's own.
    Instrument,
    Phrase,
    /// A mark or a spot.
    Mark,
}

/// A named place of a text.
#[derive(Debug, Clone)]
pub struct Landmark {
    pub name: String,
    pub kind: LandmarkKind,
    pub at: Stretch,
    pub line: Arc<Line>,
}

/// All of a text, in its order.
pub fn landmarks(body: &Body) -> Vec<Landmark> {
    let mut all = Vec::new();
    for (at, line) in body.lines(may_have) {
        for (kind, span) in of(&line) {
            let name = span.of(&line.text).to_owned();
            if !name.trim().is_empty() {
                all.push(Landmark { name, kind, at: Stretch { line: at, span }, line: Arc::clone(&line) });
            }
        }
    }
    all
}

/// The lines that begin with one of these words, and few others.
fn may_have(text: &str) -> bool {
    let text = text.trim_start();
    ["title", "player", "group", "instrument", "phrase", "bar"].iter().any(|word| text.starts_with(word))
}

fn of(line: &Line) -> Vec<(LandmarkKind, Span)> {
    let one = |kind, span: Option<Span>| span.map(|span| (kind, span)).into_iter().collect();
    match &line.tree {
        LineTree::Text(TextField::Title, span) => one(LandmarkKind::Title, *span),
        LineTree::Player(player) => one(LandmarkKind::Player, player.id),
        LineTree::Group(group) => one(LandmarkKind::Group, group.id),
        LineTree::Instrument(own) => one(LandmarkKind::Instrument, own.id),
        LineTree::Phrase(phrase) => one(LandmarkKind::Phrase, phrase.id),
        LineTree::Block(block) => {
            let marks = block.settings.iter().filter_map(|setting| match setting.what {
                SettingKind::Mark(span) | SettingKind::Spot(span) => Some((LandmarkKind::Mark, span)),
                _ => None,
            });
            marks.collect()
        }
        _ => Vec::new(),
    }
}
