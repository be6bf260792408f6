//! Chord symbols: what they are, and what each player reads.

use super::telling::Telling;
use super::word::told as word;
use super::{Asked, Hover};
use crate::assist::glossary::Class;
use crate::brass::written::reading_interval;
use crate::music::{ChordSymbol, Interval, Key, Pitch};
use crate::notation::tree::{LineTree, Symbol, SymbolKind};

/// Chord symbols that are named over improvised bars.
const MOST: usize = 24;

/// Tells of a chord symbol.
pub fn told(asked: Asked<'_>, symbol: &Symbol) -> Option<Hover> {
    match symbol.what {
        SymbolKind::None => return word(asked, &[Class::Bars], "N.C.", symbol.span),
        SymbolKind::Rests(_) => return word(asked, &[Class::Bars], "rest", symbol.span),
        SymbolKind::Again(_) => return word(asked, &[Class::Bars], "%", symbol.span),
        SymbolKind::Bad => return None,
        SymbolKind::Chord => {}
    }
    let chord = ChordSymbol::parse(asked.text(symbol.span))?;
    let mut telling = Telling::new(format!("{chord} (concert)"));
    telling.fact("Notes", notes(&chord));
    let key = asked.block().and_then(|(_, placed, _)| placed.frame.key);
    for (read, who) in readers(asked, &chord, key) {
        let label =
            if read == chord.to_string() { "As it sounds".to_owned() } else { format!("Read as {read}") };
        telling.fact(label, who);
    }
    Some(telling.hover(asked.place.line, symbol.span))
}

/// The chord's notes, root first, each spelled by what it is above the root.
pub fn notes(chord: &ChordSymbol) -> String {
    let Some(classes) = chord.classes() else { return String::new() };
    let root = Pitch { step: chord.root.step, alter: chord.root.alter, octave: 4 };
    let above: Vec<i32> = classes.iter().map(|class| (class - root.class()).rem_euclid(12)).collect();
    let named = above.iter().map(|semitones| {
        let height = root.midi() + semitones;
        let bass = chord.bass.filter(|b| b.class() == height.rem_euclid(12));
        let spelled = Interval::new(letters(*semitones, &above), *semitones).apply(root);
        match (bass, spelled) {
            (Some(bass), _) => bass.to_string(),
            (None, Some(pitch)) => pitch.name(),
            (None, None) => Pitch::plain(height, root.alter < 0).name(),
        }
    });
    named.collect::<Vec<_>>().join(" ")
}

/// How many letters above the root a chord's note is written, given all of them (common practice).
fn letters(semitones: i32, all: &[i32]) -> i32 {
    let has = |semitones: i32| all.contains(&semitones);
    match semitones {
        0 => 0,
        1 | 2 => 1,
        // A minor third, or a raised ninth beside the major one.
        3 => 2 - i32::from(has(4)),
        4 => 2,
        5 => 3,
        // A flat fifth, or a raised eleventh beside the perfect one.
        6 => 4 - i32::from(has(7)),
        7 => 4,
        // A raised fifth, or a flat thirteenth beside the perfect one.
        8 => 4 + i32::from(has(7)),
        // A sixth, or the seventh of a diminished chord.
        9 => 5 + i32::from(has(3) && has(6) && !has(7)),
        _ => 6,
    }
}

/// What is read, and by whom, in the order of the players.
fn readers(asked: Asked<'_>, chord: &ChordSymbol, key: Option<Key>) -> Vec<(String, String)> {
    let mut all: Vec<(String, String)> = Vec::new();
    for player in &asked.score().head.players {
        let Some(instrument) = player.instruments.first() else { continue };
        let interval = reading_interval(instrument.instrument.reads, key);
        let read = if interval.semitones.rem_euclid(12) == 0 {
            chord.clone()
        } else {
            chord.moved(interval.inverse())
        };
        let read = read.to_string();
        match all.iter_mut().find(|(r, _)| *r == read) {
            Some((_, who)) => {
                who.push(' ');
                who.push_str(&player.id);
            }
            None => all.push((read, player.id.clone())),
        }
    }
    all
}

/// Adds the chord symbols over bars that somebody improvises, concert and as that player reads them.
pub fn over(asked: Asked<'_>, block: usize, first: u32, bars: u32, telling: &mut Telling) {
    let Some(placed) = asked.score().blocks.get(block) else { return };
    let Some((_, _, below)) = asked.block() else { return };
    let mut symbols: Vec<ChordSymbol> = Vec::new();
    for (row, read) in placed.read.block.rows.iter().zip(&placed.read.chords) {
        let (Some(read), Some(line)) = (read, placed.read.block.text.lines.get(row.line as usize)) else {
            continue;
        };
        let LineTree::Row(tree) = &line.tree else { continue };
        let within = |bar: u32| bar >= first && bar < first.saturating_add(bars);
        for at in read.chords.iter().filter(|c| within(c.bar)) {
            let symbol = at.symbol.and_then(|i| tree.symbols.get(i as usize));
            symbols.extend(symbol.and_then(|s| ChordSymbol::parse(s.span.of(&line.text))));
        }
    }
    let told = |symbols: &[ChordSymbol]| {
        let mut words: Vec<String> = symbols.iter().take(MOST).map(ChordSymbol::to_string).collect();
        if symbols.len() > MOST {
            words.push("…".to_owned());
        }
        words.join("  ")
    };
    telling.fact("Over, concert", told(&symbols));
    let row = placed.read.block.rows.iter().find(|r| r.line == below);
    let person = row
        .and_then(|r| r.people.first())
        .and_then(|p| asked.score().head.players.get(usize::from(p.player)));
    let Some(instrument) = person.and_then(|p| p.instruments.first()) else { return };
    let interval = reading_interval(instrument.instrument.reads, placed.frame.key);
    if interval.semitones.rem_euclid(12) != 0 {
        let read: Vec<ChordSymbol> = symbols.iter().map(|s| s.moved(interval.inverse())).collect();
        telling.fact("Read as", told(&read));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chord_notes_are_spelled_as_the_chord_is_built() {
        for (symbol, wanted) in [
            ("E7", "E G# B D"),
            ("Bb6", "Bb D F G"),
            ("Cm7b5", "C Eb Gb Bb"),
            ("Bdim7", "B D F Ab"),
            ("C7(#9)", "C E G Bb D#"),
            ("Caug", "C E G#"),
            ("D/F#", "D F# A"),
            ("Bb/C", "Bb D F C"),
            ("F13(#11)", "F A C Eb G B D"),
        ] {
            assert_eq!(notes(&ChordSymbol::parse(symbol).unwrap()), wanted, "{symbol}");
        }
    }
}
