//! How a text is coloured by patterns, said once for all editors that colour so.
//!
//! A context is what may stand in some stretch of a line. Every context ends with its line.

use super::words::{alternatives, instruments, techniques, words};
use waterkey::assist::glossary::Class;

/// What a stretch is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Colour {
    Comment,
    Text,
    Keyword,
    Property,
    Builtin,
    Type,
    Variable,
    Function,
    Technique,
    Note,
    Constant,
    Label,
    Number,
    Dynamic,
    Operator,
    Delimiter,
    Bracket,
}

/// One rule of a context; the first that matches counts.
pub enum Rule {
    /// A stretch of one colour, and the context behind it if another begins.
    Match(Colour, String, Option<&'static str>),
    /// The same, and the context ends behind it.
    Last(Colour, String),
    /// Another context begins where this is ahead.
    Ahead(String, &'static str),
    /// The context ends where this is ahead.
    Until(String),
    /// The rules of another context.
    Of(&'static str),
}

/// A context by its name.
pub struct Context {
    pub name: &'static str,
    pub rules: Vec<Rule>,
}

const NAME: &str = r"\p{L}[\p{L}\p{M}\p{N}_]*";
const HYPHENED: &str = r"\p{L}[\p{L}\p{M}\p{N}_\-]*";
/// Nothing of a word before.
const FREE: &str = r"(?<![\p{L}\p{N}_:@])";
/// Nothing of a word behind.
const END: &str = r"(?![\p{L}\p{N}_\-])";

fn plain(colour: Colour, pattern: impl Into<String>) -> Rule {
    Rule::Match(colour, pattern.into(), None)
}

fn then(colour: Colour, pattern: impl Into<String>, context: &'static str) -> Rule {
    Rule::Match(colour, pattern.into(), Some(context))
}

/// One of some words, whole.
fn whole(colour: Colour, alternatives: &str) -> Rule {
    plain(colour, format!("{FREE}(?:{alternatives}){END}"))
}

/// The first word of a line, and what may stand behind it.
fn line(alternatives: &str, context: &'static str) -> Rule {
    then(Colour::Keyword, format!(r"^[ \t]*(?:{alternatives})\b"), context)
}

/// The context of a whole text first.
pub fn contexts() -> Vec<Context> {
    let context = |name, rules| Context { name, rules };
    vec![
        context("line", lines()),
        context(
            "common",
            vec![
                plain(Colour::Comment, r"(?:^|(?<=[ \t]))//(?:[ \t].*)?$"),
                plain(Colour::Text, r#""[^"]*""#),
            ],
        ),
        context("head", head()),
        context(
            "names",
            vec![Rule::Of("common"), plain(Colour::Operator, "="), plain(Colour::Variable, NAME)],
        ),
        context("player", player(Colour::Variable)),
        context("instrument", player(Colour::Type)),
        context(
            "allowance",
            vec![
                Rule::Of("common"),
                then(Colour::Keyword, format!(r"{FREE}for{END}"), "names"),
                plain(Colour::Constant, HYPHENED),
            ],
        ),
        context(
            "roadmap",
            vec![
                Rule::Of("common"),
                plain(Colour::Number, r"\*\d+"),
                plain(Colour::Label, r"[\p{L}\p{M}\p{N}_\-]+"),
            ],
        ),
        context("block", block()),
        context(
            "label",
            vec![
                Rule::Last(Colour::Text, r#""[^"]*""#.to_owned()),
                Rule::Last(Colour::Label, r"[\p{L}\p{M}\p{N}_\-]+".to_owned()),
            ],
        ),
        context(
            "key",
            vec![
                plain(Colour::Constant, KEY),
                Rule::Last(Colour::Builtin, format!("(?:{}){END}", words(&[Class::Register]))),
                Rule::Until(r"[^ \t]".to_owned()),
            ],
        ),
        context(
            "clef",
            vec![Rule::Last(Colour::Builtin, words(&[Class::Clef])), Rule::Until(r"[^ \t]".to_owned())],
        ),
        context("phrase", phrase()),
        context("row", vec![then(Colour::Delimiter, r"\|", "bars"), Rule::Of("names")]),
        context("chords", vec![then(Colour::Delimiter, r"\|", "symbols"), Rule::Of("common")]),
        context("symbols", symbols()),
        context("bars", bars()),
        context("play", play()),
        context("instruction", instruction()),
    ]
}

fn lines() -> Vec<Rule> {
    let others = words(&[Class::Line]);
    let kinds = ["player", "instrument", "phrase", "group", "allow", "roadmap", "bar", "rhythm", "chords"];
    let others = others.split('|').filter(|word| !kinds.contains(word)).collect::<Vec<_>>().join("|");
    vec![
        Rule::Of("common"),
        line("player", "player"),
        line("instrument", "instrument"),
        line("phrase", "phrase"),
        line("group", "names"),
        line("allow", "allowance"),
        line("roadmap", "roadmap"),
        line("bar", "block"),
        line("rhythm", "row"),
        line("chords", "chords"),
        line(&others, "head"),
        Rule::Ahead(format!(r"^[ \t]*{NAME}[^|]*\|"), "row"),
    ]
}

fn head() -> Vec<Rule> {
    vec![
        Rule::Of("common"),
        whole(Colour::Builtin, &words(&[Class::Level, Class::Basis])),
        plain(Colour::Note, format!("{FREE}A4{END}")),
        plain(Colour::Number, r"\d+(?:\.\d+)?"),
        plain(Colour::Operator, "="),
    ]
}

/// A key name may follow.
fn read_in() -> Rule {
    then(Colour::Keyword, format!("{FREE}in{END}"), "key")
}

const KEY: &str = r"[A-G](?:b|#|♭|♯)?(?![\p{L}\p{N}_])";

fn instrument_names() -> Rule {
    let names = instruments().iter().map(|name| name.replace(' ', "[ \\t]+")).collect();
    whole(Colour::Type, &alternatives(names))
}

fn player(name: Colour) -> Vec<Rule> {
    let options: Vec<String> = words(&[Class::Option, Class::Build])
        .split('|')
        .filter(|word| !["in", "slide", "natural", "valved"].contains(word))
        .map(str::to_owned)
        .collect();
    let values = words(&[Class::Level, Class::Mute]);
    vec![
        Rule::Of("common"),
        plain(name, format!(r"{NAME}(?=[ \t]*=)")),
        plain(Colour::Note, pitch()),
        read_in(),
        instrument_names(),
        then(Colour::Property, format!("{FREE}clef{END}"), "clef"),
        whole(Colour::Property, &alternatives(options)),
        whole(Colour::Builtin, &format!("{values}|none|slide|natural|valved")),
        plain(Colour::Number, r"(?<![\p{L}_])\d+(?:\.\d+)?"),
        plain(Colour::Delimiter, ","),
        plain(Colour::Operator, r"=|\.\."),
        plain(Colour::Type, HYPHENED),
    ]
}

fn block() -> Vec<Rule> {
    let settings: Vec<String> = words(&[Class::Setting])
        .split('|')
        .filter(|word| !["to", "mark", "spot", "key"].contains(word))
        .map(str::to_owned)
        .collect();
    vec![
        Rule::Of("common"),
        then(Colour::Property, format!(r"{FREE}(?:mark|spot){END}"), "label"),
        whole(Colour::Property, &alternatives(settings)),
        whole(Colour::Keyword, "to"),
        then(Colour::Property, format!("{FREE}key{END}"), "key"),
        whole(Colour::Builtin, "major|minor|none"),
        plain(Colour::Number, length()),
        plain(Colour::Number, r"\d+(?:\+\d+)*/\d+|\d+(?:\.\d+)?"),
        plain(Colour::Operator, "="),
    ]
}

fn phrase() -> Vec<Rule> {
    vec![Rule::Of("common"), then(Colour::Delimiter, r"\|", "bars"), read_in(), plain(Colour::Function, NAME)]
}

fn pitch() -> String {
    format!(r"{FREE}[A-G](?:#|x|bb|b|♯|♭|𝄪|𝄫)?[0-9](?![\p{{L}}\p{{N}}])")
}

fn length() -> String {
    let value = words(&[Class::Value]);
    format!(r"{FREE}(?:{value})\.{{0,2}}(?:\+(?:{value})\.{{0,2}})*(?=[\-=*: \t}}|]|$)")
}

fn symbols() -> Vec<Rule> {
    vec![
        Rule::Of("common"),
        plain(Colour::Number, length()),
        whole(Colour::Keyword, "rest"),
        plain(Colour::Type, r"(?<![^ \t|])(?:[A-G][^ \t|]*|N\.C\.)"),
        plain(Colour::Number, r"\*?\d+"),
        plain(Colour::Delimiter, r"[|:]"),
        plain(Colour::Bracket, r"[{}]"),
        plain(Colour::Operator, r"[%\-=]"),
    ]
}

fn bars() -> Vec<Rule> {
    let techniques = alternatives(techniques().iter().map(|word| word[1..].to_owned()).collect());
    let dynamics = words(&[Class::Dynamic]);
    let bars: Vec<String> =
        words(&[Class::Bars]).split('|').filter(|word| *word != "play").map(str::to_owned).collect();
    vec![
        Rule::Of("common"),
        then(Colour::Bracket, r"\[", "instruction"),
        plain(Colour::Technique, format!(r":(?:{techniques})(?![\p{{L}}\p{{N}}])=?")),
        plain(Colour::Label, "@[A-Za-z0-9]+"),
        plain(Colour::Note, pitch()),
        plain(Colour::Number, length()),
        plain(Colour::Dynamic, format!(r"{FREE}(?:{dynamics})(?![\p{{L}}\p{{N}}_:\-])")),
        then(Colour::Keyword, format!("{FREE}play{END}"), "play"),
        whole(Colour::Keyword, &alternatives(bars)),
        plain(Colour::Number, r"\*?\d+"),
        plain(Colour::Delimiter, r"[|:]"),
        plain(Colour::Bracket, r"[(){}]"),
        plain(Colour::Operator, r"[.\->^_,=%/]"),
    ]
}

fn play() -> Vec<Rule> {
    vec![
        Rule::Until(r"\|".to_owned()),
        Rule::Of("common"),
        whole(Colour::Keyword, "up|down"),
        plain(Colour::Number, format!(r"{FREE}[PMmAd]\d+{END}|\*\d+")),
        plain(Colour::Function, NAME),
    ]
}

fn instruction() -> Vec<Rule> {
    let values = words(&[Class::Mute]);
    vec![
        Rule::Last(Colour::Bracket, r"\]".to_owned()),
        Rule::Of("common"),
        then(Colour::Dynamic, format!(r"(?<=\[)[ \t]*clef{END}"), "clef"),
        plain(Colour::Dynamic, format!(r"(?<=\[)[ \t]*(?:{}){END}", words(&[Class::Instruction]))),
        read_in(),
        plain(Colour::Number, length()),
        instrument_names(),
        whole(Colour::Builtin, &values),
        plain(Colour::Number, r"(?<![\p{L}_])\d+(?:\.\d+)?"),
        plain(Colour::Operator, "="),
        plain(Colour::Type, HYPHENED),
    ]
}
