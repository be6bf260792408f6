//! What a rule reports.

use crate::music::Dynamic;
use crate::notation::Span;
use crate::notation::tree::Mark;

/// How much it matters. The order is that of importance, least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    Hint,
    Information,
    Warning,
    Error,
}

impl Severity {
    /// All, least first.
    pub const ALL: [Severity; 4] =
        [Severity::Hint, Severity::Information, Severity::Warning, Severity::Error];

    /// The word in output and settings.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Hint => "hint",
            Severity::Information => "information",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }

    /// Reads the word.
    pub fn from_word(word: &str) -> Option<Severity> {
        Severity::ALL.into_iter().find(|s| s.word() == word)
    }
}

/// One finding, with everything a reader needs.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Name of the rule or reading fault.
    pub rule: &'static str,
    pub severity: Severity,
    /// Inside warnings, 2 is the strong one; otherwise 1.
    pub grade: u8,
    /// Line of the file, from 0.
    pub line: u32,
    /// Stretch of that line, in bytes.
    pub span: Span,
    /// What is wrong, the number, the limit and where it comes from, what to do instead.
    pub message: String,
    /// The measured value with its unit, where there is one.
    pub measured: Option<String>,
    /// The limit with its unit, where there is one.
    pub limit: Option<String>,
    /// The player's identifier, where one player is meant.
    pub player: Option<String>,
    /// Number of the bar as written, where there is one.
    pub bar: Option<i64>,
    /// Other places that belong to it: at most six and an "and n more".
    pub related: Vec<Related>,
    /// Mechanical ways out, best first.
    pub cures: Vec<Cure>,
}

/// A place that belongs to a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Related {
    /// Line of the file, from 0.
    pub line: u32,
    pub span: Span,
    pub text: String,
}

/// A way out, by kind and parameters; spans are on the finding's line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Cure {
    /// Replace stretches of the line.
    Replace { title: String, edits: Vec<(Span, String)> },
    /// Move the notes by octaves, up positive.
    Octave { octaves: i32 },
    /// Write this choice instead of the `@…` in the finding's stretch.
    UsualChoice { with: String },
    /// A breath mark after the entry of the finding's related place with this number, from 0. Breath comes
    /// from the end of that note; the figure stays.
    Breathe { related: usize },
    /// Spell the note of the finding's stretch so; the sound stays.
    Respell { with: String },
    /// Write this note, in the pitch of the row, instead of the one in the entry; its marks stay.
    Note { entry: Span, with: String },
    /// Let `@…` of each entry be this, whether it has one or not.
    Choices { entries: Vec<(Span, String)> },
    /// Take these marks away from their entries.
    TakeAway { marks: Vec<(Span, Mark)> },
    /// Let the trill of the finding's entry go to this note, in the pitch of the row: `:trill=…`.
    Trill { with: String },
    /// A dotted value becomes a note and a rest, at the entry of the finding's related place with this number.
    Undot { related: usize },
    /// Let a slur lead on from this entry instead of a glissando.
    Legato { entry: Span },
    /// Let the players of the finding and of its related places breathe in turn.
    Stagger,
    /// Let the notes of the finding's stretch have this dynamic, and those behind it their own again.
    Dynamic { with: Dynamic },
    /// Slur some of the notes of the finding's stretch, so that the tongue has less to do.
    Slurs,
}
