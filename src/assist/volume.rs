//! Texts that share names: scores, and what they include.
//!
//! A score and the files it includes have one set of names. A file that several scores include ties them
//! together: a name it mentions is the same name in all of them. Marks belong to one text.

use super::name::{Mention, Name, NameKind, may_hold, spelled};
use super::place::{Stretch, TextEdit};
use super::rename::{form, line_edits, taken, undeclared};
use crate::notation::document::{Document, split};
use crate::notation::line::{Line, read_line};
use crate::notation::line_table::LineTable;
use crate::score::names::normal;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A text as far as names go.
#[derive(Debug, Clone)]
pub struct Body {
    lines: Lines,
    /// How a sentence calls it.
    pub called: String,
    /// Why it must not be changed, in a sentence.
    pub locked: Option<String>,
}

#[derive(Debug, Clone)]
enum Lines {
    Read(LineTable),
    Given(Vec<Arc<Line>>),
    /// Of this only the lines that matter are read.
    Unread(String),
}

impl Body {
    /// A text that is read.
    pub fn of(document: &Document) -> Body {
        Body::new(Lines::Read(document.lines().clone()))
    }

    /// Lines that are read.
    pub fn of_lines(lines: Vec<Arc<Line>>) -> Body {
        Body::new(Lines::Given(lines))
    }

    /// A text that is not read yet.
    pub fn of_text(text: String) -> Body {
        Body::new(Lines::Unread(text))
    }

    fn new(lines: Lines) -> Body {
        Body { lines, called: String::new(), locked: None }
    }

    /// The lines whose text passes, with their numbers.
    pub fn lines(&self, passes: impl Fn(&str) -> bool) -> Vec<(u32, Arc<Line>)> {
        fn those<'a>(
            all: impl Iterator<Item = &'a Arc<Line>>,
            passes: impl Fn(&str) -> bool,
        ) -> Vec<(u32, Arc<Line>)> {
            let numbered = all.enumerate().filter(|(_, line)| passes(&line.text));
            numbered.map(|(at, line)| (at as u32, Arc::clone(line))).collect()
        }
        match &self.lines {
            Lines::Read(table) => those(table.iter(), passes),
            Lines::Given(lines) => those(lines.iter(), passes),
            Lines::Unread(text) => split(text)
                .enumerate()
                .filter(|(_, (line, _))| passes(line))
                .map(|(at, (line, ending))| (at as u32, Arc::new(read_line(line, ending))))
                .collect(),
        }
    }

    fn holding(&self, name: &Name) -> Vec<(u32, Arc<Line>)> {
        let mut all = self.lines(|text| may_hold(text, name));
        all.retain(|(_, line)| !spelled(line, name).is_empty());
        all
    }
}

/// Something that is not known of these texts, and therefore no name of theirs can be changed.
#[derive(Debug, Clone)]
pub struct Gap {
    pub texts: Vec<usize>,
    /// In a sentence.
    pub why: String,
}

/// Texts, and which of them are read together.
#[derive(Debug, Clone, Default)]
pub struct Volume {
    pub texts: Vec<Body>,
    /// Of each score the texts it is made of, itself first, then in the order in which they are read.
    pub scores: Vec<Vec<usize>>,
    pub gaps: Vec<Gap>,
}

/// A place of one of the texts where a name stands.
#[derive(Debug, Clone)]
pub struct Found {
    pub text: usize,
    pub line: Arc<Line>,
    pub mention: Mention,
}

/// An edit of one of the texts.
#[derive(Debug, Clone)]
pub struct Change {
    pub text: usize,
    pub line: Arc<Line>,
    pub edit: TextEdit,
}

/// The texts that have a name in common, each with its lines that hold it.
type Sharing = BTreeMap<usize, Vec<(u32, Arc<Line>)>>;

impl Volume {
    /// One text that includes nothing.
    pub fn alone(text: Body) -> Volume {
        Volume { texts: vec![text], scores: vec![vec![0]], gaps: Vec::new() }
    }

    /// The scores that are read together with any of these texts.
    fn together(&self, texts: &Sharing) -> impl Iterator<Item = &Vec<usize>> {
        self.scores.iter().filter(|score| score.iter().any(|text| texts.contains_key(text)))
    }

    /// The text and all that share this name with it.
    fn sharing(&self, from: usize, name: &Name) -> Sharing {
        let Some(body) = self.texts.get(from) else { return Sharing::new() };
        let mut all = Sharing::from([(from, body.holding(name))]);
        if name.kind == NameKind::Mark {
            return all;
        }
        let mut without = BTreeSet::new();
        loop {
            let near: BTreeSet<usize> = self.together(&all).flatten().copied().collect();
            let before = all.len();
            for text in near {
                if all.contains_key(&text) || without.contains(&text) {
                    continue;
                }
                let lines = self.texts.get(text).map(|body| body.holding(name)).unwrap_or_default();
                if lines.is_empty() {
                    without.insert(text);
                } else {
                    all.insert(text, lines);
                }
            }
            if all.len() == before {
                return all;
            }
        }
    }

    /// Every place where a name of this text stands, its own first, then text by text.
    pub fn mentions(&self, from: usize, name: &Name) -> Vec<Found> {
        let mut all = Vec::new();
        for (text, lines) in self.sharing(from, name) {
            for (at, line) in lines {
                all.extend(spelled(&line, name).into_iter().map(|(span, declares)| {
                    let mention = Mention { at: Stretch { line: at, span }, declares };
                    Found { text, line: Arc::clone(&line), mention }
                }));
            }
        }
        all.sort_by_key(|found| found.text != from);
        all
    }

    /// Where a name of this text is declared: in itself, else in what it includes, else in what is
    /// included together with it.
    pub fn declaration(&self, from: usize, name: &Name) -> Option<Found> {
        let mut order = vec![from];
        let own = self.scores.iter().filter(|score| score.first() == Some(&from));
        let others = self.scores.iter().filter(|score| score.contains(&from));
        order.extend(own.chain(others).flatten());
        let all = self.mentions(from, name);
        let declared = |text: usize| all.iter().find(|f| f.text == text && f.mention.declares).cloned();
        order.into_iter().find_map(declared).or_else(|| all.iter().find(|f| f.mention.declares).cloned())
    }

    /// Gives a name of this text another text everywhere, so that every score reads as before. The error
    /// says in a sentence why that cannot be.
    pub fn rename(&self, from: usize, name: &Name, new: &str) -> Result<Vec<Change>, String> {
        let new = new.trim();
        let sharing = self.sharing(from, name);
        let declares = |line: &Arc<Line>| spelled(line, name).iter().any(|(_, declared)| *declared);
        if !sharing.values().flatten().any(|(_, line)| declares(line)) {
            return Err(undeclared(name));
        }
        if normal(new) == name.text.as_str() {
            return Ok(Vec::new());
        }
        form(name.kind, new)?;
        self.free(from, name.kind, new, &sharing)?;
        self.known(name.kind, &sharing)?;
        let mut all = Vec::new();
        for (text, lines) in sharing {
            let body = self.texts.get(text);
            if let Some(why) = body.and_then(|body| body.locked.clone()) {
                return Err(why);
            }
            for (at, line) in lines {
                let edits = line_edits(&line, name, new).map_err(|why| {
                    let file = body.filter(|b| text != from && !b.called.is_empty());
                    let file = file.map(|b| format!(" of {}", b.called)).unwrap_or_default();
                    format!("{why} in line {}{file}.", at + 1)
                })?;
                all.extend(edits.into_iter().map(|(span, with)| {
                    let edit = TextEdit { line: at, span, with };
                    Change { text, line: Arc::clone(&line), edit }
                }));
            }
        }
        all.sort_by_key(|change| change.text != from);
        Ok(all)
    }

    /// Says in which text a name has another meaning already: where it is declared, else where it is used.
    fn free(&self, from: usize, kind: NameKind, new: &str, sharing: &Sharing) -> Result<(), String> {
        let standing = |text: usize, kind: NameKind| {
            let name = Name { kind, text: normal(new).into_owned() };
            let lines = self.texts.get(text).map(|body| body.holding(&name)).unwrap_or_default();
            let declared = |line: &Arc<Line>| spelled(line, &name).iter().any(|(_, declared)| *declared);
            (!lines.is_empty()).then(|| lines.iter().any(|(_, line)| declared(line)))
        };
        if kind == NameKind::Mark {
            let free = standing(from, NameKind::Mark).is_none();
            return if free { Ok(()) } else { Err(format!("There is a mark `{new}` already.")) };
        }
        let mut near: BTreeSet<usize> = self.together(sharing).flatten().copied().collect();
        near.insert(from);
        let kinds = [NameKind::Player, NameKind::Phrase, NameKind::Instrument];
        let all = near
            .into_iter()
            .flat_map(|text| kinds.iter().filter_map(move |kind| Some((standing(text, *kind)?, text))));
        let Some((_, text)) = all.min_by_key(|(declared, _)| !declared) else { return Ok(()) };
        let file = self.texts.get(text).map(|body| body.called.as_str());
        Err(taken(new, file.filter(|file| text != from && !file.is_empty())))
    }

    /// Says what is not known of the texts that would be changed.
    fn known(&self, kind: NameKind, sharing: &Sharing) -> Result<(), String> {
        let gap = self.gaps.iter().find(|gap| gap.texts.iter().any(|text| sharing.contains_key(text)));
        match gap {
            Some(gap) if kind != NameKind::Mark => Err(gap.why.clone()),
            _ => Ok(()),
        }
    }
}
