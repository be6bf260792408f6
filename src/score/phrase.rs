//! Phrases: bars written once in the head and played anywhere.

use super::figure::{Timed, expand};
use super::names::normal;
use super::rhythm::{figure_fault, single_value};
use crate::brass::register::own_reading;
use crate::music::{Fraction, Interval};
use crate::notation::line::Line;
use crate::notation::tree::{Item, LineTree, PhraseLine, PlaceKind, Slice, What};
use crate::notation::{Fault, FaultName};
use std::collections::HashMap;
use std::sync::Arc;

/// More bars than this in one phrase, `play` inside it counted out, are refused.
const MOST_BARS: usize = 4096;

/// Phrases that play phrases deeper than this are refused.
const DEEPEST: usize = 64;

/// A phrase, read.
#[derive(Debug, Clone)]
pub struct Phrase {
    pub name: String,
    pub line: Arc<Line>,
    /// From the pitch it is written in to concert pitch.
    pub to_concert: Interval,
    /// Its bars, `play` and `%` resolved.
    pub bars: Vec<PhraseBar>,
    /// Times of the entries of its own bars.
    pub places: Vec<Timed>,
    /// Notes of its largest chord, those of the phrases it plays counted too.
    pub largest: usize,
}

impl Phrase {
    /// The parsed line.
    pub fn tree(&self) -> Option<&PhraseLine> {
        match &self.line.tree {
            LineTree::Phrase(tree) => Some(tree),
            _ => None,
        }
    }
}

/// A bar of a phrase.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhraseBar {
    /// Which phrase's line holds its entries, into [`Phrases`].
    pub phrase: u16,
    /// Bar of that line.
    pub items: u32,
    /// Into that phrase's places.
    pub places: Slice,
    /// Its length; `None` for a rest or a hold through any bar.
    pub total: Option<Fraction>,
    pub kind: PhraseKind,
    /// Added by `play … up m3` on the way.
    pub shift: Interval,
}

/// What a bar of a phrase is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhraseKind {
    Entries,
    Silence,
    Held,
}

/// All phrases of a score.
#[derive(Debug, Clone, Default)]
pub struct Phrases {
    all: Vec<Phrase>,
}

impl Phrases {
    /// By its name.
    pub fn find(&self, name: &str) -> Option<&Phrase> {
        let name = normal(name);
        self.all.iter().find(|p| p.name == name)
    }

    /// By its number.
    pub fn get(&self, index: u16) -> Option<&Phrase> {
        self.all.get(usize::from(index))
    }

    /// In the order they are declared.
    pub fn iter(&self) -> impl Iterator<Item = &Phrase> {
        self.all.iter()
    }

    /// The name that looks most like this one.
    pub fn nearest(&self, name: &str) -> Option<&str> {
        crate::notation::nearest::nearest(name, self.all.iter().map(|p| p.name.as_str()))
    }

    /// True if both were read from the same lines.
    pub fn same_lines(&self, other: &Phrases) -> bool {
        self.all.len() == other.all.len()
            && self.all.iter().zip(&other.all).all(|(a, b)| Arc::ptr_eq(&a.line, &b.line) && a.name == b.name)
    }
}

/// A phrase line of the head, with its name as declared.
pub struct Declared {
    pub name: String,
    pub line: Arc<Line>,
}

/// Reads all phrases; the faults carry the index of the declaration.
pub fn read_phrases(declared: Vec<Declared>) -> (Phrases, Vec<(usize, Fault)>) {
    let mut faults = Vec::new();
    let names: HashMap<String, usize> =
        declared.iter().enumerate().map(|(i, d)| (d.name.clone(), i)).collect();
    let mut all: Vec<Phrase> = declared
        .into_iter()
        .map(|d| {
            let read_in = match &d.line.tree {
                LineTree::Phrase(tree) => tree.read_in,
                _ => None,
            };
            let to_concert = read_in.map_or(Interval::UNISON, |r| own_reading(r.key, r.register));
            Phrase {
                name: d.name,
                line: d.line,
                to_concert,
                bars: Vec::new(),
                places: Vec::new(),
                largest: 1,
            }
        })
        .collect();
    let mut done = vec![Progress::Untouched; all.len()];
    for i in 0..all.len() {
        resolve(i, 0, &mut all, &names, &mut done, &mut faults);
    }
    (Phrases { all }, faults)
}

#[derive(Clone, Copy, PartialEq)]
enum Progress {
    Untouched,
    Open,
    Done,
}

fn resolve(
    index: usize,
    depth: usize,
    all: &mut [Phrase],
    names: &HashMap<String, usize>,
    done: &mut [Progress],
    faults: &mut Vec<(usize, Fault)>,
) {
    if done.get(index) != Some(&Progress::Untouched) {
        return;
    }
    set(done, index, Progress::Open);
    let Some(line) = all.get(index).map(|p| Arc::clone(&p.line)) else { return };
    let LineTree::Phrase(tree) = &line.tree else { return };
    let row = &tree.row;
    let mut bars: Vec<PhraseBar> = Vec::new();
    let mut places: Vec<Timed> = Vec::new();
    let chord = |item: &Item| match item.what {
        What::Chord(slice) | What::GraceChord(slice) => slice.of(&row.members).len(),
        _ => 1,
    };
    let mut largest = row.items.iter().map(chord).max().unwrap_or(1);
    for (b, bar) in row.bars.iter().enumerate() {
        let items = bar.items.of(&row.items);
        let simple = |kind| PhraseBar {
            phrase: index as u16,
            items: b as u32,
            places: Slice::default(),
            total: None,
            kind,
            shift: Interval::UNISON,
        };
        if let Some(item) = items.iter().find(|i| i.what.is_bars()) {
            match item.what {
                What::Rests(n) => bars.extend((0..n.max(1)).map(|_| simple(PhraseKind::Silence))),
                What::Again(n) => {
                    // First in a phrase there is nothing: the reading fault stands on the line already.
                    if let Some(before) = bars.last().copied() {
                        bars.extend((0..n.max(1)).map(|_| before));
                    }
                }
                What::Play(p) => {
                    let Some(play) = row.plays.get(p as usize) else { continue };
                    let name = play.phrase.of(&line.text);
                    let Some(inner) = names.get(normal(name).as_ref()).copied() else {
                        faults.push((
                            index,
                            Fault::new(
                                FaultName::UnknownName,
                                play.phrase,
                                format!("No phrase is called `{name}`."),
                            ),
                        ));
                        continue;
                    };
                    if depth >= DEEPEST && done.get(inner) == Some(&Progress::Untouched) {
                        faults.push((
                            index,
                            Fault::new(
                                FaultName::BadNumber,
                                play.phrase,
                                format!("Phrases that play phrases are followed {DEEPEST} deep, no deeper."),
                            ),
                        ));
                        continue;
                    }
                    resolve(inner, depth + 1, all, names, done, faults);
                    if done.get(inner) != Some(&Progress::Done) {
                        faults.push((
                            index,
                            Fault::new(
                                FaultName::NothingToRepeat,
                                play.phrase,
                                format!(
                                    "The phrase `{name}` would play itself, directly or through others: it would never end."
                                ),
                            ),
                        ));
                        continue;
                    }
                    largest = largest.max(all.get(inner).map_or(1, |p| p.largest));
                    let inner_bars = all.get(inner).map(|p| p.bars.clone()).unwrap_or_default();
                    for _ in 0..play.times.max(1) {
                        bars.extend(
                            inner_bars.iter().map(|b| PhraseBar { shift: b.shift.then(play.shift), ..*b }),
                        );
                        if bars.len() > MOST_BARS {
                            break;
                        }
                    }
                }
                _ => faults.push((
                    index,
                    Fault::new(
                        FaultName::Unreadable,
                        item.span,
                        "A phrase holds notes; improvised bars stand in a player's own row.",
                    ),
                )),
            }
        } else {
            bars.extend(own_bar(index, b as u32, bar, tree, items, &mut places, faults));
        }
        if bars.len() > MOST_BARS {
            bars.truncate(MOST_BARS);
            faults.push((
                index,
                Fault::new(
                    FaultName::BadNumber,
                    bar.span,
                    format!("This phrase would last more than {MOST_BARS} bars."),
                ),
            ));
            break;
        }
    }
    if let Some(phrase) = all.get_mut(index) {
        phrase.bars = bars;
        phrase.places = places;
        phrase.largest = largest;
    }
    set(done, index, Progress::Done);
}

fn set(done: &mut [Progress], index: usize, to: Progress) {
    if let Some(slot) = done.get_mut(index) {
        *slot = to;
    }
}

fn own_bar(
    index: usize,
    b: u32,
    bar: &crate::notation::tree::Bar,
    tree: &PhraseLine,
    items: &[Item],
    places: &mut Vec<Timed>,
    faults: &mut Vec<(usize, Fault)>,
) -> Option<PhraseBar> {
    let row = &tree.row;
    let mut here = PhraseBar {
        phrase: index as u16,
        items: b,
        places: Slice::default(),
        total: None,
        kind: PhraseKind::Entries,
        shift: Interval::UNISON,
    };
    let entries: Vec<&Item> = items.iter().filter(|i| i.what.is_entry()).collect();
    if !bar.has_figure {
        here.kind = match entries.as_slice() {
            [] => {
                if !bar.faulty {
                    faults.push((
                        index,
                        Fault::new(
                            FaultName::MissingValue,
                            bar.span,
                            "A bar of a phrase is never blank: write `-` for a bar's rest.",
                        ),
                    ));
                }
                PhraseKind::Silence
            }
            [only] if only.what == What::Rest => PhraseKind::Silence,
            [only] if only.what == What::Hold => PhraseKind::Held,
            _ => {
                if !bar.faulty {
                    faults.push((
                        index,
                        Fault::new(
                            FaultName::MissingValue,
                            super::row::list_span(items).unwrap_or(bar.span),
                            "Each bar of a phrase brings its own figure, such as `q :`; a phrase has no rhythm row.",
                        ),
                    ));
                }
                PhraseKind::Entries
            }
        };
        return Some(here);
    }
    let nodes = bar.nodes.of(&row.nodes);
    let count: usize = entries.iter().map(|i| usize::from(i.times.max(1))).sum();
    let start = places.len();
    let total = if let Some(value) = single_value(nodes) {
        let mut now = Fraction::ZERO;
        for _ in 0..count.min(super::figure::MOST_PLACES) {
            places.push(Timed { onset: now, length: value, kind: PlaceKind::Entry, fermata: false });
            now = now.plus(value)?;
        }
        now
    } else {
        match expand(nodes, places) {
            Ok(total) => {
                let wanted = places
                    .get(start..)
                    .unwrap_or_default()
                    .iter()
                    .filter(|p| p.kind == PlaceKind::Entry)
                    .count();
                if wanted != count && !bar.faulty {
                    faults.push((
                        index,
                        Fault::new(
                            FaultName::PlaceCount,
                            super::row::list_span(items).unwrap_or(bar.span),
                            format!("The figure has {wanted} places; there are {count} entries for them."),
                        ),
                    ));
                }
                total
            }
            Err(fault) => {
                places.truncate(start);
                if !bar.faulty {
                    faults.push((index, figure_fault(fault)));
                }
                return Some(here);
            }
        }
    };
    here.places = Slice { start: start as u32, end: places.len() as u32 };
    here.total = (!bar.faulty).then_some(total);
    Some(here)
}
