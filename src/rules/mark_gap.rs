//! # mark-gap
//!
//! Too many bars between two rehearsal marks.
//!
//! **Why.** A rehearsal begins again at a mark. Where the next one is far, everybody counts, and everybody
//! arrives somewhere else.
//!
//! **Numbers.** Information where more than 40 bars (`bars`), as written, lie between two marks, before the first or
//! after the last. A score without any mark is not told: it has not come so far, or is for one player.
//!
//! **Source.** That marks stand at the joints of a piece and go with bar numbers: orchestral librarians'
//! guidelines, older edition. The number is an estimate.
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96  mark A
//! Tp1 Tp2 | rest 24 |
//! bar 25
//! Tp1 Tp2 | rest 24 |
//! bar 49  mark B
//! Tp1 Tp2 | w : C5 |
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb
//! player Tp2 = trumpet in Bb
//! bar 1  meter 4/4  tempo q = 96  mark A
//! Tp1 Tp2 | rest 24 |
//! bar 25  mark B
//! Tp1 Tp2 | rest 24 |
//! bar 49  mark C
//! Tp1 Tp2 | w : C5 |
//! ```
//!
//! **Fixes.** A mark where the music has a joint.

use super::finding::{Cure, Severity};
use super::rule::{Check, Limit, LocalFinding, Rule};
use super::settings::Settings;
use crate::notation::Span;
use crate::notation::tree::SettingKind;
use crate::score::score::{Placed, Score};

/// The rule.
pub const RULE: Rule = Rule {
    name: "mark-gap",
    severity: Severity::Information,
    source: include_str!("mark_gap.rs"),
    limits: &[Limit { key: "bars", default: 40.0, unit: "bars", source: "estimate" }],
    check: Check::Score(check),
};

/// From a mark to the next.
#[derive(Default)]
struct Stretch {
    bars: u64,
    /// Blocks that begin in it, with the bars before them.
    begin: Vec<(u32, u64)>,
}

fn check(score: &Score, settings: &Settings, out: &mut Vec<(u32, LocalFinding)>) {
    let marked = |placed: &Placed| {
        !placed.read.block.sections.is_empty()
            && placed.read.block.text.header().is_some_and(|header| {
                header.settings.iter().any(|setting| matches!(setting.what, SettingKind::Mark(_)))
            })
    };
    if score.head.players.len() < 2 || !score.blocks.iter().any(marked) {
        return;
    }
    let limit = RULE.limit(settings, "bars");
    let mut stretch = Stretch::default();
    for (at, placed) in (0u32..).zip(&score.blocks) {
        stretch.bars += u64::from(placed.frame.gap);
        if marked(placed) {
            out.extend(finding(score, &std::mem::take(&mut stretch), limit));
        }
        stretch.begin.push((at, stretch.bars));
        stretch.bars += u64::from(placed.frame.bars);
    }
    out.extend(finding(score, &stretch, limit));
}

fn finding(score: &Score, stretch: &Stretch, limit: f64) -> Option<(u32, LocalFinding)> {
    if stretch.bars as f64 <= limit {
        return None;
    }
    // Where a mark would part it best: the block that begins nearest to the middle.
    let middle = stretch.bars / 2;
    let inside = stretch.begin.iter().filter(|(_, before)| *before > 0);
    let best = inside.min_by_key(|(_, before)| before.abs_diff(middle));
    let (block, _) = best.or(stretch.begin.first())?;
    let placed = score.blocks.get(*block as usize)?;
    let header = placed.read.block.text.header()?;
    let word = placed.read.block.header_word();
    let span = header.number.map_or(word, |(number, _)| word.to(number));
    let bar = placed.frame.first_bar;
    // A mark parts the sections of a road map, and what is played would be something else.
    let cure = best.filter(|_| score.head.roadmap.is_none()).map(|_| Cure::Replace {
        title: format!("Write a mark at bar {bar}"),
        edits: vec![(Span::new(span.end, span.end), format!("  mark \"{bar}\""))],
    });
    let finding = LocalFinding {
        rule: RULE.name,
        severity: Severity::Information,
        grade: 1,
        line: 0,
        span,
        bar: 0,
        message: format!(
            "{} bars go by without a rehearsal mark; after {limit} bars a rehearsal wants one (an estimate). Write one where the music has a joint{}.",
            stretch.bars,
            best.map_or(String::new(), |_| format!(", for example at bar {bar}"))
        ),
        measured: Some(format!("{} bars", stretch.bars)),
        limit: Some(format!("{limit} bars")),
        related: Vec::new(),
        cures: cure.into_iter().collect(),
    };
    Some((*block, finding))
}
