//! Where slurs and glissandos begin and end.

use super::tones::{Chord, ChordKind, Lines};
use crate::notation::tree::{Mark, Marks};
use crate::score::state::PlayedState;

/// A note with its holds, or a grace.
#[derive(Debug, Clone, Copy)]
struct Heard {
    first: Place,
    last: Place,
    slurred: bool,
    glides: bool,
    leads: bool,
    slides: bool,
}

/// Bar, chord, and the grace before it.
#[derive(Debug, Clone, Copy)]
struct Place {
    bar: usize,
    chord: usize,
    grace: Option<usize>,
}

/// Sets the lines of all chords and graces. A line leads to the next note; a rest, another mute, another
/// instrument end it.
pub fn lines(all: &mut [Vec<Chord>]) {
    let heard = heard(all);
    let mut open = false;
    for (i, this) in heard.iter().enumerate() {
        let next = heard.get(i + 1);
        let goes_on = this.leads && next.is_some_and(|n| n.slurred);
        if goes_on && !open {
            at(all, this.first, |lines| lines.slur_starts = true);
        }
        if open && !goes_on {
            at(all, this.last, |lines| lines.slur_stops = true);
        }
        open = goes_on;
        if this.slides
            && let Some(next) = next.filter(|n| n.glides)
        {
            at(all, this.last, |lines| lines.glide_starts = true);
            at(all, next.first, |lines| lines.glide_stops = true);
        }
    }
}

fn heard(all: &[Vec<Chord>]) -> Vec<Heard> {
    let mut out: Vec<Heard> = Vec::new();
    let mut state: Option<PlayedState> = None;
    let (mut slur, mut glide) = (false, false);
    for (bar, chords) in all.iter().enumerate() {
        if chords.is_empty() {
            (slur, glide) = (false, false);
        }
        for (at, chord) in chords.iter().enumerate() {
            let mut enter = |grace: Option<usize>, played: PlayedState, marks: Marks, held: bool| {
                if state.is_some_and(|before| before != played) {
                    (slur, glide) = (false, false);
                }
                state = Some(played);
                let place = Place { bar, chord: at, grace };
                let (leads, slides) = (marks.has(Mark::Slur), marks.has(Mark::Gliss));
                match out.last_mut().filter(|_| held) {
                    Some(note) => {
                        note.last = place;
                        note.leads |= leads;
                        note.slides |= slides;
                        slur |= leads;
                        glide |= slides;
                    }
                    None => {
                        let (slurred, glides) = (slur, glide);
                        out.push(Heard { first: place, last: place, slurred, glides, leads, slides });
                        (slur, glide) = (leads, slides);
                    }
                }
            };
            if chord.kind == ChordKind::Sound {
                for (n, grace) in chord.graces.iter().enumerate() {
                    enter(Some(n), grace.played, grace.marks, false);
                }
                enter(None, chord.played, chord.marks, chord.tones.iter().all(|t| t.tied));
            } else {
                state = Some(chord.played);
                (slur, glide) = (false, false);
            }
        }
    }
    out
}

fn at(all: &mut [Vec<Chord>], place: Place, set: impl Fn(&mut Lines)) {
    let Some(chord) = all.get_mut(place.bar).and_then(|bar| bar.get_mut(place.chord)) else { return };
    match place.grace {
        Some(n) => {
            if let Some(grace) = chord.graces.get_mut(n) {
                set(&mut grace.lines);
            }
        }
        None => set(&mut chord.lines),
    }
}
