//! `waterkey part`: what one player of a score reads, as a score of its own.

use super::FAILED;
use super::out::Out;
use super::reading::one_score;
use super::written_file::{name_of, stem_of, tell_faults, write_file};
use crate::exchange::part::{find_player, part, part_timed};
use crate::score::clock::Clock;
use clap::Args;
use std::path::PathBuf;

/// Write out what one player reads: their bars only, in written pitch, rests gathered
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey part harbour.brass Tp1               the first trumpet's part, on standard output\n  \
        waterkey part harbour.brass \"Solo Cornet\"     a player by the name on their line\n  \
        waterkey part harbour.brass Hn2 -o hn2.brass  into a file\n  \
        waterkey part harbour.brass --all parts       every player's part into a folder\n  \
        waterkey part - Tp1 < x.brass                 read the score from standard input\n\n\
        The part is a complete score for one: the piece, the player's line, every mark, meter, key, tempo,\n\
        repeat and ending, and the notes as this player reads them on the instrument in hand. Fermatas and\n\
        breaks of others are in it, since everybody waits. Keys and chord symbols stay concert pitch, as in\n\
        every score.\n\n\
        Exit status: 0 the part is written, 1 it is written but the score has faults of reading, so that\n\
        something may be missing, 2 it could not be written.")]
pub struct Part {
    /// The score; - reads it from standard input
    #[arg(value_name = "PATH")]
    path: PathBuf,

    /// The player, by ID or by name
    #[arg(value_name = "PLAYER", required_unless_present = "all")]
    player: Option<String>,

    /// Write the part into this file, in the place of what it holds
    #[arg(short, long, value_name = "FILE", conflicts_with = "all")]
    output: Option<PathBuf>,

    /// Write every player's part into this folder, as SCORE-PLAYER.brass
    #[arg(long, value_name = "FOLDER", conflicts_with = "player")]
    all: Option<PathBuf>,
}

impl Part {
    pub fn run(self, out: &mut Out) -> u8 {
        match self.write(out) {
            Ok(status) => status,
            Err(why) => {
                out.trouble(&why);
                FAILED
            }
        }
    }

    fn write(&self, out: &mut Out) -> Result<u8, String> {
        let name = name_of(&self.path);
        let desk = one_score(&self.path, out).map_err(|why| format!("{name}: {why}"))?;
        let players = &desk.score().head.players;
        if let Some(folder) = &self.all {
            if players.is_empty() {
                return Err(format!("{name}: the score has no players"));
            }
            std::fs::create_dir_all(folder)
                .map_err(|why| format!("{}: could not be made: {why}", folder.display()))?;
            let clock = Clock::of(desk.score());
            for (index, player) in players.iter().enumerate() {
                let file = folder.join(format!("{}-{}.brass", stem_of(&self.path), player.id));
                write_file(&file, part_timed(&desk, &clock, index).as_bytes(), &self.path, out)?;
            }
            return Ok(tell_faults(&desk, None, &self.path, out));
        }
        let asked = self.player.as_deref().unwrap_or_default();
        let index = find_player(desk.score(), asked).map_err(|why| format!("{name}: {why}"))?;
        let text = part(&desk, index);
        match &self.output {
            Some(file) => write_file(file, text.as_bytes(), &self.path, out)?,
            None => out.text(&text),
        }
        Ok(tell_faults(&desk, players.get(index).map(|p| p.id.as_str()), &self.path, out))
    }
}
