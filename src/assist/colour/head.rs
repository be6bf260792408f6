//! Lines of the head.

use super::{Brush, Colour, bars};
use crate::notation::Span;
use crate::notation::token::{Kind, Token};
use crate::notation::tree::{
    AllowLine, LineTree, OptionKind, PhraseLine, PlayerLine, PlayerOption, ReadIn, Station,
};
use crate::rules::registry;

/// `phrase ID [in KEY] | … |`.
pub fn phrase(brush: &mut Brush<'_>, phrase: &PhraseLine) {
    let tokens = &brush.line.tokens;
    let first = tokens.iter().position(|t| t.kind.is_barline()).unwrap_or(tokens.len());
    let (before, rest) = tokens.split_at_checked(first).unwrap_or((tokens, &[]));
    let mut line_word = true;
    for token in before.iter().filter(|t| t.kind != Kind::Blank) {
        if token.kind == Kind::Comment {
            brush.put(token.span, Colour::Comment);
        } else if std::mem::take(&mut line_word) {
            brush.put(token.span, Colour::Word);
        } else if phrase.id == Some(token.span) {
            brush.declare(token.span, Colour::Phrase);
        } else if let Some(key) = phrase.read_in {
            read_in(brush, key, token);
        }
    }
    bars::bars(brush, &phrase.row, rest);
}

fn read_in(brush: &mut Brush<'_>, key: ReadIn, token: &Token) {
    if key.span.contains(token.span.start) {
        brush.put(token.span, Colour::Term);
    } else if brush.text(token.span) == "in" {
        brush.put(token.span, Colour::Word);
    }
}

/// Any other line of the head.
pub fn line(brush: &mut Brush<'_>) {
    let line = brush.line;
    let mut line_word = true;
    let mut done = 0;
    for token in line.tokens.iter().filter(|t| !matches!(t.kind, Kind::Blank | Kind::Beyond)) {
        if token.span.start < done {
            continue;
        }
        if token.kind == Kind::Comment {
            brush.put(token.span, Colour::Comment);
        } else if std::mem::take(&mut line_word) {
            brush.put(token.span, Colour::Word);
        } else {
            done = self::token(brush, token);
        }
    }
}

/// Puts a token down; the byte up to which that settles what follows.
fn token(brush: &mut Brush<'_>, token: &Token) -> u32 {
    let line = brush.line;
    match &line.tree {
        LineTree::Player(player) => return self::player(brush, player, token),
        LineTree::Group(group) => {
            if group.id == Some(token.span) {
                brush.declare(token.span, Colour::Group);
            } else if group.members.contains(&token.span) {
                brush.put_if(token.span, brush.ground.person(brush.text(token.span)));
            } else if token.kind == Kind::Equals {
                brush.put(token.span, Colour::Sign);
            }
        }
        LineTree::Instrument(own) if own.id == Some(token.span) => {
            brush.declare(token.span, Colour::OwnInstrument);
        }
        LineTree::Instrument(own) => match (brush.text(token.span), own.read_in) {
            ("fundamental" | "valves" | "range" | "comfortable", _) => brush.put(token.span, Colour::Word),
            ("valved" | "slide" | "natural", _) => brush.put(token.span, Colour::Term),
            ("in", Some(_)) => brush.put(token.span, Colour::Word),
            (_, Some(key)) if key.span.contains(token.span.start) => brush.put(token.span, Colour::Term),
            _ if token.kind == Kind::Dot => brush.put(token.span, Colour::Sign),
            _ => brush.plain(token),
        },
        LineTree::Allow(allow) => return self::allow(brush, allow, token),
        LineTree::Roadmap(stations) => return station(brush, stations, token),
        LineTree::Level(Some(_)) | LineTree::Basis(Some(_)) if token.kind == Kind::Word => {
            brush.put(token.span, Colour::Term);
        }
        _ => brush.plain(token),
    }
    token.span.end
}

fn player(brush: &mut Brush<'_>, player: &PlayerLine, token: &Token) -> u32 {
    if player.id == Some(token.span) {
        brush.declare(token.span, Colour::Player);
        return token.span.end;
    }
    if let Some(words) = player.instrument.filter(|words| words.start == token.span.start) {
        return instrument(brush, words, player.read_in);
    }
    let option = player.options.iter().find(|o| o.span.contains(token.span.start));
    match option {
        Some(option) => self::option(brush, option, token),
        None => {
            if token.kind == Kind::Equals {
                brush.put(token.span, Colour::Sign);
            }
            token.span.end
        }
    }
}

/// The name as a player says it, its key too; the byte behind it.
fn instrument(brush: &mut Brush<'_>, words: Span, key: Option<ReadIn>) -> u32 {
    let whole = key.map_or(words, |key| words.to(key.span));
    brush.put_if(whole, brush.ground.instrument(brush.text(words)));
    whole.end
}

fn option(brush: &mut Brush<'_>, option: &PlayerOption, token: &Token) -> u32 {
    match &option.what {
        OptionKind::Bad => {}
        _ if token.span.start == option.span.start => brush.put(token.span, Colour::Word),
        OptionKind::Doubles { instrument: words, read_in } => {
            if words.start == token.span.start {
                return instrument(brush, *words, *read_in);
            }
        }
        _ => match token.kind {
            Kind::Word | Kind::Minus => brush.put(token.span, Colour::Term),
            _ => brush.plain(token),
        },
    }
    token.span.end
}

fn allow(brush: &mut Brush<'_>, allow: &AllowLine, token: &Token) -> u32 {
    if let Some(rule) = allow.rules.iter().find(|r| r.contains(token.span.start)) {
        let known = registry::rule(brush.text(*rule)).is_some();
        brush.put_if(*rule, known.then_some(Colour::Term));
        return rule.end;
    }
    if allow.players.contains(&token.span) {
        brush.put_if(token.span, brush.ground.person(brush.text(token.span)));
    } else if brush.text(token.span) == "for" {
        brush.put(token.span, Colour::Word);
    }
    token.span.end
}

fn station(brush: &mut Brush<'_>, stations: &[Station], token: &Token) -> u32 {
    if token.kind == Kind::Times {
        brush.put(token.span, Colour::Number);
        return token.span.end;
    }
    let inside = |s: &&Station| token.span.start <= s.name.start && s.name.start < token.span.end;
    let Some(station) = stations.iter().find(inside) else { return token.span.end };
    let known = brush.ground.section(brush.text(station.name));
    let whole = token.span.to(station.name);
    brush.put_if(whole, known);
    whole.end
}
