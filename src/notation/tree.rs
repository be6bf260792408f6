//! The tree of one line.
//!
//! Flat: a row keeps its places, items and chord members in four arrays, and a bar is ranges into
//! them. Names and words are spans of the line's text; nothing here owns a string, and nothing knows
//! on which line of the file it stands.

use super::span::Span;
pub use crate::brass::register::Register;
use crate::brass::{Level, Mute};
use crate::music::{Clef, Dynamic, Fraction, Interval, Key, Pitch};

/// A range of indices into one of a row's arrays.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Slice {
    pub start: u32,
    pub end: u32,
}

impl Slice {
    /// The elements; none if the range does not fit.
    pub fn of<T>(self, all: &[T]) -> &[T] {
        all.get(self.start as usize..self.end as usize).unwrap_or(&[])
    }

    /// How many.
    pub fn len(self) -> usize {
        self.end.saturating_sub(self.start) as usize
    }

    /// True for none.
    pub fn is_empty(self) -> bool {
        self.end <= self.start
    }
}

/// What a line is.
#[derive(Debug, Clone, PartialEq)]
pub enum LineTree {
    /// Nothing, or a comment alone.
    Blank,
    /// `brass 1`; `None` if the number could not be read.
    Version(Option<u32>),
    /// `title`, `composer`, `arranger`, `rights`.
    Text(TextField, Option<Span>),
    /// `level school`.
    Level(Option<Level>),
    /// `pitch concert`.
    Basis(Option<Basis>),
    /// `tuning A4 = 442`, in hundredths of a hertz.
    Tuning(Option<u32>),
    /// `player ID = …`.
    Player(Box<PlayerLine>),
    /// `group ID = ID …`.
    Group(Box<GroupLine>),
    /// `instrument ID = …`.
    Instrument(Box<InstrumentLine>),
    /// `phrase ID [in KEY] | … |`.
    Phrase(Box<PhraseLine>),
    /// `allow RULE … [for ID …]`.
    Allow(Box<AllowLine>),
    /// `roadmap A B*2 …`.
    Roadmap(Box<[Station]>),
    /// `include "…"`, the span between the quotes.
    Include(Option<Span>),
    /// `bar [N] …`.
    Block(Box<BlockLine>),
    /// `rhythm | … |`, `chords | … |`, `ID … | … |`.
    Row(Box<Row>),
    /// A line that is none of these; its fault says so.
    Bad,
}

/// Which text field of the head.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TextField {
    Title,
    Composer,
    Arranger,
    Rights,
}

/// Whether pitches in music rows are what sounds or what the player reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Basis {
    #[default]
    Concert,
    Written,
}

/// `in KEY`, with a register word where there is one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct ReadIn {
    /// From the key's name to the register word, without `in`.
    pub span: Span,
    /// The pitch class the key names, spelled in octave 4.
    pub key: Pitch,
    pub register: Option<Register>,
}

/// `player ID = INSTRUMENT [in KEY] {, OPTION}`.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayerLine {
    pub id: Option<Span>,
    /// The words of the instrument's name.
    pub instrument: Option<Span>,
    pub read_in: Option<ReadIn>,
    pub options: Box<[PlayerOption]>,
}

/// An option with its stretch.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayerOption {
    pub span: Span,
    pub what: OptionKind,
}

/// What an option says.
#[derive(Debug, Clone, PartialEq)]
pub enum OptionKind {
    Level(Level),
    /// Highest written pitch of this person.
    Top(Pitch),
    /// Lowest written pitch of this person.
    Bottom(Pitch),
    /// What this person brings; empty for `mutes none`.
    Mutes(Box<[Mute]>),
    Valves {
        count: u8,
        plain: bool,
    },
    Doubles {
        instrument: Span,
        read_in: Option<ReadIn>,
    },
    Clef(Clef),
    Seats(u32),
    /// The text between the quotes.
    Name(Span),
    SignatureNone,
    Bad,
}

/// `group ID = ID …`.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupLine {
    pub id: Option<Span>,
    pub members: Box<[Span]>,
}

/// `instrument ID = valved, fundamental Bb1, …`; all pitches sound.
#[derive(Debug, Clone, PartialEq)]
pub struct InstrumentLine {
    pub id: Option<Span>,
    pub build: Option<OwnBuild>,
    pub fundamental: Option<(Span, Pitch)>,
    pub read_in: Option<ReadIn>,
    /// Semitones each finger's valve adds.
    pub valves: Option<Box<[u8]>>,
    pub range: Option<(Pitch, Pitch)>,
    pub comfortable: Option<(Pitch, Pitch)>,
}

/// How an own instrument changes its length.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum OwnBuild {
    Valved,
    Slide,
    Natural,
}

/// `phrase ID [in KEY] | bars |`; the row's `names` are empty.
#[derive(Debug, Clone, PartialEq)]
pub struct PhraseLine {
    pub id: Option<Span>,
    pub read_in: Option<ReadIn>,
    pub row: Row,
}

/// `allow RULE … [for ID …]`.
#[derive(Debug, Clone, PartialEq)]
pub struct AllowLine {
    pub rules: Box<[Span]>,
    pub players: Box<[Span]>,
}

/// One name of the road map; the span excludes quotes and `*n`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Station {
    pub name: Span,
    /// 1 when `*n` is absent.
    pub times: u32,
    /// True if `*n` was written: only then are repeats and endings taken.
    pub counted: bool,
}

/// `bar [N] {SETTING}`.
#[derive(Debug, Clone, PartialEq)]
pub struct BlockLine {
    pub number: Option<(Span, u32)>,
    pub settings: Box<[Setting]>,
}

/// A setting with its stretch, keyword included.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    pub span: Span,
    pub what: SettingKind,
}

/// What a setting says.
#[derive(Debug, Clone, PartialEq)]
pub enum SettingKind {
    /// Meters that the bars take in turn; at least one.
    Meter(Box<[Meter]>),
    /// `None` for `key none`.
    Key(Option<Key>),
    Tempo(TempoMark),
    Mark(Span),
    Spot(Span),
    Pickup(Fraction),
    Close(Fraction),
    Repeat {
        times: u32,
        to: Option<u32>,
    },
    Ending(Box<[u32]>),
    Bad,
}

/// One meter, `3+2/8`.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Meter {
    /// Beats in groups; one group where it is plain.
    pub groups: Box<[u32]>,
    /// Lower number.
    pub beat: u32,
}

impl Meter {
    /// Length of a bar in whole notes.
    pub fn length(&self) -> Option<Fraction> {
        let beats: u64 = self.groups.iter().map(|g| u64::from(*g)).sum();
        Fraction::new(i64::try_from(beats).ok()?, i64::from(self.beat))
    }
}

/// `"Calm" q = 72`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct TempoMark {
    /// The text between the quotes.
    pub text: Option<Span>,
    /// The value that is counted, in whole notes.
    pub beat: Fraction,
    /// Hundredths of a beat a minute; at least 1.
    pub per_minute: u32,
}

/// Which row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum RowKind {
    Rhythm,
    Chords,
    Music,
}

/// A row of bars.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    pub kind: RowKind,
    /// The names before the first barline, music rows only.
    pub names: Box<[Span]>,
    pub bars: Box<[Bar]>,
    pub nodes: Box<[FigureNode]>,
    pub items: Box<[Item]>,
    pub members: Box<[Member]>,
    pub symbols: Box<[Symbol]>,
    pub plays: Box<[Play]>,
    pub switches: Box<[Switch]>,
    pub tempos: Box<[TempoMark]>,
    /// False if the last barline is missing; the bar before it is there all the same. Also false where the
    /// line is too long or has no barline at all.
    pub closed: bool,
}

/// A bar: what stands between two barlines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bar {
    /// Between the barlines, blanks included.
    pub span: Span,
    /// The figure without its colon; empty if the bar has none. In a rhythm row, from the bar's first
    /// place to its last.
    pub figure: Span,
    /// True if a figure stands here. False in a rhythm row's blank bar.
    pub has_figure: bool,
    /// Its places, into `nodes`.
    pub nodes: Slice,
    /// Into `items`; in a chords row into `symbols`; in a rhythm row free things (and `%`) only.
    pub items: Slice,
    /// True if something in it could not be read or must not stand there, which the line's faults say:
    /// arithmetic stays silent here.
    pub faulty: bool,
}

/// A node of a figure, in reading order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FigureNode {
    Place(Place),
    /// `{n:m`, both at least 1.
    Open {
        count: u16,
        normal: u16,
        span: Span,
    },
    /// `}` or `}*n`.
    Close {
        times: u16,
        span: Span,
    },
}

/// A place of a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// With its marks and `*n`.
    pub span: Span,
    /// Length as written (dots and sums included), in whole notes, tuplets not applied.
    pub value: Fraction,
    /// True for a single value without dots: `q`, but neither `q.` nor `q+e`.
    pub plain: bool,
    pub kind: PlaceKind,
    pub fermata: bool,
    /// 1 when `*n` is absent.
    pub times: u16,
}

/// What a place takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PlaceKind {
    /// An entry of the list.
    Entry,
    /// `-`: silence, no entry.
    Silence,
    /// `=`: what went before goes on, no entry.
    Hold,
}

/// A thing in a list, in reading order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Item {
    /// With its marks and `*n`.
    pub span: Span,
    pub what: What,
    pub marks: Marks,
    /// 1 when `*n` is absent. Not used for bars (`%*3`), whose count is in `what`.
    pub times: u16,
    /// In a rhythm row: how many of the bar's nodes stand before it. Else 0.
    pub after: u16,
}

/// What an item is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    Note(Pitch),
    /// Into `members`, as written, lowest first.
    Chord(Slice),
    Rest,
    Hold,
    GraceNote(Pitch),
    GraceChord(Slice),
    /// `rest n`: so many bars.
    Rests(u16),
    /// `%` or `%*n`: so many bars of the bar before.
    Again(u16),
    /// `play …`, into `plays`.
    Play(u32),
    Improvise(u16),
    Dynamic(Dynamic),
    Crescendo,
    Diminuendo,
    /// Quoted words.
    Words,
    Instruction(Instruction),
    /// Could not be read; the line's faults say why.
    Bad,
}

impl What {
    /// True for what stands at a place of the figure: note, chord, rest, hold.
    pub fn is_entry(self) -> bool {
        matches!(self, What::Note(_) | What::Chord(_) | What::Rest | What::Hold)
    }

    /// True for what takes no time and no place.
    pub fn is_free(self) -> bool {
        matches!(
            self,
            What::Dynamic(_) | What::Crescendo | What::Diminuendo | What::Words | What::Instruction(_)
        )
    }

    /// True for what may be the only timed thing of several bars.
    pub fn is_bars(self) -> bool {
        matches!(self, What::Rests(_) | What::Again(_) | What::Play(_) | What::Improvise(_))
    }
}

/// `[…]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Instruction {
    Mute(Mute),
    Open,
    Stopped,
    Hand,
    Flutter,
    Plain,
    /// Into `switches`.
    Switch(u32),
    Solo,
    Tutti,
    Clef(Clef),
    /// Into `tempos`.
    Tempo(u32),
    Rit,
    Accel,
    ATempo,
    Bad,
}

/// `play ID [up|down INTERVAL][*n]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Play {
    pub phrase: Span,
    /// Downwards negative.
    pub shift: Interval,
    pub times: u16,
}

/// `[switch INSTRUMENT [in KEY]]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Switch {
    pub instrument: Span,
    pub read_in: Option<ReadIn>,
}

/// A member of a chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Member {
    pub span: Span,
    pub what: MemberKind,
    pub marks: Marks,
}

/// What a member is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MemberKind {
    Note(Pitch),
    Rest,
    Hold,
}

/// A chord symbol (or `%`, `rest n`) of a chords row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Symbol {
    pub span: Span,
    pub what: SymbolKind,
}

/// What stands in a chords row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SymbolKind {
    /// The whole text is the symbol; `music::chord_symbol` reads it.
    Chord,
    /// `N.C.`
    None,
    Rests(u16),
    Again(u16),
    Bad,
}

/// Marks of an entry: a set of bits, a trill's note and a choice of fingering.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Marks {
    bits: u32,
    /// `:trill=PITCH`, in the pitch of the row.
    pub trill: Option<Pitch>,
    pub choice: Option<Choice>,
}

impl Marks {
    /// True if it is among them.
    pub fn has(self, mark: Mark) -> bool {
        self.bits & (1 << mark as u32) != 0
    }

    /// Adds it; false if it was there.
    pub fn add(&mut self, mark: Mark) -> bool {
        let new = !self.has(mark);
        self.bits |= 1 << mark as u32;
        new
    }

    /// Takes it away.
    pub fn remove(&mut self, mark: Mark) {
        self.bits &= !(1 << mark as u32);
    }

    /// Both together; the second's trill and choice win.
    pub fn with(self, other: Marks) -> Marks {
        Marks {
            bits: self.bits | other.bits,
            trill: other.trill.or(self.trill),
            choice: other.choice.or(self.choice),
        }
    }

    /// True for none.
    pub fn is_empty(self) -> bool {
        self.bits == 0 && self.trill.is_none() && self.choice.is_none()
    }
}

/// One mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[repr(u8)]
pub enum Mark {
    Staccato,
    Tenuto,
    Accent,
    Marcato,
    Slur,
    Breath,
    Break,
    Trill,
    Turn,
    Flutter,
    Growl,
    Stopped,
    Halfvalve,
    Gliss,
    Fall,
    Doit,
    Scoop,
    Rip,
    Shake,
    Bend,
    Ghost,
    Lip,
    Wedge,
    Fermata,
    Closed,
    Open,
    Wah,
}

impl Mark {
    /// What a hold may carry.
    pub const ON_HOLD: [Mark; 11] = [
        Mark::Staccato,
        Mark::Breath,
        Mark::Break,
        Mark::Slur,
        Mark::Fermata,
        Mark::Gliss,
        Mark::Fall,
        Mark::Doit,
        Mark::Shake,
        Mark::Trill,
        Mark::Flutter,
    ];

    /// What a rest may carry.
    pub const ON_REST: [Mark; 3] = [Mark::Breath, Mark::Break, Mark::Fermata];

    /// All of them.
    pub const ALL: [Mark; 27] = [
        Mark::Staccato,
        Mark::Tenuto,
        Mark::Accent,
        Mark::Marcato,
        Mark::Slur,
        Mark::Breath,
        Mark::Break,
        Mark::Trill,
        Mark::Turn,
        Mark::Flutter,
        Mark::Growl,
        Mark::Stopped,
        Mark::Halfvalve,
        Mark::Gliss,
        Mark::Fall,
        Mark::Doit,
        Mark::Scoop,
        Mark::Rip,
        Mark::Shake,
        Mark::Bend,
        Mark::Ghost,
        Mark::Lip,
        Mark::Wedge,
        Mark::Fermata,
        Mark::Closed,
        Mark::Open,
        Mark::Wah,
    ];

    /// The sign, or the word with its colon.
    pub fn sign(self) -> &'static str {
        match self {
            Mark::Staccato => ".",
            Mark::Tenuto => "-",
            Mark::Accent => ">",
            Mark::Marcato => "^",
            Mark::Slur => "_",
            Mark::Breath => ",",
            Mark::Break => ",,",
            Mark::Trill => ":trill",
            Mark::Turn => ":turn",
            Mark::Flutter => ":flutter",
            Mark::Growl => ":growl",
            Mark::Stopped => ":stopped",
            Mark::Halfvalve => ":halfvalve",
            Mark::Gliss => ":gliss",
            Mark::Fall => ":fall",
            Mark::Doit => ":doit",
            Mark::Scoop => ":scoop",
            Mark::Rip => ":rip",
            Mark::Shake => ":shake",
            Mark::Bend => ":bend",
            Mark::Ghost => ":ghost",
            Mark::Lip => ":lip",
            Mark::Wedge => ":wedge",
            Mark::Fermata => ":fermata",
            Mark::Closed => ":closed",
            Mark::Open => ":open",
            Mark::Wah => ":wah",
        }
    }

    /// The technique of a word without its colon.
    pub fn from_technique(word: &str) -> Option<Mark> {
        Mark::ALL.into_iter().find(|m| m.sign().strip_prefix(':') == Some(word))
    }
}

/// `@…`: the player's choice of fingering or position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Choice {
    /// `T`: the horn's thumb valve or the first attachment.
    pub thumb: bool,
    /// `G`: the second attachment.
    pub second: bool,
    /// The digits as a set: bit 0 for valve 1 … bit 6 for 7. On a slide exactly one digit. `@0` is none.
    pub digits: u8,
}
