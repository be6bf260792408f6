//! The forms of what stands in a row: instructions, phrases played, tuplets; figure and list.

use super::Occasion;
use super::form::{Form, Signature};
use super::lines::tempo;
use crate::assist::completion::open_instruction;
use crate::assist::glossary::{Class, meaning};
use crate::assist::typing::{OpenBar, Typing};
use crate::notation::Span;

/// The forms at the cursor.
pub fn told(typing: &Typing<'_>, occasion: Occasion) -> Vec<Signature> {
    let asked = occasion == Occasion::Asked;
    let Some(bar) = typing.bar() else {
        return if asked && typing.line_word().is_empty() { vec![names()] } else { Vec::new() };
    };
    if let Some(open) = open_instruction(typing, &bar) {
        return instruction(typing, open.start, open.end);
    }
    if let Some(tuplet) = tuplet(typing, &bar) {
        return vec![tuplet];
    }
    let start = bar.colon.map_or(bar.span.start, |c| c.end);
    if typing.line_word() != "chords" && bar.colon.is_none_or(|c| typing.at > c.start) {
        let words = typing.words(start, |t| t.span.start >= bar.span.end);
        let upto: Vec<&str> = words.before().iter().map(|s| typing.text(*s)).collect();
        if let Some(found) = whole_bars(&upto) {
            return vec![found];
        }
    }
    if asked { vec![list(typing, &bar)] } else { Vec::new() }
}

fn names() -> Signature {
    Form::new()
        .part("PLAYER", "A player or a group; several play in unison, or share its chords from the top.")
        .say(" … | ")
        .part("BAR", "A figure and what happens, or what fills bars: `rest 4`, `%`, `play riff`.")
        .say(" | …")
        .done("A row: who plays, and their bars from the first bar of the block on.", Some(0), false)
}

fn instruction(typing: &Typing<'_>, start: u32, end: u32) -> Vec<Signature> {
    let words = typing.words(start, |t| t.span.start >= end);
    let first = words.all.first().map_or("", |s| typing.text(*s));
    let text = meaning(Class::Instruction, first).unwrap_or("");
    let at = words.current.checked_sub(1);
    let found = match first {
        "mute" => Form::new()
            .say("[mute ")
            .part("NAME", "One of the mutes this player has.")
            .say("]")
            .done(text, at, false),
        "clef" => Form::new()
            .say("[clef ")
            .part("NAME", "`treble`, `bass`, `tenor` or `alto`.")
            .say("]")
            .done(text, at, false),
        "switch" => {
            let keyed = words.before().iter().any(|s| typing.text(*s) == "in");
            Form::new()
                .say("[switch ")
                .part("INSTRUMENT", "One of this player's own: the first, or one behind `doubles`.")
                .say(" in ")
                .part("KEY", "Where two of them share a name.")
                .say("]")
                .done(text, at.map(|_| usize::from(keyed)), false)
        }
        "tempo" => {
            let given: Vec<&str> = words.before().iter().skip(1).map(|s| typing.text(*s)).collect();
            let now = at.map(|_| typing.text(words.span));
            tempo(("[tempo ", "]"), &given, now, text)
        }
        _ => {
            let all = match typing.line_word() {
                "rhythm" => "`tempo` `rit` `accel` `a-tempo`, for everybody.",
                _ => {
                    "`mute` `open` `stopped` `hand` `flutter` `plain` `switch` `solo` `tutti` `clef`, from here on."
                }
            };
            let active = (words.current == 0).then_some(0);
            Form::new().say("[").part("INSTRUCTION", all).say("]").done(text, active, false)
        }
    };
    vec![found]
}

/// The form of a tuplet that is open at the cursor.
fn tuplet(typing: &Typing<'_>, bar: &OpenBar) -> Option<Signature> {
    let before: Vec<_> = typing.tokens_in(Span::new(bar.span.start, typing.at)).collect();
    let open = before.iter().rev().find(|t| matches!(typing.text(t.span), "{" | "}"))?;
    if typing.text(open.span) != "{" {
        return None;
    }
    let inside = typing.text(Span::new(open.span.end, typing.at));
    let active = match (inside.contains([' ', '\t']), inside.contains(':')) {
        (true, _) => 2,
        (false, true) => 1,
        (false, false) => 0,
    };
    let form = Form::new()
        .say("{")
        .part("COUNT", "So many equal values …")
        .say(":")
        .part("TIME", "… in the time of so many.")
        .say(" ")
        .part("PLACE", "Values that together make that count: `{3:2 q e}`.")
        .say(" …}");
    Some(form.done(meaning(Class::Bars, "{").unwrap_or(""), Some(active), false))
}

/// The form of what fills bars, given the words before the cursor.
fn whole_bars(before: &[&str]) -> Option<Signature> {
    let at = before.iter().rposition(|w| matches!(*w, "play" | "rest" | "improvise"))?;
    let word = *before.get(at)?;
    let text = meaning(Class::Bars, word).unwrap_or("");
    let given = before.len() - at - 1;
    if word != "play" {
        let form = Form::new().say(&format!("{word} ")).part("BARS", "How many.");
        return (given == 0).then(|| form.done(text, Some(0), false));
    }
    let form = Form::new()
        .say("play ")
        .part("PHRASE", "A phrase of the head.")
        .say(" ")
        .part("up|down", "Moved by an interval; as it is without it.")
        .say(" ")
        .part("INTERVAL", "`m3`, `P5`, `P8`: quality and number.")
        .say("*")
        .part("TIMES", "How often.");
    (given < 3).then(|| form.done(text, Some(given), false))
}

fn list(typing: &Typing<'_>, bar: &OpenBar) -> Signature {
    let in_figure = bar.colon.is_some_and(|c| typing.at <= c.start);
    match typing.line_word() {
        "rhythm" => Form::new()
            .part("VALUE", "How long each place is: `ww` `w` `h` `q` `e` `s` `ss` `sss`, with dots and sums.")
            .say(" …")
            .done("The bar's figure, for the rows below.", Some(0), false),
        "chords" => Form::new()
            .part("CHORD", "At concert pitch: `Bb6`, `F#m7b5`, `C7/G`, `N.C.`.")
            .say(" …")
            .done("Chord symbols, which share the bar equally where no figure parts it.", Some(0), false),
        _ => Form::new()
            .part("FIGURE", "When: values such as `q. e h`. Without it the rhythm row above rules.")
            .say(" : ")
            .part(
                "ENTRY",
                "What: notes, `-` a rest, `=` held on, chords; between them dynamics, words, instructions.",
            )
            .say(" …")
            .done("A bar: when, and what.", Some(usize::from(!in_figure)), false),
    }
}
