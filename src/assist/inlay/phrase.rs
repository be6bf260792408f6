//! The notes of a phrase that is written in a key: what sounds. Who plays it is known only where it is
//! played.

use super::HintKind;
use super::row::{Tell, Told};
use crate::assist::interval_words::direction;
use crate::brass::register::own_reading;
use crate::music::{Interval, Pitch};
use crate::notation::Span;
use crate::notation::tree::{MemberKind, PhraseLine, What};

/// The hints of a phrase's line.
pub fn hints(phrase: &PhraseLine, tell: Tell<'_>) -> bool {
    let Some(key) = phrase.read_in else { return true };
    let to_concert = own_reading(key.key, key.register);
    if to_concert == Interval::UNISON {
        return true;
    }
    let mut one = |pitch: Pitch, span: Span| {
        let sounding = to_concert.apply_respelled(pitch);
        let reason = || {
            let way = direction(Interval::between(pitch, sounding));
            format!("Sounds {sounding}, {way} than written, whoever plays it as it stands.")
        };
        tell(&Told { byte: span.end, kind: HintKind::Pitch, label: sounding.to_string(), reason: &reason })
    };
    for item in &phrase.row.items {
        let going_on = match item.what {
            What::Note(pitch) | What::GraceNote(pitch) => one(pitch, item.span),
            What::Chord(slice) | What::GraceChord(slice) => {
                slice.of(&phrase.row.members).iter().all(|member| match member.what {
                    MemberKind::Note(pitch) => one(pitch, member.span),
                    MemberKind::Rest | MemberKind::Hold => true,
                })
            }
            _ => true,
        };
        if !going_on {
            return false;
        }
    }
    true
}
