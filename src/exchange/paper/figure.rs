//! Figures as they are written: the value of each place before tuplets, and the tuplets round it.

use crate::music::Fraction;
use crate::notation::tree::FigureNode;

/// A tuplet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ratio {
    pub count: u16,
    pub normal: u16,
    /// Written value of each of the `count`, in whole notes.
    pub unit: Fraction,
}

/// A place as it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct Written {
    /// In whole notes, tuplets not applied.
    pub value: Fraction,
    /// The tuplets it stands in, the outermost first.
    pub inside: Vec<Ratio>,
    /// How many of them begin with it, and how many end: the innermost ones.
    pub opens: usize,
    pub closes: usize,
}

struct Open {
    first: usize,
    count: u16,
    normal: u16,
}

/// The places of a figure in the order in which they are played; none where arithmetic fails. Never more
/// than `most`.
pub fn written(nodes: &[FigureNode], most: usize) -> Option<Vec<Written>> {
    let mut out: Vec<Written> = Vec::new();
    let mut open: Vec<Open> = Vec::new();
    for node in nodes {
        match *node {
            FigureNode::Place(place) => {
                for _ in 0..place.times.max(1) {
                    out.push(Written { value: place.value, inside: Vec::new(), opens: 0, closes: 0 });
                }
            }
            FigureNode::Open { count, normal, .. } => open.push(Open { first: out.len(), count, normal }),
            FigureNode::Close { times, .. } => {
                if let Some(tuplet) = open.pop() {
                    close(&tuplet, times, most, &mut out)?;
                }
            }
        }
        if out.len() > most {
            return None;
        }
    }
    while let Some(tuplet) = open.pop() {
        close(&tuplet, 1, most, &mut out)?;
    }
    Some(out)
}

fn close(tuplet: &Open, times: u16, most: usize, out: &mut Vec<Written>) -> Option<()> {
    let members = out.get_mut(tuplet.first..)?;
    let mut sum = Fraction::ZERO;
    for member in members.iter() {
        sum = sum.plus(scaled(member)?)?;
    }
    let unit = sum.over(Fraction::new(i64::from(tuplet.count), 1)?)?;
    let ratio = Ratio { count: tuplet.count, normal: tuplet.normal, unit };
    members.iter_mut().for_each(|m| m.inside.insert(0, ratio));
    if let Some(first) = members.first_mut() {
        first.opens += 1;
    }
    if let Some(last) = members.last_mut() {
        last.closes += 1;
    }
    let once = members.to_vec();
    for _ in 1..times.max(1) {
        if out.len() + once.len() > most {
            return None;
        }
        out.extend(once.iter().cloned());
    }
    Some(())
}

/// How long a place lasts with its tuplets.
fn scaled(place: &Written) -> Option<Fraction> {
    place.inside.iter().try_fold(place.value, |value, ratio| {
        value.times(Fraction::new(i64::from(ratio.normal), i64::from(ratio.count))?)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notation::line::{Ending, read_line};
    use crate::notation::tree::LineTree;
    use crate::score::figure::expand;

    fn read(figure: &str) -> Vec<Written> {
        let line = read_line(&format!("rhythm | {figure} |"), Ending::None);
        assert!(line.faults.is_empty(), "{figure}: {:?}", line.faults);
        let LineTree::Row(row) = &line.tree else { panic!("{figure}") };
        let nodes = row.bars[0].nodes.of(&row.nodes);
        let all = written(nodes, 100).unwrap();
        // The same places as those that are played.
        let mut timed = Vec::new();
        expand(nodes, &mut timed).unwrap();
        assert_eq!(
            all.iter().map(|w| scaled(w).unwrap()).collect::<Vec<_>>(),
            timed.iter().map(|t| t.length).collect::<Vec<_>>()
        );
        all
    }

    #[test]
    fn tuplets_know_where_they_begin_and_end() {
        let all = read("q {3:2 q e}*2 {3:2 q {5:4 ss*5}}");
        let ends: Vec<(usize, usize)> = all.iter().map(|w| (w.opens, w.closes)).collect();
        let wanted = [(0, 0), (1, 0), (0, 1), (1, 0), (0, 1), (1, 0), (1, 0), (0, 0), (0, 0), (0, 0), (0, 2)];
        assert_eq!(ends, wanted);
        assert_eq!(all[7].inside.iter().map(|r| (r.count, r.normal)).collect::<Vec<_>>(), [(3, 2), (5, 4)]);
        assert_eq!(all[1].inside[0].unit, Fraction::new(1, 8).unwrap());
    }
}
