//! Names of a score: where each is declared and where it is used.
//!
//! A name belongs to one player, group, phrase or instrument; marks are names of their own. Only the
//! file itself is looked at here: what an `include` brings is known, but stands elsewhere, and
//! [`Volume`](super::volume::Volume) looks there too.

use super::place::{Place, Stretch};
use crate::brass::catalogue;
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::tree::{LineTree, OptionKind, Row, SettingKind};
use crate::rules::Desk;
use crate::score::head::Named;
use crate::score::names::normal;
use unicode_normalization::char::is_combining_mark;

/// What a name belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NameKind {
    Player,
    Group,
    Phrase,
    /// An instrument of the score's own.
    Instrument,
    /// A mark or a spot.
    Mark,
}

impl NameKind {
    /// As a sentence has it: `a player`.
    pub fn word(self) -> &'static str {
        match self {
            NameKind::Player => "a player",
            NameKind::Group => "a group",
            NameKind::Phrase => "a phrase",
            NameKind::Instrument => "an instrument",
            NameKind::Mark => "a mark",
        }
    }
}

/// A name, in normal form C.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Name {
    pub kind: NameKind,
    pub text: String,
}

/// One place where a name stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mention {
    pub at: Stretch,
    /// True where the name is declared, false where it is used.
    pub declares: bool,
}

/// What a name is used as, which its place on the line decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Role {
    Declared(NameKind),
    /// A player or a group.
    Person,
    Phrase,
    Instrument,
    Mark,
}

impl Role {
    fn fits(self, kind: NameKind) -> bool {
        match self {
            Role::Declared(NameKind::Player | NameKind::Group) | Role::Person => {
                matches!(kind, NameKind::Player | NameKind::Group)
            }
            Role::Declared(k) => k == kind,
            Role::Phrase => kind == NameKind::Phrase,
            Role::Instrument => kind == NameKind::Instrument,
            Role::Mark => kind == NameKind::Mark,
        }
    }
}

/// The name at a place and the stretch it takes there; a place at either end of it counts.
pub fn name_at(desk: &Desk, place: Place) -> Option<(Name, Stretch)> {
    let line = desk.document().lines().get(place.line as usize)?;
    let roles = roles(line);
    let inside = roles.iter().find(|(_, span)| span.contains(place.byte));
    let (role, span) = inside.or_else(|| roles.iter().find(|(_, span)| span.end == place.byte))?;
    let text = normal(span.of(&line.text)).into_owned();
    let kind = match role {
        Role::Declared(kind) => *kind,
        Role::Phrase => NameKind::Phrase,
        Role::Mark => NameKind::Mark,
        Role::Person => match desk.score().head.names.get(&text) {
            Some(Named::Group(_)) => NameKind::Group,
            _ => NameKind::Player,
        },
        Role::Instrument => {
            // A name of the catalogue is nobody's here. One that is not known may be declared by a file
            // that is included together with this one.
            let own = matches!(desk.score().head.names.get(&text), Some(Named::Instrument));
            (own || may_be_own(&text)).then_some(NameKind::Instrument)?
        }
    };
    Some((Name { kind, text }, Stretch { line: place.line, span: *span }))
}

/// Every place of the file where a name stands, in the order of the text.
pub fn mentions(desk: &Desk, name: &Name) -> Vec<Mention> {
    let mut all = Vec::new();
    for (at, line) in desk.document().lines().iter().enumerate() {
        for span in spelled(line, name) {
            all.push(Mention { at: Stretch { line: at as u32, span: span.0 }, declares: span.1 });
        }
    }
    all
}

/// Where a name stands on one line, and whether it is declared there.
pub fn spelled(line: &Line, name: &Name) -> Vec<(Span, bool)> {
    if !may_hold(&line.text, name) {
        return Vec::new();
    }
    roles(line)
        .into_iter()
        .filter(|(role, span)| role.fits(name.kind) && normal(span.of(&line.text)) == name.text.as_str())
        .map(|(role, span)| (span, matches!(role, Role::Declared(_))))
        .collect()
}

/// False if a name cannot stand in a text; what is plain ASCII is in normal form C as it is.
pub fn may_hold(text: &str, name: &Name) -> bool {
    !text.is_ascii() || text.contains(&*name.text)
}

/// True for a word that could be the name of an instrument of the score's own.
fn may_be_own(text: &str) -> bool {
    is_name(text) && !catalogue::entries().any(|e| e.name == text)
}

/// True for a letter followed by letters, digits and `_`.
pub fn is_name(text: &str) -> bool {
    let mut letters = text.chars();
    letters.next().is_some_and(char::is_alphabetic)
        && letters.all(|c| c.is_alphanumeric() || c == '_' || is_combining_mark(c))
}

/// All names of a line with what they stand for, from left to right.
fn roles(line: &Line) -> Vec<(Role, Span)> {
    let mut all: Vec<(Role, Span)> = Vec::new();
    match &line.tree {
        LineTree::Player(player) => {
            all.extend(player.id.map(|s| (Role::Declared(NameKind::Player), s)));
            all.extend(player.instrument.map(|s| (Role::Instrument, s)));
            for option in &player.options {
                if let OptionKind::Doubles { instrument, .. } = option.what {
                    all.push((Role::Instrument, instrument));
                }
            }
        }
        LineTree::Group(group) => {
            all.extend(group.id.map(|s| (Role::Declared(NameKind::Group), s)));
            all.extend(group.members.iter().map(|s| (Role::Person, *s)));
        }
        LineTree::Instrument(own) => {
            all.extend(own.id.map(|s| (Role::Declared(NameKind::Instrument), s)));
        }
        LineTree::Phrase(phrase) => {
            all.extend(phrase.id.map(|s| (Role::Declared(NameKind::Phrase), s)));
            in_row(&phrase.row, &mut all);
        }
        LineTree::Allow(allow) => all.extend(allow.players.iter().map(|s| (Role::Person, *s))),
        LineTree::Roadmap(stations) => all.extend(stations.iter().map(|s| (Role::Mark, s.name))),
        LineTree::Block(block) => {
            for setting in &block.settings {
                if let SettingKind::Mark(span) | SettingKind::Spot(span) = setting.what {
                    all.push((Role::Declared(NameKind::Mark), span));
                }
            }
        }
        LineTree::Row(row) => in_row(row, &mut all),
        _ => {}
    }
    all.sort_by_key(|(_, span)| *span);
    all
}

fn in_row(row: &Row, all: &mut Vec<(Role, Span)>) {
    all.extend(row.names.iter().map(|s| (Role::Person, *s)));
    all.extend(row.plays.iter().map(|p| (Role::Phrase, p.phrase)));
    all.extend(row.switches.iter().map(|s| (Role::Instrument, s.instrument)));
}
