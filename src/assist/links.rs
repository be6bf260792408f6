//! Lines that include other files.

use super::place::Stretch;
use crate::notation::document::split;
use crate::notation::line::{Line, read_line};
use crate::notation::tree::LineTree;
use crate::rules::Desk;
use std::sync::Arc;

/// The way to a file, as it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// Between the quotes.
    pub at: Stretch,
    /// With `/`, from the folder of the text.
    pub way: String,
}

impl Link {
    /// Of a line of this number, if it includes anything.
    pub fn of(at: u32, line: &Line) -> Option<Link> {
        let LineTree::Include(Some(span)) = line.tree else { return None };
        Some(Link { at: Stretch { line: at, span }, way: span.of(&line.text).to_owned() })
    }
}

/// Every file that the head of a score names, in order.
pub fn links(desk: &Desk) -> Vec<Link> {
    let lines = desk.score().head.lines.iter().enumerate();
    lines.filter_map(|(at, line)| Link::of(at as u32, line)).collect()
}

/// The lines of a text's head that include something; few others are read.
pub fn including(text: &str) -> Vec<Arc<Line>> {
    let mut all = Vec::new();
    for (text, ending) in split(text) {
        if !(text.contains("include") || text.trim_start().starts_with("bar")) {
            continue;
        }
        let line = read_line(text, ending);
        match line.tree {
            LineTree::Block(_) => break,
            LineTree::Include(_) => all.push(Arc::new(line)),
            _ => {}
        }
    }
    all
}

/// What an included file brings, by its name: `crew.brass: 5 players, 2 groups`.
pub fn brings(desk: &Desk, name: &str) -> String {
    let included = desk.score().head.included.iter().find(|file| file.name == name);
    let lines = included.map_or(&[][..], |file| &file.lines);
    let count = |is: fn(&LineTree) -> bool| lines.iter().filter(|line| is(&line.tree)).count();
    let all = [
        ("player", count(|tree| matches!(tree, LineTree::Player(_)))),
        ("group", count(|tree| matches!(tree, LineTree::Group(_)))),
        ("instrument", count(|tree| matches!(tree, LineTree::Instrument(_)))),
        ("phrase", count(|tree| matches!(tree, LineTree::Phrase(_)))),
        ("allowance", count(|tree| matches!(tree, LineTree::Allow(_)))),
    ];
    let told = all.iter().filter(|(_, n)| *n > 0).map(|(what, n)| match n {
        1 => format!("1 {what}"),
        n => format!("{n} {what}s"),
    });
    let told = told.collect::<Vec<_>>().join(", ");
    if told.is_empty() { name.to_owned() } else { format!("{name}: {told}") }
}
