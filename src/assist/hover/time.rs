//! Where and how long: bar, beat, seconds.

use super::Asked;
use super::telling::Telling;
use crate::assist::counting::beat;
use crate::music::Fraction;
use crate::score::event::Event;
use crate::score::wording;

/// `bar 3, beat 2`.
pub fn place(asked: Asked<'_>, block: usize, bar: u32, onset: Fraction) -> Option<String> {
    let placed = asked.score().blocks.get(block)?;
    let number = placed.frame.first_bar + i64::from(bar);
    Some(match beat(placed, bar, onset) {
        Some(beat) => format!("bar {number}, {beat}"),
        None => format!("bar {number}"),
    })
}

/// `1.25 s`, from a minute on `2:05`.
pub fn seconds(seconds: f64) -> String {
    if seconds >= 60.0 {
        let whole = seconds.round() as u64;
        format!("{}:{:02} min", whole / 60, whole % 60)
    } else {
        format!("{seconds:.2} s")
    }
}

/// Adds place and length of an event; `more` are the holds that go on with it.
pub fn told(asked: Asked<'_>, block: usize, event: &Event, more: &[(usize, Event)], telling: &mut Telling) {
    let clock = asked.clock();
    let begins = asked.score().order.visits.iter().position(|v| v.block as usize == block);
    let begins =
        begins.and_then(|visit| Some(clock.visit(visit)? + clock.in_block(block, event.bar, event.onset)?));
    let place = place(asked, block, event.bar, event.onset).unwrap_or_default();
    telling.fact(
        "Place",
        match begins {
            Some(at) => format!("{place}; {} from the beginning", seconds(at)),
            None => place,
        },
    );
    let whole = more.iter().try_fold(event.length, |sum, (_, e)| sum.plus(e.length));
    let lasting = more.iter().try_fold(clock.length(block, event), |sum, (b, e)| {
        Some(sum.zip(clock.length(*b, e)).map(|(a, b)| a + b))
    });
    let length = whole.filter(|w| !w.is_zero()).map(long).unwrap_or_default();
    let tied = if more.is_empty() { "" } else { ", holds included" };
    let sounding = lasting.flatten().filter(|_| !length.is_empty());
    telling.fact(
        "Lasts",
        match sounding {
            Some(s) => format!("{length}{tied}; {}", seconds(s)),
            None if length.is_empty() => String::new(),
            None => format!("{length}{tied}; no tempo, no seconds"),
        },
    );
}

/// A length in words; what has no name of its own in quarters.
pub fn long(length: Fraction) -> String {
    let words = wording::length(length);
    let quarters = Fraction::new(4, 1).and_then(|four| length.times(four));
    match quarters {
        Some(quarters) if words == length.to_string() => {
            if quarters == Fraction::ONE {
                "a quarter".to_owned()
            } else {
                format!("{quarters} quarters")
            }
        }
        _ => words,
    }
}
