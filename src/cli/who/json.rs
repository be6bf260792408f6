//! The ranking for programs. Gaps are seconds, points are estimates; `null` where there is no tempo.

use super::Told;
use crate::rules::Desk;
use crate::section::{Standing, Stretch};
use serde::Serialize;

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Answer<'a> {
    version: u32,
    player: &'a str,
    first_bar: i64,
    last_bar: i64,
    candidates: Vec<One<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct One<'a> {
    player: &'a str,
    /// `doubles`, `free`, `busy`.
    standing: &'static str,
    possible: bool,
    points: u32,
    reasons: Vec<Reason<'a>>,
    rest_before_seconds: Option<f64>,
    rest_after_seconds: Option<f64>,
    /// Why the text cannot be changed so as it stands.
    declined: Option<&'static str>,
}

#[derive(Serialize)]
struct Reason<'a> {
    about: &'static str,
    points: u32,
    text: &'a str,
}

/// One JSON text.
pub fn text(desk: &Desk, stretch: &Stretch, all: &[Told]) -> Result<String, serde_json::Error> {
    let id = |at: usize| desk.score().head.players.get(at).map_or("", |p| p.id.as_str());
    let first = desk.score().blocks.get(stretch.block).map_or(0, |b| b.frame.first_bar);
    let one = |told: &'_ Told| -> (usize, &'static str) {
        let standing = match told.candidate.standing {
            Standing::Doubles => "doubles",
            Standing::Free => "free",
            Standing::Busy => "busy",
        };
        (told.candidate.player, standing)
    };
    let candidates = all.iter().map(|told| {
        let (player, standing) = one(told);
        let cost = &told.candidate.cost;
        let thousandth = |s: f64| (s * 1000.0).round() / 1000.0;
        One {
            player: id(player),
            standing,
            possible: cost.is_possible(),
            points: cost.points(),
            reasons: cost
                .parts
                .iter()
                .map(|p| Reason { about: p.why.word(), points: p.points, text: &p.said })
                .collect(),
            rest_before_seconds: told.candidate.gap.map(|g| thousandth(g.before_seconds)),
            rest_after_seconds: told.candidate.gap.map(|g| thousandth(g.after_seconds)),
            declined: told.declined,
        }
    });
    let answer = Answer {
        version: 1,
        player: id(stretch.player),
        first_bar: first + i64::from(stretch.from.bar),
        last_bar: first + i64::from(stretch.last_bar()),
        candidates: candidates.collect(),
    };
    serde_json::to_string_pretty(&answer)
}
