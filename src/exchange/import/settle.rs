//! Rows made ready to be written: slurs led from note to note, free things put before entries, gaps filled.

use super::lines::{Cell, Line, What};
use super::loss::Losses;
use super::music::{Bar, Free};
use crate::music::Fraction;
use crate::notation::tree::Mark;
use crate::score::figure::value_letters;

/// Makes a row ready.
pub fn settle(line: &mut Line, bars: &[Bar], switches: &[String], part: &str, losses: &mut Losses) {
    line.bars.resize_with(bars.len(), Default::default);
    for (at, (own, bar)) in line.bars.iter_mut().zip(bars).enumerate() {
        own.cells.retain(|c| c.onset < bar.length);
        for cell in &mut own.cells {
            let room = bar.length.minus(cell.onset).unwrap_or_default();
            if cell.length > room {
                losses.add("notes beyond the end of the bar", part, Some(at as i64));
                cell.length = room;
            }
        }
        fill(&mut own.cells, bar.length);
        own.free.sort_by_key(|(onset, _)| *onset);
    }
    free(line, bars, switches, part, losses);
    lead(line, part, losses);
}

/// Rests where nothing stands.
fn fill(cells: &mut Vec<Cell>, length: Fraction) {
    let mut out: Vec<Cell> = Vec::with_capacity(cells.len());
    let mut now = Fraction::ZERO;
    for cell in cells.drain(..) {
        if let Some(gap) = cell.onset.minus(now).filter(|gap| *gap > Fraction::ZERO) {
            out.push(Cell { onset: now, length: gap, ratio: (1, 1), ..Cell::default() });
        }
        now = cell.onset.plus(cell.length).unwrap_or(now);
        out.push(cell);
    }
    if let Some(gap) = length.minus(now).filter(|gap| *gap > Fraction::ZERO) {
        out.push(Cell { onset: now, length: gap, ratio: (1, 1), ..Cell::default() });
    }
    *cells = out;
}

/// Puts free things before the entry where they stand; a long note is parted for them.
fn free(line: &mut Line, bars: &[Bar], switches: &[String], part: &str, losses: &mut Losses) {
    let mut late: Vec<String> = Vec::new();
    let mut level: Option<&'static str> = None;
    let count = line.bars.len();
    for at in 0..count {
        // What ends a hairpin is the next level; a hairpin that ends without one goes on.
        let next_levels: bool = line
            .bars
            .get(at + 1)
            .is_some_and(|b| b.free.iter().any(|(onset, f)| onset.is_zero() && matches!(f, Free::Level(_))));
        let Some(own) = line.bars.get_mut(at) else { continue };
        let all = std::mem::take(&mut own.free);
        if let Some(first) = own.cells.first_mut() {
            first.before.append(&mut late);
        }
        for (i, (onset, what)) in all.iter().enumerate() {
            let said = match what {
                Free::Said(said) => said.clone(),
                Free::Clef(word) => format!("[clef {word}]"),
                Free::Switch(index) => match switches.get(*index) {
                    Some(name) => format!("[switch {name}]"),
                    None => continue,
                },
                Free::Level(word) => {
                    level = Some(word);
                    (*word).to_owned()
                }
                Free::LevelEnds => {
                    let length = bars.get(at).map_or(Fraction::ZERO, |b| b.length);
                    let answered = all.iter().enumerate().any(|(j, (o, f))| {
                        matches!(f, Free::Level(_)) && (o > onset || (o == onset && j != i))
                    }) || (*onset >= length && next_levels);
                    if !answered && matches!(level, Some("cresc" | "dim")) {
                        losses.add("a hairpin's end where no dynamic stands", part, Some(at as i64));
                    }
                    continue;
                }
            };
            if !put(own, *onset, &said) {
                late.push(said);
            }
        }
    }
    if !late.is_empty() {
        losses.add("dynamics or words behind the last note", part, Some(count as i64 - 1));
    }
}

/// False where it takes effect with the next bar.
fn put(own: &mut super::lines::LineBar, onset: Fraction, said: &str) -> bool {
    let level = !said.starts_with(['"', '[']);
    let at = own.cells.iter().position(|c| c.onset >= onset);
    let inside =
        own.cells.iter().position(|c| c.onset < onset && c.onset.plus(c.length).is_some_and(|e| e > onset));
    if let (Some(i), true) = (inside, level)
        && let Some(cell) =
            own.cells.get(i).filter(|c| c.what != What::Rest && c.inside.is_empty() && c.ratio == (1, 1))
        && let (Some(first), Some(second)) =
            (onset.minus(cell.onset), cell.onset.plus(cell.length).and_then(|e| e.minus(onset)))
        && value_letters(first).is_some()
        && value_letters(second).is_some()
    {
        let (head, tail) = parted(cell, onset, first, second, said);
        own.cells.splice(i..=i, [head, tail]);
        return true;
    }
    // A change of hands may come before a rest that has begun; it never comes later than its note.
    match at.and_then(|at| own.cells.get_mut(at)) {
        Some(cell) => {
            cell.before.push(said.to_owned());
            true
        }
        None => false,
    }
}

/// A note and its hold.
fn parted(cell: &Cell, onset: Fraction, first: Fraction, second: Fraction, said: &str) -> (Cell, Cell) {
    let mut head = Cell { length: first, ..cell.clone() };
    let mut tail = Cell {
        onset,
        length: second,
        ratio: (1, 1),
        what: What::Hold,
        before: vec![said.to_owned()],
        ..Cell::default()
    };
    // What belongs to the end of a note goes with it.
    let at_end = [",", ",,", ":fermata", ":fall", ":doit"];
    let (late, early): (Vec<String>, Vec<String>) =
        std::mem::take(&mut head.signs.marks).into_iter().partition(|m| at_end.contains(&m.as_str()));
    head.signs.marks = early;
    tail.signs.marks = late;
    tail.signs.glides = std::mem::take(&mut head.signs.glides);
    tail.signs.slur_stops = std::mem::take(&mut head.signs.slur_stops);
    (head, tail)
}

/// True where the player takes something else in hand, which ends a slur.
fn changes(line: &Line, (bar, at): (usize, usize)) -> bool {
    const WORDS: [&str; 7] = ["[mute", "[open", "[switch", "[hand", "[stopped", "[flutter", "[plain"];
    let cell = line.bars.get(bar).and_then(|b| b.cells.get(at));
    cell.is_some_and(|c| c.before.iter().any(|b| WORDS.iter().any(|w| b.starts_with(w))))
}

/// Slurs and glissandos lead from a note to the next one.
fn lead(line: &mut Line, part: &str, losses: &mut Losses) {
    #[derive(Clone, Copy, PartialEq)]
    enum Step {
        Grace(usize),
        Note,
        Hold,
        Rest,
    }
    let mut steps: Vec<(usize, usize, Step)> = Vec::new();
    for (bar, own) in line.bars.iter().enumerate() {
        for (at, cell) in own.cells.iter().enumerate() {
            steps.extend((0..cell.graces.len()).map(|n| (bar, at, Step::Grace(n))));
            steps.push(match cell.what {
                What::Rest => (bar, at, Step::Rest),
                What::Hold => (bar, at, Step::Hold),
                What::Sound(_) => (bar, at, Step::Note),
            });
        }
    }
    let mut open: i64 = 0;
    let mut i = 0;
    while let Some(&(bar, at, step)) = steps.get(i) {
        // A note with its holds.
        let mut end = i + 1;
        if step == Step::Note {
            while steps.get(end).is_some_and(|s| s.2 == Step::Hold) {
                end += 1;
            }
        }
        let chain = steps.get(i..end).unwrap_or_default();
        let next = steps.get(end).copied();
        let (mut starts_at, mut glides_at) = (None, None);
        for (n, (bar, at, step)) in chain.iter().enumerate() {
            let Some(cell) = line.bars.get(*bar).and_then(|b| b.cells.get(*at)) else { continue };
            let signs = match step {
                Step::Grace(n) => cell.graces.get(*n).map(|g| &g.1),
                _ => Some(&cell.signs),
            };
            let Some(signs) = signs else { continue };
            open = (open - i64::from(signs.slur_stops)).max(0);
            if signs.slur_starts > 0 && open == 0 {
                starts_at = Some(n);
            }
            open += i64::from(signs.slur_starts);
            if signs.glides {
                glides_at = Some(n);
            }
        }
        let to_note = next.is_some_and(|(bar, at, step)| {
            let held = chain.iter().skip(1).map(|(bar, at, _)| (*bar, *at));
            matches!(step, Step::Note | Step::Grace(_))
                && !held.chain([(bar, at)]).any(|at| changes(line, at))
        });
        let sounds = step != Step::Rest;
        let mut add = |n: usize, mark: &str, losses: &mut Losses| {
            if !to_note {
                losses.add("a slur or glissando that leads to no note", part, Some(bar as i64));
                return;
            }
            let Some((bar, at, step)) = chain.get(n) else { return };
            let Some(cell) = line.bars.get_mut(*bar).and_then(|b| b.cells.get_mut(*at)) else { return };
            match step {
                Step::Grace(n) => {
                    if let Some(grace) = cell.graces.get_mut(*n) {
                        grace.1.marks.push(mark.to_owned());
                    }
                }
                _ => cell.signs.marks.push(mark.to_owned()),
            }
        };
        if sounds && open > 0 {
            add(starts_at.unwrap_or(0), "_", losses);
            if !to_note {
                open = 0;
            }
        }
        if let Some(n) = glides_at.filter(|_| sounds) {
            add(n, ":gliss", losses);
        }
        if !sounds {
            open = 0;
        }
        let _ = at;
        i = end;
    }
    carried(line, part, losses);
}

/// Marks that cannot stand where they stand are taken away, and told.
fn carried(line: &mut Line, part: &str, losses: &mut Losses) {
    let signs = |marks: &[Mark]| marks.iter().map(|m| m.sign()).collect::<Vec<_>>();
    let (on_hold, on_rest) = (signs(&Mark::ON_HOLD), signs(&Mark::ON_REST));
    for (bar, own) in line.bars.iter_mut().enumerate() {
        for cell in &mut own.cells {
            let allowed: Option<&[&str]> = match &cell.what {
                What::Rest => Some(&on_rest),
                What::Hold => Some(&on_hold),
                What::Sound(_) => None,
            };
            if let Some(allowed) = allowed {
                cell.signs.marks.retain(|mark| {
                    let keeps = allowed.contains(&mark.split('=').next().unwrap_or_default());
                    if !keeps {
                        losses.add(format!("\"{mark}\" at a held note or a rest"), part, Some(bar as i64));
                    }
                    keeps
                });
            }
            for (_, signs) in &mut cell.graces {
                signs.marks.retain(|mark| {
                    let keeps = matches!(mark.as_str(), "." | ">" | "_") || mark.starts_with('@');
                    if !keeps {
                        losses.add(format!("\"{mark}\" at a grace note"), part, Some(bar as i64));
                    }
                    keeps
                });
            }
        }
    }
}
