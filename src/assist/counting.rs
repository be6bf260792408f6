//! Where in the bar, as players count.

use crate::music::Fraction;
use crate::notation::Span;
use crate::notation::tree::Meter;
use crate::rules::Desk;
use crate::score::score::Placed;

/// The meter of a bar of a block, from 0. A pickup takes no turn.
pub fn meter(placed: &Placed, bar: u32) -> Option<&Meter> {
    let frame = &placed.frame;
    let count = frame.meters.len().max(1) as u64;
    let pickup = u64::from(placed.read.block.pickup.is_some() && bar > 0);
    let turn = frame.turn + u64::from(bar) - pickup;
    frame.meters.get((turn % count) as usize)
}

/// What is felt as one beat: a dotted value where eighths or shorter come in threes, else the meter's own.
pub fn beat_length(meter: &Meter) -> Option<Fraction> {
    let beats: u32 = meter.groups.iter().sum();
    let threes = meter.groups.len() == 1 && meter.beat >= 8 && beats > 3 && beats.is_multiple_of(3);
    Fraction::new(if threes { 3 } else { 1 }, i64::from(meter.beat))
}

/// The beat of a bar on which the note stands that a line has here; `None` for what is no note.
pub fn beat_at(desk: &Desk, line: u32, span: Span) -> Option<String> {
    let (block, events) = super::sounding::events_in_row(desk, line)?;
    let event = events.iter().find(|e| e.span.end > span.start && e.span.start <= span.start)?;
    beat(desk.score().blocks.get(block)?, event.bar, event.onset)
}

/// `beat 2`, `eighth 4`, `beat 2½`; a pickup is counted as the end of its bar.
pub fn beat(placed: &Placed, bar: u32, onset: Fraction) -> Option<String> {
    let meter = meter(placed, bar)?;
    let unit = Fraction::new(1, i64::from(meter.beat))?;
    let full = meter.length()?;
    let pickup = placed.read.block.pickup.filter(|length| bar == 0 && *length < full);
    let missing = pickup.and_then(|length| full.minus(length)).unwrap_or(Fraction::ZERO);
    let count = onset.plus(missing)?.over(unit)?;
    let whole = count.numerator().div_euclid(count.denominator());
    let rest = count.minus(Fraction::new(whole, 1)?)?;
    let parts = match (rest.numerator(), rest.denominator()) {
        (0, _) => String::new(),
        (1, 2) => "½".to_owned(),
        (1, 4) => "¼".to_owned(),
        (3, 4) => "¾".to_owned(),
        (1, 3) => "⅓".to_owned(),
        (2, 3) => "⅔".to_owned(),
        _ => format!(" and {rest}"),
    };
    let word = match meter.beat {
        1 | 2 | 4 => "beat",
        8 => "eighth",
        16 => "16th",
        32 => "32nd",
        _ => "beat",
    };
    Some(format!("{word} {}{parts}", whole + 1))
}
