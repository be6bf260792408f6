//! What a rule is, and what it may look at.

use super::ensemble::{self, Company, SharedFound, SharedTold, Together};
use super::finding::{Cure, Severity};
use super::lie::Lie;
use super::passage::{Carried, Passage, Told};
use super::settings::Settings;
use crate::music::Key;
use crate::notation::Span;
use crate::notation::tree::Basis;
use crate::score::event::{Event, Origin};
use crate::score::player::{Player, PlayerInstrument};

/// A rule: its name, how much its findings matter at most, its page and its limits.
pub struct Rule {
    /// The name users see.
    pub name: &'static str,
    /// Of its ordinary findings; the page says where another applies.
    pub severity: Severity,
    /// Source text of its file, whose leading comment is its page.
    pub source: &'static str,
    /// Thresholds that a settings file may change.
    pub limits: &'static [Limit],
    pub check: Check,
}

/// What a rule looks at.
#[derive(Clone, Copy)]
pub enum Check {
    /// At what one person plays in one block.
    Pair(fn(&View<'_>, &mut Found<'_>)),
    /// At one person's whole line in seconds, visit by visit: see [`passage`](super::passage).
    Passage(fn(&Passage<'_>, &mut Carried, &mut Told<'_>)),
    /// Found on its way by the check of the rule of this name, which looks at the same thing.
    Beside(&'static str),
    /// At both.
    Both(fn(&View<'_>, &mut Found<'_>), fn(&Passage<'_>, &mut Carried, &mut Told<'_>)),
    /// At everybody in one block: see [`super::ensemble`].
    Block(fn(&Together<'_>, &mut SharedFound<'_>)),
    /// At each line alone, and together at what that left behind.
    Together {
        alone: fn(&Passage<'_>, &mut Carried, &mut Told<'_>),
        together: fn(&Company<'_>, &mut ensemble::Carried, &mut SharedTold<'_>),
    },
}

/// A threshold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Key in the settings file, under `[limits.RULE]`.
    pub key: &'static str,
    pub default: f64,
    pub unit: &'static str,
    /// A published source, "common practice", or "estimate".
    pub source: &'static str,
}

impl Rule {
    /// The threshold in force.
    pub fn limit(&self, settings: &Settings, key: &str) -> f64 {
        let default = self.limits.iter().find(|l| l.key == key).map_or(0.0, |l| l.default);
        if settings.limits.is_empty() {
            return default;
        }
        settings.limits.get(&(self.name.to_owned(), key.to_owned())).copied().unwrap_or(default)
    }
}

/// One person in one block.
pub struct View<'a> {
    pub player: &'a Player,
    pub events: &'a [Event],
    /// Where each event's note lies.
    pub lies: &'a [Lie],
    /// True if all of them lie well.
    pub all_lie_well: bool,
    pub basis: Basis,
    /// Concert key of the block.
    pub key: Option<Key>,
    /// The `key` setting on the block's header line, if it names one.
    pub key_named: Option<Span>,
    /// Seconds of a whole note at the block's first bar; `None` without a tempo.
    pub whole_seconds: Option<f64>,
    pub settings: &'a Settings,
}

impl View<'_> {
    /// The instrument in hand at an event.
    pub fn instrument(&self, event: &Event) -> Option<&PlayerInstrument> {
        self.player.instrument(event.played.instrument)
    }

    /// How a pitch is told: as written, and as it sounds where that differs.
    pub fn told(&self, event: &Event) -> String {
        let phrase = if event.origin == Origin::Phrase { " in this phrase" } else { "" };
        if event.written == event.sounding {
            format!("{}{phrase}", event.written)
        } else {
            format!("written {} (sounds {}){phrase}", event.written, event.sounding)
        }
    }
}

/// A finding that does not know yet where its block stands.
#[derive(Debug, Clone, PartialEq)]
pub struct LocalFinding {
    pub rule: &'static str,
    pub severity: Severity,
    pub grade: u8,
    /// Lines below the block's header.
    pub line: u32,
    pub span: Span,
    /// Bar of the block, from 0.
    pub bar: u32,
    pub message: String,
    pub measured: Option<String>,
    pub limit: Option<String>,
    /// Other notes it is about: line below the header, place, what to say.
    pub related: Vec<(u32, Span, String)>,
    pub cures: Vec<Cure>,
}

/// Takes the findings of a rule.
pub struct Found<'a> {
    pub rule: &'static str,
    pub out: &'a mut Vec<LocalFinding>,
}

impl Found<'_> {
    /// Adds one.
    pub fn push(&mut self, finding: LocalFinding) {
        self.out.push(finding);
    }
}

/// Notes of one line that share a fault, as they come; one finding is made of each run.
pub struct Run<'e> {
    pub events: Vec<&'e Event>,
}

/// Gathers neighbouring notes for which `fault` gives the same answer. Rests between them do not part
/// them; a note without the fault does, and so does another line. Copies (`%`) are told where they are
/// written.
pub fn runs<'e, T: PartialEq + Copy>(
    view: &View<'e>,
    fault: impl Fn(&Event, Lie) -> Option<T>,
) -> Vec<(T, Run<'e>)> {
    use crate::score::event::EventKind;
    let mut all: Vec<(T, Run<'e>)> = Vec::new();
    let mut open = false;
    for (event, lie) in view.events.iter().zip(view.lies) {
        if !matches!(event.kind, EventKind::Note | EventKind::Grace) {
            continue;
        }
        let Some(what) = fault(event, *lie).filter(|_| event.origin != Origin::Again) else {
            open = false;
            continue;
        };
        match all.last_mut() {
            Some((last, run))
                if open && *last == what && run.events.last().is_some_and(|e| e.line == event.line) =>
            {
                run.events.push(event);
            }
            _ => all.push((what, Run { events: vec![event] })),
        }
        open = true;
    }
    all
}

impl Run<'_> {
    /// From the first note to the last.
    pub fn span(&self) -> Span {
        let first = self.events.first().map_or(Span::default(), |e| e.span);
        self.events.last().map_or(first, |last| first.to(last.span))
    }

    /// A finding of grade 1 about its notes, without a number, a limit or a way out.
    pub fn finding(
        &self,
        rule: &'static str,
        view: &View<'_>,
        severity: Severity,
        message: String,
    ) -> LocalFinding {
        let (line, bar) = self.place();
        LocalFinding {
            rule,
            severity,
            grade: 1,
            line,
            span: self.span(),
            bar,
            message,
            measured: None,
            limit: None,
            related: self.related(|e| view.told(e)),
            cures: Vec::new(),
        }
    }

    /// Its line and its first bar.
    fn place(&self) -> (u32, u32) {
        self.events.first().map_or((0, 0), |e| (e.line, e.bar))
    }

    /// The notes, for a run of more than one.
    fn related(&self, tell: impl Fn(&Event) -> String) -> Vec<(u32, Span, String)> {
        // Notes of a phrase all stand at the `play`, and one place is enough for them.
        if self.events.iter().all(|e| Some(e.span) == self.events.first().map(|first| first.span)) {
            return Vec::new();
        }
        self.events.iter().map(|e| (e.line, e.span, tell(e))).collect()
    }
}
