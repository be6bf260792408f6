//! `waterkey mend`: mends what was meant beyond doubt, and writes the score.

use super::out::Out;
use super::reading::one_score;
use super::{CLEAN, FAILED, FOUND};
use crate::assist::cure::{Trial, tally};
use crate::assist::{Cures, TextEdit};
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
                    let input = score.as_os_str() == "-";
                    let name = if input { "standard input".to_owned() } else { score.display().to_string() };
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
        let name = path.display();
        let mended = self.mended(&desk)?;
        let Some((edits, text)) = mended else {
            if input && !self.dry_run {
                out.text(&desk.document().text());
            }
            return Ok(CLEAN);
        };
        if self.dry_run {
            for line in difference(&desk, &edits, &text) {
                out.line(&format!("{}{line}", if input { String::new() } else { format!("{name}:") }));
            }
            return Ok(FOUND);
        }
        if input {
            out.text(&text);
            return Ok(CLEAN);
        }
        replace_text(path, &text).map_err(|why| format!("could not be written: {why}"))?;
        let lines = edits.len();
        out.line(&format!("{name}: {lines} {} mended", if lines == 1 { "line" } else { "lines" }));
        Ok(CLEAN)
    }

    /// The edits, one a line, and the text with them; `None` where nothing is to be mended.
    fn mended(&self, desk: &Desk) -> Result<Option<(Vec<TextEdit>, String)>, String> {
        let cures = Cures::of(desk);
        let lines = self.block.map(|bar| lines_of(desk, bar).ok_or_else(|| format!("it has no bar {bar}")));
        let lines = lines.transpose()?;
        let Some(mut offer) = cures.all() else { return Ok(None) };
        if let Some((first, last)) = lines {
            offer.edits.retain(|e| first <= e.line && e.line < last);
        }
        let Some(trial) = Trial::of(desk, &offer.edits).filter(|_| !offer.edits.is_empty()) else {
            return Ok(None);
        };
        // Some of what can be mended in all blocks together may be worse alone.
        if tally(&trial.desk().findings()) >= tally(cures.findings()) {
            return Ok(None);
        }
        Ok(Some((offer.edits, trial.desk().document().text())))
    }
}

/// The lines of the block that has a bar, the last one exclusive.
fn lines_of(desk: &Desk, bar: i64) -> Option<(u32, u32)> {
    let has = |b: &&crate::score::score::Placed| {
        (b.frame.first_bar..b.frame.first_bar + i64::from(b.frame.bars)).contains(&bar)
    };
    let block = desk.score().blocks.iter().find(has)?;
    Some((block.line, block.line + block.read.block.text.lines.len() as u32))
}

/// `12 - old`, `12 + new`; lines are counted from 1.
fn difference(desk: &Desk, edits: &[TextEdit], text: &str) -> Vec<String> {
    let new = crate::notation::Document::new(text);
    let line = |lines: &crate::notation::LineTable, at: u32| {
        lines.get(at as usize).map_or(String::new(), |l| l.text.to_string())
    };
    let mut out = Vec::new();
    for edit in edits {
        out.push(format!("{} - {}", edit.line + 1, line(desk.document().lines(), edit.line)));
        out.push(format!("{} + {}", edit.line + 1, line(new.lines(), edit.line)));
    }
    out
}
