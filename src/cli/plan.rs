//! `waterkey plan`: what the slide or the fingers of one player do, note by note.

mod json;
mod table;

use super::out::Out;
use super::reading::one_score;
use super::written_file::name_of;
use super::{CLEAN, FAILED};
use crate::exchange::part::find_player;
use crate::music::Pitch;
use crate::rules::line_plan::{PlannedNote, of_line};
use crate::rules::{Desk, line_plan};
use crate::score::event::Event;
use clap::{Args, ValueEnum};
use std::collections::HashMap;
use std::path::PathBuf;

/// Show how one player's notes are played: positions or fingerings, and the way from each to the next
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey plan harbour.brass Tb1                  the first trombone's slide, bar by bar\n  \
        waterkey plan harbour.brass \"Solo Cornet\"        a player by the name on their line\n  \
        waterkey plan harbour.brass Tb1 --bars 12-20     some bars only\n  \
        waterkey plan harbour.brass Tp1 --format json    for programs\n  \
        waterkey plan - Tb1 < x.brass                    read the score from standard input\n\n\
        Of all positions, attachments and fingerings that hold each note the plan takes those that are late\n\
        least often, and then move least; a choice written with @ binds it. Notes are told as the player\n\
        reads them, in the order of playing. A shift tells the centimetres that the hand moves, out or in,\n\
        the seconds this takes a player of the level (an estimate) and the seconds there are; LATE stands\n\
        where these are too few. With valves it tells how many fingers move: the third alone counts 1.5,\n\
        fingers that change places double. A slur is natural where the lips, a valve or the slide moving\n\
        against the pitch make it, so that no tongue is needed. Graces are left out, and so is music\n\
        without a tempo.")]
pub struct Plan {
    /// The score; - reads it from standard input
    #[arg(value_name = "PATH")]
    path: PathBuf,

    /// The player, by ID or by name
    #[arg(value_name = "PLAYER")]
    player: String,

    /// Only these bars, by their numbers as written: 12 or 12-20
    #[arg(long, value_name = "BARS", value_parser = bars)]
    bars: Option<(i64, i64)>,

    /// A table for people, or json for programs
    #[arg(long, value_enum, default_value_t = Format::Table)]
    format: Format,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    Table,
    Json,
}

/// A note of the plan with what is said of it.
pub(super) struct Told {
    planned: PlannedNote,
    bar: i64,
    /// For the instrument in hand.
    written: Pitch,
    sounding: Pitch,
}

impl Plan {
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
        let told = self.told(&desk, player);
        match self.format {
            Format::Table => table::write(out, &desk, player, &told),
            Format::Json => {
                let text = json::text(&desk, player, &told);
                out.line(&text.map_err(|why| format!("the plan could not be written: {why}"))?);
            }
        }
        Ok(())
    }

    fn told(&self, desk: &Desk, player: usize) -> Vec<Told> {
        let mut blocks: HashMap<usize, Vec<Event>> = HashMap::new();
        let told = |planned: line_plan::PlannedNote| {
            let bar = planned.bar_number(desk)?;
            if self.bars.is_some_and(|(first, last)| bar < first || last < bar) {
                return None;
            }
            let events = blocks
                .entry(planned.block)
                .or_insert_with(|| desk.report().events(desk.score(), planned.block, player));
            let event = planned.event(desk, events)?;
            let (written, sounding) = (planned.written(desk, player, event)?, event.sounding);
            Some(Told { planned, bar, written, sounding })
        };
        of_line(desk, player).into_iter().filter_map(told).collect()
    }
}

/// `12` or `12-20`.
fn bars(text: &str) -> Result<(i64, i64), String> {
    let wrong = || "bars are a number or two, such as 12 or 12-20".to_owned();
    let number = |text: &str| text.trim().parse::<i64>().map_err(|_| wrong());
    let (first, last) = match text.split_once('-') {
        Some((first, last)) => (number(first)?, number(last)?),
        None => (number(text)?, number(text)?),
    };
    if first <= last { Ok((first, last)) } else { Err(wrong()) }
}
