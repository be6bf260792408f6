//! # switch-time
//!
//! A player who doubles has little time to change the instrument.
//!
//! **Why.** One instrument has to be put down safely and the other taken up, and it is cold: nobody has blown
//! warm air through it, it is flat, and the lips have to find another mouthpiece.
//!
//! **Numbers.** What counts is the rest from the last note on the one instrument to the first note on the other,
//! with repeats and fermatas played out. Below 8 s (`least`) it is a warning, a strong one below half of that;
//! below 15 s (`comfortable`) it is information. Where one of the two is a tuba or a cimbasso it is 12 s
//! (`least-large`) and 20 s (`comfortable-large`). Where the rest is long enough and `[switch …]` stands so late in
//! it that the time left from there is shorter, it is information too. Nothing is told where only the reading
//! changes and the instrument is the same, at the beginning of the piece, and without a tempo.
//!
//! **Source.** All seconds are estimates.
//!
//! ```brass
//! player Tp1 = trumpet in Bb, doubles flugelhorn in Bb
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | w : C5 | [switch flugelhorn] - | w : F4 |
//! //             ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^ warning switch-time: 4 s
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in Bb, doubles flugelhorn in Bb
//! bar 1  meter 4/4  tempo q = 60
//! Tp1 | w : C5 | [switch flugelhorn] rest 4 | w : F4 |
//! ```
//!
//! **Fixes.** The instruction at the start of the rest; a longer rest; another player takes the passage.

use super::finding::{Cure, Severity};
use super::handling::Change;
use super::mute_time::{self, Needs};
use super::passage::{Passage, PassageFinding, SAME_SECONDS, Spot};
use super::rule::{Check, Limit, Rule};
use crate::brass::body::hands::{SWITCH, SWITCH_LARGE, switch};
use crate::score::player::PlayerInstrument;

/// Share of the least time below which the warning is a strong one (estimate).
const STRONG: f64 = 0.5;

const fn seconds(key: &'static str, default: f64) -> Limit {
    Limit { key, default, unit: "s", source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "switch-time",
    severity: Severity::Warning,
    source: include_str!("switch_time.rs"),
    limits: &[
        seconds("least", SWITCH.1.least_seconds),
        seconds("comfortable", SWITCH.1.comfortable_seconds),
        seconds("least-large", SWITCH_LARGE.1.least_seconds),
        seconds("comfortable-large", SWITCH_LARGE.1.comfortable_seconds),
    ],
    check: Check::Beside("mute-time"),
};

/// Judges a change of instrument.
pub fn judge(passage: &Passage<'_>, change: &Change<'_>) -> Option<PassageFinding> {
    let from = passage.player.instrument(change.from.instrument)?;
    let to = passage.player.instrument(change.to.instrument)?;
    if same_tube(from, to) {
        return None;
    }
    let large = switch(from.instrument.kind, to.instrument.kind) == SWITCH_LARGE;
    let keys = if large { ["least-large", "comfortable-large"] } else { ["least", "comfortable"] };
    let [least, comfortable] = keys.map(|key| RULE.limit(passage.settings, key));
    let needs = Needs { least_seconds: least, comfortable_seconds: comfortable, source: "an estimate" };
    let rest = change.rest_seconds;
    let to_label = &to.label;
    if rest > comfortable - SAME_SECONDS {
        return late(change, to_label, &needs);
    }
    let hurried = rest < least - SAME_SECONDS;
    let limit = if hurried { least } else { comfortable };
    let rest = mute_time::told_seconds(rest, limit);
    let at = change.said.map_or(Spot::of(change.note), |said| said.spot);
    Some(PassageFinding {
        rule: RULE.name,
        severity: if hurried { Severity::Warning } else { Severity::Information },
        grade: if change.rest_seconds < least * STRONG - SAME_SECONDS { 2 } else { 1 },
        at,
        from: change.last.spot,
        to: Spot::of(change.note),
        lead: if change.rest_seconds < SAME_SECONDS {
            format!("No rest to change from the {} to the {to_label}", from.label)
        } else {
            format!("{rest} to change from the {} to the {to_label}", from.label)
        },
        tail: format!(
            ". The change takes {least} s, and the instrument is cold; {comfortable} s are comfortable (estimates). Write a longer rest, or give the passage to somebody who has the {to_label} in hand.",
        ),
        badness: -change.rest_seconds,
        measured: Some(rest),
        limit: Some(format!("{limit} s")),
        related: mute_time::related(change),
        cures: Vec::new(),
    })
}

/// True if only the reading is another.
fn same_tube(a: &PlayerInstrument, b: &PlayerInstrument) -> bool {
    let (a, b) = (&a.instrument, &b.instrument);
    a.kind == b.kind && a.tube.fundamental == b.tube.fundamental && a.build == b.build
}

fn late(change: &Change<'_>, label: &str, needs: &Needs) -> Option<PassageFinding> {
    let said =
        change.said.filter(|said| said.once && said.seconds < needs.comfortable_seconds - SAME_SECONDS)?;
    let left = mute_time::told_seconds(said.seconds, needs.comfortable_seconds);
    Some(PassageFinding {
        rule: RULE.name,
        severity: Severity::Information,
        grade: 1,
        at: said.spot,
        from: said.spot,
        to: said.spot,
        lead: format!("The change to the {label} is asked for {left} before its first note"),
        tail: format!(
            ", though the rest lasts {:.0} s. Whoever reads the part learns of it too late: the change takes {} s, and {} s are comfortable ({}). Write it at the start of the rest.",
            change.rest_seconds, needs.least_seconds, needs.comfortable_seconds, needs.source
        ),
        badness: -said.seconds,
        measured: Some(left),
        limit: Some(format!("{} s", needs.comfortable_seconds)),
        related: mute_time::related(change),
        cures: mute_time::earlier(change).into_iter().collect::<Vec<Cure>>(),
    })
}
