//! Why notes cannot be put into another line.

/// What stands in the way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Declined {
    /// The notes stand on a row of several players.
    SharedRow,
    /// The taker stands on a row with others there.
    TakerShares,
    /// The taker plays something then.
    TakerPlays,
    /// The notes stand on several rows.
    SeveralRows,
    /// A part that several people read.
    Seats,
    /// Something there could not be read.
    Unread,
    /// Part of a phrase or an improvisation.
    PartOfPhrase,
    /// The instrument is changed in between.
    Switches,
    /// A rest with a fermata, a break or words that concern it stands in the way.
    Marked,
    /// The taker's own rhythm does not let the notes in.
    Rhythm,
    /// A technique that cannot be undone by a word of the notation.
    Technique,
    /// Somebody would play something otherwise than before.
    Otherwise,
    /// A note would have no octave digit.
    Pitch,
    /// A note is held on into the next block.
    HeldOn,
    /// There are not enough players who are free and have the notes.
    Nobody,
    /// Nothing would be better than it is.
    NoBetter,
    /// A dynamic or a technique is in force for some people of a row and not for others.
    Unlike,
}

impl Declined {
    /// In words, behind `cannot be handed over here: `.
    pub fn said(self) -> &'static str {
        match self {
            Declined::SharedRow => "the notes stand on a row of several players, which cannot be written out",
            Declined::TakerShares => {
                "the other player stands on a row with others there, which cannot be written out"
            }
            Declined::TakerPlays => "the other player plays something then",
            Declined::SeveralRows => "the notes stand on several rows",
            Declined::Seats => "several people read the part",
            Declined::Unread => "something there could not be read",
            Declined::PartOfPhrase => "a phrase or an improvisation goes as a whole",
            Declined::Switches => "the instrument is changed in between",
            Declined::Marked => "a rest there carries a mark",
            Declined::Rhythm => "the other player's rhythm does not let the notes in",
            Declined::Technique => "the technique cannot be taken over",
            Declined::Otherwise => "a dynamic, a word or a pause there belongs to notes that stay",
            Declined::Pitch => "a note would lie outside the octaves of the notation",
            Declined::HeldOn => "a note is held on into the next block",
            Declined::Nobody => "not enough players are free then who have the notes",
            Declined::NoBetter => "nothing would be better than it is",
            Declined::Unlike => {
                "the people of the row differ there: a dynamic or a technique is in force for some of them only"
            }
        }
    }
}
