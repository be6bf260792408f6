//! Notes: the scale of the key near the player's last note, as far as everybody who plays it reaches.

use super::about::About;
use super::item::{Item, ItemKind, List};
use super::scale::spelled;
use super::who::{Reader, Row, last_note};
use crate::assist::hover::fingering::how_words;
use crate::assist::typing::{OpenBar, Typing};
use crate::brass::written::{sounding, written, written_key};
use crate::brass::{Build, Kind as Instruments, Level, Way};
use crate::music::{Interval, Key, Pitch};
use crate::notation::Span;
use crate::notation::token::Kind;
use crate::notation::tree::{Basis, LineTree};
use crate::rules::lie::{Lie, lie};
use crate::rules::pedal_care;
use crate::score::row::dealt;

/// First tier of notes; those that lie less well follow in the next ones.
const TIER: u8 = 10;

/// Semitones either way, where nobody is known to play.
const AROUND: i32 = 12;

/// How well a note lies, best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Ease {
    Comfortable,
    High,
    /// A pedal, a harmonic that is out of tune, or with the hand in the bell.
    Special,
}

/// The chord that is being typed.
#[derive(Debug, Clone, Copy, Default)]
struct Chord {
    /// Members before the cursor.
    index: usize,
    /// Members, the one being typed included.
    count: usize,
    /// The member before.
    below: Option<Pitch>,
}

/// Adds notes. Pitches are those of the row: concert or written, as the score has it.
pub fn add(list: &mut List<'_>, row: &Row<'_>, bar: &OpenBar) {
    let typing = list.typing;
    let basis = typing.score().head.basis;
    let known: Vec<&Reader<'_>> = row.readers.iter().filter(|r| r.held.is_some()).collect();
    let Some(first) = known.first() else {
        unplayed(list, row.key);
        return;
    };
    let to_row = |reading: Interval| if basis == Basis::Written { reading } else { Interval::UNISON };
    let chord = chord(&typing, bar, list.word);
    let takers = chord.map(|c| takers(row, c)).filter(|t| !t.is_empty());
    let playing: Vec<&Reader<'_>> = match &takers {
        Some(takers) => {
            known.iter().copied().filter(|r| takers.iter().any(|(i, _)| is(row, *i, r))).collect()
        }
        None => known.clone(),
    };
    let playing = if playing.is_empty() { known.clone() } else { playing };
    let key = match basis {
        Basis::Concert => row.key,
        Basis::Written => row.key.and_then(|k| written_key(k, first.reading)),
    };
    let (one, seat) = takers.and_then(|t| t.first().copied()).unwrap_or((0, 0));
    let one = row.readers.get(one).filter(|r| r.held.is_some()).unwrap_or(first);
    let heard = last_note(&typing, one, seat, row.bar);
    // Where nothing was played yet: the good middle of what beginners have.
    let middle = || {
        let limits = one.held.map(|h| h.instrument.limits(Level::School));
        limits.map_or(60, |l| l.low + (l.comfortable - l.low) * 2 / 3)
    };
    let anchor = match (chord.and_then(|c| c.below), heard) {
        (Some(below), None) => below.midi() + 4,
        (_, heard) => heard.map_or_else(middle, Pitch::midi) - to_row(one.reading).semitones,
    };
    let mut found: Vec<(u8, i32, Pitch)> = Vec::new();
    for height in 0..=127 {
        let (pitch, in_scale) = spelled(height, key);
        if !(0..=9).contains(&pitch.octave) {
            continue;
        }
        let ease = playing.iter().map(|r| ease(r, sounding(pitch, to_row(r.reading)).midi()));
        let Some(ease) = ease.collect::<Option<Vec<Ease>>>().and_then(|all| all.into_iter().max()) else {
            continue;
        };
        let crosses = chord.and_then(|c| c.below).is_some_and(|below| height <= below.midi());
        found.push((tier(ease, in_scale, crosses), height, pitch));
    }
    found.sort_by_key(|(tier, height, _)| (*tier, (height - anchor).abs(), *height < anchor));
    for (tier, _, pitch) in found {
        let players = playing.iter().take(4).map(|r| (r.player.id.clone(), r.played.instrument)).collect();
        let item = Item::plain(ItemKind::Note, pitch.to_string(), detail(pitch, basis, &playing));
        list.put(TIER + tier, item.about(About::Note { pitch, key: row.key, players }));
    }
}

fn is(row: &Row<'_>, reader: usize, other: &Reader<'_>) -> bool {
    row.readers.get(reader).is_some_and(|r| r.index == other.index)
}

fn tier(ease: Ease, in_scale: bool, crosses: bool) -> u8 {
    match (ease, in_scale) {
        _ if crosses => 5,
        (Ease::Comfortable, true) => 0,
        (Ease::Comfortable, false) => 1,
        (Ease::High, true) => 2,
        (Ease::High, false) => 3,
        (Ease::Special, _) => 4,
    }
}

/// `None` for what the player's checks would object to.
fn ease(reader: &Reader<'_>, midi: i32) -> Option<Ease> {
    let held = reader.held?;
    // Harmonics 7, 11, 13 and 14 of a tube that nothing corrects.
    let poor = matches!(held.instrument.build, Build::Natural { .. })
        && held.instrument.note(midi).usual.is_some_and(|w| w.is_poor());
    match lie(held, midi) {
        Lie::Fine if poor => Some(Ease::Special),
        Lie::Fine if midi <= held.limits.comfortable => Some(Ease::Comfortable),
        Lie::Fine => Some(Ease::High),
        Lie::Pedal => pedal_care::is_ordinary(held, reader.player.level, midi).then_some(Ease::Special),
        Lie::OffSeries { by_hand: true, .. } => {
            (held.limits.low..=held.limits.usual).contains(&midi).then_some(Ease::Special)
        }
        _ => None,
    }
}

/// The people who take the member that is being typed: if nothing more comes, and if the chord grows until
/// everybody has one of their own.
fn takers(row: &Row<'_>, chord: Chord) -> Vec<(usize, u32)> {
    let everybody = row.people.len();
    let taken = |person: usize| {
        let of = |members: usize| dealt(person, everybody, members) == Some(chord.index);
        // One note alone is no chord: a second will come.
        let count = chord.count.max(2);
        of(count) || (count < everybody && of(everybody))
    };
    row.people.iter().enumerate().filter(|(i, _)| taken(*i)).map(|(_, p)| *p).collect()
}

/// The chord whose brackets the cursor is inside.
fn chord(typing: &Typing<'_>, bar: &OpenBar, word: Span) -> Option<Chord> {
    let (open, close) = parenthesis(typing, bar)?;
    let words = typing.words(open, |t| t.span.start >= close);
    let before: Vec<&Span> = words.all.iter().filter(|s| s.end <= word.start).collect();
    let count = words.all.len() + usize::from(word.is_empty());
    let pitch = |span: &&Span| {
        let text = typing.text(**span);
        text.char_indices().rev().find_map(|(i, c)| Pitch::parse(text.get(..i + c.len_utf8())?))
    };
    Some(Chord { index: before.len(), count, below: before.iter().rev().find_map(pitch) })
}

/// From behind the bracket that is open at the cursor to its closing one, or to the end of the bar.
pub fn parenthesis(typing: &Typing<'_>, bar: &OpenBar) -> Option<(u32, u32)> {
    let text = |t: &&&crate::notation::token::Token| typing.text(t.span);
    let before: Vec<_> = typing.tokens_in(Span::new(bar.span.start, typing.at)).collect();
    let open = before.iter().rposition(|t| typing.text(t.span) == "(")?;
    if before.iter().skip(open).any(|t| typing.text(t.span) == ")") {
        return None;
    }
    let start = before.get(open)?.span.end;
    let rest: Vec<_> = typing.tokens_in(Span::new(start, bar.span.end)).collect();
    let close = rest.iter().find(|t| matches!(text(t), ")" | "("));
    let close = close.filter(|t| text(t) == ")").map_or(bar.span.end, |t| t.span.start);
    Some((start, close.max(typing.at)))
}

/// Notes where nobody is known to play them: of a phrase, near the note before.
fn unplayed(list: &mut List<'_>, key: Option<Key>) {
    let typing = list.typing;
    let key = key.or_else(|| {
        let first = typing.score().blocks.first().and_then(|b| b.frame.key)?;
        let LineTree::Phrase(tree) = &typing.line.tree else { return Some(first) };
        let reading =
            tree.read_in.map_or(Interval::UNISON, |r| crate::brass::register::own_reading(r.key, r.register));
        written_key(first, reading)
    });
    let before =
        typing.before().iter().rev().filter(|t| t.kind == Kind::Pitch && t.span.end <= list.word.start);
    let last = before.filter_map(|t| Pitch::parse(typing.text(t.span))).next();
    let anchor = last.map_or(67, Pitch::midi);
    let mut found: Vec<(bool, i32, Pitch)> = (anchor - AROUND..=anchor + AROUND)
        .map(|height| {
            let (pitch, in_scale) = spelled(height, key);
            (!in_scale, height, pitch)
        })
        .filter(|(.., pitch)| (0..=9).contains(&pitch.octave))
        .collect();
    found.sort_by_key(|(chromatic, height, _)| (*chromatic, (height - anchor).abs(), *height < anchor));
    for (chromatic, _, pitch) in found {
        list.add(TIER + u8::from(chromatic), ItemKind::Note, pitch.to_string(), "");
    }
}

/// What players read, or what sounds, and how it is played.
fn detail(pitch: Pitch, basis: Basis, playing: &[&Reader<'_>]) -> String {
    let mut told: Vec<(String, &str)> = Vec::new();
    for reader in playing {
        let words = one(pitch, basis, reader);
        if !words.is_empty() && !told.iter().any(|(other, _)| *other == words) {
            told.push((words, &reader.player.id));
        }
    }
    match told.as_slice() {
        [(words, _)] => words.clone(),
        several => {
            let named: Vec<String> =
                several.iter().take(3).map(|(words, id)| format!("{id} {words}")).collect();
            named.join("; ") + if several.len() > 3 { "; …" } else { "" }
        }
    }
}

/// `written C5, open`.
fn one(pitch: Pitch, basis: Basis, reader: &Reader<'_>) -> String {
    let Some(held) = reader.held else { return String::new() };
    let heard = if basis == Basis::Written { sounding(pitch, reader.reading) } else { pitch };
    let tube = &held.instrument;
    let is_stopped = reader.played.stopped && tube.kind == Instruments::Horn;
    let way = if is_stopped { tube.stopped(heard.midi()) } else { tube.note(heard.midi()).usual };
    let natural = matches!(tube.build, Build::Natural { .. });
    let words = |w: Way| if natural { format!("partial {}", w.partial) } else { how_words(tube, &w) };
    let how = way.map_or_else(|| "hand in the bell".to_owned(), words);
    match basis {
        _ if reader.reading == Interval::UNISON => how,
        Basis::Concert => format!("written {}, {how}", written(pitch, reader.reading)),
        Basis::Written => format!("sounds {heard}, {how}"),
    }
}
