//! What touches a note: techniques, fingerings, the upper note of a trill.

use super::about::About;
use super::instruction::{has_hand, mutes_of};
use super::item::{Item, ItemKind, List};
use super::scale::spelled;
use super::who::{Row, row};
use crate::assist::glossary::{Class, meaning};
use crate::assist::hover::fingering::way_words;
use crate::assist::typing::{OpenBar, Typing};
use crate::brass::chart::is_used;
use crate::brass::written::{sounding, written_key};
use crate::brass::{Build, Kind as Instruments, Mute};
use crate::music::{Interval, Pitch};
use crate::notation::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{Basis, Mark, RowKind};

/// What a mark touches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Host {
    Note(Pitch),
    Chord,
    Hold,
    Rest,
    Grace(Option<Pitch>),
    /// A place of a figure.
    Place,
}

/// Techniques that a held note may carry.
const ON_HOLD: [Mark; 6] = [Mark::Fermata, Mark::Gliss, Mark::Fall, Mark::Doit, Mark::Shake, Mark::Trill];

/// What may touch the note before the cursor; `None` where nothing is begun that touches one.
pub fn offered<'a>(typing: Typing<'a>, kind: RowKind, bar: &OpenBar) -> Option<List<'a>> {
    if kind == RowKind::Chords {
        return None;
    }
    let begun = typing.line.tokens.iter().find(|t| t.span.start < typing.at && typing.at <= t.span.end)?;
    let cluster = typing.touching(begun.span.start);
    let host = host(&typing, cluster, kind);
    match begun.kind {
        Kind::Technique | Kind::Colon | Kind::FigureColon => {
            let Some(host) = host else { return is_mark(begun).then(|| List::new(typing, begun.span)) };
            Some(techniques(typing, begun.span, host, cluster, bar))
        }
        Kind::Choice => Some(fingerings(typing, begun.span, host?, bar)),
        Kind::Equals | Kind::Pitch | Kind::SmallPitch | Kind::Word | Kind::Sharp => {
            let equals = if begun.kind == Kind::Equals { Some(begun) } else { cluster.last() };
            let before = equals.filter(|t| t.kind == Kind::Equals).map(|t| typing.touching(t.span.start))?;
            let trills = before.last().is_some_and(|t| typing.text(t.span) == Mark::Trill.sign());
            let word = match begun.kind {
                Kind::Equals => behind(&typing, begun),
                _ => begun.span,
            };
            let host = self::host(&typing, before, kind);
            trills.then(|| trill(typing, word, host, bar))
        }
        _ => None,
    }
}

fn is_mark(token: &Token) -> bool {
    // A colon alone ends a figure; a word behind one that touches nothing is a mark of nothing.
    token.kind == Kind::Technique || token.kind == Kind::Colon
}

/// A pitch that touches the equals sign, or nothing.
fn behind(typing: &Typing<'_>, equals: &Token) -> Span {
    let next = typing.line.tokens.iter().find(|t| t.span.start == equals.span.end);
    let wordlike = next.filter(|t| t.kind.is_wordlike() || t.kind == Kind::Sharp);
    wordlike.map_or(Span::new(typing.at, typing.at), |t| t.span)
}

/// What the first of some touching tokens is.
fn host(typing: &Typing<'_>, cluster: &[Token], kind: RowKind) -> Option<Host> {
    let first = cluster.first()?;
    let pitch = |t: &Token| Pitch::parse(typing.text(t.span));
    if kind == RowKind::Rhythm {
        return (first.kind == Kind::Word).then_some(Host::Place);
    }
    match first.kind {
        Kind::Pitch => pitch(first).map(Host::Note),
        Kind::ParenClose => Some(Host::Chord),
        Kind::Equals => Some(Host::Hold),
        Kind::Minus => Some(Host::Rest),
        Kind::Slash => Some(Host::Grace(cluster.get(1).and_then(pitch))),
        Kind::Word => crate::notation::grammar::timing::value_of(typing.text(first.span))
            .is_some()
            .then_some(Host::Place),
        _ => None,
    }
}

fn techniques<'a>(typing: Typing<'a>, word: Span, host: Host, cluster: &[Token], bar: &OpenBar) -> List<'a> {
    // A trill that names its note goes with it.
    let mut word = word;
    let equals = typing.line.tokens.iter().find(|t| t.span.start == word.end && t.kind == Kind::Equals);
    if let Some(equals) = equals {
        let named =
            typing.line.tokens.iter().find(|t| t.span.start == equals.span.end && t.kind.is_wordlike());
        word.end = named.map_or(equals.span.end, |t| t.span.end);
    }
    let mut list = List::new(typing, word);
    let players = row(&typing, bar);
    // Marks that the note has, those behind the cursor included.
    let mut given: Vec<&str> = cluster.iter().map(|t| typing.text(t.span)).collect();
    let behind = typing.line.tokens.iter().skip_while(|t| t.span.start < word.end);
    given.extend(behind.take_while(|t| t.kind != Kind::Blank).map(|t| typing.text(t.span)));
    let words = Mark::ALL.into_iter().filter(|m| m.sign().starts_with(':'));
    for mark in words.filter(|m| !given.contains(&m.sign()) && can(*m, host, &players)) {
        let text = meaning(Class::Mark, mark.sign()).unwrap_or("");
        let detail = text.split([':', ',', '.', ';']).next().unwrap_or("");
        list.told(0, ItemKind::Sign, mark.sign(), detail, About::word(Class::Mark, mark.sign()));
    }
    list
}

/// True if everybody who plays it can do it.
fn can(mark: Mark, host: Host, players: &Row<'_>) -> bool {
    let stands = match host {
        Host::Note(_) | Host::Chord => true,
        Host::Hold => ON_HOLD.contains(&mark) || mark == Mark::Flutter,
        Host::Rest | Host::Place => mark == Mark::Fermata,
        Host::Grace(_) => false,
    };
    stands
        && players.readers.iter().filter_map(|r| r.held).all(|held| {
            let tube = &held.instrument;
            match mark {
                Mark::Stopped => has_hand(held),
                Mark::Halfvalve => tube.build.has_valves(),
                Mark::Closed | Mark::Open | Mark::Wah => {
                    let by_hand = [Mute::Plunger, Mute::Hat, Mute::Harmon, Mute::HarmonStemless];
                    has_hand(held) || mutes_of(held).iter().any(|m| by_hand.contains(m))
                }
                _ => true,
            }
        })
}

/// Every way to play the note, the usual one first.
fn fingerings<'a>(typing: Typing<'a>, word: Span, host: Host, bar: &OpenBar) -> List<'a> {
    let mut list = List::new(typing, word);
    let players = row(&typing, bar);
    let (Host::Note(pitch) | Host::Grace(Some(pitch)), [reader]) = (host, players.readers.as_slice()) else {
        return list;
    };
    // A choice of fingering is one person's.
    let Some(held) = reader.held.filter(|_| players.people.len() == 1) else { return list };
    let heard = match typing.score().head.basis {
        Basis::Written => sounding(pitch, reader.reading),
        Basis::Concert => pitch,
    };
    let tube = &held.instrument;
    if matches!(tube.build, Build::Natural { .. }) {
        return list;
    }
    let stopped = typing.touching(word.start).iter().any(|t| typing.text(t.span) == Mark::Stopped.sign());
    if (reader.played.stopped || stopped) && tube.kind == Instruments::Horn {
        if let Some(way) = tube.stopped(heard.midi()) {
            list.add(0, ItemKind::Sign, format!("@{}", way.how), "stopped");
        }
        return list;
    }
    for (i, way) in tube.ways(heard.midi()).iter().enumerate() {
        let tier = if i == 0 { 0 } else { 1 + u8::from(!is_used(way)) };
        let usual = if i == 0 { "the usual; " } else { "" };
        let code = format!("@{}", way.how);
        let words = way_words(tube, way).replace(&format!(" ({code})"), "");
        let item = Item::plain(ItemKind::Sign, code, format!("{usual}{words}"));
        list.put(tier, item.about(About::word(Class::Bars, "@")));
    }
    list
}

/// The next letter above as the key has it, then a semitone and a tone above.
fn trill<'a>(typing: Typing<'a>, word: Span, host: Option<Host>, bar: &OpenBar) -> List<'a> {
    let mut list = List::new(typing, word);
    let Some(Host::Note(pitch)) = host else { return list };
    let players = row(&typing, bar);
    let reading = players.readers.first().map_or(Interval::UNISON, |r| r.reading);
    let key = match typing.score().head.basis {
        Basis::Written => players.key.and_then(|k| written_key(k, reading)),
        Basis::Concert => players.key,
    };
    let above = |alter: i32| {
        let step = crate::music::Step::from_index(pitch.staff() + 1);
        Pitch::new(step, alter, (pitch.staff() + 1).div_euclid(7))
    };
    let natural = above(key.map_or(0, |k| k.alter_of(crate::music::Step::from_index(pitch.staff() + 1))));
    let size = |p: Pitch| p.midi() - pitch.midi();
    let words = |size: i32| if size == 1 { "a semitone above" } else { "a tone above" };
    if let Some(natural) = natural.filter(|p| matches!(size(*p), 1 | 2) && p.octave <= 9) {
        list.add(
            0,
            ItemKind::Note,
            natural.to_string(),
            format!("{}, as the key has it", words(size(natural))),
        );
    }
    for semitones in [2, 1] {
        let letter = Pitch::at(pitch.staff() + 1, pitch.midi() + semitones);
        let letter = letter.filter(|p| p.alter.abs() < 2);
        let to = letter.unwrap_or_else(|| spelled(pitch.midi() + semitones, key).0);
        if to.octave <= 9 {
            list.add(1, ItemKind::Note, to.to_string(), words(semitones));
        }
    }
    list
}
