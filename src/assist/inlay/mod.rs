//! What is told beside the text without being asked. Each kind is switched on by itself.

mod fingering;
mod phrase;
mod pitch;
mod row;
mod seconds;
mod sharing;
mod travel;

use super::place::Place;
use crate::notation::tree::LineTree;
use crate::rules::Desk;
use crate::score::clock::Clock;
use row::Told;
use std::ops::RangeInclusive;

/// More than this many are not shown at once: a screen has fewer.
pub const MOST_HINTS: usize = 4_000;

/// What a hint tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HintKind {
    /// Beside a concert note what is read, beside a written one what sounds.
    Pitch,
    /// Who gets which note of a chord.
    Sharing,
    /// How a note is played.
    Fingering,
    /// How far the slide goes to it.
    Travel,
    /// When a block is played.
    Seconds,
}

impl HintKind {
    /// All of them.
    pub const ALL: [HintKind; 5] =
        [HintKind::Pitch, HintKind::Sharing, HintKind::Fingering, HintKind::Travel, HintKind::Seconds];

    /// The word for it in settings.
    pub fn word(self) -> &'static str {
        match self {
            HintKind::Pitch => "pitch",
            HintKind::Sharing => "sharing",
            HintKind::Fingering => "fingering",
            HintKind::Travel => "travel",
            HintKind::Seconds => "seconds",
        }
    }

    /// The kind of a word.
    pub fn from_word(word: &str) -> Option<HintKind> {
        HintKind::ALL.into_iter().find(|kind| kind.word() == word)
    }
}

/// Which kinds are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted {
    pub pitch: bool,
    pub sharing: bool,
    pub fingering: bool,
    pub travel: bool,
    pub seconds: bool,
}

impl Wanted {
    /// Every kind.
    pub const ALL: Wanted =
        Wanted { pitch: true, sharing: true, fingering: true, travel: true, seconds: true };

    /// None.
    pub const NONE: Wanted =
        Wanted { pitch: false, sharing: false, fingering: false, travel: false, seconds: false };

    /// True if this kind is shown.
    pub fn has(self, kind: HintKind) -> bool {
        match kind {
            HintKind::Pitch => self.pitch,
            HintKind::Sharing => self.sharing,
            HintKind::Fingering => self.fingering,
            HintKind::Travel => self.travel,
            HintKind::Seconds => self.seconds,
        }
    }

    /// True if something is shown that takes plans of slide and fingers.
    fn plans(self) -> bool {
        self.fingering || self.travel
    }

    /// Shows a kind, or no longer.
    pub fn set(&mut self, kind: HintKind, shown: bool) {
        match kind {
            HintKind::Pitch => self.pitch = shown,
            HintKind::Sharing => self.sharing = shown,
            HintKind::Fingering => self.fingering = shown,
            HintKind::Travel => self.travel = shown,
            HintKind::Seconds => self.seconds = shown,
        }
    }
}

impl Default for Wanted {
    /// What stands inside rows pushes their columns apart, so only what stands behind a line is shown unasked.
    fn default() -> Wanted {
        Wanted { seconds: true, ..Wanted::NONE }
    }
}

/// A hint, to be shown with a gap before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hint {
    pub at: Place,
    pub kind: HintKind,
    pub label: String,
}

/// The hints of some lines, both ends inside, in the order of the text. The clock is asked for only if needed.
pub fn hints<'c>(
    desk: &Desk,
    clock: impl Fn() -> &'c Clock,
    lines: RangeInclusive<u32>,
    wanted: Wanted,
) -> Vec<Hint> {
    let mut all = Vec::new();
    told(desk, clock, lines, wanted, &mut |line, told| {
        all.push(Hint { at: Place { line, byte: told.byte }, kind: told.kind, label: told.label.clone() });
        all.len() < MOST_HINTS
    });
    all
}

/// Why a hint says what it says, in sentences; `None` where there is no such hint.
pub fn reason<'c>(desk: &Desk, clock: impl Fn() -> &'c Clock, at: Place, kind: HintKind) -> Option<String> {
    let mut wanted = Wanted::NONE;
    wanted.set(kind, true);
    let mut found = None;
    told(desk, clock, at.line..=at.line, wanted, &mut |_, told| {
        if told.byte == at.byte {
            found = Some((told.reason)());
        }
        found.is_none()
    });
    found
}

/// Calls back with every hint and its line until that says no.
fn told<'c>(
    desk: &Desk,
    clock: impl Fn() -> &'c Clock,
    lines: RangeInclusive<u32>,
    wanted: Wanted,
    tell: &mut dyn FnMut(u32, &Told<'_>) -> bool,
) {
    let score = desk.score();
    let head = score.head.lines.len() as u32;
    for (at, line) in (0u32..).zip(&score.head.lines).filter(|(at, _)| lines.contains(at)) {
        if let LineTree::Phrase(tree) = &line.tree
            && wanted.pitch
            && !phrase::hints(tree, &mut |told| tell(at, told))
        {
            return;
        }
    }
    if *lines.end() < head {
        return;
    }
    let first = score.block_at((*lines.start()).max(head)).unwrap_or(0);
    for (index, placed) in score.blocks.iter().enumerate().skip(first) {
        if placed.line > *lines.end() {
            return;
        }
        if wanted.seconds
            && lines.contains(&placed.line)
            && !seconds::hint(desk, clock(), index, &mut |told| tell(placed.line, told))
        {
            return;
        }
        if !(wanted.pitch || wanted.sharing || wanted.plans()) {
            continue;
        }
        for row in placed.read.block.rows.iter().filter(|r| lines.contains(&(placed.line + r.line))) {
            if !row::hints(desk, index, row, wanted, &mut |told| tell(placed.line + row.line, told)) {
                return;
            }
        }
    }
}
