//! A player nobody has declared, declared in the head.

use super::case::Case;
use super::draft::Draft;
use super::lines::{in_head, last_of_head};
use crate::brass::Level;
use crate::brass::catalogue::entries;
use crate::music::Pitch;
use crate::notation::line::LINE_WORDS;
use crate::notation::nearest::nearest;
use crate::notation::token::Kind;
use crate::notation::tree::{LineTree, MemberKind, RowKind, What};
use unicode_normalization::char::is_combining_mark;

/// What the beginning of a part's name is short for; common practice of parts and scores.
const SHORT_FOR: [(&str, &str); 33] = [
    ("tp", "trumpet in Bb"),
    ("tpt", "trumpet in Bb"),
    ("trp", "trumpet in Bb"),
    ("trumpet", "trumpet in Bb"),
    ("ptp", "piccolo trumpet in Bb"),
    ("picc", "piccolo trumpet in Bb"),
    ("cor", "cornet in Bb"),
    ("cnt", "cornet in Bb"),
    ("cornet", "cornet in Bb"),
    ("sop", "soprano cornet in Eb"),
    ("flu", "flugelhorn in Bb"),
    ("flg", "flugelhorn in Bb"),
    ("fl", "flugelhorn in Bb"),
    ("hn", "horn in F"),
    ("hrn", "horn in F"),
    ("horn", "horn in F"),
    ("th", "tenor horn in Eb"),
    ("bar", "baritone horn"),
    ("euph", "euphonium"),
    ("eu", "euphonium"),
    ("tb", "trombone"),
    ("tbn", "trombone"),
    ("trb", "trombone"),
    ("trombone", "trombone"),
    ("atb", "alto trombone"),
    ("btb", "bass trombone"),
    ("btbn", "bass trombone"),
    ("ctb", "contrabass trombone"),
    ("ebb", "bass in Eb"),
    ("bbb", "bass in Bb"),
    ("tu", "F tuba"),
    ("tba", "F tuba"),
    ("tuba", "F tuba"),
];

/// Tried in this order where the name tells nothing: the first in whose range the row lies.
const BY_RANGE: [&str; 4] = ["trumpet in Bb", "horn in F", "trombone", "F tuba"];

/// A `player` line for the name, or the word that makes it a row for nobody in particular.
pub fn drafts(case: &Case<'_>) -> Vec<Draft> {
    if let (LineTree::Row(_), Some(word)) = (&case.line.tree, nearest(case.said(), ["rhythm", "chords"])) {
        let edits = vec![(case.finding.span, word.to_owned())];
        return vec![Draft::of_line(format!("Write {word}"), case.finding.line, edits)];
    }
    draft(case).into_iter().collect()
}

fn draft(case: &Case<'_>) -> Option<Draft> {
    let id = case.said();
    let taken = case.score().head.names.get(id).is_some();
    let wanted = match &case.line.tree {
        LineTree::Row(row) => row.names.contains(&case.finding.span),
        LineTree::Group(group) => group.members.contains(&case.finding.span),
        _ => false,
    };
    let declared_group = case.score().head.lines.iter().any(|l| match &l.tree {
        LineTree::Group(group) => group.id.is_some_and(|span| span.of(&l.text) == id),
        _ => false,
    });
    if taken || declared_group || !wanted || !is_name(id) {
        return None;
    }
    let instrument = like_named(case, id)
        .or_else(|| short_for(id).map(str::to_owned))
        .unwrap_or_else(|| by_range(case).to_owned());
    let text = format!("{}{instrument}", aligned(case, id));
    let title = format!("Declare {id} = {instrument}");
    // A group's members may stand below it, and a new player reads nothing that was read before.
    Some(Draft::new(title, vec![in_head(case.desk, |t| matches!(t, LineTree::Player(_)), &text)]).trusted())
}

fn is_name(text: &str) -> bool {
    let mut chars = text.chars();
    chars.next().is_some_and(char::is_alphabetic)
        && chars.all(|c| c == '_' || c.is_alphanumeric() || is_combining_mark(c))
        && !LINE_WORDS.contains(&text)
}

/// `player ID = ` with its sign under that of the players above.
fn aligned(case: &Case<'_>, id: &str) -> String {
    let start = format!("player {id}");
    let above = last_of_head(case.desk, |t| matches!(t, LineTree::Player(_)));
    let column = above.and_then(|at| {
        let line = case.score().head.lines.get(at as usize)?;
        let sign = line.tokens.iter().find(|t| t.kind == Kind::Equals)?;
        Some(line.text.get(..sign.span.start as usize)?.chars().count().saturating_sub(1))
    });
    format!("{start:0$} = ", column.unwrap_or(0).min(40))
}

/// The instrument of another player with the same name but for the number.
fn like_named(case: &Case<'_>, id: &str) -> Option<String> {
    let bare = |name: &str| name.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
    let mine = bare(id);
    let other = case.score().head.players.iter().find(|p| bare(&p.id) == mine)?;
    let LineTree::Player(tree) = &other.line.tree else { return None };
    let words = tree.instrument?;
    let whole = tree.read_in.map_or(words, |r| words.to(r.span));
    Some(whole.of(&other.line.text).to_owned())
}

fn short_for(id: &str) -> Option<&'static str> {
    let letters: String = id.chars().take_while(|c| c.is_alphabetic()).collect::<String>().to_lowercase();
    let found = SHORT_FOR.iter().find(|(short, _)| *short == letters);
    found.map(|(_, instrument)| *instrument)
}

/// The first instrument on which all notes of the row lie, were they written at concert pitch.
fn by_range(case: &Case<'_>) -> &'static str {
    let row = case.row().filter(|r| r.row.kind == RowKind::Music);
    let mut pitches: Vec<Pitch> = Vec::new();
    for item in row.map_or(&[][..], |r| &r.tree.items) {
        match item.what {
            What::Note(pitch) => pitches.push(pitch),
            What::Chord(slice) => {
                let members = row.map_or(&[][..], |r| slice.of(&r.tree.members));
                pitches.extend(members.iter().filter_map(|m| match m.what {
                    MemberKind::Note(pitch) => Some(pitch),
                    MemberKind::Rest | MemberKind::Hold => None,
                }));
            }
            _ => {}
        }
    }
    let fits = |name: &&&str| {
        let instrument = entries().find(|e| e.full_name() == **name).and_then(|e| e.instrument());
        instrument.is_some_and(|instrument| {
            let limits = instrument.limits(Level::Professional);
            pitches.iter().all(|p| (limits.low..=limits.usual).contains(&p.midi()))
        })
    };
    let [first, ..] = BY_RANGE;
    BY_RANGE.iter().find(fits).copied().unwrap_or(first)
}
