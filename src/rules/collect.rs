//! Findings made whole: line numbers, bar numbers, severities, allowances.

use super::finding::{Cure, Finding, Related, Severity};
use super::passage;
use super::registry::{RULES, is_reading_fault, names, rule};
use super::report::Report;
use super::rule::{Check, LocalFinding};
use super::settings::Settings;
use crate::notation::fault::Weight;
use crate::notation::line::Line;
use crate::notation::nearest::nearest;
use crate::notation::tree::{LineTree, RowKind};
use crate::notation::{Fault, FaultName, Span};
use crate::score::block::chord_span;
use crate::score::head::Allowance;
use crate::score::row::bar_span;
use crate::score::score::{Placed, Score};
use std::collections::HashMap;
use std::sync::Arc;

/// Related notes shown before "and n more".
const MOST_RELATED: usize = 6;

/// Everything found, in the order of the text.
pub fn findings(report: &Report, score: &Score, settings: &Settings) -> Vec<Finding> {
    found(report, score, settings, None)
}

/// The same, each player's own: what several find in one place is told for each of them.
pub fn apart(report: &Report, score: &Score, settings: &Settings) -> Vec<Finding> {
    gathered(report, score, settings, None)
}

/// What is found in some blocks, in the order of the text, and what stands in no block. Whether an allowance
/// of the head silences anything is not known from them, and not told.
pub fn of_blocks(report: &Report, score: &Score, settings: &Settings, blocks: &[usize]) -> Vec<Finding> {
    let mut wanted = vec![false; score.blocks.len()];
    for block in blocks {
        if let Some(wanted) = wanted.get_mut(*block) {
            *wanted = true;
        }
    }
    found(report, score, settings, Some(&wanted))
}

fn found(report: &Report, score: &Score, settings: &Settings, blocks: Option<&[bool]>) -> Vec<Finding> {
    join_players(gathered(report, score, settings, blocks))
}

fn gathered(report: &Report, score: &Score, settings: &Settings, blocks: Option<&[bool]>) -> Vec<Finding> {
    let wanted = |block: usize| blocks.is_none_or(|all| all.get(block) == Some(&true));
    let mut collector = Collector { settings, out: Vec::new(), allows: allowances(score) };
    collector.bad_allowances();
    for (line, fault) in score.head.faults.iter().chain(&score.order_faults) {
        collector.fault(*line, fault, None, None);
    }
    let mut bars = Bars::default();
    for (_, placed) in score.blocks.iter().enumerate().filter(|(i, _)| wanted(*i)) {
        let bar = Some(placed.frame.first_bar);
        for fault in &placed.faults {
            collector.fault(placed.line, fault, None, bar);
        }
        for (line, fault) in &placed.read.faults {
            let bar = bars.of(score, placed, *line, fault.span);
            collector.fault(placed.line + line, fault, only_player(placed, *line, score), bar);
        }
    }
    for (index, track) in report.tracks.iter().enumerate() {
        let player = score.head.players.get(index).map(|p| p.id.as_str());
        for at in track.hot.iter().filter(|at| wanted(**at as usize)) {
            let Some(placed) = score.blocks.get(*at as usize) else { continue };
            let Some(Some(checked)) = track.blocks.get(*at as usize) else { continue };
            for (line, fault) in &checked.faults {
                let bar = bars.of(score, placed, *line, fault.span);
                collector.fault(placed.line + line, fault, player, bar);
            }
            for finding in &checked.findings {
                collector.finding(placed, *at, finding, &[index as u16], player);
            }
        }
    }
    let name = |player: u16| score.head.players.get(usize::from(player)).map(|p| p.id.as_str());
    for (at, found) in report.blocks.hot.iter().filter(|(at, _)| wanted(*at as usize)) {
        let Some(placed) = score.blocks.get(*at as usize) else { continue };
        for shared in &**found {
            let first = shared.players.first().and_then(|p| name(*p));
            collector.finding(placed, *at, &shared.finding, &shared.players, first);
        }
    }
    for (at, finding) in of_score(score, settings).iter().filter(|(at, _)| wanted(*at as usize)) {
        if let Some(placed) = score.blocks.get(*at as usize) {
            collector.finding(placed, *at, finding, &[], None);
        }
    }
    let lines = report.lines.iter().zip(0u16..).flat_map(|(line, player)| {
        passage::tell(line, score, &wanted).into_iter().map(move |told| (told, vec![player]))
    });
    let together = passage::tell_shared(&report.visits, score, &wanted).into_iter().map(|mut told| {
        let players = std::mem::take(&mut told.players);
        (told, players)
    });
    for (told, players) in lines.chain(together) {
        let Some(placed) = score.blocks.get(told.block as usize) else { continue };
        let first = players.first().and_then(|p| name(*p));
        if let Some(finding) = collector.finding(placed, told.block, &told.finding, &players, first) {
            finding.related =
                told.related.into_iter().map(|(line, span, text)| Related { line, span, text }).collect();
        }
    }
    collector.idle_allowances(|block| match block {
        Some(block) => wanted(block as usize),
        None => blocks.is_none(),
    });
    let mut out = collector.out;
    out.sort_by(|a, b| {
        (a.line, a.span, std::cmp::Reverse(a.severity), std::cmp::Reverse(a.grade), a.rule).cmp(&(
            b.line,
            b.span,
            std::cmp::Reverse(b.severity),
            std::cmp::Reverse(b.grade),
            b.rule,
        ))
    });
    out
}

/// What is found in the score as it is written, whoever plays, with the block.
pub fn of_score(score: &Score, settings: &Settings) -> Vec<(u32, LocalFinding)> {
    let mut out = Vec::new();
    for rule in RULES {
        if let Check::Score(check) = rule.check {
            check(score, settings, &mut out);
        }
    }
    out
}

/// The player of a row that is for one player.
fn only_player<'s>(placed: &Placed, line: u32, score: &'s Score) -> Option<&'s str> {
    let rows = &placed.read.block.rows;
    let row = rows.binary_search_by_key(&line, |r| r.line).ok().and_then(|i| rows.get(i))?;
    let first = row.people.first()?.player;
    let alone = row.people.iter().all(|p| p.player == first);
    alone.then(|| score.head.players.get(usize::from(first)).map(|p| p.id.as_str()))?
}

/// Bar numbers of stretches of rows; the row looked at last is kept, since faults come row by row.
#[derive(Default)]
struct Bars<'s> {
    line: Option<&'s Arc<Line>>,
    /// Bars of the block before each bar of the row.
    before: Vec<u32>,
}

impl<'s> Bars<'s> {
    /// The number of the bar in which a stretch of a row lies.
    fn of(&mut self, score: &Score, placed: &'s Placed, line: u32, span: Span) -> Option<i64> {
        let text = placed.read.block.text.lines.get(line as usize)?;
        let LineTree::Row(row) = &text.tree else { return Some(placed.frame.first_bar) };
        if self.line.is_none_or(|last| !Arc::ptr_eq(last, text)) {
            self.line = Some(text);
            self.before.clear();
            let mut bars: u32 = 0;
            for bar in &row.bars {
                self.before.push(bars);
                bars = bars.saturating_add(match row.kind {
                    RowKind::Chords => chord_span(bar, row),
                    _ => bar_span(bar, row, &text.text, &score.head.phrases),
                });
            }
        }
        let source = row.bars.partition_point(|b| b.span.start <= span.start).checked_sub(1)?;
        let bar = self.before.get(source).copied().unwrap_or(source as u32);
        Some(placed.frame.first_bar + i64::from(bar))
    }
}

/// The same finding in one place for several players of a row is one finding.
fn join_players(all: Vec<Finding>) -> Vec<Finding> {
    let mut out: Vec<Finding> = Vec::with_capacity(all.len());
    let mut also: Vec<String> = Vec::new();
    for finding in all {
        match out.last_mut() {
            Some(last) if same_thing(last, &finding) => also.extend(finding.player),
            _ => {
                tell_also(out.last_mut(), &mut also);
                out.push(finding);
            }
        }
    }
    tell_also(out.last_mut(), &mut also);
    out
}

/// True for what is one finding though it was found twice. Several faults of one included text stand in
/// one place and are not the same.
fn same_thing(a: &Finding, b: &Finding) -> bool {
    let several = a.player.is_some() && b.player.is_some();
    (a.rule, a.line, a.span) == (b.rule, b.line, b.span) && (several || a.message == b.message)
}

fn tell_also(finding: Option<&mut Finding>, also: &mut Vec<String>) {
    if let Some(finding) = finding
        && !also.is_empty()
        && rule(finding.rule).is_some()
    {
        also.retain(|p| Some(p) != finding.player.as_ref());
        also.dedup();
        if !also.is_empty() {
            finding.message.push_str(&format!(" Also affected: {}.", also.join(", ")));
        }
    }
    also.clear();
}

/// An allowance with the block it stands in and whether it has silenced anything.
struct Allow {
    line: u32,
    /// `None`: in the head, for the whole score.
    block: Option<u32>,
    allowance: Allowance,
    /// By rule of the allowance.
    used: Vec<bool>,
}

fn allowances(score: &Score) -> (Vec<Allow>, Vec<(u32, Fault)>) {
    let mut faults = Vec::new();
    let mut all: Vec<Allow> = score
        .head
        .allows
        .iter()
        .map(|a| Allow { line: a.line, block: None, used: vec![false; a.rules.len()], allowance: a.clone() })
        .collect();
    for (i, placed) in score.blocks.iter().enumerate() {
        for at in &placed.read.block.allows {
            let Some(line) = placed.read.block.text.lines.get(*at as usize) else { continue };
            let LineTree::Allow(tree) = &line.tree else { continue };
            let mut found = Vec::new();
            let allowance = crate::score::head::read_allow(tree, line, *at, &score.head.names, &mut found);
            faults.extend(found.into_iter().map(|f| (placed.line + at, f)));
            all.push(Allow {
                line: placed.line + at,
                block: Some(i as u32),
                used: vec![false; allowance.rules.len()],
                allowance,
            });
        }
    }
    (all, faults)
}

struct Collector<'a> {
    settings: &'a Settings,
    out: Vec<Finding>,
    allows: (Vec<Allow>, Vec<(u32, Fault)>),
}

impl Collector<'_> {
    fn fault(&mut self, line: u32, fault: &Fault, player: Option<&str>, bar: Option<i64>) {
        let severity = match fault.weight {
            Weight::Hint => Severity::Hint,
            Weight::Information => Severity::Information,
            Weight::Error => Severity::Error,
        };
        let cures = fault
            .fix
            .iter()
            .map(|fix| Cure::Replace { title: fix.title.clone(), edits: fix.edits.clone() })
            .collect();
        self.out.push(Finding {
            rule: fault.name.word(),
            severity,
            grade: 1,
            line,
            span: fault.span,
            message: fault.text.clone(),
            measured: None,
            limit: None,
            player: player.map(str::to_owned),
            bar,
            related: Vec::new(),
            cures,
        });
    }

    /// Adds a finding unless it is allowed or switched off.
    fn finding(
        &mut self,
        placed: &Placed,
        block: u32,
        local: &LocalFinding,
        players: &[u16],
        id: Option<&str>,
    ) -> Option<&mut Finding> {
        let mut allowed = false;
        for allow in &mut self.allows.0 {
            let here = allow.block.is_none_or(|b| b == block)
                && allow.allowance.players.as_ref().is_none_or(|p| players.iter().any(|one| p.contains(one)));
            if !here {
                continue;
            }
            for ((name, _), used) in allow.allowance.rules.iter().zip(&mut allow.used) {
                if name == local.rule {
                    *used = true;
                    allowed = true;
                }
            }
        }
        if allowed {
            return None;
        }
        let severity = match self.settings.severities.get(local.rule) {
            Some(None) => return None,
            Some(Some(severity)) => *severity,
            None => local.severity,
        };
        let mut related: Vec<Related> = local
            .related
            .iter()
            .take(MOST_RELATED)
            .map(|(line, span, text)| Related { line: placed.line + line, span: *span, text: text.clone() })
            .collect();
        let more = local.related.len().saturating_sub(MOST_RELATED);
        if more > 0
            && let Some(last) = related.last_mut()
        {
            last.text.push_str(&format!(", and {more} more"));
        }
        self.out.push(Finding {
            rule: local.rule,
            severity,
            grade: if severity == Severity::Warning { local.grade } else { 1 },
            line: placed.line + local.line,
            span: local.span,
            message: local.message.clone(),
            measured: local.measured.clone(),
            limit: local.limit.clone(),
            player: id.map(str::to_owned),
            bar: Some(placed.frame.first_bar + i64::from(local.bar)),
            related,
            cures: local.cures.clone(),
        });
        self.out.last_mut()
    }

    /// Names in `allow` lines that are no rules, and players there are not.
    fn bad_allowances(&mut self) {
        let mut faults = std::mem::take(&mut self.allows.1);
        for allow in &mut self.allows.0 {
            for ((name, span), used) in allow.allowance.rules.iter().zip(&mut allow.used) {
                if rule(name).is_some() {
                    continue;
                }
                *used = true;
                let near = if is_reading_fault(name) { None } else { nearest(name, names()) };
                let near = near.filter(|n| rule(n).is_some());
                let text = match near {
                    _ if is_reading_fault(name) => {
                        format!(
                            "`{name}` is a fault of reading and cannot be allowed: mend the text instead."
                        )
                    }
                    Some(near) => format!("No rule is called `{name}`. Did you mean `{near}`?"),
                    None => format!("No rule is called `{name}`; `waterkey explain` lists them."),
                };
                let fault = Fault::new(FaultName::UnknownName, *span, text);
                let fault = match near {
                    Some(near) => fault.fixed_by(format!("Allow `{near}`"), *span, near),
                    None => fault,
                };
                faults.push(match &allow.allowance.brought {
                    Some(line) => line.place(fault),
                    None => (allow.line, fault),
                });
            }
        }
        for (line, fault) in &faults {
            self.fault(*line, fault, None, None);
        }
    }

    /// `known` says of a block, or of the head, whether all that it could silence has been looked at.
    fn idle_allowances(&mut self, known: impl Fn(Option<u32>) -> bool) {
        let mut idle: HashMap<u32, Vec<(String, Span)>> = HashMap::new();
        for allow in self.allows.0.iter().filter(|a| a.allowance.brought.is_none() && known(a.block)) {
            for ((name, span), used) in allow.allowance.rules.iter().zip(&allow.used) {
                if !used {
                    idle.entry(allow.line).or_default().push((name.clone(), *span));
                }
            }
        }
        for (line, rules) in idle {
            for (name, span) in rules {
                let text = format!("This allowance silences nothing: there is no `{name}` to be found here.");
                let fault = Fault::new(FaultName::IdleAllowance, span, text).weighing(Weight::Hint);
                self.fault(line, &fault, None, None);
            }
        }
    }
}
