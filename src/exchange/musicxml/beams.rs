//! Beams: notes of one beat, or of one tuplet, share one.

use super::pieces::Piece;
use crate::exchange::paper::SheetBar;
use crate::music::Fraction;
use crate::notation::tree::Meter;

/// The standard has beams for eighths to 1024ths.
const MOST_BEAMS: usize = 8;

/// By piece, by level from the outermost: what its beam does there.
pub fn beams(pieces: &[Piece], bar: &SheetBar) -> Vec<Vec<&'static str>> {
    let beats = beats(&bar.meter);
    // A pickup ends with the meter.
    let full = bar.meter.length().unwrap_or(bar.length);
    let early = if bar.pickup { full.minus(bar.length).unwrap_or_default() } else { Fraction::ZERO };
    let mut all = vec![Vec::new(); pieces.len()];
    let mut tuplet = 0usize;
    let mut depth = 0usize;
    let mut run: Vec<usize> = Vec::new();
    let mut group = None;
    for (at, piece) in pieces.iter().enumerate() {
        if depth == 0 && piece.opens > 0 {
            tuplet += 1;
        }
        depth += piece.opens;
        let flags = piece.value.map_or(0, |v| v.flags());
        let place = piece.onset.plus(early).unwrap_or(piece.onset);
        let beat = beats.iter().filter(|b| **b <= place).count();
        let own = (!piece.rest && flags > 0).then_some(if depth > 0 { (tuplet, 0) } else { (0, beat) });
        if own.is_none() || own != group {
            join(&run, pieces, &mut all);
            run.clear();
        }
        if own.is_some() {
            run.push(at);
        }
        group = own;
        depth = depth.saturating_sub(piece.closes);
    }
    join(&run, pieces, &mut all);
    all
}

fn join(run: &[usize], pieces: &[Piece], all: &mut [Vec<&'static str>]) {
    let flags: Vec<usize> = run
        .iter()
        .filter_map(|at| pieces.get(*at)?.value)
        .map(|value| value.flags().min(MOST_BEAMS))
        .collect();
    for (out, at) in run.iter().zip(levels(&flags)) {
        if let Some(slot) = all.get_mut(*out) {
            *slot = at;
        }
    }
}

/// What the beams do for notes with so many flags that share a beam; nothing for a single note.
pub fn levels(flags: &[usize]) -> Vec<Vec<&'static str>> {
    let has = |i: Option<usize>, level: usize| i.and_then(|i| flags.get(i)).is_some_and(|n| *n >= level);
    let of = |(i, most): (usize, &usize)| {
        let at = |level: usize| match (has(i.checked_sub(1), level), has(Some(i + 1), level)) {
            (true, true) => "continue",
            (false, true) => "begin",
            (true, false) => "end",
            (false, false) if i > 0 => "backward hook",
            (false, false) => "forward hook",
        };
        (1..=*most).map(at).collect()
    };
    if flags.len() < 2 {
        return vec![Vec::new(); flags.len()];
    }
    flags.iter().enumerate().map(of).collect()
}

/// Where beats begin, the first aside: quarters, groups of three in six, nine and twelve, the groups of a
/// grouped meter.
fn beats(meter: &Meter) -> Vec<Fraction> {
    let mut units: Vec<u32> = Vec::new();
    for group in meter.groups.iter().copied() {
        let short = meter.beat >= 8;
        let size = match (short, meter.groups.len()) {
            (true, 2..) => group,
            (true, _) if group % 3 == 0 => 3,
            (true, _) => meter.beat / 4,
            (false, _) => 1,
        };
        let size = size.max(1);
        let mut left = group.min(4096);
        while left > 0 {
            units.push(size.min(left));
            left -= size.min(left);
        }
    }
    let mut now = 0i64;
    let mut all = Vec::new();
    for unit in units {
        now += i64::from(unit);
        all.extend(Fraction::new(now, i64::from(meter.beat)));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn beats_of_meters() {
        let of = |groups: &[u32], beat| {
            beats(&Meter { groups: groups.into(), beat }).iter().map(|f| f.to_string()).collect::<Vec<_>>()
        };
        assert_eq!(of(&[3], 4), ["1/4", "1/2", "3/4"]);
        assert_eq!(of(&[6], 8), ["3/8", "3/4"]);
        assert_eq!(of(&[3, 2], 8), ["3/8", "5/8"]);
        assert_eq!(of(&[5], 8), ["1/4", "1/2", "5/8"]);
    }

    #[test]
    fn short_notes_have_hooks() {
        assert_eq!(levels(&[1, 2]), [vec!["begin"], vec!["end", "backward hook"]]);
        assert_eq!(levels(&[2, 1, 1]), [vec!["begin", "forward hook"], vec!["continue"], vec!["end"]]);
        assert_eq!(levels(&[3]), [Vec::<&str>::new()]);
    }
}
