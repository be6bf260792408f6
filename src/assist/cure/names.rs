//! Names that stand for nothing, or for two things.

use super::case::Case;
use super::draft::Draft;
use super::lines::{with_blanks, without};
use super::notes::tokens;
use crate::assist::place::TextEdit;
use crate::brass::Mute;
use crate::notation::Span;
use crate::notation::nearest::nearest;
use crate::notation::token::Kind;
use crate::notation::tree::{LineTree, OptionKind, SettingKind};
use crate::rules::registry::is_reading_fault;
use crate::score::names::normal;

/// Mutes offered at most.
const MOST: usize = 4;

/// The name that comes nearest, a mute for one that is not named, a fault taken out of an allowance.
pub fn unknown(case: &Case<'_>) -> Vec<Draft> {
    let said = case.said();
    match &case.line.tree {
        LineTree::Roadmap(_) => station(case).into_iter().collect(),
        LineTree::Phrase(_) => {
            let near = case.score().head.phrases.nearest(said).filter(|_| case.finding.cures.is_empty());
            let near = near
                .filter(|near| case.phrase().is_none_or(|p| p.id.is_none_or(|id| case.text(id) != *near)));
            near.map(|near| write(case, near)).into_iter().collect()
        }
        LineTree::Allow(_) if is_reading_fault(said) => rule_out(case).into_iter().collect(),
        LineTree::Row(_) if said == "mute" => mutes(case),
        _ => Vec::new(),
    }
}

fn write(case: &Case<'_>, near: &str) -> Draft {
    Draft::of_line(format!("Write {near}"), case.finding.line, vec![(case.finding.span, near.to_owned())])
}

fn station(case: &Case<'_>) -> Option<Draft> {
    let mut marks = Vec::new();
    for placed in &case.score().blocks {
        let Some(header) = placed.read.block.text.header() else { continue };
        let line = placed.read.block.text.lines.first().map_or("", |l| &*l.text);
        marks.extend(header.settings.iter().filter_map(|s| match s.what {
            SettingKind::Mark(name) | SettingKind::Spot(name) => Some(name.of(line)),
            _ => None,
        }));
    }
    let near = nearest(case.said(), marks)?;
    let before = case.line.text.get(..case.finding.span.start as usize)?;
    let plain = near.chars().all(|c| c.is_alphanumeric() || c == '_');
    (plain || before.ends_with('"')).then(|| write(case, near))
}

fn mutes(case: &Case<'_>) -> Vec<Draft> {
    let player = case.row().and_then(|r| {
        let first = r.row.people.first()?;
        r.score.head.players.get(usize::from(first.player))
    });
    let Some(instrument) = player.and_then(|p| p.instruments.first()) else { return Vec::new() };
    let brought = |m: &Mute| match &instrument.mutes {
        Some(own) => own.contains(m),
        None => instrument.instrument.mutes.has(*m),
    };
    let at = Span::new(case.finding.span.end, case.finding.span.end);
    let named = |m: Mute| {
        let with = format!(" {}", m.word());
        Draft::of_line(format!("Write mute{with}"), case.finding.line, vec![(at, with)]).unlikely()
    };
    Mute::ALL.into_iter().filter(brought).take(MOST).map(named).collect()
}

/// A rule taken out of an allowance: the whole line if it has no other.
fn rule_out(case: &Case<'_>) -> Option<Draft> {
    let LineTree::Allow(tree) = &case.line.tree else { return None };
    let line = case.finding.line;
    let title = format!("Allow {} no more", case.said());
    if tree.rules.len() < 2 {
        return Some(Draft::new(title, vec![without(case.desk, line)]));
    }
    let gone = with_blanks(case.line, case.finding.span);
    Some(Draft::of_line(title, line, vec![(gone, String::new())]))
}

/// An allowance that silences nothing.
pub fn allowance_out(case: &Case<'_>) -> Vec<Draft> {
    rule_out(case).into_iter().collect()
}

/// Another name for the second, or the second taken out.
pub fn twice(case: &Case<'_>) -> Vec<Draft> {
    let span = case.finding.span;
    let id = match &case.line.tree {
        LineTree::Player(p) => p.id,
        LineTree::Phrase(p) => p.id,
        LineTree::Instrument(i) => i.id,
        LineTree::Group(group) => {
            if group.members.contains(&span) {
                let title = format!("Name {} once", case.said());
                let gone = with_blanks(case.line, span);
                return vec![Draft::of_line(title, case.finding.line, vec![(gone, String::new())])];
            }
            group.id
        }
        _ => return field_twice(case).into_iter().collect(),
    };
    if id != Some(span) {
        return Vec::new();
    }
    let free = free_name(case);
    vec![Draft::of_line(format!("Call it {free}"), case.finding.line, vec![(span, free)])]
}

/// The name with the next number that nobody has.
fn free_name(case: &Case<'_>) -> String {
    let said = case.said();
    let bare = said.trim_end_matches(|c: char| c.is_ascii_digit());
    let number: u32 = said.get(bare.len()..).and_then(|n| n.parse().ok()).unwrap_or(1);
    let mut taken: Vec<String> = Vec::new();
    for line in case.desk.document().lines().iter() {
        let id = match &line.tree {
            LineTree::Player(p) => p.id,
            LineTree::Phrase(p) => p.id,
            LineTree::Instrument(i) => i.id,
            LineTree::Group(g) => g.id,
            LineTree::Row(row) => {
                taken.extend(row.names.iter().map(|s| normal(s.of(&line.text)).into_owned()));
                None
            }
            _ => None,
        };
        taken.extend(id.map(|s| normal(s.of(&line.text)).into_owned()));
    }
    let names = &case.score().head.names;
    let mut next = number.saturating_add(1);
    loop {
        let name = format!("{bare}{next}");
        let normal_name = normal(&name).into_owned();
        if (names.get(&name).is_none() && !taken.contains(&normal_name)) || next == u32::MAX {
            return name;
        }
        next = next.saturating_add(1);
    }
}

/// A line of the head that a later one overrules.
fn field_twice(case: &Case<'_>) -> Option<Draft> {
    let word = case.said();
    let first =
        case.score().head.lines.iter().position(|l| l.text.split_whitespace().next() == Some(word))?;
    let first = u32::try_from(first).ok().filter(|at| *at < case.finding.line)?;
    let title = format!("Take out the `{word}` of line {}, which is not used", first + 1);
    Some(Draft::new(title, vec![without(case.desk, first)]))
}

/// A top below the bottom.
pub fn limits_swapped(case: &Case<'_>) -> Vec<Draft> {
    let LineTree::Player(tree) = &case.line.tree else { return Vec::new() };
    let Some(at) = tree.options.iter().position(|o| o.span == case.finding.span) else { return Vec::new() };
    let doubles =
        |at: usize| matches!(tree.options.get(at).map(|o| &o.what), Some(OptionKind::Doubles { .. }));
    let first = (0..at).rev().find(|i| doubles(*i)).map_or(0, |i| i + 1);
    let last = (at..tree.options.len()).find(|i| doubles(*i)).unwrap_or(tree.options.len());
    let mine = tree.options.get(first..last).unwrap_or_default();
    let pitch = |span: Span| tokens(case.line, span).find(|t| t.kind == Kind::Pitch).map(|t| t.span);
    let top = mine.iter().rfind(|o| matches!(o.what, OptionKind::Top(_))).and_then(|o| pitch(o.span));
    let bottom = mine.iter().rfind(|o| matches!(o.what, OptionKind::Bottom(_))).and_then(|o| pitch(o.span));
    let (Some(top), Some(bottom)) = (top, bottom) else { return Vec::new() };
    let line = case.finding.line;
    let edit = |span: Span, with: Span| TextEdit { line, span, with: case.text(with).to_owned() };
    let title = format!("Swap them: bottom {}, top {}", case.text(top), case.text(bottom));
    vec![Draft::new(title, vec![edit(top, bottom), edit(bottom, top)])]
}
