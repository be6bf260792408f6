//! How a note is played: the usual way, the good others, and the one the score asks for.

use super::telling::Telling;
use crate::brass::chart::is_used;
use crate::brass::hand::{fingered_as, lowered};
use crate::brass::{How, Instrument, Kind, Nature, Verdict, Way, check};
use crate::notation::tree::Mark;
use crate::score::event::Event;
use crate::score::player::PlayerInstrument;

/// Other ways that are named.
const MOST_OTHERS: usize = 5;

/// Adds how the event's note is played.
pub fn told(instrument: &PlayerInstrument, event: &Event, telling: &mut Telling) {
    let midi = event.sounding.midi();
    let tube = &*instrument.instrument;
    let label = if tube.build.slide().is_some() { "Position" } else { "Fingering" };
    let stopped = is_stopped(tube, event);
    let usual = if stopped { tube.stopped(midi) } else { tube.note(midi).usual };
    telling.fact(
        label,
        match usual {
            Some(way) if stopped => {
                format!("{}; stopped, it sounds a semitone above what is fingered", way_words(tube, &way))
            }
            Some(way) => way_words(tube, &way),
            None => none_words(tube, midi),
        },
    );
    if !stopped {
        let others: Vec<String> = tube
            .ways(midi)
            .iter()
            .skip(1)
            .filter(|w| is_used(w))
            .take(MOST_OTHERS)
            .map(|w| way_words(tube, w))
            .collect();
        telling.fact("Also", others.join("; "));
    }
    if let Some(choice) = event.marks.choice {
        let how = How::new(choice.thumb, choice.second, choice.digits);
        let fingered = if stopped { fingered_as(midi) } else { midi };
        telling.fact("Asked for", choice_words(tube, how, fingered));
    }
}

/// The usual way in a few words; empty if there is none.
pub fn usual(instrument: &PlayerInstrument, event: &Event) -> String {
    usual_way(instrument, event).map(|w| how_words(&instrument.instrument, &w)).unwrap_or_default()
}

/// The usual way, if there is one.
pub fn usual_way(instrument: &PlayerInstrument, event: &Event) -> Option<Way> {
    let tube = &*instrument.instrument;
    let midi = event.sounding.midi();
    if is_stopped(tube, event) { tube.stopped(midi) } else { tube.note(midi).usual }
}

fn is_stopped(tube: &Instrument, event: &Event) -> bool {
    (event.marks.has(Mark::Stopped) || event.played.stopped)
        && tube.kind == Kind::Horn
        && tube.build.has_valves()
}

/// `valves 1-2 (@12), partial 5, 14 cents flat`.
pub fn way_words(tube: &Instrument, way: &Way) -> String {
    let how = how_words(tube, way);
    let code = if tube.build.fingers() > 0 || tube.build.slide().is_some() {
        format!(" (@{})", way.how)
    } else {
        String::new()
    };
    format!("{how}{code}, partial {}, {}", way.partial, cents(way.cents))
}

/// `valves 1-2`, `position 3`, `open`.
pub fn how_words(tube: &Instrument, way: &Way) -> String {
    let digits: Vec<String> =
        (1..=7u8).filter(|d| way.how.digits & (1 << (d - 1)) != 0).map(|d| d.to_string()).collect();
    if tube.build.slide().is_some() {
        let exact = if (way.position - way.position.round()).abs() >= 0.05 {
            format!(", exactly {:.1}", way.position)
        } else {
            String::new()
        };
        let with = match (way.how.thumb, way.how.second) {
            (false, false) => "",
            (true, false) => ", first attachment",
            (false, true) => ", second attachment",
            (true, true) => ", both attachments",
        };
        return format!("position {}{with}{exact}", digits.join("-"));
    }
    if tube.build.fingers() == 0 {
        return "open tube".to_owned();
    }
    let valves = digits.join("-");
    match (way.how.thumb, digits.len()) {
        (false, 0) => "open".to_owned(),
        (false, 1) => format!("valve {valves}"),
        (false, _) => format!("valves {valves}"),
        (true, 0) => "thumb valve alone".to_owned(),
        (true, _) => format!("thumb valve with {valves}"),
    }
}

/// `in tune`, `14 cents flat`.
fn cents(cents: f32) -> String {
    match cents.round() as i32 {
        0 => "in tune".to_owned(),
        c if c > 0 => format!("{c} cent{} sharp", if c == 1 { "" } else { "s" }),
        c => format!("{} cent{} flat", -c, if c == -1 { "" } else { "s" }),
    }
}

fn none_words(tube: &Instrument, midi: i32) -> String {
    match tube.note(midi).nature {
        Nature::OffSeries { by_hand: true, .. } => match lowered(tube.tube, midi) {
            Some(harmonic) => format!("the hand in the bell lowers partial {}", harmonic.partial),
            None => "the hand in the bell".to_owned(),
        },
        _ => "none".to_owned(),
    }
}

fn choice_words(tube: &Instrument, how: How, midi: i32) -> String {
    match check(tube, how, midi) {
        Verdict::Holds(way) => format!("@{how}: partial {}, {}", way.partial, cents(way.cents)),
        Verdict::Gives(other) => {
            format!("@{how} does not hold it; the nearest is {:.0} cents away", other.off.abs())
        }
        Verdict::NoValve { valves, .. } => format!("@{how}: there are {valves} valves"),
        Verdict::NoThumb => format!("@{how}: there is no thumb valve or attachment"),
        Verdict::NoSecond => format!("@{how}: there is no second attachment of that kind"),
        Verdict::NoPosition { last } => format!("@{how}: positions go from 1 to {last} there"),
    }
}
