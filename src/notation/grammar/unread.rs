//! Faults for what cannot be read: what it probably was meant to be, and the way out.

use super::list::is_value;
use super::sheet::Sheet;
use super::timing::{VALUES, value_of};
use super::words::shown;
use crate::music::Pitch;
use crate::notation::fault::{Fault, FaultName};
use crate::notation::nearest::nearest;
use crate::notation::pairing::separates;
use crate::notation::span::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::What;

/// Words that may stand in a list.
const LIST_WORDS: [&str; 21] = [
    "cresc",
    "dim",
    "rest",
    "play",
    "improvise",
    "pppp",
    "ppp",
    "pp",
    "mp",
    "mf",
    "ff",
    "fff",
    "ffff",
    "fp",
    "sfp",
    "sf",
    "sfz",
    "fz",
    "rfz",
    "p",
    "f",
];

/// Words of other languages and longer forms, and what stands for them here.
const SAID_OTHERWISE: [(&str, &str); 14] = [
    ("crescendo", "cresc"),
    ("cresc.", "cresc"),
    ("decresc", "dim"),
    ("decrescendo", "dim"),
    ("diminuendo", "dim"),
    ("tacet", "-"),
    ("r", "-"),
    ("improv", "improvise"),
    ("improvisation", "improvise"),
    ("solos", "improvise"),
    ("forte", "f"),
    ("piano", "p"),
    ("mezzoforte", "mf"),
    ("mezzopiano", "mp"),
];

/// A blank that looks like one and is none.
pub fn odd_blank(token: Token) -> Fault {
    let text =
        "This is a special blank, as some editors and web pages put it in; here an ordinary one is needed.";
    Fault::new(FaultName::Unreadable, token.span, text).fixed_by("Write an ordinary blank", token.span, " ")
}

/// Words in curly quotes.
pub fn curly(token: Token, sheet: &Sheet<'_>) -> Fault {
    let said = token.of(sheet.text);
    let said = said.trim_end_matches([' ', '\t']);
    let span = Span::new(token.span.start, token.span.start + said.len() as u32);
    let inner = said.trim_matches(['“', '”', '„', '‟', '"']);
    let text = "Quotes are straight here, not curly.";
    Fault::new(FaultName::Unreadable, span, text).fixed_by(
        "Write straight quotes",
        span,
        format!("\"{inner}\""),
    )
}

/// `%*n` in a rhythm row.
pub fn again_in_rhythm(span: Span, written: String) -> Fault {
    let text = "In the rhythm row every bar has its own `%`.";
    Fault::new(FaultName::Unreadable, span, text).fixed_by("Write it in each bar", span, written)
}

/// What the signs have in common wherever they stand; `None` leaves it to the place.
fn anywhere(first: Token, span: Span, sheet: &Sheet<'_>) -> Option<Fault> {
    let text = sheet.text;
    let said = first.of(text);
    Some(match first.kind {
        Kind::Curly => curly(first, sheet),
        Kind::OpenQuote => {
            let trimmed = said.trim_end_matches([' ', '\t']).len() as u32;
            let span = Span::new(first.span.start, first.span.start + trimmed);
            let close = span.start + words_of_quote(span.of(text)) as u32;
            Fault::new(FaultName::Unreadable, span, "This quote is never closed.").fixed_by(
                "Close the quote",
                Span::new(close, close),
                "\"",
            )
        }
        Kind::Lone => {
            let text = format!("`{said}` has no partner in this bar; brackets never cross a barline.");
            Fault::new(FaultName::Unreadable, span, text)
        }
        Kind::Nested => {
            let text = "Brackets stand too deep here: chords and instructions hold no brackets, and tuplets stand in each other to a depth of 3.";
            Fault::new(FaultName::Unreadable, span, text)
        }
        Kind::Slashes => {
            let at = Span::new(first.span.end, first.span.end);
            let text = "A remark begins with `//` after a blank, and a blank follows it.";
            Fault::new(FaultName::Unreadable, first.span, text).fixed_by("Put a blank behind it", at, " ")
        }
        Kind::Other if said.chars().all(|c| matches!(c, '–' | '—' | '−' | '‐' | '‑' | '‒')) => {
            let text = format!("`{said}` is a dash of the typesetter; a rest or tenuto is `-`.");
            Fault::new(FaultName::Unreadable, first.span, text).fixed_by("Write -", first.span, "-")
        }
        Kind::Other => {
            let shown = if said.chars().any(char::is_control) {
                said.escape_default().to_string()
            } else {
                shown(said)
            };
            let instead = match said {
                "~" => " A tie is `+` in the figure (`h+e`), or `=` in place of the note; a slur is `_`.",
                "!" => " A short, hard staccato is `:wedge`.",
                "'" | "’" => " A breath is `,` after the note.",
                "#" => " A sharp follows the letter of its note: `F#4`.",
                _ => "",
            };
            Fault::new(FaultName::Unreadable, first.span, format!("`{shown}` has no meaning here.{instead}"))
        }
        _ => return None,
    })
}

/// How far the words of an open quote reach: up to the first thing that looks like a note or rest.
fn words_of_quote(said: &str) -> usize {
    let mut at = 0;
    for word in said.split_inclusive([' ', '\t']) {
        let one = word.trim_end_matches([' ', '\t']);
        let note =
            one.starts_with(|c: char| ('A'..='G').contains(&c)) && one.contains(|c: char| c.is_ascii_digit());
        let other = matches!(one, "-" | "=") || one.starts_with(['(', '/', '[', '-', '=']);
        if at > 0 && (note || other) {
            return said.get(..at).map_or(at, |words| words.trim_end_matches([' ', '\t']).len());
        }
        at += word.len();
    }
    said.len()
}

fn sign(at: usize, sheet: &Sheet<'_>) -> Option<Token> {
    sheet.tokens.get(at).copied()
}

/// True for a nested bracket whose fault this bar has shown already.
fn nested(sheet: &mut Sheet<'_>, at: usize) -> bool {
    let is = sheet.kind_at(at) == Some(Kind::Nested);
    is && std::mem::replace(&mut sheet.bar.nested, true)
}

/// True for the number of `rest 4` where no rest may stand: the word has the fault.
fn after_bars_word(sheet: &Sheet<'_>, at: usize) -> bool {
    let Some(word) = at.checked_sub(2).and_then(|at| sign(at, sheet)) else { return false };
    sheet.kind_at(at) == Some(Kind::Number) && matches!(word.of(sheet.text), "rest" | "improvise" | "play")
}

/// A stretch of a figure that is no place.
pub fn in_figure(sheet: &mut Sheet<'_>, start: usize, end: usize) -> Option<Fault> {
    if nested(sheet, start) || after_bars_word(sheet, start) {
        return None;
    }
    Some(figure_fault(sheet, start, end))
}

fn figure_fault(sheet: &Sheet<'_>, start: usize, end: usize) -> Fault {
    let span = sheet.bytes((start..end).into());
    let Some(first) = sign(start, sheet) else {
        return Fault::new(FaultName::Unreadable, span, "This cannot be read.");
    };
    if let Some(fault) = anywhere(first, span, sheet) {
        return fault;
    }
    let said = span.of(sheet.text);
    if matches!(said, "rest" | "improvise" | "play") {
        let text = format!(
            "`{said}` stands in the rows of the players; here a blank bar leaves the figures to them."
        );
        return Fault::new(FaultName::Unreadable, span, text);
    }
    if first.kind.is_wordlike() {
        let lower = said.to_lowercase();
        if value_of(&lower).is_some() {
            return Fault::new(
                FaultName::Unreadable,
                span,
                format!("Note values are small letters: `{lower}`."),
            )
            .fixed_by(format!("Write {lower}"), span, lower);
        }
        let letters = said.trim_end_matches(|c: char| c.is_ascii_digit());
        let digits = said.get(letters.len()..).unwrap_or("");
        if value_of(letters).is_some() && digits.parse::<u32>().is_ok_and(|n| (2..=64).contains(&n)) {
            let better = format!("{letters}*{digits}");
            let text = format!("Several equal values are written with `*`: `{better}`.");
            return Fault::new(FaultName::Unreadable, span, text).fixed_by(
                format!("Write {better}"),
                span,
                better,
            );
        }
        if Pitch::parse(said).is_some() || first.kind == Kind::Pitch {
            let text = format!("`{}` is a note; before the colon stand values only: {VALUES}.", shown(said));
            return Fault::new(FaultName::Unreadable, span, text);
        }
    }
    if matches!(first.kind, Kind::Minus | Kind::Equals) {
        let text = format!(
            "`{said}` stands behind a value: `q{said}` is a quarter in which {}.",
            match first.kind {
                Kind::Minus => "everybody rests",
                _ => "what was there before goes on",
            }
        );
        return Fault::new(FaultName::Unreadable, span, text);
    }
    if first.kind == Kind::FigureColon {
        let text = "A rhythm row has no colon: its bars are figures.";
        return Fault::new(FaultName::Unreadable, first.span, text).fixed_by("Take it away", first.span, "");
    }
    let text = format!("`{}` is no note value. Values are {VALUES}, with dots or sums.", shown(said));
    Fault::new(FaultName::Unreadable, span, text)
}

/// A stretch of a chord that is no note.
pub fn in_chord(sheet: &mut Sheet<'_>, start: usize, end: usize) -> Option<Fault> {
    if nested(sheet, start) {
        return None;
    }
    Some(chord_fault(sheet, start, end))
}

fn chord_fault(sheet: &Sheet<'_>, start: usize, end: usize) -> Fault {
    let span = sheet.bytes((start..end).into());
    let Some(first) = sign(start, sheet) else {
        return Fault::new(FaultName::Unreadable, span, "This cannot be read.");
    };
    anywhere(first, span, sheet).or_else(|| note_like(start, end, sheet)).unwrap_or_else(|| {
        let text = format!(
            "`{}` is no note of a chord: notes with their marks, `-` or `=` stand between its brackets.",
            shown(span.of(sheet.text))
        );
        Fault::new(FaultName::Unreadable, span, text)
    })
}

/// A stretch of a list that is nothing known; `None` where the fault is shown already.
pub fn in_list(sheet: &mut Sheet<'_>, start: usize, end: usize) -> Option<Fault> {
    let span = sheet.bytes((start..end).into());
    let first = sign(start, sheet)?;
    if nested(sheet, start) {
        return None;
    }
    if let Some(fault) = anywhere(first, span, sheet) {
        return Some(fault);
    }
    if let Some(fault) = after_note(first, start, sheet) {
        return fault;
    }
    if let Some(fault) = missing_colon(first, start, sheet) {
        return fault;
    }
    Some(
        note_like(start, end, sheet)
            .or_else(|| word_like(first, span, sheet))
            .unwrap_or_else(|| lone_sign(first, span, sheet)),
    )
}

/// What touches the thing before it.
fn after_note(first: Token, start: usize, sheet: &Sheet<'_>) -> Option<Option<Fault>> {
    let before = start.checked_sub(1).and_then(|at| sign(at, sheet))?;
    let last =
        sheet.items.last().filter(|item| item.span.end == first.span.start && !separates(before.kind))?;
    if first.kind == Kind::Number && before.kind == Kind::Pitch {
        let span = before.span.to(first.span);
        return Some(Some(two_digits(span, sheet)));
    }
    if first.kind.is_wordlike() || matches!(first.kind, Kind::Technique) {
        // The fault that they touch is there already.
        return Some(None);
    }
    let late = matches!(
        first.kind,
        Kind::Dot
            | Kind::Minus
            | Kind::Greater
            | Kind::Caret
            | Kind::Low
            | Kind::Comma
            | Kind::Commas
            | Kind::Choice
    );
    (late && before.kind == Kind::Times && last.times > 1).then(|| {
        let mark = first.of(sheet.text).to_owned();
        let text = format!("Marks stand before `*`: `{}` belongs in front of it.", shown(&mark));
        let mut fault = Fault::new(FaultName::Unreadable, first.span, text);
        fault.fix = Some(crate::notation::fault::Fix {
            title: "Put the mark before *".to_owned(),
            edits: vec![(Span::new(before.span.start, before.span.start), mark), (first.span, String::new())],
        });
        Some(fault)
    })
}

fn two_digits(span: Span, sheet: &Sheet<'_>) -> Fault {
    let text = format!(
        "`{}` has more than one octave digit; middle C is C4, and the highest notes of brass lie in octave 6 or 7.",
        shown(span.of(sheet.text))
    );
    Fault::new(FaultName::BadNumber, span, text)
}

/// A bar that begins with values and has no colon.
fn missing_colon(first: Token, start: usize, sheet: &mut Sheet<'_>) -> Option<Option<Fault>> {
    let valued = is_value(first, sheet.text) || first.kind == Kind::BraceOpen;
    if sheet.bar.has_figure || !(valued || sheet.bar.told && in_told(first, sheet)) {
        return None;
    }
    if sheet.bar.told && in_told(first, sheet) {
        return Some(None);
    }
    // Only what stands before everything else can be a figure.
    let free_before = sheet.items_of_bar().iter().all(|item| item.what == What::Bad);
    if !free_before || sheet.bar.faulty {
        return None;
    }
    let mut at = start;
    let mut last = first;
    let mut colon = None;
    while let Some(token) = sign(at, sheet) {
        let mut stop = at;
        while let Some(t) = sign(stop, sheet).filter(|t| !ends_place(t.kind)) {
            if t.kind == Kind::Technique && t.of(sheet.text) != ":fermata" {
                colon = Some(t);
                break;
            }
            last = t;
            stop += 1;
        }
        at = stop;
        while sign(at, sheet).is_some_and(|t| t.kind == Kind::Blank) {
            at += 1;
        }
        let Some(next) = sign(at, sheet).filter(|_| colon.is_none()) else { break };
        let technique = next.kind == Kind::Technique;
        let inside = matches!(next.kind, Kind::BraceOpen | Kind::BraceClose);
        if !(inside || technique || is_value(next, sheet.text)) || token.span == next.span {
            break;
        }
        if inside {
            last = next;
        }
    }
    let figure = Span::new(first.span.start, last.span.end);
    sheet.bar.told = true;
    sheet.bar.figure = figure;
    let said = shown(figure.of(sheet.text));
    if let Some(colon) = colon {
        // The note that touches the colon was read as a technique; it is part of this fault.
        let mut end = colon.span.end;
        while let Some(t) = sign(at + 1, sheet).filter(|t| !ends_place(t.kind)) {
            end = t.span.end;
            at += 1;
        }
        sheet.bar.figure = Span::new(figure.start, end);
        let blank = Span::new(colon.span.start + 1, colon.span.start + 1);
        let text = format!("Behind the colon of the figure `{said}` a blank is missing.");
        let span = Span::new(colon.span.start, end);
        return Some(Some(Fault::new(FaultName::Unreadable, span, text).fixed_by(
            "Put a blank behind it",
            blank,
            " ",
        )));
    }
    let more = sign(at, sheet)
        .is_some_and(|t| !t.kind.is_barline() && !matches!(t.kind, Kind::Comment | Kind::Beyond));
    if !more {
        let text = format!("`{said}` is a figure; a colon and the notes are missing: `{said} : …`.");
        return Some(Some(Fault::new(FaultName::Unreadable, figure, text)));
    }
    let end = Span::new(figure.end, figure.end);
    let text = format!("Between the figure `{said}` and its notes a colon is missing.");
    Some(Some(Fault::new(FaultName::Unreadable, figure, text).fixed_by("Set the colon", end, " :")))
}

fn ends_place(kind: Kind) -> bool {
    kind == Kind::Blank || kind.is_barline() || matches!(kind, Kind::Comment | Kind::Beyond)
}

/// True for a token of the figure whose missing colon was told.
fn in_told(token: Token, sheet: &Sheet<'_>) -> bool {
    token.span.start >= sheet.bar.figure.start && token.span.end <= sheet.bar.figure.end
}

/// What was nearly a note.
fn note_like(start: usize, end: usize, sheet: &Sheet<'_>) -> Option<Fault> {
    let first = sign(start, sheet)?;
    let said = first.of(sheet.text);
    match first.kind {
        Kind::SmallPitch => {
            let capital = capital(said);
            let text = format!("Note letters are capitals: `{capital}`.");
            Some(Fault::new(FaultName::Unreadable, first.span, text).fixed_by(
                format!("Write {capital} for {said}"),
                first.span,
                capital,
            ))
        }
        Kind::Sharp => {
            let digits = sign(start + 1, sheet).filter(|t| start + 1 < end && t.kind == Kind::Number);
            let span = digits.map_or(first.span, |t| first.span.to(t.span));
            let letter = said.chars().next().map(|c| c.to_ascii_uppercase()).unwrap_or('C');
            if said.ends_with("##") {
                let better = format!("{letter}x{}", digits.map_or("", |t| t.of(sheet.text)));
                let fault = Fault::new(
                    FaultName::Unreadable,
                    span,
                    format!("A double sharp is written `x`: `{better}`."),
                );
                return Some(fault.fixed_by(format!("Write {better}"), span, better));
            }
            Some(no_octave(span, &format!("{letter}#"), sheet))
        }
        Kind::Word => word_note(first, sheet),
        _ => None,
    }
}

fn capital(said: &str) -> String {
    let mut chars = said.chars();
    chars.next().map(|c| c.to_ascii_uppercase()).into_iter().chain(chars).collect()
}

fn no_octave(span: Span, name: &str, sheet: &Sheet<'_>) -> Fault {
    let text = format!(
        "`{}` has no octave digit: `{name}4` is the one from middle C up, `{name}5` an octave higher.",
        shown(span.of(sheet.text))
    );
    Fault::new(FaultName::BadNumber, span, text)
}

/// A word that is a note with too many digits, with none, or several notes in one.
fn word_note(token: Token, sheet: &Sheet<'_>) -> Option<Fault> {
    let said = token.of(sheet.text);
    let name = said.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = said.len() - name.len();
    let spelled = capital(name);
    let is_name = spelled.len() <= 3 && super::words::class_of(&spelled).is_some();
    if is_name && digits > 1 {
        return Some(two_digits(token.span, sheet));
    }
    if is_name && digits == 0 && value_of(said).is_none() {
        return Some(no_octave(token.span, &spelled, sheet));
    }
    let notes = notes_in(said)?;
    let text = format!("Notes have blanks between them: `{notes}`.");
    Some(Fault::new(FaultName::Unreadable, token.span, text).fixed_by(
        "Put blanks between them",
        token.span,
        notes,
    ))
}

/// `C5D5` or `C5_D5` as single notes with blanks.
fn notes_in(said: &str) -> Option<String> {
    let mut out: Vec<String> = Vec::new();
    let mut rest = said;
    while !rest.is_empty() {
        let end = rest.find(|c: char| c.is_ascii_digit())? + 1;
        let note = rest.get(..end)?;
        Pitch::parse(note)?;
        rest = rest.get(end..)?;
        let marks = rest.len() - rest.trim_start_matches('_').len();
        out.push(format!("{note}{}", rest.get(..marks)?));
        rest = rest.get(marks..)?;
        if out.len() > 64 {
            return None;
        }
    }
    (out.len() > 1).then(|| out.join(" "))
}

fn word_like(token: Token, span: Span, sheet: &Sheet<'_>) -> Option<Fault> {
    if !token.kind.is_wordlike() {
        return None;
    }
    let said = span.of(sheet.text);
    if let Some((_, better)) = SAID_OTHERWISE.iter().find(|(other, _)| said.eq_ignore_ascii_case(other)) {
        let text = format!("`{said}` is written `{better}` here; printed words stand in quotes.");
        return Some(Fault::new(FaultName::Unreadable, span, text).fixed_by(
            format!("Write {better}"),
            span,
            *better,
        ));
    }
    if is_value(token, sheet.text) {
        let text = format!(
            "`{said}` is a note value; values stand before the notes and a colon, at the start of the bar."
        );
        return Some(Fault::new(FaultName::Unreadable, span, text));
    }
    if matches!(said, "rit" | "accel") {
        let text = format!("`{said}` concerns everybody: `[{said}]` stands in the rhythm row of the block.");
        return Some(Fault::new(FaultName::Unreadable, span, text));
    }
    let text = format!(
        "`{}` is no note, dynamic or other thing of a bar; printed words stand in quotes.",
        shown(said)
    );
    let fault = Fault::new(FaultName::Unreadable, span, text);
    Some(match nearest(said, LIST_WORDS) {
        Some(near) => fault.fixed_by(format!("Write {near}"), span, near),
        None if said.chars().all(char::is_alphanumeric) => {
            fault.fixed_by("Put it in quotes", span, format!("\"{said}\""))
        }
        None => fault,
    })
}

fn lone_sign(first: Token, span: Span, sheet: &Sheet<'_>) -> Fault {
    let said = first.of(sheet.text);
    let note = sheet.items_of_bar().last().filter(|item| {
        let gap = Span::new(item.span.end, first.span.start).of(sheet.text);
        matches!(item.what, What::Note(_) | What::Chord(_))
            && !gap.is_empty()
            && gap.trim_matches([' ', '\t']).is_empty()
    });
    let mark = matches!(
        first.kind,
        Kind::Dot
            | Kind::Caret
            | Kind::Low
            | Kind::Comma
            | Kind::Commas
            | Kind::Choice
            | Kind::Technique
            | Kind::Times
    );
    if let Some(note) = note.filter(|_| mark) {
        let text = format!("`{}` touches the note it is for.", shown(said));
        let gap = Span::new(note.span.end, first.span.start);
        return Fault::new(FaultName::Unreadable, first.span, text).fixed_by("Join it to the note", gap, "");
    }
    let (text, fix): (String, Option<(&str, &str)>) = match first.kind {
        Kind::Less => {
            ("`<` alone has no meaning: growing louder is `cresc`.".into(), Some(("Write cresc", "cresc")))
        }
        Kind::Greater => {
            let text =
                "`>` alone has no meaning: an accent touches its note (`C5>`), growing softer is `dim`.";
            // An accent that lost its note by one blank is put back; else the hairpin is meant.
            let at = sheet
                .items
                .last()
                .filter(|item| matches!(item.what, What::Note(_)) && item.span.end + 1 == first.span.start);
            if let Some(item) = at {
                let gap = Span::new(item.span.end, first.span.start);
                return Fault::new(FaultName::Unreadable, first.span, text).fixed_by(
                    "Make it an accent",
                    gap,
                    "",
                );
            }
            (text.into(), Some(("Write dim", "dim")))
        }
        Kind::Slash => ("The slash of a grace touches its note: `/B4 C5`.".into(), None),
        Kind::FigureColon | Kind::Colon => {
            ("A colon stands once in a bar, between the figure and the notes.".into(), None)
        }
        Kind::Technique => {
            let text =
                format!("`{said}` touches the note it is for; a figure's colon has a blank behind it.");
            let at = Span::new(first.span.start + 1, first.span.start + 1);
            return Fault::new(FaultName::Unreadable, first.span, text).fixed_by(
                "Put a blank behind the colon",
                at,
                " ",
            );
        }
        Kind::Dot | Kind::Caret | Kind::Low | Kind::Comma | Kind::Commas | Kind::Choice => {
            (format!("`{said}` is a mark and touches the note it is for."), None)
        }
        Kind::Times | Kind::Star => ("`*` and a number touch the note they repeat: `C5*3`.".into(), None),
        Kind::Number => (
            format!(
                "`{}` alone has no meaning here; a bar count follows `rest`, `improvise` or `%*`.",
                shown(said)
            ),
            None,
        ),
        Kind::BraceOpen | Kind::BraceClose => {
            ("Braces make tuplets and belong to the figure, before the colon.".into(), None)
        }
        _ => (format!("`{}` cannot be read here.", shown(span.of(sheet.text))), None),
    };
    let fault = Fault::new(FaultName::Unreadable, if fix.is_some() { first.span } else { span }, text);
    match fix {
        Some((title, with)) => fault.fixed_by(title, first.span, with),
        None => fault,
    }
}
