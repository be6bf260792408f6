//! The forms of the head's lines and of the line that opens a block.

use super::form::{Form, Signature};
use crate::assist::completion::SETTINGS;
use crate::assist::glossary::{Class, meaning};
use crate::assist::parts::Parts;
use crate::assist::typing::Typing;

/// The forms of a line that begins with this word, the narrowest first.
pub fn told(typing: &Typing<'_>, word: &str) -> Vec<Signature> {
    let words = typing.words(0, |t| t.kind.is_barline());
    let at = words.current.checked_sub(1);
    let text = line(word);
    let one = |form: Form| vec![form.done(text, at, false)];
    match word {
        "title" => one(Form::new().say("title \"").part("WORDS", line("title")).say("\"")),
        "composer" | "arranger" | "rights" => {
            one(Form::new().say(&format!("{word} \"")).part("WORDS", text).say("\""))
        }
        "level" => one(Form::new().say("level ").part("LEVEL", "`school`, `amateur` or `professional`.")),
        "pitch" => one(Form::new().say("pitch ").part("BASIS", "`concert` or `written`.")),
        "tuning" => vec![Form::new().say("tuning A4 = ").part("HERTZ", "Usually 440 to 443.").done(
            text,
            Some(0),
            false,
        )],
        "include" => {
            one(Form::new().say("include \"").part("FILE", "A path from this file's folder on.").say("\""))
        }
        "player" => player(typing),
        "instrument" => instrument(typing),
        "group" => {
            let behind = typing.line.text.get(..typing.at as usize).is_some_and(|t| t.contains('='));
            let form = Form::new()
                .say("group ")
                .part("NAME", "A name that nobody has yet.")
                .say(" = ")
                .part("PLAYER", "A player, or a group further up. The top voice comes first.")
                .say(" …");
            vec![form.done(text, Some(usize::from(behind)), false)]
        }
        "phrase" => {
            let form = Form::new()
                .say("phrase ")
                .part("NAME", "A name that nobody has yet.")
                .say(" in ")
                .part(
                    "KEY",
                    "The key of the instrument whose written pitch this is; concert pitch without it.",
                )
                .say(" | ")
                .part("BAR", "Each brings its figure: `q e e h : C4 D4 E4 G4`.")
                .say(" |");
            let active = if words.current > 1 { 1 } else { 0 };
            vec![form.done(text, Some(active), false)]
        }
        "allow" => {
            let is_for = words.before().iter().any(|s| typing.text(*s) == "for");
            let form = Form::new()
                .say("allow ")
                .part("RULE", "The name that a finding has, such as `too-high`.")
                .say(" … for ")
                .part("PLAYER", "A player or a group; without `for` it is for all.")
                .say(" …");
            vec![form.done(text, Some(usize::from(is_for)), false)]
        }
        "roadmap" => {
            let times = typing.text(words.span).contains('*');
            let form = Form::new()
                .say("roadmap ")
                .part("SECTION", "A mark or a spot, or `start` for what stands before the first. Names with blanks stand in quotes.")
                .say("*")
                .part("TIMES", "Played so often, with its repeats and endings; without it once, with the last ending.")
                .say(" …");
            vec![form.done(text, Some(usize::from(times)), false)]
        }
        "bar" => block(typing),
        _ => Vec::new(),
    }
}

fn line(word: &str) -> &'static str {
    meaning(Class::Line, word).unwrap_or("")
}

fn option_text(word: &str) -> &'static str {
    meaning(Class::Option, word).unwrap_or("")
}

fn player(typing: &Typing<'_>) -> Vec<Signature> {
    let form = Form::new()
        .say("player ")
        .part("NAME", "A name that nobody has yet: a letter, then letters, digits or `_`.")
        .say(" = ")
        .part("INSTRUMENT", "One of the trade, or an instrument of the score's own.")
        .say(" in ")
        .part("KEY", option_text("in"))
        .say(", ")
        .part("OPTION", "`level` `mutes` `doubles` `top` `bottom` `valves` `clef` `seats` `name` `signature`, each after a comma.")
        .say(", …");
    let parts = Parts::of(typing);
    let active = match &parts {
        None => 0,
        Some(parts) if parts.current > 0 => 3,
        Some(parts) => {
            let keyed = parts.words.before().iter().any(|s| typing.text(*s) == "in");
            if keyed { 2 } else { 1 }
        }
    };
    let whole = form.done(line("player"), Some(active), false);
    let narrow = parts.filter(|p| p.current > 0).and_then(|p| option(typing, &p));
    narrow.into_iter().chain([whole]).collect()
}

/// The form of the option that is being typed.
fn option(typing: &Typing<'_>, parts: &Parts<'_>) -> Option<Signature> {
    let keyword = typing.text(*parts.words.all.first()?);
    let given = parts.words.current.checked_sub(1);
    let say = |words: &str| Form::new().say(words);
    let (form, more) = match keyword {
        "level" => (say("level ").part("LEVEL", "`school`, `amateur` or `professional`."), false),
        "top" => (say("top ").part("NOTE", "The highest, as this person reads it: `top G5`."), false),
        "bottom" => (say("bottom ").part("NOTE", "The lowest, as this person reads it: `bottom C4`."), false),
        "mutes" => (say("mutes ").part("MUTE", "Those this person brings, or `none`.").say(" …"), true),
        "valves" => {
            (say("valves ").part("COUNT", "3, 4 or 5.").say(" ").part("plain", option_text("plain")), false)
        }
        "doubles" => (
            say("doubles ")
                .part("INSTRUMENT", "Options behind it are for this instrument.")
                .say(" in ")
                .part("KEY", option_text("in")),
            false,
        ),
        "clef" => (say("clef ").part("CLEF", "`treble`, `bass`, `tenor` or `alto`."), false),
        "seats" => (say("seats ").part("COUNT", "How many people read the part."), false),
        "name" => (say("name \"").part("WORDS", "As it stands on the part.").say("\""), false),
        "signature" => (say("signature ").part("none", "The one thing to say here."), false),
        _ => return None,
    };
    let given = match keyword {
        "doubles" => {
            let keyed = parts.words.before().iter().any(|s| typing.text(*s) == "in");
            given.map(|_| usize::from(keyed))
        }
        _ => given,
    };
    Some(form.done(option_text(keyword), given, more))
}

fn instrument(typing: &Typing<'_>) -> Vec<Signature> {
    let build = |word: &str| meaning(Class::Build, word).unwrap_or("");
    let form = Form::new()
        .say("instrument ")
        .part("NAME", "A name that nobody has yet.")
        .say(" = ")
        .part("BUILD", "`valved`, `slide` or `natural`.")
        .say(", fundamental ")
        .part("NOTE", build("fundamental"))
        .say(", in ")
        .part(
            "KEY",
            "Written C4 sounds this note next below; `basso` an octave lower, `up` an octave higher.",
        )
        .say(", valves ")
        .part("SEMITONES", "What each finger's valve adds: `2 1 3`.")
        .say(", range ")
        .part("LOW..HIGH", build("range"))
        .say(", comfortable ")
        .part("FROM..TO", build("comfortable"));
    let active = match Parts::of(typing) {
        None => Some(0),
        Some(parts) => match parts.words.all.first().map_or("", |s| typing.text(*s)) {
            "fundamental" => Some(2),
            "in" => Some(3),
            "valves" => Some(4),
            "range" => Some(5),
            "comfortable" => Some(6),
            _ if parts.current == 0 => Some(1),
            _ => None,
        },
    };
    vec![form.done(line("instrument"), active, false)]
}

/// A block's number and settings.
fn block(typing: &Typing<'_>) -> Vec<Signature> {
    let words = typing.words(0, |_| false);
    let text = |i: usize| words.all.get(i).map_or("", |s| typing.text(*s));
    let is_setting = |i: &usize| SETTINGS.contains(&text(*i)) && !matches!(text(*i - 1), "mark" | "spot");
    // A keyword that is just being typed has its own form already.
    let last = (1..words.all.len().min(words.current + 1)).rev().find(is_setting);
    let keyword = last.map_or("", text);
    let given: Vec<&str> = last.map(|i| (i + 1..words.current).map(text).collect()).unwrap_or_default();
    let setting = |word: &str| meaning(Class::Setting, word).unwrap_or("");
    let mut form = Form::new().say("bar ").part("NUMBER", "Of its first bar; the next one without it.");
    for (word, value) in [
        ("meter", "METER"),
        ("key", "KEY"),
        ("tempo", "TEMPO"),
        ("mark", "LETTER"),
        ("spot", "PLACE"),
        ("pickup", "VALUE"),
        ("close", "LENGTH"),
        ("repeat", "TIMES"),
        ("ending", "PASSES"),
    ] {
        form = form.say(&format!("  {word} ")).part(value, setting(word));
    }
    let active = match SETTINGS.iter().position(|s| *s == keyword) {
        Some(at) => Some(at + 1),
        None if words.current <= 1 => Some(0),
        None => None,
    };
    let whole = form.done(line("bar"), active, false);
    let typing_it = last == Some(words.current);
    let at = if typing_it { None } else { Some(given.len()) };
    narrow(keyword, &given, typing.text(words.span), at, setting(keyword))
        .into_iter()
        .chain([whole])
        .collect()
}

/// The form of one setting.
fn narrow(keyword: &str, given: &[&str], now: &str, at: Option<usize>, text: &str) -> Option<Signature> {
    let say = |words: &str| Form::new().say(words);
    Some(match keyword {
        "meter" => say("meter ")
            .part("BEATS/VALUE", "`4/4`, `6/8`, in groups `3+2/8`; several are taken in turn.")
            .say(" …")
            .done(text, at, true),
        "key" => say("key ")
            .part("TONIC", "A capital letter with `b` or `#` where needed, as it sounds; or `none`.")
            .say(" ")
            .part("MODE", "`major` or `minor`.")
            .done(text, at, false),
        "tempo" => return Some(tempo(("tempo ", ""), given, at.map(|_| now), text)),
        "mark" | "spot" => say(&format!("{keyword} "))
            .part("NAME", "A letter, a word, or words in quotes.")
            .done(text, at, false),
        "pickup" | "close" => say(&format!("{keyword} "))
            .part("VALUE", "How long that bar is: `q`, `h.`.")
            .done(text, at, false),
        "repeat" => {
            let at = at.map(|at| if at >= 2 || given.contains(&"to") { 1 } else { at.min(1) });
            say("repeat ")
                .part("TIMES", "How often it is played.")
                .say(" to ")
                .part("BAR", "The last bar repeated; this block alone without it.")
                .done(text, at, false)
        }
        "ending" => say("ending ")
            .part("PASS", "The passes this block is for: `ending 1 2`.")
            .say(" …")
            .done(text, at, true),
        _ => return None,
    })
}

/// The form of a tempo, wherever it stands; `given` are the words it has before the cursor, `current` is the
/// one at the cursor, if the tempo has begun.
pub fn tempo((before, after): (&str, &str), given: &[&str], current: Option<&str>, text: &str) -> Signature {
    let worded = given.first().is_some_and(|w| w.starts_with('"'));
    let active = match (current, given.len() - usize::from(worded)) {
        (None, _) => None,
        (Some(now), 0) if now.starts_with('"') => Some(0),
        (Some(_), 0) => Some(1),
        (Some(_), 1 | 2) => Some(2),
        (Some(_), _) => None,
    };
    Form::new()
        .say(before)
        .say("\"")
        .part("WORDS", "As they are printed; may be left out.")
        .say("\" ")
        .part("VALUE", "The value that is counted: `q`, `h`, `q.`.")
        .say(" = ")
        .part("NUMBER", "How many of them go into a minute.")
        .say(after)
        .done(text, active, false)
}
