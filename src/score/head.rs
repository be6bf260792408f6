//! The head of a score: who plays, on what, and everything else that stands before the first bar.

mod allow;
mod include;
mod names;
mod players;

pub use allow::{Allowance, read as read_allow};
pub use include::{HeadLine, ReadAlready};
pub use names::{Named, Names, Person};

use super::order::Station;
use super::phrase::{Declared, Phrases, read_phrases};
use super::player::Player;
use super::score::Sources;
use crate::brass::Level;
use crate::notation::line::Line;
use crate::notation::tree::{Basis, LineTree, TextField};
use crate::notation::{Fault, FaultName, Span};
use std::sync::Arc;

/// The head, read.
#[derive(Debug, Clone)]
pub struct Head {
    /// The score's own head lines.
    pub lines: Vec<Arc<Line>>,
    /// Texts that were included.
    pub included: Vec<Arc<include::Included>>,
    /// What the loader said.
    asked: Vec<include::Asked>,
    pub title: Option<String>,
    pub composer: Option<String>,
    pub arranger: Option<String>,
    pub rights: Option<String>,
    /// The `level` line.
    pub level: Option<Level>,
    pub basis: Basis,
    /// A4 in hundredths of a hertz, from the `tuning` line.
    pub tuning: Option<u32>,
    pub names: Arc<Names>,
    pub players: Vec<Arc<Player>>,
    pub phrases: Arc<Phrases>,
    pub allows: Vec<Allowance>,
    /// The road map and the line it stands on.
    pub roadmap: Option<(u32, Vec<(Span, Station)>)>,
    /// By line of the file; the lines' own reading faults are among them.
    pub faults: Vec<(u32, Fault)>,
    /// Level of players who name none, in this reading.
    default_level: Level,
    settings_level: Option<Level>,
    files: u64,
}

/// Reads the head; what has not changed is taken from the reading before.
pub fn read_head(lines: Vec<Arc<Line>>, before: Option<&Head>, sources: &Sources<'_>) -> Head {
    let mut faults: Vec<(u32, Fault)> = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        faults.extend(line.faults.iter().map(|f| (i as u32, f.clone())));
    }
    let (all, included, asked) = include::gather(&lines, before, sources.loader, &mut faults);
    let mut head = Head {
        lines,
        included,
        asked,
        title: None,
        composer: None,
        arranger: None,
        rights: None,
        level: None,
        basis: Basis::default(),
        tuning: None,
        names: Arc::default(),
        players: Vec::new(),
        phrases: Arc::default(),
        allows: Vec::new(),
        roadmap: None,
        faults,
        default_level: Level::Professional,
        settings_level: sources.level,
        files: sources.files,
    };
    head.fields();
    head.default_level = head.level.or(sources.level).unwrap_or(Level::Professional);
    let declared = names::declare(&all, &mut head.faults);
    head.phrases(&all, &declared, before);
    let mut found = Vec::new();
    head.players = players::players(&all, &declared, &head, before, &mut found);
    head.faults.append(&mut found);
    head.names = names::names(&all, &declared, &head.players, head.basis, before, &mut head.faults);
    let allows = allow::allowances(&all, &head.names, &mut head.faults);
    head.allows = allows;
    head.faults.sort_by_key(|(line, fault)| (*line, fault.span));
    head
}

impl Head {
    /// True if reading these lines would give this head again.
    pub fn still(&self, lines: &[Arc<Line>], sources: &Sources<'_>) -> bool {
        self.lines.len() == lines.len()
            && self.lines.iter().zip(lines).all(|(a, b)| Arc::ptr_eq(a, b))
            && self.settings_level == sources.level
            && (self.files == sources.files || !lines.iter().any(|l| matches!(l.tree, LineTree::Include(_))))
    }

    /// The fields that stand once, and lines that have no business here.
    fn fields(&mut self) {
        let mut seen: Vec<&'static str> = Vec::new();
        let mut first = true;
        for (i, line) in self.lines.iter().enumerate() {
            let at = i as u32;
            let text = |span: &Option<Span>| span.map(|s| s.of(&line.text).to_owned());
            let word = match &line.tree {
                LineTree::Text(field, value) => {
                    let (slot, word) = match field {
                        TextField::Title => (&mut self.title, "title"),
                        TextField::Composer => (&mut self.composer, "composer"),
                        TextField::Arranger => (&mut self.arranger, "arranger"),
                        TextField::Rights => (&mut self.rights, "rights"),
                    };
                    *slot = text(value);
                    Some(word)
                }
                LineTree::Level(level) => {
                    self.level = *level;
                    Some("level")
                }
                LineTree::Basis(basis) => {
                    self.basis = basis.unwrap_or_default();
                    Some("pitch")
                }
                LineTree::Tuning(tuning) => {
                    self.tuning = *tuning;
                    Some("tuning")
                }
                LineTree::Roadmap(stations) => {
                    let stations = stations
                        .iter()
                        .map(|s| {
                            let name = s.name.of(&line.text).to_owned();
                            (s.name, Station { name, times: s.times.clamp(1, 64), counted: s.counted })
                        })
                        .collect();
                    self.roadmap = Some((at, stations));
                    Some("roadmap")
                }
                LineTree::Version(_) => {
                    if !first {
                        self.faults.push((
                            at,
                            Fault::new(
                                FaultName::MisplacedLine,
                                word_span(line),
                                "`brass 1` is the first line of a score.",
                            ),
                        ));
                    }
                    None
                }
                LineTree::Row(_) => {
                    self.faults.push((
                        at,
                        Fault::new(
                            FaultName::MisplacedLine,
                            word_span(line),
                            "A row stands in a block: put a `bar` line before it.",
                        ),
                    ));
                    None
                }
                _ => None,
            };
            if let Some(word) = word {
                if seen.contains(&word) {
                    self.faults.push((
                        at,
                        Fault::new(
                            FaultName::DuplicateName,
                            word_span(line),
                            format!("The head has a `{word}` line already; this one is used."),
                        ),
                    ));
                }
                seen.push(word);
            }
            first &= matches!(line.tree, LineTree::Blank);
        }
    }

    fn phrases(&mut self, all: &[HeadLine], declared: &[names::Declaration], before: Option<&Head>) {
        let lines: Vec<&names::Declaration> =
            declared.iter().filter(|d| d.kind == names::Kind::Phrase).collect();
        let texts = lines
            .iter()
            .filter_map(|d| Some(Declared { name: d.name.clone(), line: Arc::clone(&all.get(d.line)?.line) }))
            .collect();
        let (phrases, faults) = read_phrases(texts);
        for (index, fault) in faults {
            if let Some(line) = lines.get(index).and_then(|d| all.get(d.line)) {
                self.faults.push(line.place(fault));
            }
        }
        self.phrases = match before {
            Some(old) if old.phrases.same_lines(&phrases) => Arc::clone(&old.phrases),
            _ => Arc::new(phrases),
        };
    }

    /// The tuning note in hertz.
    pub fn a4(&self, settings: Option<u32>) -> f64 {
        f64::from(self.tuning.or(settings).unwrap_or(44_000)) / 100.0
    }
}

/// The first word of a line.
pub(super) fn word_span(line: &Line) -> Span {
    let start = line.text.len() - line.text.trim_start().len();
    let word = line.text.trim_start().split([' ', '\t', '|']).next().unwrap_or("");
    Span::new(start as u32, (start + word.len()) as u32)
}
