//! `waterkey mend`: mends what was meant beyond doubt, and writes the score.

use super::changed_lines::changed_lines;
use super::out::Out;
use super::reading::one_score;
use super::written_file::name_of;
use super::{CLEAN, FAILED, FOUND};
use crate::assist::Cures;
use crate::assist::cure::{Trial, tally};
use crate::assist::playable::{NoMoves, bars, playable};
use crate::host::find_scores;
use crate::host::write::replace_text;
use crate::rules::Desk;
use clap::Args;
use std::path::{Path, PathBuf};

/// Mend every plain slip of a score: nothing that is heard becomes another thing
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey mend harbour.brass               mend one score\n  \
        waterkey mend --dry-run scores            show what would be changed in every score of a folder\n  \
        waterkey mend --block 12 harbour.brass    only in the block that has bar 12\n  \
        waterkey mend --playable --dry-run harbour.brass\n  \
        \x20                                         what would make every block playable\n  \
        waterkey mend - < x.brass                 read standard input, write standard output\n\n\
        Only what was meant beyond doubt is mended: capitals, quotes, missing colons and brackets, blocks that\n\
        are misnumbered, spellings that sound the same. What needs a choice is offered in an editor, and\n\
        `waterkey who` ranks the players who could take something over.\n\n\
        Exit status: 0 all is mended that can be, 1 with --dry-run something would be changed, 2 something could\n\
        not be done.")]
pub struct Mend {
    /// Scores, or folders to search for scores; - reads one score from standard input
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,

    /// Only the block that has the bar of this number
    #[arg(long, value_name = "N")]
    block: Option<i64>,

    /// Also move notes by octaves or to other players, and write breaths, spellings and fingerings, where that
    /// clears what cannot be played and nothing as grave comes of it
    #[arg(long)]
    playable: bool,

    /// Write nothing; show the lines that would go and come
    #[arg(long)]
    dry_run: bool,
}

impl Mend {
    pub fn run(self, out: &mut Out) -> u8 {
        let (input, places): (Vec<_>, Vec<_>) =
            self.paths.iter().cloned().partition(|p| p.as_os_str() == "-");
        let (scores, missing) = find_scores(&places);
        for place in &missing {
            out.trouble(&place.to_string());
        }
        let mut status = if missing.is_empty() { CLEAN } else { FAILED };
        for score in scores.iter().chain(&input) {
            status = status.max(match self.score(score, out) {
                Ok(status) => status,
                Err(why) => {
                    let name = name_of(score);
                    out.trouble(&format!("{name}: {why}"));
                    FAILED
                }
            });
        }
        status
    }

    fn score(&self, path: &Path, out: &mut Out) -> Result<u8, String> {
        let input = path.as_os_str() == "-";
        let desk = one_score(path, out)?;
        let name = if input { String::new() } else { format!("{}:", path.display()) };
        let block = self.block.map(|bar| block_of(&desk, bar).ok_or_else(|| format!("it has no bar {bar}")));
        let block = block.transpose()?;
        let mut mended = mended(&desk, block);
        let mut told = Vec::new();
        if self.playable {
            let blocks = block.map_or(0..desk.score().blocks.len(), |block| block..block + 1);
            for block in blocks {
                let now = mended.as_ref().unwrap_or(&desk);
                if let Some(moved) = moved(now, block, &mut told) {
                    mended = Some(moved);
                }
            }
        }
        let old = desk.document().text();
        let new = mended.as_ref().map(|desk| desk.document().text());
        if self.dry_run {
            let changed = new.map(|new| changed_lines(&old, &new)).unwrap_or_default();
            for line in told.iter().chain(&changed) {
                out.line(&format!("{name}{line}"));
            }
            return Ok(if changed.is_empty() { CLEAN } else { FOUND });
        }
        if input {
            out.text(&new.unwrap_or(old));
            return Ok(CLEAN);
        }
        for line in &told {
            out.line(&format!("{name}{line}"));
        }
        if let Some(new) = new {
            replace_text(path, &new).map_err(|why| format!("could not be written: {why}"))?;
            let lines = changed_lines(&old, &new).iter().filter(|line| is_new(line)).count();
            out.line(&format!("{name} {lines} {} mended", if lines == 1 { "line" } else { "lines" }));
        }
        Ok(CLEAN)
    }
}

fn is_new(line: &str) -> bool {
    line.split_once(' ').is_some_and(|(_, rest)| rest.starts_with('+'))
}

/// The score without its plain slips, everywhere or in one block; `None` where nothing is to be mended.
fn mended(desk: &Desk, block: Option<usize>) -> Option<Desk> {
    let cures = Cures::of(desk);
    let mut offer = cures.all()?;
    if let Some((first, last)) = block.and_then(|block| lines_of(desk, block)) {
        offer.edits.retain(|e| first <= e.line && e.line < last);
    }
    let trial = Trial::of(desk, &offer.edits).filter(|_| !offer.edits.is_empty())?;
    // Some of what can be mended in all blocks together may be worse alone.
    (tally(&trial.desk().findings()) < tally(cures.findings())).then(|| trial.into_desk())
}

/// The score with one block made playable, as far as it goes, and what there is to say of it.
fn moved(desk: &Desk, block: usize, told: &mut Vec<String>) -> Option<Desk> {
    let bars = bars(desk, &(block..block + 1));
    let count = |n: usize| format!("{n} {}", if n == 1 { "finding" } else { "findings" });
    match playable(desk, block..block + 1, &mut |_| true) {
        Err(NoMoves::Fine) => None,
        Err(why) => {
            told.push(format!(" {bars}: {why}"));
            None
        }
        Ok(found) => {
            let moves = if found.steps.len() == 1 {
                "1 move".to_owned()
            } else {
                format!("{} moves", found.steps.len())
            };
            let sure = if found.exact { "" } else { "; there may be a better way" };
            let left = found.left.len();
            told.push(format!(" {bars}: {}, {moves}, {left} left{sure}", count(found.before)));
            told.extend(found.steps.iter().map(|step| format!("   {step}")));
            for finding in &found.left {
                let bar = finding.bar.map_or(String::new(), |bar| format!("bar {bar}, "));
                told.push(format!("   left: {bar}{}", finding.rule));
            }
            Some(Trial::of(desk, &found.edits)?.into_desk())
        }
    }
}

/// The block that has a bar, by index.
fn block_of(desk: &Desk, bar: i64) -> Option<usize> {
    let has = |b: &crate::score::score::Placed| {
        (b.frame.first_bar..b.frame.first_bar + i64::from(b.frame.bars)).contains(&bar)
    };
    desk.score().blocks.iter().position(has)
}

/// The lines of a block, the last one exclusive.
fn lines_of(desk: &Desk, block: usize) -> Option<(u32, u32)> {
    let block = desk.score().blocks.get(block)?;
    Some((block.line, block.line + block.read.block.text.lines.len() as u32))
}
