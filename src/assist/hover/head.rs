//! Lines of the head.

use super::telling::Telling;
use super::word::{told as word, under_cursor};
use super::{Asked, Hover, instrument, player};
use crate::assist::glossary::Class;
use crate::assist::symbols::bar_numbers;
use crate::brass::Mute;
use crate::notation::Span;
use crate::notation::tree::{AllowLine, LineTree, OptionKind, PlayerLine};
use crate::rules::page::page;
use crate::score::names::normal;

/// Tells of what stands under the cursor.
pub fn told(asked: Asked<'_>) -> Option<Hover> {
    let found = match &asked.line.tree {
        LineTree::Player(tree) => player_line(asked, tree),
        LineTree::Group(tree) => {
            let name = tree.id.iter().chain(&tree.members).find(|s| asked.here(**s));
            name.and_then(|s| player::name(asked, *s))
        }
        LineTree::Instrument(tree) => {
            tree.id.filter(|s| asked.here(*s)).and_then(|s| instrument::told(asked, s, None))
        }
        LineTree::Allow(tree) => allow(asked, tree),
        LineTree::Roadmap(stations) => {
            stations.iter().find(|s| asked.here(s.name)).and_then(|s| mark(asked, s.name))
        }
        _ => None,
    };
    found.or_else(|| keyword(asked))
}

/// The first word of the line, or another word that the line knows.
fn keyword(asked: Asked<'_>) -> Option<Hover> {
    let (text, span) = under_cursor(asked)?;
    let first = asked.line.text.trim_start().starts_with(text)
        && asked.text(Span::new(0, span.start)).trim().is_empty();
    if first {
        return word(asked, &[Class::Line], text, span);
    }
    let classes: &[Class] = match asked.line.tree {
        LineTree::Level(_) => &[Class::Level],
        LineTree::Basis(_) => &[Class::Basis],
        LineTree::Instrument(_) => &[Class::Build, Class::Option, Class::Register],
        LineTree::Player(_) => &[Class::Option, Class::Level, Class::Clef, Class::Register],
        _ => return None,
    };
    word(asked, classes, text, span).or_else(|| option(asked))
}

/// The option of a player line whose number, pitch or name is pointed at.
fn option(asked: Asked<'_>) -> Option<Hover> {
    let LineTree::Player(tree) = &asked.line.tree else { return None };
    let option = tree.options.iter().find(|o| asked.here(o.span))?;
    let keyword = asked.text(option.span).split([' ', '\t']).next().unwrap_or("");
    word(asked, &[Class::Option], keyword, option.span)
}

fn player_line(asked: Asked<'_>, tree: &PlayerLine) -> Option<Hover> {
    if let Some(id) = tree.id.filter(|s| asked.here(*s)) {
        return player::name(asked, id);
    }
    let whole = tree.instrument.map(|s| tree.read_in.map_or(s, |r| s.to(r.span)));
    if let (Some(words), Some(whole)) = (tree.instrument, whole)
        && asked.here(whole)
    {
        return instrument::told(asked, words, tree.read_in);
    }
    let option = tree.options.iter().find(|o| asked.here(o.span))?;
    let (text, span) = under_cursor(asked)?;
    match &option.what {
        OptionKind::Doubles { instrument: words, read_in } => {
            let whole = read_in.map_or(*words, |r| words.to(r.span));
            asked.here(whole).then(|| instrument::told(asked, *words, *read_in))?
        }
        OptionKind::Mutes(_) => instrument::mute(asked, Mute::from_word(text)?, span),
        _ => None,
    }
}

/// A rule that is allowed, or a player it is allowed for.
pub fn allow(asked: Asked<'_>, tree: &AllowLine) -> Option<Hover> {
    if let Some(name) = tree.players.iter().find(|s| asked.here(**s)) {
        return player::name(asked, *name);
    }
    let span = tree.rules.iter().find(|s| asked.here(**s)).copied()?;
    let page = page(asked.text(span))?;
    let mut telling = Telling::new(format!("{} ({})", page.name, page.severity));
    telling.text(page.summary);
    if page.reading {
        telling.text("A fault of reading: it cannot be allowed.");
    }
    Some(telling.hover(asked.place.line, span))
}

/// A section of the road map.
fn mark(asked: Asked<'_>, span: Span) -> Option<Hover> {
    let name = normal(asked.text(span));
    let mut telling = Telling::new(asked.text(span));
    let placed =
        asked.score().blocks.iter().find(|b| b.read.block.sections.iter().any(|s| normal(s) == name));
    match placed {
        Some(placed) => telling.fact("Begins with", bar_numbers(placed)),
        None if &*name == "start" => telling.text("What stands before the first mark."),
        None => return None,
    }
    Some(telling.hover(asked.place.line, span))
}
