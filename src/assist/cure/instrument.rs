//! Instruments that are not in the catalogue, or not in a player's hands.

use super::case::Case;
use super::draft::Draft;
use super::lines::of_head;
use super::notes::tokens;
use crate::assist::place::TextEdit;
use crate::brass::catalogue::{self, CatalogueFault, entries};
use crate::notation::Span;
use crate::notation::token::Kind;
use crate::notation::tree::{LineTree, OptionKind, PlayerLine, ReadIn, Register, Switch};

/// Offered at most.
const MOST: usize = 6;

/// Other keys of the instrument, other instruments of the player, or one more for the player.
pub fn unknown(case: &Case<'_>) -> Vec<Draft> {
    match &case.line.tree {
        LineTree::Player(tree) => declared(case, tree),
        LineTree::Row(row) => {
            let switch = row.switches.iter().find(|s| s.instrument == case.finding.span);
            switch.map(|s| switched(case, s)).unwrap_or_default()
        }
        _ => Vec::new(),
    }
}

/// The instruments that a player line names, with their keys.
fn named(tree: &PlayerLine) -> Vec<(Span, Option<ReadIn>)> {
    let doubled = tree.options.iter().filter_map(|o| match o.what {
        OptionKind::Doubles { instrument, read_in } => Some((instrument, read_in)),
        _ => None,
    });
    tree.instrument.map(|words| (words, tree.read_in)).into_iter().chain(doubled).collect()
}

fn declared(case: &Case<'_>, tree: &PlayerLine) -> Vec<Draft> {
    let at = case.finding.span;
    let found = named(tree)
        .into_iter()
        .find(|(words, read_in)| *words == at || read_in.is_some_and(|r| r.span == at));
    let Some((words, read_in)) = found else { return Vec::new() };
    let line = case.finding.line;
    let name = case.text(words);
    let whole = read_in.map_or(words, |r| words.to(r.span));
    let without = |r: ReadIn| {
        let gone = Span::new(words.end, r.span.end);
        Draft::of_line(format!("Leave out the key of the {name}"), line, vec![(gone, String::new())])
    };
    let own = case.score().head.names.get(name).is_some();
    if let Some(key) = read_in.filter(|_| own) {
        return vec![without(key)];
    }
    match catalogue::find(name, read_in.map(|r| r.key), read_in.and_then(|r| r.register)) {
        Err(CatalogueFault::NeedsKey { name, keys }) => {
            let write = |key: &String| {
                let with = format!("{name} in {key}");
                Draft::of_line(format!("Write `{with}`"), line, vec![(words, with)]).unlikely()
            };
            keys.iter().take(MOST).map(write).collect()
        }
        Err(CatalogueFault::OtherKey { name, keys, .. }) => {
            let write = |key: &String| {
                let with = format!("{name} in {key}");
                Draft::of_line(format!("Write `{with}`"), line, vec![(whole, with)]).unlikely()
            };
            match read_in.filter(|_| keys.is_empty()) {
                Some(key) => vec![without(key)],
                None => keys.iter().take(MOST).map(write).collect(),
            }
        }
        Err(CatalogueFault::Unknown { nearest, .. }) => {
            let write = |with: &String| {
                Draft::of_line(format!("Write `{with}`"), line, vec![(words, with.clone())]).unlikely()
            };
            nearest.iter().take(MOST).map(write).collect()
        }
        _ => Vec::new(),
    }
}

fn switched(case: &Case<'_>, switch: &Switch) -> Vec<Draft> {
    let Some((_, player)) = case.player() else { return Vec::new() };
    let line = case.finding.line;
    let whole = switch.read_in.map_or(switch.instrument, |r| switch.instrument.to(r.span));
    let mut all = Vec::new();
    for instrument in player.instruments.iter().take(MOST) {
        let with = instrument.label.clone();
        let title = format!("Switch to the {with}");
        all.push(Draft::of_line(title, line, vec![(whole, with)]).unlikely());
    }
    let name = case.text(switch.instrument);
    let has = player.instruments.iter().any(|i| i.words == name);
    let full = match switch.read_in {
        Some(key) => Some(format!("{name} in {}", case.text(key.span))),
        None => entries().find(|e| e.name == name).map(|e| e.full_name()),
    };
    if let (false, Some(full), Some(at)) = (has, full, of_head(case.desk, &player.line)) {
        let known = entries().any(|e| e.full_name() == full);
        let end = super::lines::own_end(&player.line);
        let edit = TextEdit { line: at, span: Span::new(end, end), with: format!(", doubles {full}") };
        if known && player.line.faults.is_empty() {
            all.push(Draft::new(format!("Let {} double on the {full}", player.id), vec![edit]));
        }
    }
    all
}

/// The register that is assumed, and the other.
pub fn register(case: &Case<'_>) -> Vec<Draft> {
    let LineTree::Player(tree) = &case.line.tree else { return Vec::new() };
    let at = case.finding.span;
    let found =
        named(tree).into_iter().find(|(words, read_in)| read_in.is_some_and(|r| words.to(r.span) == at));
    let Some((words, Some(key))) = found else { return Vec::new() };
    let Ok(now) = catalogue::find(case.text(words), Some(key.key), key.register) else { return Vec::new() };
    // A word there is already is one that this key does not have.
    let word = tokens(case.line, key.span).filter(|t| t.kind == Kind::Word).last();
    let place = match (key.register, word) {
        (Some(_), Some(word)) => word.span,
        _ => Span::new(key.span.end, key.span.end),
    };
    let write = |register: Register| {
        let word = register.word();
        let same = now.assumed == Some(register);
        let with = if place.is_empty() { format!(" {word}") } else { word.to_owned() };
        let told = if same { "as it is read now" } else { "another octave" };
        let draft = Draft::of_line(format!("Write `{word}`, {told}"), case.finding.line, vec![(place, with)]);
        if same { draft } else { draft.unlikely() }
    };
    let mut all: Vec<Register> = now.assumed.into_iter().collect();
    all.extend([Register::Alto, Register::Basso].into_iter().filter(|r| Some(*r) != now.assumed));
    all.into_iter().filter(|r| *r != Register::Up).map(write).collect()
}
