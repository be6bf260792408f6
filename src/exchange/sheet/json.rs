//! The sheet for programs. Names end in their unit or say `Written` or `Sounding`; times are seconds from the
//! beginning of the score as it is played, shares are 0 to 1, bars are numbers as written, `null` is what is not
//! known (times without a tempo) or not there. Lines of the file count from 1.

use crate::assist::playing::Extreme;
use crate::assist::sheet::{
    Change, Enough, FoundAt, HardBar, HighPassage, InstrumentUse, PlayerSheet, Sheet, Unbroken, Unit,
};
use crate::rules::Finding;
use serde::Serialize;

/// The shape; another number if a member goes or means something else.
const VERSION: u32 = 1;

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Whole<'a> {
    version: u32,
    title: Option<&'a str>,
    composer: Option<&'a str>,
    arranger: Option<&'a str>,
    bars: u64,
    played_bars: u64,
    seconds: Option<f64>,
    marks: Vec<Mark<'a>>,
    players: Vec<Player<'a>>,
    /// Of no one player.
    findings: Vec<Found<'a>>,
}

#[derive(Serialize)]
struct Mark<'a> {
    name: &'a str,
    bar: i64,
    seconds: Option<f64>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Player<'a> {
    id: &'a str,
    name: Option<&'a str>,
    level: &'a str,
    seats: u32,
    instruments: Vec<Instrument<'a>>,
    notes: u64,
    playing_bars: u64,
    lowest: Option<Note>,
    highest: Option<Note>,
    playing_seconds: Option<f64>,
    playing_share: Option<f64>,
    longest_without_rest: Option<Stretch>,
    high_seconds: Option<f64>,
    high_passages: Vec<High>,
    changes: Vec<Changed<'a>>,
    changes_left_out: u64,
    hardest_bars: Vec<Hard>,
    findings: Vec<Found<'a>>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Instrument<'a> {
    label: &'a str,
    clef: &'a str,
    low_written: String,
    comfortable_top_written: String,
    usual_top_written: String,
    reach_written: String,
    high_above_written: String,
    notes: u64,
    playing_seconds: Option<f64>,
}

#[derive(Serialize)]
struct Note {
    written: String,
    sounding: String,
    bar: i64,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Stretch {
    first_bar: i64,
    last_bar: i64,
    bars: u64,
    from_seconds: f64,
    to_seconds: f64,
    playing_seconds: f64,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct High {
    first_bar: i64,
    last_bar: i64,
    from_seconds: f64,
    to_seconds: f64,
    high_seconds: f64,
    highest_written: String,
    highest_sounding: String,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Changed<'a> {
    kind: &'static str,
    from: &'a str,
    to: &'a str,
    last_bar: Option<i64>,
    first_bar: i64,
    at_seconds: Option<f64>,
    available_seconds: Option<f64>,
    least_seconds: f64,
    comfortable_seconds: f64,
    source: &'a str,
    time: Option<&'static str>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Hard {
    bar: i64,
    points: f64,
    findings: u64,
    lips_share: Option<f64>,
    notes_per_second: Option<f64>,
}

#[derive(Serialize)]
#[serde(rename_all = "camelCase")]
struct Found<'a> {
    rule: &'a str,
    severity: &'a str,
    grade: u8,
    bar: Option<i64>,
    at_seconds: Option<f64>,
    line: u64,
    message: &'a str,
    measured: Option<&'a str>,
    limit: Option<&'a str>,
}

/// One JSON text.
pub fn json(sheet: &Sheet) -> Result<String, serde_json::Error> {
    let timed = sheet.axis.unit == Unit::Seconds;
    let seconds = |at: f64| timed.then(|| rounded(at));
    serde_json::to_string_pretty(&Whole {
        version: VERSION,
        title: sheet.title.as_deref(),
        composer: sheet.composer.as_deref(),
        arranger: sheet.arranger.as_deref(),
        bars: sheet.bars,
        played_bars: sheet.axis.played_bars,
        seconds: seconds(sheet.axis.length),
        marks: sheet
            .marks
            .iter()
            .map(|mark| Mark { name: &mark.name, bar: mark.bar, seconds: seconds(mark.at) })
            .collect(),
        players: sheet.players.iter().map(|player| told(player, timed)).collect(),
        findings: sheet.findings.iter().map(|finding| found(finding, None)).collect(),
    })
}

fn told(player: &PlayerSheet, timed: bool) -> Player<'_> {
    let time = player.time.as_ref();
    Player {
        id: &player.id,
        name: player.name.as_deref(),
        level: player.level.word(),
        seats: player.seats,
        instruments: player.instruments.iter().map(instrument).collect(),
        notes: player.notes,
        playing_bars: player.used.playing,
        lowest: player.used.lowest.as_ref().map(note),
        highest: player.used.highest.as_ref().map(note),
        playing_seconds: time.map(|t| rounded(t.playing_seconds)),
        playing_share: time.map(|t| rounded(t.share)),
        longest_without_rest: time.and_then(|t| t.longest.as_ref()).map(stretch),
        high_seconds: time.map(|t| rounded(t.high.seconds)),
        high_passages: time.map(|t| t.high.passages.iter().map(high).collect()).unwrap_or_default(),
        changes: player.changes.all.iter().map(|one| changed(one, timed)).collect(),
        changes_left_out: player.changes.more,
        hardest_bars: player.hardest.iter().map(hard).collect(),
        findings: player
            .findings
            .iter()
            .map(|FoundAt { finding, at, .. }| found(finding, at.filter(|_| timed)))
            .collect(),
    }
}

fn instrument(used: &InstrumentUse) -> Instrument<'_> {
    Instrument {
        label: &used.label,
        clef: used.clef.word(),
        low_written: used.low_written.to_string(),
        comfortable_top_written: used.comfortable_written.to_string(),
        usual_top_written: used.usual_written.to_string(),
        reach_written: used.reach_written.to_string(),
        high_above_written: used.high_mark_written.to_string(),
        notes: used.notes,
        playing_seconds: used.playing_seconds.map(rounded),
    }
}

fn note(extreme: &Extreme) -> Note {
    let Extreme { written, sounding, bar } = extreme;
    Note { written: written.to_string(), sounding: sounding.to_string(), bar: *bar }
}

fn stretch(longest: &Unbroken) -> Stretch {
    Stretch {
        first_bar: longest.first_bar,
        last_bar: longest.last_bar,
        bars: longest.bars,
        from_seconds: rounded(longest.from_seconds),
        to_seconds: rounded(longest.to_seconds),
        playing_seconds: rounded(longest.playing_seconds),
    }
}

fn high(passage: &HighPassage) -> High {
    High {
        first_bar: passage.first_bar,
        last_bar: passage.last_bar,
        from_seconds: rounded(passage.from_seconds),
        to_seconds: rounded(passage.to_seconds),
        high_seconds: rounded(passage.high_seconds),
        highest_written: passage.highest_written.to_string(),
        highest_sounding: passage.highest_sounding.to_string(),
    }
}

fn changed(change: &Change, timed: bool) -> Changed<'_> {
    Changed {
        kind: if change.instrument { "instrument" } else { "bell" },
        from: &change.from,
        to: &change.to,
        last_bar: change.last_bar,
        first_bar: change.first_bar,
        at_seconds: timed.then(|| rounded(change.at)),
        available_seconds: change.available_seconds.map(rounded),
        least_seconds: change.needs.least_seconds,
        comfortable_seconds: change.needs.comfortable_seconds,
        source: change.needs.source,
        time: match change.enough {
            Enough::Yes => Some("enough"),
            Enough::Hurried => Some("hurried"),
            Enough::No => Some("too-little"),
            Enough::Unasked => None,
        },
    }
}

fn hard(bar: &HardBar) -> Hard {
    Hard {
        bar: bar.bar,
        points: rounded(bar.points),
        findings: bar.findings,
        lips_share: bar.load.map(|load| rounded(load.lips)),
        notes_per_second: bar.load.map(|load| rounded(load.notes_per_second)),
    }
}

fn found(finding: &Finding, at: Option<f64>) -> Found<'_> {
    Found {
        rule: finding.rule,
        severity: finding.severity.word(),
        grade: finding.grade,
        bar: finding.bar,
        at_seconds: at.map(rounded),
        line: u64::from(finding.line) + 1,
        message: &finding.message,
        measured: finding.measured.as_deref(),
        limit: finding.limit.as_deref(),
    }
}

/// To the thousandth.
fn rounded(number: f64) -> f64 {
    (number * 1000.0).round() / 1000.0
}
