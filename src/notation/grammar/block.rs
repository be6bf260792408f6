//! The line that opens a block.

use super::head::{keyword, label, number_in};
use super::marks::TIMES;
use super::timing::{VALUES, inside_quotes, length, tempo};
use super::words::{blank, class, cluster, gap, kind, shown, tail, whole, word};
use super::{Reads, Sheet, here, run, text_of};
use crate::music::{Fraction, Key, Mode};
use crate::notation::fault::{Fault, FaultName};
use crate::notation::nearest::nearest;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{BlockLine, LineTree, Meter, Setting, SettingKind};
use chumsky::error::EmptyErr;
use chumsky::prelude::*;

/// First words of settings.
const SETTINGS: [&str; 9] = ["meter", "key", "tempo", "mark", "spot", "pickup", "close", "repeat", "ending"];
/// Highest number of a bar.
const BAR: std::ops::RangeInclusive<u32> = 0..=99_999;
/// Most beats in a bar.
const BEATS: std::ops::RangeInclusive<u32> = 1..=99;

/// Reads a block line.
pub fn read(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let number = kind(Kind::Number).then_ignore(blank()).or_not().map_with(|token, e| {
        let token = token?;
        number_in(token, BAR, "The number of a bar", e.state()).map(|n| (token.span, n))
    });
    let setting = setting().then(touching()).map_with(|(what, over), e| {
        let range: SimpleSpan<usize> = e.span();
        let what = if over { SettingKind::Bad } else { what };
        let sheet: &mut Sheet<'_> = e.state();
        if what != SettingKind::Bad {
            sheet.told = sheet.faults.len();
        }
        Some(Setting {
            span: super::words::trimmed(e.state(), range.start, range.end).unwrap_or_default(),
            what,
        })
    });
    let element = choice((kind(Kind::Blank).to(None), setting));
    let settings = empty().to(Vec::new()).foldl_with(
        element.repeated(),
        |mut all: Vec<Setting>, one: Option<Setting>, _| {
            all.extend(one);
            all
        },
    );
    let (((_, number), settings), ()) = run(keyword("bar").then(number).then(settings).then(tail()), sheet)?;
    twice(&settings, sheet);
    Some(LineTree::Block(Box::new(BlockLine { number, settings: settings.into() })))
}

fn twice(settings: &[Setting], sheet: &mut Sheet<'_>) {
    for (at, setting) in settings.iter().enumerate() {
        let same =
            |other: &&Setting| std::mem::discriminant(&other.what) == std::mem::discriminant(&setting.what);
        if setting.what != SettingKind::Bad && settings.iter().take(at).any(|s| same(&s)) {
            let said = setting.span.of(sheet.text).split([' ', '\t']).next().unwrap_or("").to_owned();
            let text = format!("`{said}` stands twice in this line; the block has one.");
            let before = settings.get(at.wrapping_sub(1)).map_or(setting.span.start, |s| s.span.end);
            let gone = Span::new(before.min(setting.span.start), setting.span.end);
            sheet.push(Fault::new(FaultName::Unreadable, setting.span, text).fixed_by(
                "Take it away",
                gone,
                "",
            ));
        }
    }
}

/// What touches a setting and is none of it.
fn touching<'t>() -> impl Reads<'t, bool> {
    let other = any().filter(|t: &Token| !matches!(t.kind, Kind::Blank | Kind::Comment | Kind::Beyond));
    other.repeated().map_with(|(), e| {
        let range: SimpleSpan<usize> = e.span();
        if range.start == range.end {
            return false;
        }
        let sheet: &mut Sheet<'t> = e.state();
        let span = sheet.bytes(range);
        let text = format!(
            "`{}` cannot be read here; settings have blanks between them.",
            shown(span.of(sheet.text))
        );
        sheet.fault(FaultName::Unreadable, span, text);
        true
    })
}

fn setting<'t>() -> impl Reads<'t, SettingKind> {
    choice((
        meters(),
        key(),
        word("tempo")
            .ignore_then(blank())
            .ignore_then(tempo())
            .map(|t| t.map_or(SettingKind::Bad, SettingKind::Tempo)),
        named("mark").map(|n| n.map_or(SettingKind::Bad, SettingKind::Mark)),
        named("spot").map(|n| n.map_or(SettingKind::Bad, SettingKind::Spot)),
        lasting("pickup").map(|n| n.map_or(SettingKind::Bad, SettingKind::Pickup)),
        lasting("close").map(|n| n.map_or(SettingKind::Bad, SettingKind::Close)),
        repeat(),
        ending(),
        unknown(),
    ))
}

fn meters<'t>() -> impl Reads<'t, SettingKind> {
    let number = kind(Kind::Number);
    let more = kind(Kind::Plus).ignore_then(number.clone());
    let groups = number.clone().map(|n| vec![n]).foldl_with(more.repeated(), |mut all: Vec<Token>, n, _| {
        all.push(n);
        all
    });
    let meter = groups.then_ignore(kind(Kind::Slash)).then(number).map_with(|(groups, beat), e| {
        let span = here(e);
        let sheet: &mut Sheet<'t> = e.state();
        one_meter(groups, beat, span, sheet)
    });
    let meters = gap().ignore_then(meter).repeated().at_least(1).collect::<Vec<_>>();
    word("meter").then(meters.or_not()).map_with(|(word, meters), e| {
        let Some(meters) = meters else {
            let text = "After `meter` comes a meter such as `4/4`, `6/8` or `3+2/8`.";
            e.state().fault(FaultName::Unreadable, word.span, text);
            return SettingKind::Bad;
        };
        let all: Option<Vec<Meter>> = meters.into_iter().collect();
        all.map_or(SettingKind::Bad, |all| SettingKind::Meter(all.into()))
    })
}

fn one_meter(groups: Vec<Token>, beat: Token, span: Span, sheet: &mut Sheet<'_>) -> Option<Meter> {
    let beats: Option<Vec<u32>> = groups.iter().map(|t| whole(*t, sheet.text).filter(|n| *n > 0)).collect();
    let sum = beats.as_ref().map_or(0, |b| b.iter().fold(0u32, |sum, n| sum.saturating_add(*n)));
    if !BEATS.contains(&sum) {
        let text = format!(
            "`{}` is no meter: a bar has {} to {} beats.",
            shown(span.of(sheet.text)),
            BEATS.start(),
            BEATS.end()
        );
        sheet.fault(FaultName::BadNumber, span, text);
        return None;
    }
    let lower = whole(beat, sheet.text).filter(|n| n.is_power_of_two() && *n <= 64);
    if lower.is_none() {
        let text = "The lower number of a meter is the value counted: 1, 2, 4, 8, 16, 32 or 64.";
        sheet.fault(FaultName::BadNumber, beat.span, text);
    }
    Some(Meter { groups: beats?.into(), beat: lower? })
}

fn key<'t>() -> impl Reads<'t, SettingKind> {
    let mode = choice((word("major").to(Mode::Major), word("minor").to(Mode::Minor)));
    let tonic = class().then(gap().ignore_then(mode).or_not()).map_with(|((span, pitch), mode), e| {
        let sheet: &mut Sheet<'t> = e.state();
        match mode {
            Some(mode) => {
                Key::parse(&pitch.name(), mode).map_or(SettingKind::Bad, |key| SettingKind::Key(Some(key)))
            }
            None => {
                let said = span.of(sheet.text).to_owned();
                let at = Span::new(span.end, span.end);
                let text = format!("After the key's note comes `major` or `minor`: `key {said} major`.");
                sheet.push(Fault::new(FaultName::Unreadable, span, text).fixed_by(
                    "Write major",
                    at,
                    " major",
                ));
                SettingKind::Bad
            }
        }
    });
    let none = word("none").to(SettingKind::Key(None));
    let bad = argument().or_not().map_with(|found: Option<Span>, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let at = sheet.bytes((range.start.saturating_sub(1)..range.start).into());
        let span = found.unwrap_or(at);
        let mut fault = Fault::new(
            FaultName::Unreadable,
            span,
            "A key is a capital letter with `b` or `#` where needed and `major` or `minor`, such as `key Eb major`; or `key none`.",
        );
        let mut chars = span.of(sheet.text).chars();
        if let Some(small) = chars.next().filter(|c| ('a'..='g').contains(c)) {
            let better = format!("{}{}", small.to_ascii_uppercase(), chars.as_str());
            if super::words::class_of(&better).is_some() {
                fault = fault.fixed_by(format!("Write {better}"), span, better);
            }
        }
        sheet.push(fault);
        SettingKind::Bad
    });
    word("key").ignore_then(blank()).ignore_then(choice((tonic, none, bad)))
}

/// A name in quotes or without.
fn named<'t>(said: &'static str) -> impl Reads<'t, Option<Span>> {
    let bare = label().and_is(keyword_ahead().not());
    let name = choice((kind(Kind::Quoted).map(inside_quotes), bare));
    word(said).then(gap().ignore_then(name).or_not()).map_with(move |(word, name), e| {
        if name.is_none() {
            let text = format!("After `{said}` comes its name: `{said} A` or `{said} \"Trio\"`.");
            e.state().fault(FaultName::Unreadable, word.span, text);
        }
        name
    })
}

/// A note value after a word.
fn lasting<'t>(said: &'static str) -> impl Reads<'t, Option<Fraction>> {
    let other = gap().ignore_then(argument()).or_not();
    let found = choice((gap().ignore_then(length()).map(Ok), other.map(Err)));
    word(said).then(found).map_with(move |(word, length), e| {
        if let Err(other) = length {
            let text = format!("After `{said}` comes how long that bar is, such as `{said} q` or `{said} h.`. Values are {VALUES}.");
            e.state().fault(FaultName::Unreadable, other.unwrap_or(word.span), text);
        }
        length.ok().map(|l| l.value)
    })
}

fn repeat<'t>() -> impl Reads<'t, SettingKind> {
    let to = gap().ignore_then(word("to")).then(gap().ignore_then(kind(Kind::Number)).or_not());
    let times = gap().ignore_then(kind(Kind::Number)).or_not();
    word("repeat").then(times).then(to.or_not()).map_with(|((word, times), to), e| {
        let sheet: &mut Sheet<'t> = e.state();
        let Some(times) = times else {
            let text =
                "After `repeat` comes how often it is played: `repeat 2`, or `repeat 2 to 24` up to a bar.";
            sheet.fault(FaultName::Unreadable, word.span, text);
            return SettingKind::Bad;
        };
        let Some(n) = number_in(times, TIMES, "How often a passage is played", sheet) else {
            return SettingKind::Bad;
        };
        let to = match to {
            None => None,
            Some((word, None)) => {
                sheet.fault(
                    FaultName::Unreadable,
                    word.span,
                    "After `to` comes the number of the last bar repeated.",
                );
                return SettingKind::Bad;
            }
            Some((_, Some(bar))) => match number_in(bar, BAR, "The number of a bar", sheet) {
                Some(bar) => Some(bar),
                None => return SettingKind::Bad,
            },
        };
        SettingKind::Repeat { times: n, to }
    })
}

fn ending<'t>() -> impl Reads<'t, SettingKind> {
    let numbers = gap().ignore_then(kind(Kind::Number)).repeated().collect::<Vec<Token>>();
    word("ending").then(numbers).map_with(|(word, numbers), e| {
        let sheet: &mut Sheet<'t> = e.state();
        if numbers.is_empty() {
            let text = "After `ending` come the passes it is for: `ending 1` or `ending 1 2`.";
            sheet.fault(FaultName::Unreadable, word.span, text);
            return SettingKind::Bad;
        }
        let all: Option<Vec<u32>> = numbers
            .into_iter()
            .map(|t| number_in(t, 1..=*TIMES.end(), "The number of a pass", sheet))
            .collect();
        all.map_or(SettingKind::Bad, |all| SettingKind::Ending(all.into()))
    })
}

/// A word that begins a setting.
fn keyword_ahead<'t>() -> impl Reads<'t, ()> {
    any().try_map_with(
        |t: Token, e| {
            if SETTINGS.contains(&text_of(t, e)) { Ok(()) } else { Err(EmptyErr::default()) }
        },
    )
}

/// What touches itself and begins no setting, not even one with a slip of the pen.
fn argument<'t>() -> impl Reads<'t, Span> {
    let near =
        any().try_map_with(
            |t: Token, e| {
                if near_setting(text_of(t, e)) { Ok(()) } else { Err(EmptyErr::default()) }
            },
        );
    cluster().and_is(choice((keyword_ahead(), near)).not())
}

fn near_setting(said: &str) -> bool {
    said == "time" || nearest(said, SETTINGS).is_some()
}

/// A word that is no setting, and what follows it up to the next.
fn unknown<'t>() -> impl Reads<'t, SettingKind> {
    let first = cluster();
    let more = gap().then(argument()).repeated();
    let comma = any().filter(|t: &Token| matches!(t.kind, Kind::Comma | Kind::Commas)).map(|t| t.span);
    choice((first.then_ignore(more), comma)).map_with(|span, e| {
        let sheet: &mut Sheet<'t> = e.state();
        let said = span.of(sheet.text);
        if sheet.faults.len() > sheet.told && !near_setting(said) {
            // The setting before it is wrong already; this belongs to it.
            return SettingKind::Bad;
        }
        let text = match said {
            "," => "Settings are parted by blanks, not by commas.".to_owned(),
            _ => format!("`{}` is no setting of a block. Settings are {}.", shown(said), SETTINGS.join(" ")),
        };
        let fault = Fault::new(FaultName::Unreadable, span, text);
        let near = match said {
            "time" => Some("meter"),
            "," => Some(""),
            _ => nearest(said, SETTINGS),
        };
        sheet.push(match near {
            Some("") => fault.fixed_by("Take it away", span, ""),
            Some(near) => fault.fixed_by(format!("Write {near}"), span, near),
            None => fault,
        });
        SettingKind::Bad
    })
}
