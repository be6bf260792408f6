//! The pages of the reading faults: what is wrong with the text itself.
//!
//! They cannot be allowed or configured, so they have pages and no rules.

use crate::notation::FaultName;

/// The page, as Markdown.
pub fn page(fault: FaultName) -> &'static str {
    match fault {
        FaultName::Unreadable => include_str!("reading/unreadable.md"),
        FaultName::UnknownWord => include_str!("reading/unknown-word.md"),
        FaultName::UnknownPlayer => include_str!("reading/unknown-player.md"),
        FaultName::UnknownInstrument => include_str!("reading/unknown-instrument.md"),
        FaultName::UnknownName => include_str!("reading/unknown-name.md"),
        FaultName::DuplicateName => include_str!("reading/duplicate-name.md"),
        FaultName::MissingValue => include_str!("reading/missing-value.md"),
        FaultName::BarLength => include_str!("reading/bar-length.md"),
        FaultName::PlaceCount => include_str!("reading/place-count.md"),
        FaultName::TwoAtOnce => include_str!("reading/two-at-once.md"),
        FaultName::NothingHeld => include_str!("reading/nothing-held.md"),
        FaultName::NothingToRepeat => include_str!("reading/nothing-to-repeat.md"),
        FaultName::RowShort => include_str!("reading/row-short.md"),
        FaultName::BlockOrder => include_str!("reading/block-order.md"),
        FaultName::IncludeFault => include_str!("reading/include-fault.md"),
        FaultName::Unclosed => include_str!("reading/unclosed.md"),
        FaultName::MisplacedLine => include_str!("reading/misplaced-line.md"),
        FaultName::BadNumber => include_str!("reading/bad-number.md"),
        FaultName::TooManyEntries => include_str!("reading/too-many-entries.md"),
        FaultName::TooLong => include_str!("reading/too-long.md"),
        FaultName::MixedTransposition => include_str!("reading/mixed-transposition.md"),
        FaultName::RepeatFault => include_str!("reading/repeat-fault.md"),
        FaultName::WhichOctave => include_str!("reading/which-octave.md"),
        FaultName::IdleAllowance => include_str!("reading/idle-allowance.md"),
        FaultName::ChordOrder => include_str!("reading/chord-order.md"),
        FaultName::NoTempo => include_str!("reading/no-tempo.md"),
    }
}

/// How much it matters, in a word.
pub fn severity(fault: FaultName) -> &'static str {
    match fault {
        FaultName::RowShort
        | FaultName::WhichOctave
        | FaultName::IdleAllowance
        | FaultName::ChordOrder
        | FaultName::NoTempo => "hint",
        _ => "error",
    }
}
