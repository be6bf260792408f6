//! Lines of the head other than players and instruments.

use super::marks::TIMES;
use super::row::{check_id, id};
use super::timing::inside_quotes;
use super::unread;
use super::words::{blank, cluster, hundredths, kind, name, over, rest, shown, tail, whole, word};
use super::{Reads, Sheet, here, run};
use crate::brass::Level;
use crate::notation::fault::{Fault, FaultName};
use crate::notation::nearest::nearest;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{AllowLine, Basis, GroupLine, LineTree, Station, TextField};
use chumsky::prelude::*;

/// The version of the notation that is read.
pub const VERSION: u32 = 1;

/// Lowest and highest tuning note that is believed, in hundredths of a hertz.
const TUNINGS: std::ops::RangeInclusive<u32> = 30_000..=60_000;

/// The line word with blanks around it; its token.
pub fn keyword<'t>(said: &'static str) -> impl Reads<'t, Token> {
    blank().ignore_then(word(said)).then_ignore(blank())
}

/// `brass 1`.
pub fn version(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let number = cluster().or_not();
    let (word, number) =
        run(keyword("brass").then(number).then_ignore(blank()).then(over()).map(|(a, ())| a), sheet)?;
    let read = number.and_then(|n: Span| n.of(sheet.text).parse::<u32>().ok());
    match (number, read) {
        (_, Some(VERSION)) => {}
        (Some(span), Some(other)) => {
            let text =
                format!("This is version {other} of the notation; this program reads version {VERSION}.");
            sheet.fault(FaultName::BadNumber, span, text);
        }
        (span, None) => {
            let fault = Fault::new(
                FaultName::BadNumber,
                span.unwrap_or(word.span),
                format!("After `brass` comes the version of the notation: `brass {VERSION}`."),
            );
            let at = span.unwrap_or(word.span);
            let with = if span.is_some() { VERSION.to_string() } else { format!("brass {VERSION}") };
            sheet.push(fault.fixed_by(format!("Write brass {VERSION}"), at, with));
        }
        _ => {}
    }
    Some(LineTree::Version(read))
}

/// Text between quotes, or what stands there instead.
fn text<'t>(example: &'static str) -> impl Reads<'t, Option<Span>> {
    let quoted = kind(Kind::Quoted).map(|t| Some(inside_quotes(t)));
    let curly = kind(Kind::Curly).map_with(|t, e| {
        let sheet: &mut Sheet<'t> = e.state();
        let fault = unread::curly(t, sheet);
        sheet.push(fault);
        None
    });
    let bare = rest().map_with(move |found, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let at = sheet.bytes((range.start.saturating_sub(1)..range.start).into());
        let span = found.unwrap_or(at);
        let said = span.of(sheet.text);
        let mut fault =
            Fault::new(FaultName::Unreadable, span, format!("Text stands between quotes here: {example}."));
        if found.is_some() && !said.contains('"') {
            fault = fault.fixed_by("Put it in quotes", span, format!("\"{said}\""));
        } else if let Some(inner) = said.strip_prefix('"').filter(|inner| !inner.contains('"')) {
            fault.text = "This quote is never closed.".to_owned();
            fault = fault.fixed_by("Close the quote", span, format!("\"{inner}\""));
        }
        sheet.push(fault);
        None
    });
    choice((quoted, curly, bare))
}

/// `title "…"` and its kin.
pub fn text_line(field: TextField, said: &'static str, sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let text = run(keyword(said).ignore_then(text("`\"Harbour at First Light\"`")).then(over()), sheet)?.0;
    Some(LineTree::Text(field, text))
}

/// `include "…"`.
pub fn include(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let text =
        run(keyword("include").ignore_then(text("`include \"players.brass\"`")).then(over()), sheet)?.0;
    Some(LineTree::Include(text))
}

/// One of a few words, or a fault that names them.
pub fn one_of_words<'t, T: Copy + 't>(
    words: &'static [(&'static str, T)],
    name: FaultName,
) -> impl Reads<'t, Option<T>> {
    cluster().or_not().map_with(move |found, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'t> = e.state();
        let at = sheet.bytes((range.start.saturating_sub(2)..range.start).into());
        let span: Span = found.unwrap_or(at);
        let said = if found.is_some() { span.of(sheet.text) } else { "" };
        if let Some((_, value)) = words.iter().find(|(word, _)| *word == said) {
            return Some(*value);
        }
        let all: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
        let mut fault = Fault::new(
            name,
            span,
            match said {
                "" => format!("One of {} is missing here.", all.join(" ")),
                _ => format!("`{}` is none of {}.", shown(said), all.join(" ")),
            },
        );
        if let Some(near) = nearest(said, words.iter().map(|(word, _)| *word)) {
            fault = fault.fixed_by(format!("Write {near}"), span, near);
        }
        sheet.push(fault);
        None
    })
}

/// The levels, as words.
pub const LEVELS: [(&str, Level); 3] =
    [("school", Level::School), ("amateur", Level::Amateur), ("professional", Level::Professional)];

/// `level school`.
pub fn level(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let level = one_of_words(&LEVELS, FaultName::Unreadable);
    Some(LineTree::Level(run(keyword("level").ignore_then(level).then(over()), sheet)?.0))
}

/// `pitch concert`.
pub fn basis(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    const WORDS: [(&str, Basis); 2] = [("concert", Basis::Concert), ("written", Basis::Written)];
    let basis = one_of_words(&WORDS, FaultName::Unreadable);
    Some(LineTree::Basis(run(keyword("pitch").ignore_then(basis).then(over()), sheet)?.0))
}

/// `tuning A4 = 442`.
pub fn tuning(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let number =
        word("A4").then(blank()).then(kind(Kind::Equals)).then(blank()).ignore_then(kind(Kind::Number));
    let good = number.map_with(|number: Token, e| {
        let sheet: &mut Sheet<'_> = e.state();
        let hertz = hundredths(number.of(sheet.text)).filter(|n| TUNINGS.contains(n));
        if hertz.is_none() {
            let text = format!(
                "The tuning note A4 lies between {} and {} Hz; common practice is 440 (ISO 16) to 443.",
                TUNINGS.start() / 100,
                TUNINGS.end() / 100
            );
            sheet.fault(FaultName::BadNumber, number.span, text);
        }
        hertz
    });
    let bad = rest().map_with(|found, e| {
        let range: SimpleSpan<usize> = e.span();
        let sheet: &mut Sheet<'_> = e.state();
        let at = sheet.bytes((range.start.saturating_sub(1)..range.start).into());
        let span = found.unwrap_or(at);
        let mut fault =
            Fault::new(FaultName::Unreadable, span, "A tuning line is `tuning A4 = 442`, in hertz.");
        if let Some(hertz) =
            span.of(sheet.text).strip_prefix("A4 ").map(str::trim).filter(|h| hundredths(h).is_some())
        {
            fault = fault.fixed_by("Set =", span, format!("A4 = {hertz}"));
        }
        sheet.push(fault);
        None
    });
    Some(LineTree::Tuning(run(keyword("tuning").ignore_then(choice((good, bad))).then(over()), sheet)?.0))
}

/// A name and the equals sign behind it.
pub fn named<'t>(said: &'static str, example: &'static str) -> impl Reads<'t, Option<Span>> {
    keyword(said)
        .then(id().or_not())
        .then_ignore(blank())
        .then(kind(Kind::Equals).or_not())
        .then_ignore(blank())
        .map_with(move |((word, id), equals), e| {
            let range: SimpleSpan<usize> = e.span();
            let sheet: &mut Sheet<'t> = e.state();
            if id.is_none() {
                sheet.fault(
                    FaultName::Unreadable,
                    word.span,
                    format!("After `{said}` comes a name: {example}."),
                );
            } else if equals.is_none() {
                let last: Span = id.unwrap_or(word.span);
                let at = Span::new(last.end, last.end);
                let more = range.end < sheet.tokens.len();
                let fault = Fault::new(
                    FaultName::Unreadable,
                    last,
                    format!("Behind the name `=` is missing: {example}."),
                );
                sheet.push(if more { fault.fixed_by("Set =", at, " =") } else { fault });
            }
            sheet.told = sheet.faults.len();
            id
        })
}

/// `group ID = ID ID …`.
pub fn group(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let member = names(FaultName::UnknownName);
    let head = named("group", "`group Horns = Hn1 Hn2`");
    let (id, members) = run(head.then(member).then(over()).map(|(a, ())| a), sheet)?;
    if members.is_empty() && sheet.faults.is_empty() {
        let span = id.unwrap_or_default();
        sheet.fault(
            FaultName::Unreadable,
            span,
            "A group names its players, top voice first: `group Horns = Hn1 Hn2`.",
        );
    }
    Some(LineTree::Group(Box::new(GroupLine { id, members: members.into() })))
}

/// Names with blanks between; what is none is a fault.
fn names<'t>(fault: FaultName) -> impl Reads<'t, Vec<Span>> {
    let comma = any().filter(|t: &Token| matches!(t.kind, Kind::Comma | Kind::Commas)).map_with(|t, e| {
        let sheet: &mut Sheet<'t> = e.state();
        let text = "Names are parted by blanks here, not by commas.";
        sheet.push(Fault::new(FaultName::Unreadable, t.span, text).fixed_by(
            "Take the comma away",
            t.span,
            "",
        ));
        None
    });
    let boundary = any().filter(|t: &Token| !super::words::ends_cluster(t.kind)).not();
    let good = name().then_ignore(boundary).map_with(|span, e| {
        check_id(span, e.state());
        Some(span)
    });
    let bad = cluster().map_with(move |span, e| {
        let sheet: &mut Sheet<'t> = e.state();
        let text =
            format!("`{}` is no name: a letter, then letters, digits or `_`.", shown(span.of(sheet.text)));
        sheet.fault(fault, span, text);
        None
    });
    let element = choice((kind(Kind::Blank).to(None), good, comma, bad));
    empty().to(Vec::new()).foldl_with(element.repeated(), |mut names: Vec<Span>, name: Option<Span>, _| {
        names.extend(name);
        names
    })
}

/// `allow RULE … [for ID …]`.
pub fn allow(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let rule = cluster().map_with(|span: Span, e| {
        let sheet: &mut Sheet<'_> = e.state();
        let text = span.of(sheet.text);
        (span, text == "for")
    });
    let rule = rule.filter(|(_, is_for)| !is_for).map_with(|(span, _), e| {
        let sheet: &mut Sheet<'_> = e.state();
        let said = span.of(sheet.text);
        if !said.chars().all(|c| c.is_alphanumeric() || c == '-') {
            let text = format!(
                "`{}` is no name of a rule: words with hyphens between, such as `too-high`.",
                shown(said)
            );
            sheet.fault(FaultName::UnknownName, span, text);
        }
        span
    });
    let comma = any().filter(|t: &Token| matches!(t.kind, Kind::Comma | Kind::Commas)).map_with(|t, e| {
        let text = "Rules are parted by blanks here, not by commas.";
        let fault =
            Fault::new(FaultName::Unreadable, t.span, text).fixed_by("Take the comma away", t.span, "");
        let sheet: &mut Sheet<'_> = e.state();
        sheet.push(fault);
    });
    let element = choice((kind(Kind::Blank).to(None), comma.map(|()| None), rule.map(Some)));
    let rules = empty().to(Vec::new()).foldl_with(
        element.repeated(),
        |mut rules: Vec<Span>, rule: Option<Span>, _| {
            rules.extend(rule);
            rules
        },
    );
    let players = word("for").ignore_then(names(FaultName::UnknownName)).or_not();
    let (((word, rules), players), ()) = run(keyword("allow").then(rules).then(players).then(over()), sheet)?;
    if rules.is_empty() {
        sheet.fault(FaultName::Unreadable, word.span, "After `allow` come rules: `allow too-high for Tp1`.");
    } else if players.as_ref().is_some_and(Vec::is_empty) {
        sheet.fault(
            FaultName::Unreadable,
            word.span,
            "After `for` come players or groups: `allow too-high for Tp1`.",
        );
    }
    Some(LineTree::Allow(Box::new(AllowLine {
        rules: rules.into(),
        players: players.unwrap_or_default().into(),
    })))
}

/// `roadmap A A B*2 tail`.
pub fn roadmap(sheet: &mut Sheet<'_>) -> Option<LineTree> {
    let quoted = kind(Kind::Quoted).map(inside_quotes);
    let station = choice((quoted, label())).then(kind(Kind::Times).or_not()).map_with(|(name, times), e| {
        let sheet: &mut Sheet<'_> = e.state();
        let times = times.map(|t: Token| {
            let n = t.of(sheet.text).strip_prefix('*').and_then(|n| n.parse::<u32>().ok());
            n.filter(|n| TIMES.contains(n)).unwrap_or_else(|| {
                let text = format!("After `*` comes a number from {} to {}.", TIMES.start(), TIMES.end());
                sheet.fault(FaultName::BadNumber, t.span, text);
                1
            })
        });
        Some(Station { name, times: times.unwrap_or(1), counted: times.is_some() })
    });
    let bad = any().filter(|t: &Token| !matches!(t.kind, Kind::Comment | Kind::Beyond)).map_with(|t, e| {
        let sheet: &mut Sheet<'_> = e.state();
        let text = format!(
            "`{}` is no section: a mark, a spot or `start`; names with blanks stand in quotes.",
            shown(t.of(sheet.text))
        );
        sheet.fault(FaultName::Unreadable, t.span, text);
        None
    });
    let element = choice((kind(Kind::Blank).to(None), station, bad));
    let all = empty().to(Vec::new()).foldl_with(
        element.repeated(),
        |mut all: Vec<Station>, one: Option<Station>, _| {
            all.extend(one);
            all
        },
    );
    let ((word, stations), ()) = run(keyword("roadmap").then(all).then(tail()), sheet)?;
    if stations.is_empty() && sheet.faults.is_empty() {
        sheet.fault(
            FaultName::Unreadable,
            word.span,
            "After `roadmap` come sections in the order they are played: `roadmap A A B`.",
        );
    }
    Some(LineTree::Roadmap(stations.into()))
}

/// A mark's or spot's name without quotes: letters, digits, `_`, hyphens that touch.
pub fn label<'t>() -> impl Reads<'t, Span> {
    let part = any().filter(|t: &Token| {
        t.kind.is_wordlike() || matches!(t.kind, Kind::Number | Kind::Low | Kind::Minus | Kind::Sharp)
    });
    part.repeated().at_least(1).map_with(|(), e| here(e))
}

/// A number token as a whole number in a range, else a fault.
pub fn number_in(
    token: Token,
    range: std::ops::RangeInclusive<u32>,
    what: &str,
    sheet: &mut Sheet<'_>,
) -> Option<u32> {
    let number = whole(token, sheet.text).filter(|n| range.contains(n));
    if number.is_none() {
        let text = format!("{what} is a whole number from {} to {}.", range.start(), range.end());
        sheet.fault(FaultName::BadNumber, token.span, text);
    }
    number
}
