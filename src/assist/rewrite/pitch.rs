//! An entry at another pitch: its notes, the notes its trills go to, its choices of fingering.

use super::Refusal;
use crate::assist::cure::notes::{pitches, tokens, written};
use crate::music::{Interval, Key, Pitch};
use crate::notation::Span;
use crate::notation::line::Line;
use crate::notation::token::Kind;
use crate::notation::tree::{Basis, Item, Mark, Marks, Member, MemberKind, Row, What};
use crate::score::trill::above;

/// How the pitches of a row are meant.
#[derive(Debug, Clone, Copy)]
pub struct View {
    /// From the pitch as the row has it to what sounds.
    pub sounds: Interval,
    /// Concert key.
    pub key: Option<Key>,
    /// Whether letters are those of the player or of concert pitch.
    pub basis: Basis,
}

/// From one way to write some notes to another.
#[derive(Debug, Clone, Copy)]
pub struct Change {
    pub old: View,
    pub new: View,
    /// From the pitch as the row has it to the pitch as the new row has it.
    pub row: Interval,
    /// Whether `@12` still is a fingering of the note.
    pub keeps_fingerings: bool,
    /// Whether a trill that names no note is to go to the same note as before. In a phrase it goes where the key
    /// of each place takes it.
    pub names_trills: bool,
}

impl Change {
    /// The interval by which the sound moves.
    fn sound(&self) -> Interval {
        self.old.sounds.inverse().then(self.row).then(self.new.sounds)
    }

    /// The note that an unnamed trill must name in the new row, so that it goes to the same note.
    fn trill(&self, note: Pitch) -> Option<Pitch> {
        if !self.names_trills {
            return None;
        }
        let upper = |view: &View, pitch: Pitch| {
            let sounding = view.sounds.apply_respelled(pitch);
            let in_row = if view.basis == Basis::Written { pitch } else { sounding };
            above(sounding, in_row, view.key)
        };
        let meant = self.sound().apply_respelled(upper(&self.old, note));
        let read = upper(&self.new, self.row.apply_respelled(note));
        (meant.midi() != read.midi()).then(|| self.new.sounds.inverse().apply_respelled(meant))
    }

    /// The edits that write an entry anew.
    pub fn item(&self, line: &Line, row: &Row, item: &Item) -> Result<Vec<(Span, String)>, Refusal> {
        let mut edits = Vec::new();
        for (span, pitch) in pitches(line, item.span) {
            let with = text(self.row.apply_respelled(pitch), pitch)?;
            if with != span.of(&line.text) && Pitch::parse(span.of(&line.text)) != Pitch::parse(&with) {
                edits.push((span, with));
            }
        }
        if !self.keeps_fingerings {
            let choices = tokens(line, item.span).filter(|t| t.kind == Kind::Choice);
            edits.extend(choices.map(|t| (t.span, String::new())));
        }
        self.trills(line, row, item, &mut edits)?;
        Ok(edits)
    }

    fn trills(
        &self,
        line: &Line,
        row: &Row,
        item: &Item,
        edits: &mut Vec<(Span, String)>,
    ) -> Result<(), Refusal> {
        let unnamed = |marks: Marks| marks.has(Mark::Trill) && marks.trill.is_none();
        match item.what {
            What::Note(note) if unnamed(item.marks) => self.name(line, item.span, note, edits),
            What::Chord(slice) => {
                let members = slice.of(&row.members);
                let notes = |m: &Member| match m.what {
                    MemberKind::Note(note) => Some(note),
                    MemberKind::Rest | MemberKind::Hold => None,
                };
                let shared = unnamed(item.marks)
                    && members.iter().filter_map(notes).any(|note| self.trill(note).is_some());
                if shared {
                    // What one of them must name, each has for itself.
                    let behind =
                        Span::new(members.last().map_or(item.span.start, |m| m.span.end), item.span.end);
                    edits.extend(sign(line, behind).map(|span| (span, String::new())));
                }
                for member in members {
                    let Some(note) = notes(member) else { continue };
                    if unnamed(member.marks) {
                        self.name(line, member.span, note, edits)?;
                    } else if shared && member.marks.trill.is_none() {
                        let named = self.trill(note).map(|to| text(to, note)).transpose()?;
                        let with = named.map_or(":trill".to_owned(), |to| format!(":trill={to}"));
                        edits.push((Span::new(member.span.end, member.span.end), with));
                    }
                }
                Ok(())
            }
            _ => Ok(()),
        }
    }

    fn name(
        &self,
        line: &Line,
        entry: Span,
        note: Pitch,
        edits: &mut Vec<(Span, String)>,
    ) -> Result<(), Refusal> {
        if let Some(to) = self.trill(note)
            && let Some(sign) = sign(line, entry)
        {
            edits.push((Span::new(sign.end, sign.end), format!("={}", text(to, note)?)));
        }
        Ok(())
    }
}

/// The sign of a trill.
fn sign(line: &Line, within: Span) -> Option<Span> {
    let mut all = tokens(line, within).filter(|t| t.kind == Kind::Technique && t.of(&line.text) == ":trill");
    all.next().map(|t| t.span)
}

fn text(pitch: Pitch, from: Pitch) -> Result<String, Refusal> {
    written(pitch)
        .ok_or_else(|| Refusal::new(format!("{from} would leave the octaves that can be written, 0 to 9")))
}
