//! The bars of a line after notes have come or gone.

use super::Declined;
use super::bar::{Bar, Content};
use super::entry::{Entry, EntryKind, Free, FreeKind};
use super::line::Line;
use super::rests::rests;
use super::state::instructions;
use super::units::Unit;
use crate::brass::reading_interval;
use crate::music::{Dynamic, Fraction, Interval, Pitch};
use crate::notation::tree::{Basis, Instruction, PlaceKind};
use crate::rules::Desk;
use crate::score::event::Event;
use crate::score::figure::Timed;
use crate::score::pair::played_change;
use crate::score::state::{PlayedChange, PlayedState};
use crate::section::At;
use crate::section::force::{InForce, before_bar};
use crate::section::stretch::{begins, sounds};

/// The taker's bars with the giver's notes of the stretch in them.
pub fn taking(desk: &Desk, taker: &Line<'_>, giver: &Line<'_>) -> Result<Vec<Bar>, Declined> {
    let before = up_to_stretch(desk, taker)?;
    let mine = before.played;
    if before.waits {
        return Err(Declined::Marked);
    }
    let theirs: Vec<&Event> = giver.events.iter().filter(|e| giver.stretch.has(e)).collect();
    let instrument = theirs.first().map_or(0, |e| e.played.instrument);
    if theirs.iter().any(|e| e.played.instrument != instrument) {
        return Err(Declined::Switches);
    }
    let to = reads(desk, giver, instrument)?.then(reads(desk, taker, mine.instrument)?.inverse());
    let respell = |pitch: Pitch| if to == Interval::UNISON { pitch } else { to.apply_respelled(pitch) };
    let mut force = Force {
        desk,
        taker,
        state: mine,
        target: mine,
        was: before.dynamic,
        back: before.dynamic,
        dynamic: None,
        begun: false,
    };
    let mut bars = taker.bars.clone();
    for (at, bar) in bars.iter_mut().enumerate() {
        let number = taker.first + at as u32;
        let Some(window) = taker.window(number, bar.length) else { continue };
        let blank = Bar::blank(bar.length);
        let material = giver.bar(number).unwrap_or(&blank);
        let (ruled, goes_on) = (taker.ruled(number), number < taker.stretch.last_bar());
        let what = put(bar, window, Some(material), ruled.as_deref(), taker.beat(number), &respell)?;
        let mut frees: Vec<Free> = Vec::new();
        for free in &bar.frees {
            if !inside(free, window, goes_on) || free.what == FreeKind::Words {
                frees.push(free.clone());
            } else {
                force.dropped(free)?;
            }
        }
        frees.extend(force.brought(number, window, material, giver)?);
        frees.sort_by_key(|f| f.onset);
        let whole = window.0.is_zero() && window.1 == bar.length;
        (bar.what, bar.frees, bar.again) = (what, frees, whole && material.again);
        *bar = bar.clone().simplified();
    }
    force.restore(&mut bars)?;
    Ok(bars)
}

/// The giver's bars with rests instead of the stretch.
pub fn resting(giver: &Line<'_>) -> Result<Vec<Bar>, Declined> {
    let keep = |pitch: Pitch| pitch;
    let mut bars = giver.bars.clone();
    // Of dynamics only what is in force afterwards stays.
    let mut last: Option<(usize, Dynamic)> = None;
    for (at, bar) in bars.iter_mut().enumerate() {
        let number = giver.first + at as u32;
        let Some(window) = giver.window(number, bar.length) else { continue };
        let (ruled, goes_on) = (giver.ruled(number), number < giver.stretch.last_bar());
        let said =
            bar.frees.iter().filter(|f| inside(f, window, goes_on)).filter_map(Free::leaves).next_back();
        if let Some(left) = in_phrase(bar, giver, number).or(said) {
            last = Some((at, left));
        }
        let what = put(bar, window, None, ruled.as_deref(), giver.beat(number), &keep)?;
        bar.frees.retain(|f| !inside(f, window, goes_on) || matches!(f.what, FreeKind::Instruction(_)));
        (bar.what, bar.again) = (what, false);
        *bar = bar.clone().simplified();
    }
    if let Some((at, dynamic)) = last {
        let end = (giver.stretch.last_bar() - giver.first) as usize;
        if !says_dynamic(&bars, end, giver.stretch.to)
            && let Some(bar) = bars.get_mut(at)
        {
            let number = giver.first + at as u32;
            let onset = giver.window(number, bar.length).map_or(Fraction::ZERO, |(from, _)| from);
            let what = FreeKind::Dynamic(dynamic);
            bar.frees.push(Free { onset, what, text: dynamic.word().to_owned() });
            bar.frees.sort_by_key(|f| f.onset);
        }
    }
    Ok(bars)
}

/// From written to sounding, as the row of a player in this score is meant.
fn reads(desk: &Desk, line: &Line<'_>, instrument: u8) -> Result<Interval, Declined> {
    let score = desk.score();
    if score.head.basis == Basis::Concert {
        return Ok(Interval::UNISON);
    }
    let player = score.head.players.get(line.player).ok_or(Declined::Unread)?;
    let held = player.instrument(instrument).ok_or(Declined::Unread)?;
    let key = score.blocks.get(line.stretch.block).and_then(|b| b.frame.key);
    Ok(reading_interval(held.instrument.reads, key))
}

/// The dynamic that a phrase leaves, which may name dynamics of its own.
fn in_phrase(bar: &Bar, line: &Line<'_>, number: u32) -> Option<Dynamic> {
    let last = line.events.iter().rfind(|e| e.bar == number)?;
    last.dynamic.filter(|_| matches!(bar.what, Content::Whole { .. }))?.leaves()
}

/// What stands behind the last entry of a bar counts from the next bar on.
fn inside(free: &Free, (from, to): (Fraction, Fraction), goes_on: bool) -> bool {
    from <= free.onset && (free.onset < to || goes_on)
}

/// A bar with other notes in a part of it; without material, with rests.
fn put(
    owner: &Bar,
    window: (Fraction, Fraction),
    material: Option<&Bar>,
    ruled: Option<&[Unit]>,
    beat: Fraction,
    respell: &dyn Fn(Pitch) -> Pitch,
) -> Result<Content, Declined> {
    let (from, to) = window;
    let whole = from.is_zero() && to == owner.length;
    let nothing: (&[Unit], &[Entry]) = (&[], &[]);
    let (units, entries) = match material.map(|m| &m.what) {
        None | Some(Content::Blank | Content::Silent) => nothing,
        Some(Content::List { units, entries }) => (units.as_slice(), entries.as_slice()),
        Some(held @ Content::Held(_)) if whole => return Ok(held.clone()),
        Some(played @ Content::Whole { plays: true, .. }) if whole => return Ok(played.clone()),
        Some(Content::Whole { .. }) => return Err(Declined::PartOfPhrase),
        Some(Content::Held(_)) => return Err(Declined::Rhythm),
    };
    let moved = |entry: &Entry| -> Result<Entry, Declined> {
        let graces = entry.graces.iter().map(|g| g.moved(respell)).collect::<Result<_, _>>()?;
        Ok(Entry { graces, text: entry.text.moved(respell)?, ..*entry })
    };
    let (old_units, old_entries) = match &owner.what {
        Content::List { units, entries } => (units.as_slice(), entries.as_slice()),
        _ if whole => nothing,
        Content::Blank | Content::Silent => nothing,
        _ => return Err(Declined::PartOfPhrase),
    };
    let within = |onset: Fraction| from <= onset && onset < to;
    let marked = |e: &Entry| within(e.onset) && e.kind == EntryKind::Rest && !e.text.is_bare();
    if material.is_some() && old_entries.iter().any(marked) {
        return Err(Declined::Marked);
    }
    let at = |all: &[Entry], onset: Fraction| all.iter().find(|e| e.onset == onset).cloned();
    // The places stay, what stands in them changes.
    let same = |a: &[Unit], b: &[Unit]| a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.text == b.text);
    let stays = match material {
        None => ruled.is_some_and(|r| same(r, old_units)),
        Some(_) => same(old_units, units),
    };
    let fits_rhythm = old_units.is_empty() && ruled.is_some_and(|r| same(r, units));
    let pauses = old_units.iter().flat_map(|u| &u.places).any(|p| p.fermata);
    let replaced = whole && !units.is_empty();
    if !stays && replaced && pauses {
        return Err(Declined::Marked);
    }
    if stays || fits_rhythm || replaced {
        let frame = if stays { old_units } else { units };
        let mut out = Vec::new();
        for place in frame.iter().flat_map(|u| &u.places).filter(|p| p.kind == PlaceKind::Entry) {
            out.push(
                match within(place.onset) {
                    true => at(entries, place.onset).map(|e| moved(&e)).transpose()?,
                    false => at(old_entries, place.onset),
                }
                .unwrap_or_else(|| Entry::rest(place.onset)),
            );
        }
        return Ok(Content::List { units: frame.to_vec(), entries: out });
    }
    let heard = |u: &&Unit| {
        u.meets(from, to)
            && u.places.iter().any(|p| {
                within(p.onset)
                    && match p.kind {
                        PlaceKind::Hold => true,
                        PlaceKind::Silence => p.fermata,
                        PlaceKind::Entry => {
                            let entry = at(entries, p.onset);
                            p.fermata || entry.is_some_and(|e| e.kind != EntryKind::Rest || !e.text.is_bare())
                        }
                    }
            })
    };
    let taken: Vec<&Unit> = units.iter().filter(heard).collect();
    let clashes = |u: &Unit| taken.iter().any(|t| t.meets(u.onset, u.end()));
    let mut kept: Vec<&Unit> = Vec::new();
    for unit in old_units {
        let left = unit.places.iter().any(|p| {
            !within(p.onset)
                && match p.kind {
                    PlaceKind::Hold => true,
                    PlaceKind::Silence => p.fermata,
                    PlaceKind::Entry => at(old_entries, p.onset)
                        .is_some_and(|e| e.kind != EntryKind::Rest || !e.text.is_bare()),
                }
        });
        match (left, clashes(unit)) {
            (true, true) => return Err(Declined::Rhythm),
            (true, false) => kept.push(unit),
            // Rests outside of the stretch stay as they are written.
            (false, false) if !unit.meets(from, to) => kept.push(unit),
            // A pause concerns everybody; it cannot go with a rest.
            _ if material.is_some() && unit.places.iter().any(|p| p.fermata) => return Err(Declined::Marked),
            _ => {}
        }
    }
    let mut out_units: Vec<Unit> = Vec::new();
    let mut out_entries: Vec<Entry> = Vec::new();
    let mut all: Vec<(&Unit, bool)> = kept.into_iter().map(|u| (u, false)).collect();
    all.extend(taken.iter().map(|u| (*u, true)));
    all.sort_by_key(|(u, _)| u.onset);
    let mut now = Fraction::ZERO;
    for (unit, new) in all {
        out_units.extend(rests(now, unit.onset, beat).ok_or(Declined::Rhythm)?);
        for place in unit.places.iter().filter(|p| p.kind == PlaceKind::Entry) {
            let entry = match (new, within(place.onset)) {
                (true, true) => at(entries, place.onset).map(|e| moved(&e)).transpose()?,
                (false, false) => at(old_entries, place.onset),
                _ => None,
            };
            out_entries.push(entry.unwrap_or_else(|| Entry::rest(place.onset)));
        }
        now = unit.end();
        out_units.push(unit.clone());
    }
    out_units.extend(rests(now, owner.length, beat).ok_or(Declined::Rhythm)?);
    if out_entries.is_empty() {
        // A figure needs an entry, and a pause concerns everybody.
        if out_units.iter().flat_map(|u| &u.places).any(|p| p.fermata) {
            return Err(Declined::Marked);
        }
        return Ok(Content::Silent);
    }
    Ok(Content::List { units: out_units, entries: out_entries })
}

/// What is in force for the taker while the bars are put together.
struct Force<'a> {
    desk: &'a Desk,
    taker: &'a Line<'a>,
    state: PlayedState,
    /// What has to be in force behind the stretch.
    target: PlayedState,
    /// The taker's dynamic before.
    was: Option<Dynamic>,
    /// The dynamic that has to be in force behind the stretch.
    back: Option<Dynamic>,
    /// The last dynamic that came.
    dynamic: Option<Dynamic>,
    begun: bool,
}

impl Force<'_> {
    /// A free thing of the taker that goes; what it does is done behind the stretch.
    fn dropped(&mut self, free: &Free) -> Result<(), Declined> {
        match free.what {
            // It waits for the taker's own next note.
            FreeKind::Dynamic(d) if d.leaves() != Some(d) => return Err(Declined::Marked),
            FreeKind::Dynamic(d) => self.back = Some(d),
            FreeKind::Instruction(Instruction::Switch(_)) => return Err(Declined::Switches),
            FreeKind::Instruction(i) => {
                if let Some(change) = played_change(i) {
                    self.target = change.after(self.target);
                }
            }
            _ => {}
        }
        Ok(())
    }

    /// What comes with the notes of a bar: dynamics and words as they are, and the words that make the taker
    /// play as the giver did.
    fn brought(
        &mut self,
        number: u32,
        window: (Fraction, Fraction),
        material: &Bar,
        giver: &Line<'_>,
    ) -> Result<Vec<Free>, Declined> {
        let mut out = Vec::new();
        let goes_on = number < giver.stretch.last_bar();
        let frees: Vec<&Free> = material.frees.iter().filter(|f| inside(f, window, goes_on)).collect();
        for event in giver.events.iter().filter(|e| e.bar == number && giver.stretch.has(e)) {
            if !sounds(event) {
                continue;
            }
            let wanted = PlayedState { instrument: self.state.instrument, ..event.played };
            for text in instructions(self.state, wanted)? {
                let what = FreeKind::Instruction(Instruction::Bad);
                out.push(Free { onset: event.onset, what, text });
            }
            self.state = wanted;
            if !std::mem::replace(&mut self.begun, true) {
                // A dynamic for one note that was written before the stretch waits there for its note.
                let waits = event.dynamic.filter(|d| d.leaves() != Some(*d));
                let says = |d| frees.iter().any(|f| f.what == FreeKind::Dynamic(d));
                if waits.is_some_and(|d| !says(d)) {
                    return Err(Declined::Marked);
                }
                let named = frees.iter().any(|f| f.onset <= event.onset && f.leaves().is_some());
                let loud = up_to_stretch(self.desk, giver)?.dynamic;
                let loud = loud.filter(|_| !named);
                if let Some(d) = loud.filter(|d| Some(*d) != self.was) {
                    let what = FreeKind::Dynamic(d);
                    out.push(Free { onset: event.onset, what, text: d.word().to_owned() });
                    self.dynamic = Some(d);
                }
            }
        }
        for free in frees {
            if matches!(free.what, FreeKind::Instruction(_)) {
                continue;
            }
            self.dynamic = free.leaves().or(self.dynamic);
            out.push(free.clone());
        }
        self.dynamic = in_phrase(material, giver, number).or(self.dynamic);
        Ok(out)
    }

    /// Puts in force again what was in force behind the stretch.
    fn restore(self, bars: &mut [Bar]) -> Result<(), Declined> {
        let to = self.taker.stretch.to;
        let end = (self.taker.stretch.last_bar() - self.taker.first) as usize;
        // What the taker's own words do before the next note need not be done here.
        let next = changes_before_next(bars, end, to);
        let texts = match next.iter().fold(self.state, |s, c| c.after(s))
            == next.iter().fold(self.target, |s, c| c.after(s))
        {
            true => Vec::new(),
            false => instructions(self.state, self.target)?,
        };
        if holds_next(bars, end, to) {
            return Err(Declined::Rhythm);
        }
        // Behind a hold that the figure alone writes there is no place in the list for a word.
        let hold = bars.get(end).is_some_and(|bar| match &bar.what {
            Content::List { units, .. } => {
                let inside = |p: &&Timed| to.onset.is_zero() || p.onset < to.onset;
                let places: Vec<&Timed> = units.iter().flat_map(|u| &u.places).filter(inside).collect();
                let behind = places.iter().rev().take_while(|p| p.kind != PlaceKind::Entry);
                behind.into_iter().any(|p| p.kind == PlaceKind::Hold)
            }
            _ => false,
        });
        if hold && !texts.is_empty() {
            return Err(Declined::Rhythm);
        }
        if let Some(bar) = bars.get_mut(end) {
            let onset = if to.onset.is_zero() { bar.length } else { to.onset };
            let what = FreeKind::Instruction(Instruction::Bad);
            bar.frees.splice(
                bar.frees.partition_point(|f| f.onset < onset)
                    ..bar.frees.partition_point(|f| f.onset < onset),
                texts.into_iter().map(|text| Free { onset, what, text }),
            );
        }
        let before = self.back.filter(|d| self.dynamic.is_some_and(|now| now != *d));
        let Some(dynamic) = before.filter(|_| self.plays_again() && !says_dynamic(bars, end, to)) else {
            return Ok(());
        };
        let bar_length = bars.get(end).map_or(Fraction::ZERO, |b| b.length);
        let ends_bar = to.onset.is_zero() || to.onset >= bar_length;
        // At the beginning of the bar behind rather than at the end of this one, where there is a list.
        let next = ends_bar && bars.get(end + 1).is_some_and(|b| matches!(b.what, Content::List { .. }));
        let (at, onset) = match (next, ends_bar) {
            (true, _) => (end + 1, Fraction::ZERO),
            (false, true) => (end, bar_length),
            _ => (end, to.onset),
        };
        if let Some(bar) = bars.get_mut(at) {
            let place = bar.frees.partition_point(|f| f.onset < onset);
            let what = FreeKind::Dynamic(dynamic);
            bar.frees.insert(place, Free { onset, what, text: dynamic.word().to_owned() });
        }
        Ok(())
    }

    fn plays_again(&self) -> bool {
        let to = self.taker.stretch.to;
        let later = |e: &Event| sounds(e) && begins(e) >= to;
        let track = self.desk.report().tracks.get(self.taker.player);
        let blocks =
            track.map_or(&[][..], |t| t.blocks.get(self.taker.stretch.block + 1..).unwrap_or_default());
        self.taker.events.iter().any(later) || blocks.iter().any(Option::is_some)
    }
}

/// What is in force for a player where the stretch begins, before anything that stands there.
fn up_to_stretch(desk: &Desk, line: &Line<'_>) -> Result<InForce, Declined> {
    let At { bar, onset } = line.stretch.from;
    let mut now = before_bar(desk, line.player, line.stretch.block, bar);
    let Some(here) = line.bar(bar) else { return Ok(now) };
    let notes: Vec<Fraction> = match &here.what {
        Content::List { entries, .. } => {
            entries.iter().filter(|e| e.kind == EntryKind::Note).map(|e| e.onset).collect()
        }
        _ => Vec::new(),
    };
    for free in here.frees.iter().filter(|f| f.onset < onset) {
        match free.what {
            FreeKind::Dynamic(d) => {
                now.dynamic = d.leaves().or(now.dynamic);
                now.waits = d.leaves() != Some(d);
                now.waits &= !notes.iter().any(|n| free.onset <= *n && *n < onset);
            }
            FreeKind::Instruction(Instruction::Switch(_)) => return Err(Declined::Switches),
            FreeKind::Instruction(i) => {
                if let Some(change) = played_change(i) {
                    now.played = change.after(now.played);
                }
            }
            _ => {}
        }
    }
    now.waits &= !notes.iter().any(|n| *n < onset);
    Ok(now)
}

/// What words change behind a place before the next note, as far as the bars reach; nothing if that is unknown.
fn changes_before_next(bars: &[Bar], end: usize, to: At) -> Vec<PlayedChange> {
    let mut changes = Vec::new();
    for (at, bar) in bars.iter().enumerate().skip(end) {
        let from = match at == end {
            true if to.onset.is_zero() => bar.length,
            true => to.onset,
            false => Fraction::ZERO,
        };
        let note = match &bar.what {
            Content::List { entries, .. } => {
                entries.iter().find(|e| e.kind != EntryKind::Rest && e.onset >= from).map(|e| e.onset)
            }
            Content::Blank | Content::Silent => None,
            _ => Some(Fraction::ZERO),
        };
        let until = note.unwrap_or(bar.length);
        for free in bar.frees.iter().filter(|f| f.onset >= from && f.onset <= until) {
            if let FreeKind::Instruction(i) = free.what {
                changes.extend(played_change(i));
            }
        }
        if note.is_some() {
            return changes;
        }
    }
    Vec::new()
}

/// True if the figure holds right behind a place: it would hold what came, where it held nothing.
fn holds_next(bars: &[Bar], end: usize, to: At) -> bool {
    let here = bars.get(end).filter(|b| !to.onset.is_zero() && to.onset < b.length);
    let (bar, onset) = match here {
        Some(bar) => (Some(bar), to.onset),
        None => (bars.get(end + 1), Fraction::ZERO),
    };
    match bar.map(|b| &b.what) {
        Some(Content::List { units, .. }) => {
            units.iter().flat_map(|u| &u.places).any(|p| p.onset == onset && p.kind == PlaceKind::Hold)
        }
        _ => false,
    }
}

/// True if a dynamic that stays stands before the next note behind a place, as far as the bars reach.
fn says_dynamic(bars: &[Bar], end: usize, to: At) -> bool {
    for (at, bar) in bars.iter().enumerate().skip(end) {
        let from = if at == end && !to.onset.is_zero() {
            to.onset
        } else if at == end {
            bar.length
        } else {
            Fraction::ZERO
        };
        let note = match &bar.what {
            Content::List { entries, .. } => {
                entries.iter().find(|e| e.kind == EntryKind::Note && e.onset >= from).map(|e| e.onset)
            }
            Content::Blank | Content::Silent => None,
            _ => Some(Fraction::ZERO),
        };
        let until = note.unwrap_or(bar.length);
        if bar.frees.iter().any(|f| f.onset >= from && f.onset <= until && f.leaves().is_some()) {
            return true;
        }
        if note.is_some() {
            return false;
        }
    }
    false
}
