//! Reading faults: what stands in the text and cannot be read or does not add up.

use super::span::Span;

/// The names under which reading faults are shown. They cannot be allowed or configured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FaultName {
    Unreadable,
    UnknownWord,
    UnknownPlayer,
    UnknownInstrument,
    UnknownName,
    DuplicateName,
    MissingValue,
    BarLength,
    PlaceCount,
    TwoAtOnce,
    NothingHeld,
    NothingToRepeat,
    RowShort,
    BlockOrder,
    IncludeFault,
    Unclosed,
    MisplacedLine,
    BadNumber,
    TooManyEntries,
    TooLong,
    MixedTransposition,
    RepeatFault,
    /// A hint: a natural horn's register was assumed.
    WhichOctave,
    /// A hint: an allowance silences nothing.
    IdleAllowance,
    /// A hint: the notes of a chord do not rise; information where they all fall.
    ChordOrder,
    /// A hint: without a tempo nothing that takes time is checked.
    NoTempo,
}

impl FaultName {
    /// All of them.
    pub const ALL: [FaultName; 26] = [
        FaultName::Unreadable,
        FaultName::UnknownWord,
        FaultName::UnknownPlayer,
        FaultName::UnknownInstrument,
        FaultName::UnknownName,
        FaultName::DuplicateName,
        FaultName::MissingValue,
        FaultName::BarLength,
        FaultName::PlaceCount,
        FaultName::TwoAtOnce,
        FaultName::NothingHeld,
        FaultName::NothingToRepeat,
        FaultName::RowShort,
        FaultName::BlockOrder,
        FaultName::IncludeFault,
        FaultName::Unclosed,
        FaultName::MisplacedLine,
        FaultName::BadNumber,
        FaultName::TooManyEntries,
        FaultName::TooLong,
        FaultName::MixedTransposition,
        FaultName::RepeatFault,
        FaultName::WhichOctave,
        FaultName::IdleAllowance,
        FaultName::ChordOrder,
        FaultName::NoTempo,
    ];

    /// The name users see.
    pub fn word(self) -> &'static str {
        match self {
            FaultName::Unreadable => "unreadable",
            FaultName::UnknownWord => "unknown-word",
            FaultName::UnknownPlayer => "unknown-player",
            FaultName::UnknownInstrument => "unknown-instrument",
            FaultName::UnknownName => "unknown-name",
            FaultName::DuplicateName => "duplicate-name",
            FaultName::MissingValue => "missing-value",
            FaultName::BarLength => "bar-length",
            FaultName::PlaceCount => "place-count",
            FaultName::TwoAtOnce => "two-at-once",
            FaultName::NothingHeld => "nothing-held",
            FaultName::NothingToRepeat => "nothing-to-repeat",
            FaultName::RowShort => "row-short",
            FaultName::BlockOrder => "block-order",
            FaultName::IncludeFault => "include-fault",
            FaultName::Unclosed => "unclosed",
            FaultName::MisplacedLine => "misplaced-line",
            FaultName::BadNumber => "bad-number",
            FaultName::TooManyEntries => "too-many-entries",
            FaultName::TooLong => "too-long",
            FaultName::MixedTransposition => "mixed-transposition",
            FaultName::RepeatFault => "repeat-fault",
            FaultName::WhichOctave => "which-octave",
            FaultName::IdleAllowance => "idle-allowance",
            FaultName::ChordOrder => "chord-order",
            FaultName::NoTempo => "no-tempo",
        }
    }
}

/// How much a reading fault matters. Almost all are errors.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    Hint,
    Information,
    Error,
}

/// A replacement of text in the line of the fault.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fix {
    /// What the editor shows: an imperative, such as "Write Bb4 for bb4".
    pub title: String,
    /// Stretches of the same line and what stands there instead, in order, not overlapping.
    pub edits: Vec<(Span, String)>,
}

/// A reading fault in one line, at the smallest stretch that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    pub name: FaultName,
    pub weight: Weight,
    pub span: Span,
    /// What is wrong and what was expected, for a musician. One sentence or two.
    pub text: String,
    /// A mechanical way out, if there is one.
    pub fix: Option<Fix>,
}

impl Fault {
    /// An error without a fix.
    pub fn new(name: FaultName, span: Span, text: impl Into<String>) -> Fault {
        Fault { name, weight: Weight::Error, span, text: text.into(), fix: None }
    }

    /// The same with one replacement offered.
    pub fn fixed_by(mut self, title: impl Into<String>, span: Span, with: impl Into<String>) -> Fault {
        self.fix = Some(Fix { title: title.into(), edits: vec![(span, with.into())] });
        self
    }

    /// The same at another weight.
    pub fn weighing(mut self, weight: Weight) -> Fault {
        self.weight = weight;
        self
    }
}
