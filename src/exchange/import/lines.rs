//! Parts dealt to people: what everybody plays, entry by entry.

use super::loss::Losses;
use super::music::{Bar, Entry, Free, Grace, Part, Signs, Tone, Tuplet, Voice};
use crate::music::{Fraction, Pitch};

/// Notes at once that are shared among people of one stave; a stave with more is no brass part.
const MOST: usize = 8;

/// One row of the score: a player, or a part with seats.
#[derive(Debug, Default)]
pub struct Line {
    /// Bar by bar.
    pub bars: Vec<LineBar>,
}

/// A bar of a row.
#[derive(Debug, Default)]
pub struct LineBar {
    pub cells: Vec<Cell>,
    pub free: Vec<(Fraction, Free)>,
    pub improvised: bool,
}

/// An entry.
#[derive(Debug, Clone, Default)]
pub struct Cell {
    pub onset: Fraction,
    pub length: Fraction,
    pub ratio: (u32, u32),
    pub inside: Vec<Tuplet>,
    pub what: What,
    pub graces: Vec<(String, Signs)>,
    pub signs: Signs,
    /// What stands before it and takes no time, as written.
    pub before: Vec<String>,
}

#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum What {
    #[default]
    Rest,
    Hold,
    /// Pitches as written.
    Sound(String),
}

/// What one person does.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Does {
    Rest,
    Hold,
    Strike(Pitch),
}

/// The rows of a part: one, or as many as notes sound at once.
pub fn lines(part: &Part, bars: &[Bar], losses: &mut Losses) -> Vec<Line> {
    let needed = part.measures.iter().map(people).max().unwrap_or(1).clamp(1, MOST);
    let one_row =
        part.seats > 1 && part.measures.iter().all(|m| m.voices.len() <= 1) && needed <= part.seats as usize;
    let persons = if one_row { part.seats as usize } else { needed };
    if !one_row && persons > 1 {
        losses.add(
            format!("several notes at once: shared to {persons} players, single notes to all of them"),
            &part.name,
            None,
        );
    }
    if !one_row && part.seats > 1 && persons > 1 {
        losses.add(
            format!("a section of {} people: written as {persons} players", part.seats),
            &part.name,
            None,
        );
    }
    let rows = if one_row { 1 } else { persons };
    let mut all: Vec<Line> = (0..rows).map(|_| Line::default()).collect();
    let mut held: Vec<Option<Pitch>> = vec![None; persons];
    for (at, measure) in part.measures.iter().enumerate() {
        let mut cells: Vec<Vec<Cell>> = vec![Vec::new(); rows];
        let length = bars.get(at).map_or(Fraction::ZERO, |b| b.length);
        let mut playing = 0;
        for (voice, mine) in dealt(&measure.voices, persons) {
            playing = mine.end;
            let mut end = Fraction::ZERO;
            for entry in &voice.entries {
                if entry.onset > end {
                    mine.clone().for_each(|p| held.get_mut(p).map_or((), |h| *h = None));
                }
                end = entry.onset.plus(entry.length).unwrap_or(end);
                let does = assign(entry, mine.clone(), &mut held, at, &part.name, losses);
                if one_row {
                    if let Some(row) = cells.first_mut() {
                        row.push(together(entry, &does));
                    }
                    continue;
                }
                for (n, (person, does)) in mine.clone().zip(&does).enumerate() {
                    if let Some(row) = cells.get_mut(person) {
                        row.push(single(entry, *does, n, mine.len()));
                    }
                }
            }
            if end < length {
                held.get_mut(mine).unwrap_or_default().fill(None);
            }
        }
        // Whoever plays no voice of this bar holds nothing over it.
        held.get_mut(playing..).unwrap_or_default().fill(None);
        for (row, cells) in all.iter_mut().zip(cells) {
            row.bars.push(LineBar { cells, free: measure.free.clone(), improvised: measure.slashes });
        }
    }
    all
}

/// Notes at once.
fn people(measure: &super::music::Measure) -> usize {
    let most = |voice: &Voice| voice.entries.iter().map(|e| e.tones.len()).max().unwrap_or(0).max(1);
    measure.voices.iter().map(most).sum()
}

/// Which people play which voice: each voice as many as it has notes at once, the first all that are left over.
fn dealt(voices: &[Voice], persons: usize) -> Vec<(&Voice, std::ops::Range<usize>)> {
    let need = |voice: &Voice| voice.entries.iter().map(|e| e.tones.len()).max().unwrap_or(0).max(1);
    let sum: usize = voices.iter().map(need).sum();
    let mut spare = persons.saturating_sub(sum);
    let mut from = 0;
    let mut all = Vec::new();
    for voice in voices {
        let many = (need(voice) + std::mem::take(&mut spare)).min(persons - from);
        if many > 0 {
            all.push((voice, from..from + many));
        }
        from += many;
    }
    all
}

/// What each of the people does in an entry, from the top.
fn assign(
    entry: &Entry,
    mine: std::ops::Range<usize>,
    held: &mut [Option<Pitch>],
    bar: usize,
    part: &str,
    losses: &mut Losses,
) -> Vec<Does> {
    let people = mine.len();
    let tones = entry.tones.get(..entry.tones.len().min(people)).unwrap_or_default();
    if tones.len() < entry.tones.len() {
        losses.add("notes of a chord beyond the eighth", part, Some(bar as i64));
    }
    let Some(held) = held.get_mut(mine) else { return Vec::new() };
    let does: Vec<Does> = if tones.is_empty() {
        vec![Does::Rest; people]
    } else {
        kept(tones, held).unwrap_or_else(|| {
            if tones.iter().any(|t| t.tied) {
                losses.add(
                    "a tie to a note that this player did not have: struck anew",
                    part,
                    Some(bar as i64),
                );
            }
            let by_place =
                |i: usize| tones.get(i * tones.len() / people.max(1)).map(|t| Does::Strike(t.pitch));
            (0..people).map(|i| by_place(i).unwrap_or(Does::Rest)).collect()
        })
    };
    for (slot, does) in held.iter_mut().zip(&does) {
        match does {
            Does::Rest => *slot = None,
            Does::Hold => {}
            Does::Strike(pitch) => *slot = Some(*pitch),
        }
    }
    does
}

/// Where notes are tied, whoever has them holds them and the others take what is left; `None` where that does not
/// come out, or nothing is tied.
fn kept(tones: &[Tone], held: &[Option<Pitch>]) -> Option<Vec<Does>> {
    if !tones.iter().any(|t| t.tied) {
        return None;
    }
    let tied = |pitch: Pitch| tones.iter().any(|t| t.tied && t.pitch.midi() == pitch.midi());
    let mut does: Vec<Option<Does>> =
        held.iter().map(|h| h.filter(|pitch| tied(*pitch)).map(|_| Does::Hold)).collect();
    let holds = |tone: &Tone| held.iter().any(|h| h.is_some_and(|p| p.midi() == tone.pitch.midi()));
    if tones.iter().any(|t| t.tied && !holds(t)) {
        return None;
    }
    let new: Vec<Pitch> = tones.iter().filter(|t| !t.tied).map(|t| t.pitch).collect();
    let mut free = does.iter().filter(|d| d.is_none()).count();
    // Of several who hold one note, some may take another.
    while free < new.len() {
        let many = |at: &usize| {
            let own = held.get(*at).copied().flatten();
            does.iter().zip(held).filter(|(d, h)| d.is_some() && **h == own).count() > 1
        };
        let at = (0..does.len()).rev().find(|at| does.get(*at).is_some_and(Option::is_some) && many(at))?;
        *does.get_mut(at)? = None;
        free += 1;
    }
    for (next, slot) in does.iter_mut().filter(|d| d.is_none()).enumerate() {
        let pitch = new.get(next * new.len() / free.max(1));
        *slot = Some(pitch.map_or(Does::Rest, |p| Does::Strike(*p)));
    }
    Some(does.into_iter().flatten().collect())
}

fn plain(entry: &Entry) -> Cell {
    Cell {
        onset: entry.onset,
        length: entry.length,
        ratio: entry.ratio,
        inside: entry.inside.clone(),
        signs: entry.signs.clone(),
        ..Cell::default()
    }
}

/// One person's entry.
fn single(entry: &Entry, does: Does, at: usize, people: usize) -> Cell {
    let mut cell = plain(entry);
    cell.what = match does {
        Does::Rest => What::Rest,
        Does::Hold => What::Hold,
        Does::Strike(pitch) => What::Sound(pitch.to_string()),
    };
    if matches!(cell.what, What::Sound(_)) {
        let mine = |grace: &Grace| {
            let pitch = grace.pitches.get(at * grace.pitches.len() / people.max(1))?;
            Some((pitch.to_string(), grace.signs.clone()))
        };
        cell.graces = entry.graces.iter().filter_map(mine).collect();
    }
    cell
}

/// The entry of a row for several people.
fn together(entry: &Entry, does: &[Does]) -> Cell {
    let mut cell = plain(entry);
    let all = |what: Does| does.iter().all(|d| *d == what);
    cell.what = if all(Does::Rest) {
        What::Rest
    } else if all(Does::Hold) {
        What::Hold
    } else {
        let struck = does.iter().all(|d| matches!(d, Does::Strike(_)));
        let mut pitches: Vec<String> = if struck {
            entry.tones.iter().map(|t| t.pitch.to_string()).collect()
        } else {
            let said = |d: &Does| match d {
                Does::Rest => "-".to_owned(),
                Does::Hold => "=".to_owned(),
                Does::Strike(pitch) => pitch.to_string(),
            };
            does.iter().map(said).collect()
        };
        pitches.reverse();
        What::Sound(chord(&pitches))
    };
    if matches!(cell.what, What::Sound(_)) {
        let pitches = |grace: &Grace| grace.pitches.iter().rev().map(Pitch::to_string).collect::<Vec<_>>();
        cell.graces = entry.graces.iter().map(|g| (chord(&pitches(g)), g.signs.clone())).collect();
    }
    cell
}

fn chord(pitches: &[String]) -> String {
    match pitches {
        [one] => one.clone(),
        all => format!("({})", all.join(" ")),
    }
}
