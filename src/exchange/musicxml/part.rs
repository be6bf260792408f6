//! One part of the document: a player's measures.

use super::attributes::Signature;
use super::clefs::clefs;
use super::cues;
use super::measure::{Measure, Paper, State};
use super::pieces::{Piece, pieces};
use super::rests::{gathered, improvised};
use super::tones::{Chord, Reading, chords};
use super::xml::Element;
use super::{Pitches, directions, element, head};
use crate::brass::written::written_key;
use crate::exchange::paper::{Free, Line, SheetBar, line};
use crate::music::{Clef, Fraction, Interval, Key};
use crate::notation::tree::{Instruction, Mark};
use crate::rules::Desk;
use crate::score::clock::{BREAK_SECONDS, Clock};
use crate::score::player::Player;

/// What a part shows besides its player's notes.
#[derive(Debug, Clone, Copy)]
pub struct Shows {
    /// Marks, tempos and words that concern everybody.
    pub leads: bool,
    /// It is read alone: bars' rests are gathered, and pauses of others stand in it.
    pub alone: bool,
    /// Before entries after long silences somebody else is shown.
    pub cues: bool,
    pub pitches: Pitches,
}

/// Divisions of a quarter beyond which each bar has its own.
const MOST_DIVISIONS: u128 = 1 << 24;

/// A player's measures.
pub fn part(desk: &Desk, clock: &Clock, sheet: &[SheetBar], player: usize, shows: Shows) -> Element {
    let number = if shows.alone { 0 } else { player };
    let mut out = element("part").with("id", head::part_id(number));
    let score = desk.score();
    let Some(of) = score.head.players.get(player) else { return out };
    let concert = shows.pitches == Pitches::Concert;
    let reading = Reading { player: of, basis: score.head.basis, concert };
    let line = line(desk, sheet, player);
    let mut chords = chords(&line, sheet, &reading);
    let clefs = clefs(&line, &chords, of, concert);
    let cued =
        if shows.cues { cues::put(desk, sheet, player, &reading, &clefs, &mut chords) } else { Vec::new() };
    if shows.alone {
        pauses(clock, sheet, &mut chords);
    }
    let rests = if shows.alone { gathered(sheet, &line, &chords) } else { vec![0; sheet.len()] };
    let mut said = said(&line, of, number);
    if shows.leads {
        over(desk, sheet, &mut said);
    }
    for cue in cued {
        if let Some(said) = said.get_mut(cue.first) {
            said.push((Fraction::ZERO, directions::cue(&cue.words)));
        }
    }
    let symbols = symbols(sheet, &chords, shows);
    let all: Vec<Vec<Piece>> = sheet.iter().zip(&chords).map(|(bar, own)| pieces(own, bar)).collect();
    let inner = inner_clefs(&line, concert);
    let common = divisions((0..sheet.len()).flat_map(|at| places(at, &all, &said, &inner, sheet)));
    let paper = Paper { reading: &reading, part: number, many: of.instruments.len() > 1 };
    let mut state = State::new();
    let rows = sheet.iter().zip(&chords).zip(&all).zip(said).zip(&clefs).zip(&rests).zip(&inner);
    for (at, ((((((bar, chords), pieces), said), clef), rests), inner)) in rows.enumerate() {
        let own = match common {
            Some(divisions) => divisions,
            None => {
                divisions(pieces.iter().flat_map(|p| [p.onset, p.length])).unwrap_or(MOST_DIVISIONS as u64)
            }
        };
        let measure = Measure {
            bar,
            chords,
            pieces,
            said,
            symbols: symbols.get(at).copied().unwrap_or(false),
            clef: *clef,
            inner,
            rests: *rests,
            divisions: own,
            last: at + 1 == sheet.len(),
        };
        out.push(measure.element(&paper, &mut state));
    }
    if out.is_bare() {
        // The standard asks for one measure at least.
        out.push(element("measure").with("number", 1));
    }
    out
}

/// Everybody waits: a chord that ends where others pause has the pause too.
fn pauses(clock: &Clock, sheet: &[SheetBar], chords: &mut [Vec<Chord>]) {
    let mut blocks: std::collections::HashMap<usize, Vec<(u32, Fraction, f64)>> = Default::default();
    for (bar, chords) in sheet.iter().zip(chords) {
        let Some((block, at)) = bar.place else { continue };
        let all = blocks.entry(block).or_insert_with(|| clock.pauses(block));
        for (_, after, seconds) in all.iter().filter(|(bar, ..)| *bar == at) {
            let mark = if *seconds > BREAK_SECONDS { Mark::Fermata } else { Mark::Break };
            for chord in chords.iter_mut() {
                let ends = chord.onset.plus(chord.length) == Some(*after);
                if ends && !chord.marks.has(Mark::Fermata) {
                    chord.marks.add(mark);
                }
            }
        }
    }
}

/// What stands over and under a player's bars, by bar, in order.
type Said = Vec<Vec<(Fraction, Element)>>;

fn said(line: &Line, player: &Player, part: usize) -> Said {
    let mut out: Said = vec![Vec::new(); line.len()];
    // The hairpin that is open: its bar, its place among what stands there, where it begins, which.
    let mut open: Option<(usize, usize, Fraction, bool)> = None;
    for (at, bar) in line.iter().enumerate() {
        for free in &bar.free {
            let louder = match free.what {
                Free::Crescendo => Some(true),
                Free::Diminuendo => Some(false),
                _ => None,
            };
            let ends = louder.is_some() || matches!(free.what, Free::Dynamic(_));
            if let Some((bar, place, onset, louder)) = open.take_if(|_| ends) {
                if (bar, onset) == (at, free.onset) {
                    swap(&mut out, bar, place, directions::gradual(louder));
                } else if let Some(here) = out.get_mut(at) {
                    here.push((free.onset, directions::wedge("stop")));
                }
            }
            let Some(here) = out.get_mut(at) else { continue };
            if let Some(louder) = louder {
                let kind = if louder { "crescendo" } else { "diminuendo" };
                open = Some((at, here.len(), free.onset, louder));
                here.push((free.onset, directions::wedge(kind)));
            } else if let Some(what) = directions::free(&free.what, player, part) {
                here.push((free.onset, what));
            }
        }
    }
    if let Some((bar, place, _, louder)) = open {
        swap(&mut out, bar, place, directions::gradual(louder));
    }
    out
}

fn swap(out: &mut Said, bar: usize, place: usize, with: Element) {
    if let Some((_, what)) = out.get_mut(bar).and_then(|bar| bar.get_mut(place)) {
        *what = with;
    }
}

/// What concerns everybody goes before what concerns this player.
fn over(desk: &Desk, sheet: &[SheetBar], said: &mut Said) {
    for (bar, said) in sheet.iter().zip(said.iter_mut()) {
        let own = std::mem::take(said);
        let over = bar.over.iter().map(|over| (over.onset, directions::over(&over.what)));
        *said = over.chain(own).collect();
    }
    if let (Some((_, stations)), Some(first)) = (&desk.score().head.roadmap, said.first_mut()) {
        let names: Vec<String> = stations
            .iter()
            .map(|(_, s)| if s.counted { format!("{} x{}", s.name, s.times) } else { s.name.clone() })
            .collect();
        first.insert(0, (Fraction::ZERO, directions::roadmap(&format!("Order: {}", names.join(", ")))));
    }
}

/// By bar: true if chord symbols stand over it. They are for those who improvise in the block, and in a score
/// for whoever reads the top stave.
fn symbols(sheet: &[SheetBar], chords: &[Vec<Chord>], shows: Shows) -> Vec<bool> {
    let block = |bar: &SheetBar| bar.place.map(|(block, _)| block);
    let free: std::collections::HashSet<usize> =
        sheet.iter().zip(chords).filter(|(_, c)| improvised(c)).filter_map(|(bar, _)| block(bar)).collect();
    let top = shows.leads && !shows.alone;
    sheet.iter().map(|bar| top || block(bar).is_some_and(|block| free.contains(&block))).collect()
}

/// Clefs that the score names inside a bar.
fn inner_clefs(line: &Line, concert: bool) -> Vec<Vec<(Fraction, Clef)>> {
    let named = |free: &crate::exchange::paper::FreeAt| match free.what {
        Free::Instruction(Instruction::Clef(clef)) if !concert && !free.onset.is_zero() => {
            Some((free.onset, clef))
        }
        _ => None,
    };
    line.iter().map(|bar| bar.free.iter().filter_map(named).collect()).collect()
}

/// All places and lengths of a bar.
fn places(
    at: usize,
    pieces: &[Vec<Piece>],
    said: &[Vec<(Fraction, Element)>],
    inner: &[Vec<(Fraction, Clef)>],
    sheet: &[SheetBar],
) -> Vec<Fraction> {
    let pieces = pieces.get(at).into_iter().flatten().flat_map(|p| [p.onset, p.length]);
    let said = said.get(at).into_iter().flatten().map(|(onset, _)| *onset);
    let inner = inner.get(at).into_iter().flatten().map(|(onset, _)| *onset);
    let chords = sheet.get(at).into_iter().flat_map(|bar| bar.chords.iter().map(|(onset, _)| *onset));
    let length = sheet.get(at).map(|bar| bar.length);
    pieces.chain(said).chain(inner).chain(chords).chain(length).collect()
}

/// The fewest parts of a quarter that all these are whole numbers of; `None` if they would be too many.
fn divisions(all: impl Iterator<Item = Fraction>) -> Option<u64> {
    let mut divisions: u128 = 1;
    for place in all {
        let quarters = place.denominator() as u128;
        // Whole notes of four quarters each.
        let quarters = quarters / gcd(quarters, 4);
        divisions = divisions / gcd(divisions, quarters) * quarters;
        if divisions > MOST_DIVISIONS {
            return None;
        }
    }
    u64::try_from(divisions).ok()
}

fn gcd(a: u128, b: u128) -> u128 {
    if b == 0 { a.max(1) } else { gcd(b, a % b) }
}

/// The key that a part shows.
pub fn signature(reading: &Reading<'_>, key: Option<Key>, interval: Interval) -> Signature {
    let shown = key.filter(|_| reading.concert || reading.player.signature);
    shown.and_then(|key| written_key(key, interval)).map_or(Signature::None, Signature::Key)
}
