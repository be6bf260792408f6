//! A music row read: what stands in each bar of the block, and when.

use super::figure::{Timed, expand};
use super::phrase::{PhraseBar, Phrases};
use super::rhythm::{RhythmRead, Ruling, figure_fault, single_value, wrong_length};
use super::wording::{capital, in_meter, lengths as many, number, there_are};
use crate::music::{Fraction, Interval};
use crate::notation::fault::{Fix, Weight};
use crate::notation::tree::{Bar, Item, Member, MemberKind, PlaceKind, Row, Slice, What};
use crate::notation::{Fault, FaultName, Span};

/// One bar of the block as this row fills it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Bar of the block, from 0.
    pub bar: u32,
    /// Bar of the row that says so, into the row's bars.
    pub source: u32,
    /// First bar of what the source says: free things before the timed thing count here.
    pub first: bool,
    /// Last bar of it: free things after the timed thing count here.
    pub last: bool,
    pub content: Content,
}

/// What happens in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Content {
    /// The entries of bar `items` of this row at these places.
    Entries { items: u32, places: Places },
    /// Rest through the bar.
    Silence,
    /// The note before held through the bar.
    Held,
    /// Improvised over the chord symbols.
    Improvised,
    /// A bar of a phrase, moved by an interval.
    Phrase { bar: PhraseBar, shift: Interval },
}

/// Where the times of a bar's entries stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Places {
    /// In [`RowRead::places`].
    Own(Slice),
    /// In the ruling rhythm row.
    Ruled(Slice),
    /// Nowhere: a fault says why. Pitches are still known.
    Unknown,
}

/// A music row read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RowRead {
    pub cells: Vec<Cell>,
    pub places: Vec<Timed>,
    pub faults: Vec<Fault>,
    /// Bars of the block this row reaches over, blank ones included.
    pub bars: u32,
}

impl RowRead {
    /// Times of a cell's entries.
    pub fn timed<'a>(&'a self, places: Places, rhythm: Option<&'a RhythmRead>) -> &'a [Timed] {
        match places {
            Places::Own(slice) => slice.of(&self.places),
            Places::Ruled(slice) => rhythm.map_or(&[][..], |r| slice.of(&r.places)),
            Places::Unknown => &[],
        }
    }
}

/// What a row is read against.
pub struct RowContext<'a> {
    pub text: &'a str,
    pub row: &'a Row,
    pub rhythm: Option<&'a RhythmRead>,
    /// Lengths of the block's bars.
    pub lengths: &'a [Fraction],
    pub phrases: &'a Phrases,
}

/// How many bars of a block a row covers.
pub fn bar_count(row: &Row, text: &str, phrases: &Phrases) -> u32 {
    row.bars.iter().fold(0, |bars: u32, bar| bars.saturating_add(bar_span(bar, row, text, phrases)))
}

/// How many bars of a block one bar of a row stands for.
pub fn bar_span(bar: &Bar, row: &Row, text: &str, phrases: &Phrases) -> u32 {
    bar.items.of(&row.items).iter().find_map(|item| span_of_bars(item, row, text, phrases)).unwrap_or(1)
}

fn span_of_bars(item: &Item, row: &Row, text: &str, phrases: &Phrases) -> Option<u32> {
    match item.what {
        What::Rests(n) | What::Again(n) | What::Improvise(n) => Some(u32::from(n.max(1))),
        What::Play(i) => {
            let play = row.plays.get(i as usize)?;
            let length = phrases.find(play.phrase.of(text)).map_or(1, |p| p.bars.len().max(1) as u32);
            Some(length.saturating_mul(u32::from(play.times.max(1))))
        }
        _ => None,
    }
}

/// Reads a music row.
pub fn read_row(context: &RowContext<'_>) -> RowRead {
    let mut reader = Reader { context, read: RowRead::default(), before: None, before_unread: false };
    for (i, bar) in context.row.bars.iter().enumerate() {
        reader.bar(i as u32, bar);
    }
    reader.read
}

struct Reader<'a> {
    context: &'a RowContext<'a>,
    read: RowRead,
    /// Cell that `%` repeats.
    before: Option<Cell>,
    /// True if there is none because it could not be read.
    before_unread: bool,
}

impl Reader<'_> {
    fn bar(&mut self, source: u32, bar: &Bar) {
        let items = bar.items.of(&self.context.row.items);
        let length = self.context.lengths.get(self.read.bars as usize).copied();
        if let Some(item) = items.iter().find(|item| item.what.is_bars()) {
            self.many_bars(source, item);
            return;
        }
        let here = self.read.bars;
        self.read.bars += 1;
        let mut entries = items.iter().filter(|item| item.what.is_entry());
        let first = entries.next();
        let cell = |content| Cell { bar: here, source, first: true, last: true, content };
        let cell = match (first, bar.has_figure) {
            (None, false) if bar.faulty || items.is_empty() => {
                // A blank bar says nothing, and neither does one that could not be read.
                self.before = None;
                self.before_unread = bar.faulty;
                return;
            }
            (None, false) => {
                // Free things only: the reading fault stands already. They count all the same.
                cell(Content::Silence)
            }
            (Some(item), false) if item.times <= 1 && alone(item, items) => match item.what {
                What::Rest => cell(Content::Silence),
                _ => cell(Content::Held),
            },
            _ => {
                let places = self.places(bar, items, length, here);
                cell(Content::Entries { items: source, places })
            }
        };
        self.read.cells.push(cell);
        self.before = Some(cell);
    }

    /// Works out the times of a bar's entries and reports what does not add up.
    fn places(&mut self, bar: &Bar, items: &[Item], length: Option<Fraction>, here: u32) -> Places {
        let entries = entry_count(items);
        let nodes = bar.nodes.of(&self.context.row.nodes);
        let list = list_span(items).unwrap_or(bar.span);
        if bar.has_figure {
            if let Some(value) = single_value(nodes) {
                return self.single(value, items, length, Some(bar.figure), bar.faulty);
            }
            let start = self.read.places.len();
            return match expand(nodes, &mut self.read.places) {
                Ok(total) => {
                    let slice = Slice { start: start as u32, end: self.read.places.len() as u32 };
                    let wrong = length.filter(|l| *l != total);
                    if bar.faulty {
                        return Places::Own(slice);
                    }
                    if let Some(length) = wrong {
                        self.read.faults.push(wrong_length(bar.figure, total, length));
                    } else {
                        let wanted = wanted(slice.of(&self.read.places));
                        self.count(items, wanted, list, false);
                    }
                    Places::Own(slice)
                }
                Err(fault) => {
                    self.read.places.truncate(start);
                    if !bar.faulty {
                        self.read.faults.push(figure_fault(fault));
                    }
                    Places::Unknown
                }
            };
        }
        match self.context.rhythm.map_or(Ruling::Blank, |r| r.ruling(here)) {
            Ruling::Blank => {
                if !bar.faulty {
                    let start = items.first().map_or(list.start, |item| item.span.start);
                    self.missing_value(list, start, entries, length);
                }
                Places::Unknown
            }
            Ruling::Faulty => Places::Unknown,
            Ruling::Single(value) => self.single(value, items, length, None, bar.faulty),
            Ruling::Places(slice) => {
                if !bar.faulty
                    && let Some(rhythm) = self.context.rhythm
                {
                    self.count(items, wanted(slice.of(&rhythm.places)), list, true);
                }
                Places::Ruled(slice)
            }
        }
    }

    /// `start` is where a figure would stand: before free things and graces too.
    fn missing_value(&mut self, list: Span, start: u32, entries: usize, length: Option<Fraction>) {
        let fault = Fault::new(
            FaultName::MissingValue,
            list,
            "Nothing says how long these notes are: give the bar a figure (such as `q :`) or a rhythm row above.",
        );
        let even = length
            .and_then(|l| l.over(Fraction::new(i64::try_from(entries).ok()?, 1)?))
            .filter(|unit| super::figure::is_single_value(*unit))
            .and_then(super::figure::value_letters)
            .filter(|letters| !letters.contains('+'));
        self.read.faults.push(match even {
            Some(letters) => fault.fixed_by(
                format!("Make every note of this bar `{letters}`"),
                Span::new(start, start),
                format!("{letters} : "),
            ),
            None => fault,
        });
    }

    /// One value rules every entry.
    fn single(
        &mut self,
        value: Fraction,
        items: &[Item],
        length: Option<Fraction>,
        figure: Option<Span>,
        faulty: bool,
    ) -> Places {
        let entries = entry_count(items);
        let list = list_span(items).unwrap_or_default();
        let bar_has_figure = figure.is_some();
        let figure = figure.unwrap_or(list);
        let start = self.read.places.len();
        let mut now = Fraction::ZERO;
        for _ in 0..entries.min(super::figure::MOST_PLACES) {
            self.read.places.push(Timed {
                onset: now,
                length: value,
                kind: PlaceKind::Entry,
                fermata: false,
            });
            let Some(next) = now.plus(value) else { break };
            now = next;
        }
        if let Some(length) = length
            && now != length
            && !faulty
        {
            let fits = length.over(value).filter(|n| n.is_whole()).map(Fraction::numerator);
            self.read.faults.push(match fits {
                Some(n) => Fault::new(
                    FaultName::PlaceCount,
                    surplus(items, usize::try_from(n).unwrap_or(0)).unwrap_or(list),
                    format!(
                        "{} {} this bar; {}.",
                        capital(&many(usize::try_from(n).unwrap_or(0), value)),
                        if n == 1 { "fills" } else { "fill" },
                        there_are(entries)
                    ),
                ),
                None => {
                    let mut fault = wrong_length(figure, now, length);
                    if !bar_has_figure {
                        // A rest for the figure has no place in a list.
                        fault.fix = None;
                    } else if entries > 1
                        && let Some((_, rests)) = fault.fix.as_mut().and_then(|fix| fix.edits.first_mut())
                    {
                        // Beside a rest the value no longer rules every entry.
                        *rests = format!("*{entries}{rests}");
                    }
                    fault
                }
            });
        }
        Places::Own(Slice { start: start as u32, end: self.read.places.len() as u32 })
    }

    fn count(&mut self, items: &[Item], wanted: usize, list: Span, ruled: bool) {
        let entries = entry_count(items);
        if wanted == entries {
            return;
        }
        let whose = if ruled { "The rhythm row" } else { "The figure" };
        let plural = if wanted == 1 { "" } else { "s" };
        let fault = Fault::new(
            FaultName::PlaceCount,
            surplus(items, wanted).unwrap_or(list),
            format!(
                "{whose} has {} place{plural} here; {} to put on {}.",
                number(wanted),
                there_are(entries),
                if wanted == 1 { "it" } else { "them" }
            ),
        );
        self.read.faults.push(match wanted.checked_sub(entries) {
            Some(missing) => fault.fixed_by(
                "Fill the places that are left with rests",
                Span::new(list.end, list.end),
                " -".repeat(missing),
            ),
            None => fault,
        });
    }

    fn many_bars(&mut self, source: u32, item: &Item) {
        match item.what {
            What::Rests(n) => self.spread(source, u32::from(n), |_| Content::Silence),
            What::Improvise(n) => self.spread(source, u32::from(n), |_| Content::Improvised),
            What::Again(n) => self.again(source, item.span, n),
            What::Play(i) => self.play(source, item.span, i),
            _ => {}
        }
        if !matches!(item.what, What::Again(_)) {
            self.before = None;
            self.before_unread = false;
        }
    }

    fn spread(&mut self, source: u32, n: u32, content: impl Fn(u32) -> Content) {
        let n = n.max(1);
        let start = self.read.bars;
        // A block that is too long has been cut off; what lies beyond its end is not kept.
        let room = (self.context.lengths.len() as u32).saturating_sub(start);
        for i in 0..n.min(room) {
            let cell = Cell { bar: start + i, source, first: i == 0, last: i + 1 == n, content: content(i) };
            self.read.cells.push(cell);
        }
        self.read.bars = start.saturating_add(n);
    }

    fn again(&mut self, source: u32, span: Span, n: u16) {
        let n = u32::from(n.max(1));
        let Some(before) = self.before else {
            self.read.bars = self.read.bars.saturating_add(n);
            if self.before_unread {
                return;
            }
            self.read.faults.push(Fault::new(
                FaultName::NothingToRepeat,
                span,
                "`%` repeats the bar before it in the same row, and there is none that could be repeated. Write the bar out.",
            ));
            return;
        };
        let length = self.context.lengths.get(before.bar as usize).copied();
        for i in 0..n {
            let here = self.read.bars;
            self.read.bars = self.read.bars.saturating_add(1);
            if self.context.lengths.get(here as usize).copied() != length
                && matches!(before.content, Content::Entries { .. })
            {
                self.read.faults.push(Fault::new(
                    FaultName::BarLength,
                    span,
                    format!(
                        "The bar before lasts {}, this one {}: it cannot be repeated here. Write the bar out.",
                        length.map_or_else(String::new, in_meter),
                        self.context.lengths.get(here as usize).copied().map_or_else(String::new, in_meter),
                    ),
                ));
                // The bars after it stay where they are.
                self.read.bars = self.read.bars.saturating_add(n - i - 1);
                return;
            }
            self.read.cells.push(Cell {
                bar: here,
                source,
                first: i == 0,
                last: i + 1 == n,
                content: before.content,
            });
        }
    }

    fn play(&mut self, source: u32, span: Span, index: u32) {
        let Some(play) = self.context.row.plays.get(index as usize) else { return };
        let name = play.phrase.of(self.context.text);
        let Some(phrase) = self.context.phrases.find(name) else {
            let fault = Fault::new(
                FaultName::UnknownName,
                play.phrase,
                format!("No phrase is called `{name}`. Phrases stand in the head: `phrase {name} | … |`."),
            );
            self.read.faults.push(match self.context.phrases.nearest(name) {
                Some(near) => fault.fixed_by(format!("Play `{near}`"), play.phrase, near),
                None => fault,
            });
            self.read.bars = self.read.bars.saturating_add(u32::from(play.times.max(1)));
            return;
        };
        if phrase.bars.is_empty() {
            self.read.bars = self.read.bars.saturating_add(u32::from(play.times.max(1)));
            return;
        }
        let n = phrase.bars.len() as u32 * u32::from(play.times.max(1));
        let start = self.read.bars;
        for i in 0..n.min((self.context.lengths.len() as u32).saturating_sub(start)) {
            let bar = phrase.bars.get(i as usize % phrase.bars.len());
            let length = self.context.lengths.get((start + i) as usize).copied();
            if let (Some(bar), Some(length)) = (bar, length)
                && let Some(total) = bar.total
                && total != length
            {
                self.read.faults.push(Fault::new(
                    FaultName::BarLength,
                    span,
                    format!(
                        "Bar {} of the phrase `{name}` lasts {}; the bar it would fill here lasts {}.",
                        i as usize % phrase.bars.len() + 1,
                        in_meter(total),
                        in_meter(length)
                    ),
                ));
                break;
            }
        }
        let shift = play.shift;
        let bars = phrase.bars.clone();
        self.spread(source, n, |i| match bars.get(i as usize % bars.len()) {
            Some(bar) => Content::Phrase { bar: *bar, shift },
            None => Content::Silence,
        });
    }
}

/// Entries of a bar, copies counted.
fn entry_count(items: &[Item]) -> usize {
    items.iter().filter(|i| i.what.is_entry()).map(|i| usize::from(i.times.max(1))).sum()
}

/// The entries for which there is no place, if there are more than `places`.
fn surplus(items: &[Item], places: usize) -> Option<Span> {
    let mut count = 0;
    let mut from = None;
    for item in items.iter().filter(|i| i.what.is_entry()) {
        count += usize::from(item.times.max(1));
        if count > places {
            from = Some(from.map_or(item.span, |span: Span| span.to(item.span)));
        }
    }
    from
}

/// Places that take an entry.
fn wanted(places: &[Timed]) -> usize {
    places.iter().filter(|p| p.kind == PlaceKind::Entry).count()
}

/// True for a rest or a hold that is the only timed thing of its bar.
fn alone(item: &Item, items: &[Item]) -> bool {
    matches!(item.what, What::Rest | What::Hold)
        && items.iter().filter(|i| i.what.is_entry()).count() == 1
        && !items.iter().any(|i| matches!(i.what, What::GraceNote(_) | What::GraceChord(_)))
}

/// From the first timed thing of a list to the last.
pub fn list_span(items: &[Item]) -> Option<Span> {
    let timed = |i: &&Item| i.what.is_entry();
    let first = items.iter().find(timed)?;
    let last = items.iter().rev().find(timed)?;
    Some(first.span.to(last.span))
}

/// Which entry of a chord person `i` of `m` takes: counted from the last, so that the first named
/// takes the top.
pub fn dealt(i: usize, m: usize, n: usize) -> Option<usize> {
    if n == 0 || m == 0 || i >= m {
        return None;
    }
    n.checked_sub(1 + i * n / m)
}

/// `one player, who sounds one note at a time`, `3 players`.
pub fn who(people: usize) -> String {
    match people {
        1 => "one player, who sounds one note at a time".to_owned(),
        n => format!("{n} players"),
    }
}

/// Checks the chords and choices of a row against the number of people it is for.
pub fn chord_faults(row: &Row, text: &str, people: usize, bar: &Bar, faults: &mut Vec<Fault>) {
    for item in bar.items.of(&row.items) {
        if people > 1 {
            let inside = match item.what {
                What::Chord(slice) | What::GraceChord(slice) => slice.of(&row.members),
                _ => &[],
            };
            let whole = item.marks.choice.map(|_| item.span);
            let chosen = whole.or_else(|| inside.iter().find(|m| m.marks.choice.is_some()).map(|m| m.span));
            faults.extend(chosen.map(|span| {
                let text = format!(
                    "`@` is one player's choice of fingering or position, and this row is for {people}. Give that player a row of their own."
                );
                Fault::new(FaultName::Unreadable, span, text)
            }));
        }
        let (What::Chord(slice) | What::GraceChord(slice)) = item.what else { continue };
        let members = slice.of(&row.members);
        if members.len() > people {
            let who = who(people);
            faults.push(Fault::new(
                FaultName::TooManyEntries,
                item.span,
                format!(
                    "{} notes for {who}: take some out, or write them on a row of a group.",
                    members.len()
                ),
            ));
        } else if members.len() < people
            && let Some(odd) = members.iter().find(|m| !matches!(m.what, MemberKind::Note(_)))
        {
            faults.push(Fault::new(
                FaultName::PlaceCount,
                odd.span,
                format!(
                    "A rest or a hold in a chord needs one entry for each of the {people} players; there are {}.",
                    members.len()
                ),
            ));
        }
        if people > 1 && members.len() <= people {
            faults.extend(crossed(item.span, members, text));
        }
    }
}

/// The fault of a chord whose entries do not rise: its parts cross, or it is written upside down.
fn crossed(span: Span, members: &[Member], text: &str) -> Option<Fault> {
    let heights: Vec<i32> = members
        .iter()
        .filter_map(|m| match m.what {
            MemberKind::Note(pitch) => Some(pitch.midi()),
            MemberKind::Rest | MemberKind::Hold => None,
        })
        .collect();
    let falls = |w: &[i32]| matches!(w, [a, b] if a > b);
    if !heights.windows(2).any(falls) {
        return None;
    }
    if heights.len() < members.len() || !heights.windows(2).all(falls) {
        let said = "This chord does not rise from its first note to its last, so parts cross: the first named player takes the last note.";
        return Some(Fault::new(FaultName::ChordOrder, span, said).weighing(Weight::Hint));
    }
    let said = "This chord is written downwards. Chords are written upwards, and the first named player takes the last note: here the lowest.";
    let turned = members
        .iter()
        .zip(members.iter().rev())
        .map(|(place, with)| (place.span, with.span.of(text).to_owned()));
    let fix = Fix { title: "Write it upwards".to_owned(), edits: turned.collect() };
    Some(Fault {
        fix: Some(fix),
        ..Fault::new(FaultName::ChordOrder, span, said).weighing(Weight::Information)
    })
}
