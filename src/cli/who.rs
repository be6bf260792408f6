//! `waterkey who`: who could play some bars instead, and what it would cost them.

mod json;

use super::out::Out;
use super::reading::one_score;
use super::written_file::name_of;
use super::{CLEAN, FAILED};
use crate::assist::hand_over::{give, rest, swap};
use crate::exchange::part::find_player;
use crate::rules::Desk;
use crate::section::{Candidate, Open, Standing, Stretch, rank};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// Rank the other players who could take over somebody's bars, with the reasons
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey who harbour.brass --bar 12 --player Tp1              who could play bar 12 of Tp1\n  \
        waterkey who harbour.brass --bar 12 --to 15 --player Tp1      bars 12 to 15\n  \
        waterkey who harbour.brass --bar 12 --player Tp1 --format json  for programs\n\n\
        Notes, slurs and glissandos that go on over a barline are taken whole. Points are estimates that put\n\
        players in order: range and register, time to breathe and to handle mutes before and after, the\n\
        instrument's sound, the way of slide or fingers, parts that would cross. Whoever has the notes already\n\
        comes first; whoever plays something else could change lines. In an editor the best three stand among\n\
        the actions of a finding or a selection.")]
pub struct Who {
    /// The score; - reads it from standard input
    #[arg(value_name = "PATH")]
    path: PathBuf,

    /// The bar, by its number as written
    #[arg(long, value_name = "N")]
    bar: i64,

    /// The last bar, where there are several; in the same block
    #[arg(long, value_name = "N")]
    to: Option<i64>,

    /// Who has the notes now, by ID or by name
    #[arg(long, value_name = "PLAYER")]
    player: String,

    /// A list for people, or json for programs
    #[arg(long, value_enum, default_value_t = Format::List)]
    format: Format,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    List,
    Json,
}

/// A candidate and what the change would meet.
struct Told {
    candidate: Candidate,
    /// Why the text cannot be changed so.
    declined: Option<&'static str>,
}

impl Who {
    pub fn run(self, out: &mut Out) -> u8 {
        match self.answer(out) {
            Ok(()) => CLEAN,
            Err(why) => {
                out.trouble(&why);
                FAILED
            }
        }
    }

    fn answer(&self, out: &mut Out) -> Result<(), String> {
        let name = name_of(&self.path);
        let desk = one_score(&self.path, out).map_err(|why| format!("{name}: {why}"))?;
        let player = find_player(desk.score(), &self.player).map_err(|why| format!("{name}: {why}"))?;
        let stretch = self.stretch(&desk, player).map_err(|why| format!("{name}: {why}"))?;
        let all: Vec<Told> = rank(&desk, &stretch).into_iter().map(|c| told(&desk, &stretch, c)).collect();
        match self.format {
            Format::List => list(out, &desk, &stretch, &all),
            Format::Json => {
                let text = json::text(&desk, &stretch, &all);
                out.line(&text.map_err(|why| format!("the answer could not be written: {why}"))?);
            }
        }
        Ok(())
    }

    fn stretch(&self, desk: &Desk, player: usize) -> Result<Stretch, String> {
        let last = self.to.unwrap_or(self.bar);
        if last < self.bar {
            return Err(format!("bar {last} comes before bar {}", self.bar));
        }
        let holds = |bar: i64| {
            desk.score().blocks.iter().position(|b| {
                let first = b.frame.first_bar;
                first <= bar && bar < first + i64::from(b.frame.bars)
            })
        };
        let block = holds(self.bar).ok_or_else(|| format!("it has no bar {}", self.bar))?;
        if holds(last) != Some(block) {
            return Err(format!("bars {} to {last} do not stand in one block", self.bar));
        }
        let first = desk.score().blocks.get(block).map_or(0, |b| b.frame.first_bar);
        let within = |bar: i64| u32::try_from(bar - first).unwrap_or(0);
        let id = desk.score().head.players.get(player).map_or("", |p| p.id.as_str());
        let bars = Stretch::bars(desk, player, block, within(self.bar), within(last));
        bars.ok_or_else(|| format!("it has no bar {last}"))?.closed(desk).map_err(|open| match open {
            Open::Empty => format!("{id} plays nothing there"),
            Open::HeldInto => format!("a note of {id} is held into these bars from the block before"),
            Open::HeldOn => format!("a note of {id} goes on from these bars into the next block"),
        })
    }
}

fn told(desk: &Desk, stretch: &Stretch, candidate: Candidate) -> Told {
    let tried = match candidate.standing {
        Standing::Free => give(desk, stretch, candidate.player),
        Standing::Doubles => rest(desk, stretch),
        Standing::Busy => match stretch.closed_for_both(desk, candidate.player) {
            Some(both) => swap(desk, &both, candidate.player),
            None => {
                return Told { candidate, declined: Some("its own notes go on over the edge of the block") };
            }
        },
    };
    Told { candidate, declined: tried.err().map(|why| why.said()) }
}

fn list(out: &mut Out, desk: &Desk, stretch: &Stretch, all: &[Told]) {
    let id = |at: usize| desk.score().head.players.get(at).map_or("", |p| p.id.as_str());
    let wide = all.iter().map(|t| id(t.candidate.player).chars().count()).max().unwrap_or(0);
    out.line(&format!("{} of {}:", crate::assist::cure::bars(desk, stretch), id(stretch.player)));
    if all.is_empty() {
        out.line("There is nobody else.");
    }
    for (place, told) in all.iter().enumerate() {
        let Candidate { player, standing, cost, .. } = &told.candidate;
        let points = match (cost.is_possible(), standing) {
            (_, Standing::Doubles) => "   =".to_owned(),
            (true, _) => format!("{:>4}", cost.points()),
            (false, _) => "   -".to_owned(),
        };
        let declined = told.declined.map_or(String::new(), |why| format!("; not as the text stands: {why}"));
        let said = cost.told(usize::MAX);
        out.line(&format!("{:>3}. {:wide$} {points}  {said}{declined}", place + 1, id(*player)));
    }
}
