//! The names of a score: each belongs to one player, group, phrase or instrument.

use super::{Head, HeadLine};
use crate::music::Interval;
use crate::notation::line::Line;
use crate::notation::nearest::nearest;
use crate::notation::tree::{Basis, LineTree, Row};
use crate::notation::{Fault, FaultName, Span};
use crate::score::names::normal;
use crate::score::player::Player;
use std::collections::HashMap;
use std::sync::Arc;

/// What a declared name is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Player,
    Group,
    Phrase,
    Instrument,
}

impl Kind {
    fn word(self) -> &'static str {
        match self {
            Kind::Player => "a player",
            Kind::Group => "a group",
            Kind::Phrase => "a phrase",
            Kind::Instrument => "an instrument",
        }
    }
}

/// A name and where it is declared, into the head lines.
#[derive(Debug, Clone)]
pub struct Declaration {
    pub name: String,
    pub kind: Kind,
    pub line: usize,
}

/// All declarations in order; a name declared twice keeps its first meaning.
pub fn declare(all: &[HeadLine], faults: &mut Vec<(u32, Fault)>) -> Vec<Declaration> {
    let mut declared: Vec<Declaration> = Vec::new();
    let mut seen: HashMap<String, Kind> = HashMap::new();
    for (i, head_line) in all.iter().enumerate() {
        let (id, kind) = match &head_line.line.tree {
            LineTree::Player(p) => (p.id, Kind::Player),
            LineTree::Group(g) => (g.id, Kind::Group),
            LineTree::Phrase(p) => (p.id, Kind::Phrase),
            LineTree::Instrument(p) => (p.id, Kind::Instrument),
            _ => continue,
        };
        let Some(span) = id else { continue };
        let name = normal(span.of(&head_line.line.text)).into_owned();
        if let Some(first) = seen.get(&name) {
            let text = format!(
                "`{name}` is {} already, declared above. A name belongs to one player, group, phrase or instrument.",
                first.word()
            );
            faults.push(head_line.place(Fault::new(FaultName::DuplicateName, span, text)));
            continue;
        }
        seen.insert(name.clone(), kind);
        declared.push(Declaration { name, kind, line: i });
    }
    declared
}

/// One person: a player's seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Person {
    pub player: u16,
    pub seat: u16,
}

/// What a name of a row means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Named {
    Player(u16),
    /// Players of the group, top voice first.
    Group(Vec<u16>),
    Phrase,
    Instrument,
}

/// The names that rows use.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Names {
    map: HashMap<String, Named>,
    /// People per player.
    seats: Vec<u32>,
    /// In a written score, how each player's part is read; else empty.
    reads: Vec<Option<Interval>>,
}

impl Names {
    /// The meaning of a name.
    pub fn get(&self, name: &str) -> Option<&Named> {
        self.map.get(normal(name).as_ref())
    }

    /// The players behind a name.
    pub fn players(&self, name: &str) -> Option<Vec<u16>> {
        match self.get(name)? {
            Named::Player(p) => Some(vec![*p]),
            Named::Group(all) => Some(all.clone()),
            Named::Phrase | Named::Instrument => None,
        }
    }

    /// The player or group name that looks most like this one.
    pub fn nearest_player(&self, name: &str) -> Option<&str> {
        let mut names: Vec<&str> = self
            .map
            .iter()
            .filter(|(_, n)| matches!(n, Named::Player(_) | Named::Group(_)))
            .map(|(k, _)| k.as_str())
            .collect();
        names.sort_unstable();
        nearest(name, names)
    }

    /// The people of a row, in the order in which chords are dealt.
    pub fn people(&self, row: &Row, line: &Line, at: u32, faults: &mut Vec<(u32, Fault)>) -> Vec<Person> {
        let mut players: Vec<u16> = Vec::new();
        for span in &row.names {
            let name = span.of(&line.text);
            let Some(found) = self.players(name) else {
                faults.push((at, self.unknown(name, *span)));
                continue;
            };
            for player in found {
                if players.contains(&player) {
                    faults.push((
                        at,
                        Fault::new(
                            FaultName::TwoAtOnce,
                            *span,
                            format!("`{name}` names somebody who is in this row already: a player sounds one note at a time."),
                        ),
                    ));
                    continue;
                }
                players.push(player);
            }
        }
        players
            .into_iter()
            .flat_map(|player| {
                let seats = self.seats.get(usize::from(player)).copied().unwrap_or(1);
                (0..seats).map(move |seat| Person { player, seat: seat as u16 })
            })
            .collect()
    }

    /// In a written score, the fault of a row whose players read the same note differently.
    pub fn mixed(&self, row: &Row, people: &[Person]) -> Option<Fault> {
        let mut reads = people.iter().filter_map(|p| *self.reads.get(usize::from(p.player))?);
        let first = reads.next()?;
        if reads.all(|r| r == first) {
            return None;
        }
        let span = row.names.iter().copied().reduce(Span::to)?;
        Some(Fault::new(
            FaultName::MixedTransposition,
            span,
            "These players read the same written note differently, so one row cannot be for all of them. Give each transposition a row of its own, or write the score in concert pitch.",
        ))
    }

    fn unknown(&self, name: &str, span: Span) -> Fault {
        let what = match self.get(name) {
            Some(Named::Phrase) => {
                format!("`{name}` is a phrase. A player plays it: `Tp1 | play {name} |`.")
            }
            Some(Named::Instrument) => {
                format!("`{name}` is an instrument. A player has it: `player ID = {name}`.")
            }
            _ => format!("No player or group is called `{name}`."),
        };
        match self.nearest_player(name) {
            Some(near) => Fault::new(
                FaultName::UnknownPlayer,
                span,
                format!("{what} Did you mean `{near}`?"),
            )
            .fixed_by(format!("Write `{near}`"), span, near),
            None => Fault::new(
                FaultName::UnknownPlayer,
                span,
                format!("{what} Players are declared in the head: `player {name} = trumpet in Bb`."),
            ),
        }
    }
}

/// Puts the names of players, groups, phrases and instruments together.
pub fn names(
    all: &[HeadLine],
    declared: &[Declaration],
    players: &[Arc<Player>],
    basis: Basis,
    before: Option<&Head>,
    faults: &mut Vec<(u32, Fault)>,
) -> Arc<Names> {
    let reads = match basis {
        Basis::Concert => Vec::new(),
        Basis::Written => players.iter().map(|p| Some(p.instruments.first()?.instrument.reads)).collect(),
    };
    let mut names = Names { map: HashMap::new(), seats: players.iter().map(|p| p.seats).collect(), reads };
    for (i, player) in players.iter().enumerate() {
        names.map.insert(player.id.clone(), Named::Player(i as u16));
    }
    for declaration in declared {
        match declaration.kind {
            Kind::Player | Kind::Group => {}
            Kind::Phrase => {
                names.map.insert(declaration.name.clone(), Named::Phrase);
            }
            Kind::Instrument => {
                names.map.insert(declaration.name.clone(), Named::Instrument);
            }
        }
    }
    for declaration in declared.iter().filter(|d| d.kind == Kind::Group) {
        let Some(head_line) = all.get(declaration.line) else { continue };
        let LineTree::Group(tree) = &head_line.line.tree else { continue };
        let mut members: Vec<u16> = Vec::new();
        for span in &tree.members {
            let name = span.of(&head_line.line.text);
            match names.players(name) {
                Some(found) => {
                    for player in found {
                        if members.contains(&player) {
                            let text = format!("`{name}` names somebody who is in this group already.");
                            faults.push(head_line.place(Fault::new(FaultName::DuplicateName, *span, text)));
                        } else {
                            members.push(player);
                        }
                    }
                }
                None if normal(name) == declaration.name => {
                    let text = "A group cannot be a member of itself.";
                    faults.push(head_line.place(Fault::new(FaultName::UnknownPlayer, *span, text)));
                }
                None if declared.iter().any(|d| d.kind == Kind::Group && d.name == normal(name)) => {
                    let text = format!(
                        "The group `{name}` stands further down; a group is made of players and groups above it."
                    );
                    faults.push(head_line.place(Fault::new(FaultName::UnknownPlayer, *span, text)));
                }
                None => faults.push(head_line.place(names.unknown(name, *span))),
            }
        }
        names.map.insert(declaration.name.clone(), Named::Group(members));
    }
    match before {
        Some(old) if *old.names == names => Arc::clone(&old.names),
        _ => Arc::new(names),
    }
}
