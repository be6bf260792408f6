//! Allowances that silence something in this part.

use crate::notation::tree::LineTree;
use crate::rules::Desk;
use crate::score::head::Allowance;

/// The rules that the head allows and that find something with this player, each once.
pub fn head_rules(desk: &Desk, player: usize) -> Vec<String> {
    let score = desk.score();
    let Some(track) = desk.report().tracks.get(player) else { return Vec::new() };
    let finds = |rule: &str| {
        let hot = track.hot.iter().filter_map(|at| track.blocks.get(*at as usize)?.as_ref());
        hot.flat_map(|checked| &checked.findings).any(|f| f.rule == rule)
    };
    rules(score.head.allows.iter(), player, finds)
}

/// The same for the lines of a block.
pub fn block_rules(desk: &Desk, block: usize, player: usize) -> Vec<String> {
    let score = desk.score();
    let Some(placed) = score.blocks.get(block) else { return Vec::new() };
    let checked = desk.report().tracks.get(player).and_then(|t| t.blocks.get(block)?.as_ref());
    let finds = |rule: &str| checked.is_some_and(|c| c.findings.iter().any(|f| f.rule == rule));
    let read = placed.read.block.allows.iter().filter_map(|at| {
        let line = placed.read.block.text.lines.get(*at as usize)?;
        let LineTree::Allow(tree) = &line.tree else { return None };
        Some(crate::score::head::read_allow(tree, line, *at, &score.head.names, &mut Vec::new()))
    });
    let all: Vec<Allowance> = read.collect();
    rules(all.iter(), player, finds)
}

fn rules<'a>(
    allows: impl Iterator<Item = &'a Allowance>,
    player: usize,
    finds: impl Fn(&str) -> bool,
) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let mine =
        |a: &&Allowance| a.players.as_ref().is_none_or(|p| p.iter().any(|p| usize::from(*p) == player));
    for (rule, _) in allows.filter(mine).flat_map(|a| &a.rules) {
        if finds(rule) && !out.contains(rule) {
            out.push(rule.clone());
        }
    }
    out
}
