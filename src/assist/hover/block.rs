//! The header of a block.

use super::telling::Telling;
use super::word::{told as word, under_cursor};
use super::{Asked, Hover, length, time};
use crate::assist::glossary::{Class, meaning};
use crate::assist::symbols::bar_numbers;
use crate::brass::written::{reading_interval, written_key};
use crate::music::{Key, Tempo};
use crate::notation::Span;
use crate::notation::tree::{BlockLine, Setting, SettingKind};

/// Tells of what stands under the cursor.
pub fn told(asked: Asked<'_>, tree: &BlockLine) -> Option<Hover> {
    if let Some(setting) = tree.settings.iter().find(|s| asked.here(s.span)) {
        return self::setting(asked, setting);
    }
    let token = asked.token()?;
    let number = tree.number.filter(|(span, _)| asked.here(*span)).map(|(span, _)| span);
    if number.is_none() && asked.text(token.span) != "bar" {
        return None;
    }
    whole(asked, number.unwrap_or(token.span))
}

/// The block: bars, time, who plays.
fn whole(asked: Asked<'_>, span: Span) -> Option<Hover> {
    let (block, placed, _) = asked.block()?;
    let mut telling = Telling::new(bar_numbers(placed));
    telling.text(meaning(Class::Line, "bar").unwrap_or(""));
    let clock = asked.clock();
    let visits = asked.score().order.visits.iter().enumerate().filter(|(_, v)| v.block as usize == block);
    let begins: Vec<String> = visits.filter_map(|(i, _)| clock.visit(i)).take(4).map(time::seconds).collect();
    telling.fact("Begins at", begins.join(", "));
    telling.fact("Lasts", clock.block(block).map(time::seconds).unwrap_or_default());
    telling.fact("Key", placed.frame.key.map_or("none".to_owned(), |k| format!("{k} (concert)")));
    let players = &asked.score().head.players;
    let who: Vec<&str> = placed
        .read
        .pairs
        .iter()
        .filter_map(|p| players.get(usize::from(p.player)))
        .map(|p| p.id.as_str())
        .collect();
    telling.fact("Players", who.join(" "));
    Some(telling.hover(asked.place.line, span))
}

fn setting(asked: Asked<'_>, setting: &Setting) -> Option<Hover> {
    let (text, span) = under_cursor(asked)?;
    let keyword = asked.text(setting.span).split([' ', '\t']).next().unwrap_or("");
    // `to 26` inside `repeat 2 to 26`.
    if text == "to" {
        return word(asked, &[Class::Setting], "to", span);
    }
    let mut telling = Telling::new(asked.text(setting.span).trim());
    telling.text(meaning(Class::Setting, keyword)?);
    let (block, placed, _) = asked.block()?;
    match &setting.what {
        SettingKind::Key(Some(key)) => self::key(asked, *key, &mut telling),
        SettingKind::Key(None) => telling.fact("Signature", "none"),
        SettingKind::Meter(meters) => {
            for meter in meters {
                let Some(bar) = meter.length() else { continue };
                let groups: Vec<String> = meter.groups.iter().map(u32::to_string).collect();
                telling.fact("A bar", format!("{}/{}: {}", groups.join("+"), meter.beat, time::long(bar)));
            }
        }
        SettingKind::Tempo(mark) => {
            if let Some(tempo) = Tempo::new(mark.beat, mark.per_minute) {
                telling.fact(
                    "A beat",
                    format!("{}: {}", time::long(mark.beat), time::seconds(tempo.seconds(mark.beat))),
                );
            }
            telling.fact(
                "First bar",
                length::seconds_of(asked, block, 0, 1).map(time::seconds).unwrap_or_default(),
            );
        }
        SettingKind::Mark(_) | SettingKind::Spot(_) => telling.fact("Bars", bar_numbers(placed)),
        SettingKind::Pickup(length) | SettingKind::Close(length) => {
            telling.fact("Lasts", time::long(*length))
        }
        SettingKind::Repeat { .. } | SettingKind::Ending(_) | SettingKind::Bad => {}
    }
    Some(telling.hover(asked.place.line, setting.span))
}

/// The signature, and what transposing players find in their parts.
fn key(asked: Asked<'_>, key: Key, telling: &mut Telling) {
    telling.fact("Signature", accidentals(key));
    let mut all: Vec<(Key, Vec<&str>)> = Vec::new();
    for player in &asked.score().head.players {
        let Some(instrument) = player.instruments.first() else { continue };
        let interval = reading_interval(instrument.instrument.reads, Some(key));
        let Some(read) = written_key(key, interval).filter(|read| *read != key) else { continue };
        match all.iter_mut().find(|(k, _)| *k == read) {
            Some((_, who)) => who.push(&player.id),
            None => all.push((read, vec![&player.id])),
        }
    }
    for (read, who) in all {
        telling.fact(format!("Read as {read}"), format!("{} ({})", who.join(" "), accidentals(read)));
    }
}

fn accidentals(key: Key) -> String {
    let n = key.fifths();
    let (count, word) = if n < 0 { (-n, "flat") } else { (n, "sharp") };
    match count {
        0 => "no accidentals".to_owned(),
        1 => format!("one {word}"),
        n => format!("{n} {word}s"),
    }
}
