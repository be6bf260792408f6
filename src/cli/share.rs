//! `waterkey share`: shares the chords of some bars out, and writes the score.

use super::changed_lines::changed_lines;
use super::out::Out;
use super::reading::one_score;
use super::written_file::name_of;
use super::{CLEAN, FAILED, FOUND};
use crate::assist::cure::RowHere;
use crate::assist::hand_over::Declined;
use crate::assist::share_out::{Shared, chord_count, on_row};
use crate::exchange::part::find_player;
use crate::host::write::replace_text;
use crate::notation::tree::{Item, RowKind};
use crate::rules::Desk;
use clap::Args;
use std::path::PathBuf;

/// Rows that are shared one after the other.
const MOST_ROWS: usize = 100;

/// Share the chords of some bars out among the players of their row, or those who are free then
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey share harbour.brass --bar 12                  every chord of bar 12\n  \
        waterkey share harbour.brass --bar 12 --player Tb1     only those on a row of Tb1\n  \
        waterkey share harbour.brass --bar 12 --to 15 --dry-run  show what would be changed in bars 12 to 15\n  \
        waterkey share harbour.brass --bar 12 --among Tb2 --among Tb3  only these two may take notes\n\n\
        A chord of more notes than its row has players: they keep one each, and whoever is free takes the others,\n\
        with dynamics, words, articulation and slurs. A chord of fewer notes than players: which of them is\n\
        doubled goes by harmony, the root and the fifth before the third, never the leading note of the key.\n\
        Each note goes where it lies best, near the player's notes before and after; parts cross only where\n\
        that is better. Every other line stays as it is.\n\n\
        Exit status: 0 the chords are shared, or nothing would be better, 1 with --dry-run something would be\n\
        changed, 2 it could not be done.")]
pub struct Share {
    /// The score; - reads it from standard input and writes to standard output
    #[arg(value_name = "PATH")]
    path: PathBuf,

    /// The bar, by its number as written
    #[arg(long, value_name = "N")]
    bar: i64,

    /// The last bar, where there are several; in the same block
    #[arg(long, value_name = "N")]
    to: Option<i64>,

    /// Only chords on a row of this player, by ID or by name
    #[arg(long, value_name = "PLAYER")]
    player: Option<String>,

    /// A player who may take notes beyond those of the row; may be given several times. Without it, anybody
    /// who is free
    #[arg(long, value_name = "PLAYER")]
    among: Vec<String>,

    /// Write nothing; show the lines that would go and come
    #[arg(long)]
    dry_run: bool,
}

impl Share {
    pub fn run(self, out: &mut Out) -> u8 {
        let input = self.path.as_os_str() == "-";
        let name = name_of(&self.path);
        match self.done(out, &name, input) {
            Ok(status) => status,
            Err(why) => {
                out.trouble(&format!("{name}: {why}"));
                FAILED
            }
        }
    }

    fn done(&self, out: &mut Out, name: &str, input: bool) -> Result<u8, String> {
        let desk = one_score(&self.path, out)?;
        let (titles, text) = self.shared(&desk)?;
        let old = desk.document().text();
        if self.dry_run {
            for line in changed_lines(&old, &text) {
                out.line(&format!("{}{line}", if input { String::new() } else { format!("{name}:") }));
            }
            return Ok(if titles.is_empty() { CLEAN } else { FOUND });
        }
        if input {
            out.text(&text);
            return Ok(CLEAN);
        }
        if titles.is_empty() {
            out.line(&format!("{name}: {}", Declined::NoBetter.said()));
            return Ok(CLEAN);
        }
        replace_text(&self.path, &text).map_err(|why| format!("could not be written: {why}"))?;
        for title in titles {
            out.line(&format!("{name}: {title}"));
        }
        Ok(CLEAN)
    }

    /// What was done, and the text with it. Row after row: what one row gives away nobody else can take.
    fn shared(&self, desk: &Desk) -> Result<(Vec<String>, String), String> {
        let find = |id: &String| find_player(desk.score(), id).map_err(|why| why.to_string());
        let player = self.player.as_ref().map(find).transpose()?;
        let among: Vec<usize> = self.among.iter().map(find).collect::<Result<_, _>>()?;
        let named = (!among.is_empty()).then_some(among.as_slice());
        let mut now = desk.clone();
        let mut titles = Vec::new();
        for _ in 0..MOST_ROWS {
            let mut declined = None;
            let mut done: Option<Shared> = None;
            let rows = self.rows(&now, player)?;
            if rows.is_empty() {
                let whose = self.player.as_ref().map_or(String::new(), |p| format!(" on a row of {p}"));
                return Err(format!("no chord stands{whose} in {}", self.bars()));
            }
            for row in rows {
                match on_row(&now, row.at_line(), &|item| self.wants(&row, item), named) {
                    Ok(shared) => done = Some(shared),
                    Err(Declined::NoBetter) => {}
                    Err(why) => declined = declined.or(Some((row.at_line(), why))),
                }
                if done.is_some() {
                    break;
                }
            }
            match (done, declined) {
                (Some(shared), _) => {
                    titles.push(shared.title);
                    now = shared.trial.into_desk();
                }
                // What was shared so far is worth having.
                (None, Some((line, why))) if titles.is_empty() => {
                    return Err(format!("line {} cannot be shared out: {}", line + 1, why.said()));
                }
                (None, _) => break,
            }
            if self.rows(&now, player)?.is_empty() {
                break;
            }
        }
        Ok((titles, now.document().text()))
    }

    fn bars(&self) -> String {
        match self.to.filter(|to| *to != self.bar) {
            Some(to) => format!("bars {} to {to}", self.bar),
            None => format!("bar {}", self.bar),
        }
    }

    /// The rows of the block that have chords in these bars.
    fn rows<'a>(&self, desk: &'a Desk, player: Option<usize>) -> Result<Vec<RowHere<'a>>, String> {
        let last = self.to.unwrap_or(self.bar);
        if last < self.bar {
            return Err(format!("bar {last} comes before bar {}", self.bar));
        }
        let blocks = &desk.score().blocks;
        let holds = |bar: i64| {
            blocks.iter().position(|b| {
                let first = b.frame.first_bar;
                first <= bar && bar < first + i64::from(b.frame.bars)
            })
        };
        let block = holds(self.bar).ok_or_else(|| format!("it has no bar {}", self.bar))?;
        if holds(last) != Some(block) {
            return Err(format!("bars {} to {last} do not stand in one block", self.bar));
        }
        let count = blocks.get(block).map_or(0, |b| b.read.block.rows.len());
        let rows = (0..count).filter_map(|number| RowHere::at(desk.score(), block, number));
        let named = |row: &RowHere<'_>| {
            player.is_none_or(|p| row.row.people.iter().any(|of| usize::from(of.player) == p))
        };
        let has = |row: &RowHere<'_>| chord_count(row, &|item| self.wants(row, item)) > 0;
        Ok(rows.filter(|r| r.row.kind == RowKind::Music && named(r) && has(r)).collect())
    }

    /// True for what stands in one of the bars.
    fn wants(&self, row: &RowHere<'_>, item: &Item) -> bool {
        let Some((source, bar)) = row.bar_at(item.span.start) else { return false };
        let first = row.number_of(row.first_bar(source));
        let last = first + i64::from(row.span_of(bar)) - 1;
        first <= self.to.unwrap_or(self.bar) && self.bar <= last
    }
}
