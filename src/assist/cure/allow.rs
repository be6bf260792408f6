//! That a finding is meant: an `allow` line in its block or in the head.

use super::OfferKind;
use super::case::Case;
use super::draft::Draft;
use super::lines::{below, in_head};
use crate::assist::place::TextEdit;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::tree::{AllowLine, LineTree};
use crate::rules::registry::rule;
use crate::score::head::Named;
use std::sync::Arc;

/// Here and everywhere.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    if rule(case.finding.rule).is_none() {
        return Vec::new();
    }
    let players = case.players();
    if players.is_empty() {
        return Vec::new();
    }
    [here(case, &players), everywhere(case, &players)].into_iter().flatten().collect()
}

fn here(case: &Case<'_>, players: &[u16]) -> Option<Draft> {
    let (_, placed, _) = case.block()?;
    let block = &placed.read.block;
    let lines =
        block.allows.iter().filter_map(|at| Some((placed.line + at, block.text.lines.get(*at as usize)?)));
    let edit = widened(case, lines, players).unwrap_or_else(|| {
        below(case.desk, placed.line, &format!("allow {} for {}", case.finding.rule, names(case, players)))
    });
    let (first, bars) = (placed.frame.first_bar, i64::from(placed.frame.bars));
    let where_ =
        if bars <= 1 { format!("bar {first}") } else { format!("bars {first} to {}", first + bars - 1) };
    let who = names(case, players);
    Some(allowance(format!("Allow {} for {who} in {where_}", case.finding.rule), edit))
}

fn everywhere(case: &Case<'_>, players: &[u16]) -> Option<Draft> {
    let lines = case.score().head.lines.iter().enumerate().map(|(at, line)| (at as u32, line));
    let edit = widened(case, lines, players).unwrap_or_else(|| {
        let text = format!("allow {} for {}", case.finding.rule, names(case, players));
        in_head(case.desk, |tree| matches!(tree, LineTree::Allow(_)), &text)
    });
    let who = names(case, players);
    Some(allowance(format!("Allow {} for {who} in this score", case.finding.rule), edit).trusted())
}

fn allowance(title: String, edit: TextEdit) -> Draft {
    Draft { kind: OfferKind::Allow, ..Draft::new(title, vec![edit]).unlikely() }
}

/// An allowance there is that only lacks this rule, or only these players.
fn widened<'l>(
    case: &Case<'_>,
    lines: impl Iterator<Item = (u32, &'l Arc<Line>)>,
    players: &[u16],
) -> Option<TextEdit> {
    let names_of = &case.score().head.names;
    for (at, line) in lines {
        let LineTree::Allow(tree) = &line.tree else { continue };
        if !line.faults.is_empty() || tree.players.is_empty() {
            continue;
        }
        let AllowLine { rules, players: named } = &**tree;
        let mut theirs: Vec<u16> =
            named.iter().filter_map(|s| names_of.players(s.of(&line.text))).flatten().collect();
        theirs.sort_unstable();
        theirs.dedup();
        let insert = |behind: Option<&Span>, text: &str| {
            let end = behind?.end;
            Some(TextEdit { line: at, span: Span::new(end, end), with: format!(" {text}") })
        };
        if theirs == players {
            return insert(rules.last(), case.finding.rule);
        }
        if let [only] = &**rules
            && only.of(&line.text) == case.finding.rule
        {
            let more: Vec<u16> = players.iter().copied().filter(|p| !theirs.contains(p)).collect();
            return insert(named.last(), &names(case, &more));
        }
    }
    None
}

/// The players by name, or as their group if one has exactly them.
fn names(case: &Case<'_>, players: &[u16]) -> String {
    let head = &case.score().head;
    if players.len() > 1 {
        let group = head.lines.iter().find_map(|line| {
            let LineTree::Group(tree) = &line.tree else { return None };
            let name = tree.id?.of(&line.text);
            let Some(Named::Group(all)) = head.names.get(name) else { return None };
            let mut all = all.clone();
            all.sort_unstable();
            (all == players).then(|| name.to_owned())
        });
        if let Some(group) = group {
            return group;
        }
    }
    let ids = players.iter().filter_map(|p| head.players.get(usize::from(*p))).map(|p| p.id.as_str());
    ids.collect::<Vec<_>>().join(" ")
}
