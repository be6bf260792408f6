//! Another name for a player, group, phrase, instrument or mark, wherever it stands in the file.

use super::name::{Name, NameKind, mentions, name_at, spelled};
use super::place::{Place, Stretch, TextEdit};
use crate::brass::catalogue;
use crate::notation::Span;
use crate::notation::line::{LINE_WORDS, Line, read_line};
use crate::rules::Desk;
use crate::score::names::normal;

/// What would be renamed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Renaming {
    /// The name at the place.
    pub at: Stretch,
    /// As it is written there.
    pub text: String,
}

/// Whether the name at a place can be renamed; the error says why not, in a sentence.
pub fn prepare(desk: &Desk, place: Place) -> Result<Renaming, String> {
    let (name, at) = name_at(desk, place).ok_or(
        "Only the names of players, groups, phrases, instruments of your own and marks can be changed.",
    )?;
    if !mentions(desk, &name).iter().any(|m| m.declares) {
        return Err(match desk.score().head.names.get(&name.text) {
            Some(_) => format!("`{}` is declared in an included file: change it there.", name.text),
            None => format!("`{}` is declared nowhere.", name.text),
        });
    }
    let line = desk.document().lines().get(at.line as usize);
    let text = line.map_or("", |l| at.span.of(&l.text)).to_owned();
    Ok(Renaming { at, text })
}

/// The edits that give the name at a place another text, in the order of the file, at most one for each
/// stretch. The error says in a sentence why the new name will not do.
pub fn rename(desk: &Desk, place: Place, new: &str) -> Result<Vec<TextEdit>, String> {
    prepare(desk, place)?;
    let Some((name, _)) = name_at(desk, place) else { return Ok(Vec::new()) };
    let new = new.trim();
    if normal(new) == name.text.as_str() {
        return Ok(Vec::new());
    }
    free(desk, &name, new)?;
    let renamed = Name { kind: name.kind, text: normal(new).into_owned() };
    let mut all = Vec::new();
    for (at, line) in desk.document().lines().iter().enumerate() {
        let edits: Vec<(Span, String)> = spelled(line, &name)
            .into_iter()
            .map(|(span, _)| (span, written(line, span, &name, new)))
            .collect();
        if edits.is_empty() {
            continue;
        }
        if !reads_back(line, &edits, &renamed) {
            return Err(format!("`{new}` would be read as something else in line {}.", at + 1));
        }
        all.extend(edits.into_iter().map(|(span, with)| TextEdit { line: at as u32, span, with }));
    }
    Ok(all)
}

/// The new name as it is written here: a mark with blanks needs quotes.
fn written(line: &Line, span: Span, name: &Name, new: &str) -> String {
    let quoted =
        (span.start.checked_sub(1)).is_some_and(|at| Span::new(at, span.start).of(&line.text) == "\"");
    let plain = new.chars().all(|c| c.is_alphanumeric() || c == '_' || c == '-');
    if name.kind == NameKind::Mark && !quoted && !plain { format!("\"{new}\"") } else { new.to_owned() }
}

/// True if the line with the edits made has the new name in each of their places.
fn reads_back(line: &Line, edits: &[(Span, String)], renamed: &Name) -> bool {
    let mut text = line.text.to_string();
    for (span, with) in edits.iter().rev() {
        let (start, end) = (span.start as usize, span.end as usize);
        if text.get(start..end).is_none() {
            return false;
        }
        text.replace_range(start..end, with);
    }
    let again = read_line(&text, line.ending);
    spelled(&again, renamed).len() == edits.len() && again.faults.len() <= line.faults.len()
}

/// Says why a name cannot be taken.
fn free(desk: &Desk, old: &Name, new: &str) -> Result<(), String> {
    if old.kind == NameKind::Mark {
        if new.is_empty() || new.contains(['"', '|', '\n', '\r']) {
            return Err("A mark has at least one letter, and neither quotes nor barlines.".to_owned());
        }
        if !mentions(desk, &Name { kind: NameKind::Mark, text: normal(new).into_owned() }).is_empty() {
            return Err(format!("There is a mark `{new}` already."));
        }
        return Ok(());
    }
    let mut letters = new.chars();
    let first = letters.next().is_some_and(char::is_alphabetic);
    if !first || !letters.all(|c| c.is_alphanumeric() || c == '_' || is_accent(c)) {
        return Err(format!("`{new}` is no name: a letter, then letters, digits or `_`."));
    }
    if LINE_WORDS.contains(&new) {
        return Err(format!("`{new}` begins a line of its own kind and cannot be a name."));
    }
    if old.kind == NameKind::Instrument && catalogue::entries().any(|e| e.name == new) {
        return Err(format!("The catalogue has a `{new}` already."));
    }
    let taken = |kind| !mentions(desk, &Name { kind, text: normal(new).into_owned() }).is_empty();
    let here = [NameKind::Player, NameKind::Group, NameKind::Phrase, NameKind::Instrument];
    if desk.score().head.names.get(new).is_some() || here.into_iter().any(taken) {
        return Err(format!("The name `{new}` is taken."));
    }
    Ok(())
}

/// Accents that stand behind their letter.
fn is_accent(c: char) -> bool {
    unicode_normalization::char::is_combining_mark(c)
}
