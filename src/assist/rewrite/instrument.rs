//! Another instrument for a player, and what they read and reach for with it.

use super::draft::Draft;
use super::faults::sound_everywhere;
use super::hands::readings;
use super::pitch::{Change, View};
use super::{Refusal, numbered};
use crate::assist::cure::case::RowHere;
use crate::assist::cure::lines::of_head;
use crate::assist::cure::notes::{tokens, written};
use crate::assist::instrument_words;
use crate::brass::catalogue::entries;
use crate::brass::written::reading_interval;
use crate::brass::{Instrument, Kind};
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind as Token;
use crate::notation::tree::{Basis, Instruction, LineTree, OptionKind, PlayerLine, RowKind, Switch, What};
use crate::rules::Desk;
use crate::score::player::Player;
use std::sync::Arc;

/// Offered at most.
const MOST: usize = 6;

/// Kinds that one player may well take for another: high, of the horn's height, low with a slide or narrow, wide.
const FAMILIES: [&[Kind]; 5] = [
    &[Kind::Trumpet, Kind::Cornet, Kind::Flugelhorn],
    &[Kind::Horn, Kind::TenorHorn, Kind::Mellophone, Kind::WagnerTuba],
    &[Kind::Trombone, Kind::BassTrombone, Kind::BassTrumpet, Kind::Baritone, Kind::Euphonium],
    &[Kind::Tuba, Kind::Cimbasso],
    &[Kind::NaturalHorn],
];

/// Instruments of the same family, the nearest in height first, by their full names.
pub fn family(player: &Player) -> Vec<String> {
    let Some(now) = player.instruments.first().map(|i| &i.instrument) else { return Vec::new() };
    let Some(family) = FAMILIES.iter().find(|f| f.contains(&now.kind)) else { return Vec::new() };
    let mut found: Vec<(i32, bool, String)> = entries()
        .filter(|e| e.full_name() != now.name)
        .filter_map(|e| {
            let kind = e.instrument()?;
            let has = player.instruments.iter().any(|i| i.instrument.name == kind.name);
            let far = (kind.reads.semitones - now.reads.semitones).abs();
            (family.contains(&kind.kind) && !has).then(|| (far, kind.kind != now.kind, e.full_name()))
        })
        .collect();
    found.sort();
    found.into_iter().take(MOST).map(|(.., name)| name).collect()
}

/// The player with another first instrument. What they sound stays; in a written score their rows are what the new
/// instrument reads. `without` are options that the new one cannot have.
pub fn draft<'a>(desk: &'a Desk, player: usize, name: &str, without: Without) -> Result<Draft<'a>, Refusal> {
    let score = desk.score();
    let who = score.head.players.get(player).ok_or_else(|| Refusal::new("there is no such player"))?;
    let at = of_head(desk, &who.line).ok_or_else(|| {
        Refusal::new(format!("{} is declared in an included file; change it there", who.id))
    })?;
    let LineTree::Player(tree) = &who.line.tree else { return Err(Refusal::new("there is no such player")) };
    let words = tree.instrument.ok_or_else(|| Refusal::new(format!("{} has no instrument", who.id)))?;
    let old = who.instruments.first().ok_or_else(|| Refusal::new(format!("{} has no instrument", who.id)))?;
    let new = instrument_words::instrument(&[name.to_owned()]).map_err(Refusal::new)?;
    if new.name == old.instrument.name {
        return Err(Refusal::new(format!("{} plays a {name} already", who.id)));
    }
    if who.instruments.iter().any(|i| i.instrument.name == new.name) {
        return Err(Refusal::new(format!("{} doubles on a {name} already", who.id)));
    }
    sound_everywhere(desk)?;
    let mut draft = Draft::of(desk);
    let whole = tree.read_in.map_or(words, |r| words.to(r.span));
    draft.put(at, whole, name);
    options(&who.line, tree, &old.instrument, &new, without, at, &mut draft)?;
    let switch = Switches { player: who, index: player as u16, name, old: &old.words };
    for block in 0..score.blocks.len() {
        switch.block(desk, block, &mut draft)?;
        notes(desk, block, player, (&old.instrument, &new), &mut draft)?;
    }
    Ok(draft)
}

/// Which options go with the old instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Without {
    pub valves: bool,
    pub mutes: bool,
    pub clef: bool,
}

impl Without {
    /// What is tried, the least first.
    pub const ALL: [Without; 4] = [
        Without { valves: false, mutes: false, clef: false },
        Without { valves: true, mutes: false, clef: false },
        Without { valves: true, mutes: true, clef: false },
        Without { valves: true, mutes: true, clef: true },
    ];
}

fn options(
    line: &Line,
    tree: &PlayerLine,
    old: &Instrument,
    new: &Instrument,
    without: Without,
    at: u32,
    draft: &mut Draft<'_>,
) -> Result<(), Refusal> {
    for option in tree.options.iter().take_while(|o| !matches!(o.what, OptionKind::Doubles { .. })) {
        let goes = match option.what {
            OptionKind::Valves { .. } => without.valves,
            OptionKind::Mutes(_) => without.mutes,
            OptionKind::Clef(_) => without.clef,
            _ => false,
        };
        if goes {
            let before = line.text.get(..option.span.start as usize).unwrap_or("");
            let comma = before.rfind(',').unwrap_or(before.len());
            draft.put(at, Span::new(comma as u32, option.span.end), "");
        }
        let (OptionKind::Top(limit) | OptionKind::Bottom(limit)) = option.what else { continue };
        // The person's lips reach as far as before.
        let reads = new.reads.inverse().apply_respelled(old.reads.apply_respelled(limit));
        let text = written(reads).ok_or_else(|| Refusal::new(format!("{limit} cannot be written for it")))?;
        if let Some(token) = tokens(line, option.span).find(|t| t.kind == Token::Pitch) {
            draft.put(at, token.span, text);
        }
    }
    Ok(())
}

/// `[switch …]` to the instrument that goes.
struct Switches<'a> {
    player: &'a Arc<Player>,
    index: u16,
    name: &'a str,
    old: &'a str,
}

impl Switches<'_> {
    fn block(&self, desk: &Desk, block: usize, draft: &mut Draft<'_>) -> Result<(), Refusal> {
        let Some(placed) = desk.score().blocks.get(block) else { return Ok(()) };
        for number in 0..placed.read.block.rows.len() {
            let Some(row) = RowHere::at(desk.score(), block, number) else { continue };
            if row.row.kind != RowKind::Music || !row.row.people.iter().any(|p| p.player == self.index) {
                continue;
            }
            let alone = row.row.people.iter().all(|p| p.player == self.index);
            for item in &row.tree.items {
                let What::Instruction(Instruction::Switch(at)) = item.what else { continue };
                let Some(switch) = row.tree.switches.get(at as usize) else { continue };
                if !self.means(switch, row.line) {
                    continue;
                }
                if !alone {
                    return Err(Refusal::new(format!(
                        "bar {} tells others in its row to switch to the {}, too",
                        row.placed.frame.first_bar, self.old
                    )));
                }
                let whole = switch.read_in.map_or(switch.instrument, |r| switch.instrument.to(r.span));
                draft.put(row.at_line(), whole, self.name);
            }
        }
        Ok(())
    }

    fn means(&self, switch: &Switch, line: &Line) -> bool {
        self.player.instrument_called(switch.instrument.of(&line.text), switch.read_in) == Some(0)
    }
}

fn notes(
    desk: &Desk,
    block: usize,
    player: usize,
    (old, new): (&Instrument, &Instrument),
    draft: &mut Draft<'_>,
) -> Result<(), Refusal> {
    let score = desk.score();
    let Some(placed) = score.blocks.get(block) else { return Ok(()) };
    if placed.read.pair(player as u16).is_none() {
        return Ok(());
    }
    let key = placed.frame.key;
    let basis = score.head.basis;
    let (reads, will_read) = (reading_interval(old.reads, key), reading_interval(new.reads, key));
    let keeps_fingerings = old.tube == new.tube && old.build == new.build;
    let moves = basis == Basis::Written && reads != will_read;
    // What moves no note may still leave choices of fingering that are none any more.
    let chooses = || {
        let lines = placed.read.block.text.lines.iter();
        lines.flat_map(|l| l.tokens.iter()).any(|t| t.kind == Token::Choice)
    };
    if !moves && (keeps_fingerings || !chooses()) {
        return Ok(());
    }
    let readings = readings(desk, block)?;
    for number in 0..placed.read.block.rows.len() {
        let Some(row) = RowHere::at(score, block, number) else { continue };
        if row.row.kind != RowKind::Music || !row.row.people.iter().any(|p| usize::from(p.player) == player) {
            continue;
        }
        for (at, item) in row.tree.items.iter().enumerate() {
            let Some(reading) = readings.get(&(row.row.line, at as u32)) else { continue };
            let alone = row.row.people.iter().all(|p| usize::from(p.player) == player);
            let in_hand = reading.instrument == 0 && (reading.player == player || !alone);
            if !in_hand {
                continue;
            }
            if moves && !alone && !matches!(item.what, What::Play(_)) {
                return Err(Refusal::new(format!(
                    "bar {} has a row that others share, who read it differently then; give each a row of their own first",
                    placed.frame.first_bar
                )));
            }
            if !alone {
                continue;
            }
            let view = |sounds| View { sounds, key, basis };
            let unison = crate::music::Interval::UNISON;
            let (from, to) = if basis == Basis::Written { (reads, will_read) } else { (unison, unison) };
            let change = Change {
                old: view(from),
                new: view(to),
                row: from.then(to.inverse()),
                keeps_fingerings,
                names_trills: true,
            };
            let edits = change
                .item(row.line, row.tree, item)
                .map_err(|why| numbered(desk, block, row.row.line, item.span, why))?;
            draft.put_all(row.at_line(), edits);
        }
    }
    Ok(())
}
