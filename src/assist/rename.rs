//! Another name for a player, group, phrase, instrument or mark, wherever it stands in the file.

use super::name::{Name, NameKind, is_name, mentions, name_at, spelled};
use super::place::{Place, Stretch, TextEdit};
use super::volume::{Body, Volume};
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

/// The name at a place, wherever it is declared; the error says that there is none.
pub fn named(desk: &Desk, place: Place) -> Result<(Name, Renaming), String> {
    let (name, at) = name_at(desk, place).ok_or(
        "Only the names of players, groups, phrases, instruments of your own and marks can be changed.",
    )?;
    let line = desk.document().lines().get(at.line as usize);
    let text = line.map_or("", |l| at.span.of(&l.text)).to_owned();
    Ok((name, Renaming { at, text }))
}

/// Whether the name at a place can be renamed in this file alone; the error says why not, in a sentence.
pub fn prepare(desk: &Desk, place: Place) -> Result<Renaming, String> {
    let (name, found) = named(desk, place)?;
    if mentions(desk, &name).iter().any(|m| m.declares) {
        return Ok(found);
    }
    Err(match desk.score().head.names.get(&name.text) {
        Some(_) => format!("`{}` is declared in an included file: change it there.", name.text),
        None => undeclared(&name),
    })
}

/// The edits that give the name at a place another text in this file alone, in the order of the file, at
/// most one for each stretch. The error says in a sentence why the new name will not do.
pub fn rename(desk: &Desk, place: Place, new: &str) -> Result<Vec<TextEdit>, String> {
    prepare(desk, place)?;
    let (name, _) = named(desk, place)?;
    if name.kind != NameKind::Mark
        && normal(new.trim()) != name.text.as_str()
        && desk.score().head.names.get(new.trim()).is_some()
    {
        return Err(taken(new.trim(), None));
    }
    let alone = Volume::alone(Body::of(desk.document()));
    Ok(alone.rename(0, &name, new)?.into_iter().map(|change| change.edit).collect())
}

pub(super) fn undeclared(name: &Name) -> String {
    format!("`{}` is declared nowhere.", name.text)
}

/// Says that a name is another's, and in which file.
pub(super) fn taken(new: &str, file: Option<&str>) -> String {
    match file {
        Some(file) => format!("The name `{new}` is taken in {file}."),
        None => format!("The name `{new}` is taken."),
    }
}

/// The edits of one line; the error says that the new name would not be read there as one.
pub(super) fn line_edits(line: &Line, name: &Name, new: &str) -> Result<Vec<(Span, String)>, String> {
    let edits: Vec<(Span, String)> =
        spelled(line, name).into_iter().map(|(span, _)| (span, written(line, span, name, new))).collect();
    let renamed = Name { kind: name.kind, text: normal(new).into_owned() };
    if reads_back(line, &edits, &renamed) {
        Ok(edits)
    } else {
        Err(format!("`{new}` would be read as something else"))
    }
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

/// Says why a name will not do wherever it stands.
pub(super) fn form(kind: NameKind, new: &str) -> Result<(), String> {
    if kind == NameKind::Mark {
        if new.is_empty() || new.contains(['"', '|', '\n', '\r']) {
            return Err("A mark has at least one letter, and neither quotes nor barlines.".to_owned());
        }
        if new == "start" {
            return Err("To a road map, `start` is what stands before the first mark.".to_owned());
        }
        return Ok(());
    }
    if !is_name(new) {
        return Err(format!("`{new}` is no name: a letter, then letters, digits or `_`."));
    }
    if LINE_WORDS.contains(&new) {
        return Err(format!("`{new}` begins a line of its own kind and cannot be a name."));
    }
    if kind == NameKind::Instrument && catalogue::entries().any(|e| e.name == new) {
        return Err(format!("The catalogue has a `{new}` already."));
    }
    Ok(())
}
