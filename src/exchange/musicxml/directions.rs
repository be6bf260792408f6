//! What stands over and under the notes: marks, tempos, words, dynamics, hairpins, mutes.

use super::xml::Element;
use super::{element, text};
use crate::brass::Mute;
use crate::exchange::paper::values::values;
use crate::exchange::paper::{Free, OverKind};
use crate::music::Dynamic;
use crate::notation::tree::{Instruction, TempoMark};
use crate::score::player::Player;

/// A direction of these types, and what a program does there.
fn direction(placement: &str, types: Vec<Element>, sound: Option<Element>) -> Element {
    let typed = types.into_iter().map(|what| element("direction-type").and(what));
    element("direction").with("placement", placement).and_all(typed).and_all(sound)
}

fn words(what: &str) -> Element {
    text("words", what)
}

/// What concerns everybody.
pub fn over(what: &OverKind) -> Element {
    match what {
        OverKind::Mark(name) => direction("above", vec![text("rehearsal", name)], None),
        OverKind::Tempo(said, tempo) => tempo_mark(said.as_deref(), tempo),
        OverKind::Words(said) => direction("above", vec![words(said)], None),
        OverKind::Rit => direction("above", vec![words("rit.")], None),
        OverKind::Accel => direction("above", vec![words("accel.")], None),
        OverKind::ATempo => direction("above", vec![words("a tempo")], None),
    }
}

/// Who plays a cue.
pub fn cue(said: &str) -> Element {
    direction("above", vec![words(said)], None)
}

/// The order in which sections come round.
pub fn roadmap(order: &str) -> Element {
    direction("above", vec![words(order)], None)
}

fn tempo_mark(said: Option<&str>, tempo: &TempoMark) -> Element {
    let mut types: Vec<Element> =
        said.map(|said| words(said).with("font-weight", "bold")).into_iter().collect();
    let beat = values(tempo.beat).unwrap_or_default();
    if let [only] = beat.as_slice()
        && let Some(name) = super::note::value_name(*only)
    {
        let dots = (0..only.dots).map(|_| element("beat-unit-dot"));
        let count = hundredths(u64::from(tempo.per_minute));
        types.push(
            element("metronome").and(text("beat-unit", name)).and_all(dots).and(text("per-minute", count)),
        );
    }
    let quarters = u64::try_from(tempo.beat.numerator()).unwrap_or(1) * 4 * u64::from(tempo.per_minute);
    let speed = quarters as f64 / tempo.beat.denominator() as f64 / 100.0;
    let sound = element("sound").with("tempo", decimal(speed));
    if types.is_empty() {
        // The sum of values that is counted has no sign.
        let count = format!("{} quarters a minute", decimal(speed));
        types.push(words(&count));
    }
    direction("above", types, Some(sound))
}

/// A number of hundredths with as few decimals as it takes.
fn hundredths(number: u64) -> String {
    let text = format!("{}.{:02}", number / 100, number % 100);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn decimal(number: f64) -> String {
    let text = format!("{number:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What concerns one player, hairpins and clefs aside.
pub fn free(what: &Free, player: &Player, part: usize) -> Option<Element> {
    Some(match what {
        Free::Dynamic(dynamic) => {
            let level = element("sound").with("dynamics", decimal(percent(*dynamic)));
            direction("below", vec![element("dynamics").and(element(dynamic.word()))], Some(level))
        }
        Free::Words(said) => direction("above", vec![words(said)], None),
        Free::Switch(index) => {
            let label = player.instrument(*index).map_or("", |i| &i.label);
            let change = element("instrument-change").with("id", super::head::instrument_id(part, *index));
            let sound = element("sound").and(change);
            direction("above", vec![words(&format!("to {label}"))], Some(sound))
        }
        Free::Instruction(instruction) => return instruct(*instruction),
        Free::Crescendo | Free::Diminuendo => return None,
    })
}

fn instruct(instruction: Instruction) -> Option<Element> {
    let play = |what: Element| Some(element("sound").and(element("play").and(what)));
    let other = |kind: &str| text("other-play", kind).with("type", kind);
    let (said, sound) = match instruction {
        Instruction::Mute(mute) => (mute_words(mute), play(text("mute", mute_sign(mute)))),
        Instruction::Open => ("open".to_owned(), play(text("mute", "off"))),
        Instruction::Stopped => ("stopped".to_owned(), play(text("mute", "stop-hand"))),
        Instruction::Hand => ("hand-muted".to_owned(), play(other("hand-muted"))),
        Instruction::Flutter => ("flutter".to_owned(), play(other("flutter"))),
        Instruction::Plain => ("ordinary".to_owned(), play(other("ordinary"))),
        Instruction::Solo => ("solo".to_owned(), None),
        Instruction::Tutti => ("tutti".to_owned(), None),
        _ => return None,
    };
    Some(direction("above", vec![words(&said)], sound))
}

fn mute_words(mute: Mute) -> String {
    match mute {
        Mute::HarmonStemless => "harmon mute, no stem".to_owned(),
        other => format!("{} mute", other.word()),
    }
}

/// The standard's word; it has none for a whisper mute.
fn mute_sign(mute: Mute) -> &'static str {
    match mute {
        Mute::Straight => "straight",
        Mute::Cup => "cup",
        Mute::Harmon => "harmon-stem",
        Mute::HarmonStemless => "harmon-no-stem",
        Mute::Bucket => "bucket",
        Mute::Plunger => "plunger",
        Mute::Hat => "hat",
        Mute::SoloTone => "solotone",
        Mute::Practice => "practice",
        Mute::Stopping => "stop-mute",
        Mute::Whisper => "on",
    }
}

/// Loudness as the standard counts it: 100 is velocity 90.
fn percent(dynamic: Dynamic) -> f64 {
    f64::from(crate::exchange::midi::velocity(dynamic)) * 100.0 / 90.0
}

/// A hairpin's beginning or end.
pub fn wedge(kind: &'static str) -> Element {
    direction("below", vec![element("wedge").with("type", kind).with("number", 1)], None)
}

/// A change of loudness that nothing ends.
pub fn gradual(louder: bool) -> Element {
    direction("below", vec![words(if louder { "cresc." } else { "dim." })], None)
}
