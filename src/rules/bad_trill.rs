//! # bad-trill
//!
//! A trill that this instrument does badly or not at all.
//!
//! **Why.** A good trill is one finger on one harmonic. Where fingers change places, or the harmonic changes
//! with them, the trill limps; on a slide there is no finger at all, and lips trill only where two harmonics lie
//! a tone apart.
//!
//! **Numbers.** Valves: the easiest pair of fingerings among all that hold both notes. One finger on one harmonic is
//! fine, and in a whole tone an information where it takes a fingering that is not the usual one. One finger and
//! two neighbouring harmonics is an information; so are fingers that change places on one harmonic for a
//! professional, and a warning for everybody else. In a semitone both are fine, and an information at school.
//! Several fingers and the harmonic with them is a warning. On trumpets and their kin whole tones more than `slips`
//! semitones above the open tube's fundamental (30: written F♯5 of a trumpet) count one worse, since harmonics lie
//! close there. Slides and natural tubes: whole tones between harmonics 7 and 12 of one length, which lips do,
//! but not at school; or the attachment moving while the slide stays. Anything else is a warning. A horn player's
//! lips do a whole tone whose fingers are bad. A fingering written with `@` binds the lower note.
//!
//! **Source.** A trumpet teacher's trill page; The Modern Trumpet, "Trills", 2020; hornplayer archive and horn
//! blogs for the lips; Composer's Guide to the Tuba. That lists and derivation agree is tested in
//! `tests/tables`. How much each matters at which level is an estimate.
//!
//! ```brass
//! player Tp1 = trumpet in C
//! bar 1  meter 4/4
//! Tp1 | h : C4:trill=D4 - |
//! //        ^^^^^^^^^^^ warning bad-trill: 0 and 13
//! ```
//!
//! ```brass
//! player Tp1 = trumpet in C
//! bar 1  meter 4/4
//! Tp1 | h : F4:trill=G4 A4:trill=Bb4 |
//! ```
//!
//! **Fixes.** The other step, a semitone for a tone, where that lies well; the fingering written with `@`; a lip
//! trill; measured notes; another player.

use super::finding::{Cure, Severity};
use super::rule::{Check, Found, Limit, LocalFinding, Rule, View};
use super::wording::{at_level, pitch_for};
use crate::brass::body::Voice;
use crate::brass::plan::bound;
use crate::brass::trill::{
    CLEAN_ABOVE_FUNDAMENTAL, TrillClass, ValveTrill, attachment_trill, lip_trill, valve_trill_from,
};
use crate::brass::{How, Instrument, Kind, Level, Way};
use crate::notation::tree::Mark;
use crate::score::event::{Event, EventKind, Origin};
use crate::score::player::PlayerInstrument;
use crate::score::trill::{a_step_above, in_row, upper};

/// The rule.
pub const RULE: Rule = Rule {
    name: "bad-trill",
    severity: Severity::Warning,
    source: include_str!("bad_trill.rs"),
    limits: &[Limit {
        key: "slips",
        default: CLEAN_ABOVE_FUNDAMENTAL as f64,
        unit: "semitones above the open tube's fundamental",
        source: "a trumpet teacher's trill page; the pitch is an estimate",
    }],
    check: Check::Pair(check),
};

fn check(view: &View<'_>, found: &mut Found<'_>) {
    let mut note: Option<&Event> = None;
    for event in view.events {
        match event.kind {
            EventKind::Note => note = Some(event),
            EventKind::Hold => {}
            EventKind::Grace | EventKind::Rest | EventKind::Improvised => note = None,
        }
        if !event.marks.has(Mark::Trill) || event.origin == Origin::Again {
            continue;
        }
        // Of a note that goes on from the block before nothing is known here.
        let Some(note) = note else { continue };
        let Some(held) = view.instrument(event) else { continue };
        if event.marks.has(Mark::Stopped) || event.played.stopped {
            continue;
        }
        found.out.extend(Trill::of(view, event, note, held).finding(found.rule));
    }
}

/// A trill on one instrument.
struct Trill<'a> {
    view: &'a View<'a>,
    event: &'a Event,
    note: &'a Event,
    held: &'a PlayerInstrument,
    lower: i32,
    upper: i32,
    chosen: Option<Way>,
}

/// How well it goes.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Judged {
    Fine,
    /// The valves do it this way, with so much against it.
    Valves {
        trill: ValveTrill,
        class: TrillClass,
        severity: Severity,
        lips: Option<How>,
    },
    /// Neither lips nor attachment do it; at school the lips could not.
    NoWay {
        lips: Option<How>,
    },
}

impl<'a> Trill<'a> {
    fn of(view: &'a View<'a>, event: &'a Event, note: &'a Event, held: &'a PlayerInstrument) -> Trill<'a> {
        let to = upper(note, event.trill_to, view.key, view.basis).midi();
        let lower = note.sounding.midi();
        let how = note.marks.choice.map(|c| How::new(c.thumb, c.second, c.digits));
        let chosen = how.and_then(|how| bound(&held.instrument, how, lower));
        Trill { view, event, note, held, lower, upper: to, chosen }
    }

    fn tube(&self) -> &'a Instrument {
        &self.held.instrument
    }

    fn level(&self) -> Level {
        self.view.player.level
    }

    fn judge(&self, upper: i32, chosen: Option<&Way>) -> Judged {
        let tube = self.tube();
        // No trill, or none of this rule: a note that cannot be played is told by others.
        if !(1..=4).contains(&(upper - self.lower)) || tube.ways(self.lower).is_empty() {
            return Judged::Fine;
        }
        let lips = lip_trill(tube, self.lower, upper);
        let lips_able = lips.is_some() && self.level() != Level::School;
        let lips = lips.map(|trill| trill.upper.how);
        if !tube.build.has_valves() {
            let served = lips_able || attachment_trill(tube, self.lower, upper).is_some();
            return if served { Judged::Fine } else { Judged::NoWay { lips } };
        }
        let Some(trill) = valve_trill_from(tube, self.lower, upper, chosen) else { return Judged::Fine };
        let tone = upper - self.lower > 1;
        let slips = RULE.limit(self.view.settings, "slips");
        let slippery = tone
            && Voice::of(tube) == Voice::Trumpet
            && f64::from(self.lower - tube.tube.fundamental) > slips;
        let class = if slippery { one_worse(trill.class) } else { trill.class };
        let Some(severity) = self.severity(&trill, class, chosen.is_some(), tone) else {
            return Judged::Fine;
        };
        if lips_able && tube.kind == Kind::Horn {
            return Judged::Fine;
        }
        let severity = if lips_able { severity.min(Severity::Information) } else { severity };
        Judged::Valves { trill, class, severity, lips: lips.filter(|_| lips_able) }
    }

    fn severity(&self, trill: &ValveTrill, class: TrillClass, chosen: bool, tone: bool) -> Option<Severity> {
        let school = self.level() == Level::School;
        match class {
            TrillClass::Clean => (trill.alternate && !chosen && tone).then_some(Severity::Information),
            TrillClass::Uneven | TrillClass::Exchange if !tone => school.then_some(Severity::Information),
            TrillClass::Uneven => Some(Severity::Information),
            TrillClass::Exchange if self.level() == Level::Professional => Some(Severity::Information),
            TrillClass::Exchange | TrillClass::Tangled => Some(Severity::Warning),
        }
    }

    fn finding(&self, rule: &'static str) -> Option<LocalFinding> {
        let judged = self.judge(self.upper, self.chosen.as_ref());
        let name = |midi| pitch_for(self.held, midi, self.view.key);
        let what = format!("The trill from {} to {}", name(self.lower), name(self.upper));
        let label = &self.held.label;
        let (message, severity, measured, limit) = match judged {
            Judged::Fine => return None,
            Judged::Valves { trill, class, severity, lips } => {
                let (a, b) = (trill.lower.how, trill.upper.how);
                let mut message =
                    format!("{what} {} on the {label}", valve_words(class, &trill, self.chosen.is_some()));
                if let Some(how) = lips {
                    message.push_str(&format!("; the lips do it too, with @{how} held"));
                }
                message.push('.');
                (message, severity, format!("fingers {a} and {b}"), "one finger, one harmonic".to_owned())
            }
            Judged::NoWay { lips } => {
                (self.no_way(&what, lips), Severity::Warning, String::new(), String::new())
            }
        };
        let (other, cures) = self.ways_out(judged);
        let way_out = match (judged, &other) {
            (Judged::Valves { class: TrillClass::Clean, .. }, _) => String::new(),
            (_, Some(other)) => format!(" A trill to {other} lies well; or write the notes out, measured."),
            _ => " Write the notes out, measured, or give the trill to another player.".to_owned(),
        };
        Some(LocalFinding {
            rule,
            severity,
            grade: 1,
            line: self.event.line,
            span: self.event.span,
            bar: self.event.bar,
            message: format!("{message}{way_out}"),
            measured: (!measured.is_empty()).then_some(measured),
            limit: (!limit.is_empty()).then_some(limit),
            related: Vec::new(),
            cures,
        })
    }

    fn no_way(&self, what: &str, lips: Option<How>) -> String {
        let label = &self.held.label;
        match lips {
            Some(_) => format!(
                "{what} is one of the lips on the {label}, which {} is not asked for.",
                at_level(self.level())
            ),
            None if self.tube().build.slide().is_some() => format!(
                "{what} has neither harmonics a tone apart for the lips nor a place where the attachment alone would do it, on the {label}."
            ),
            None => format!(
                "{what} has no two harmonics a tone apart on the {label}, and lips trill on no others."
            ),
        }
    }

    /// The other step that lies well, as a player reads it, and the mechanical ways out.
    fn ways_out(&self, judged: Judged) -> (Option<String>, Vec<Cure>) {
        let mut cures = Vec::new();
        let here = self.event.origin == Origin::Here;
        if let Judged::Valves { trill, .. } = judged
            && here
            && trill.class == TrillClass::Clean
            && self.event.kind == EventKind::Note
            && self.chosen.is_none()
            && Some(trill.lower.how) != self.tube().note(self.lower).usual.map(|way| way.how)
        {
            cures.push(Cure::Choices { entries: vec![(self.event.span, format!("@{}", trill.lower.how))] });
        }
        if let Judged::Valves { class: TrillClass::Clean, .. } = judged {
            return (None, cures);
        }
        let semitones = if self.upper - self.lower == 1 { 2 } else { 1 };
        let better = match self.judge(self.lower + semitones, self.chosen.as_ref()) {
            Judged::Fine => true,
            Judged::Valves { class, .. } => class == TrillClass::Clean,
            Judged::NoWay { .. } => false,
        };
        if !better || self.tube().ways(self.lower + semitones).is_empty() {
            return (None, cures);
        }
        if here {
            let with = a_step_above(in_row(self.note, self.view.basis), semitones);
            cures.push(Cure::Trill { with: with.to_string() });
        }
        (Some(pitch_for(self.held, self.lower + semitones, self.view.key)), cures)
    }
}

fn valve_words(class: TrillClass, trill: &ValveTrill, chosen: bool) -> String {
    let (a, b) = (trill.lower.how, trill.upper.how);
    let easiest = if chosen { "with the fingering written there" } else { "at its easiest" };
    match class {
        TrillClass::Clean => format!("goes with one finger only as @{a} and @{b}, which are not both usual"),
        TrillClass::Uneven if trill.class == TrillClass::Clean => {
            format!("is fingered {a} and {b} so high up that it may slip to a neighbouring harmonic")
        }
        TrillClass::Uneven => format!("changes its harmonic or moves several fingers, {easiest} {a} and {b}"),
        TrillClass::Exchange => format!("lets fingers change places, {easiest} {a} and {b}"),
        TrillClass::Tangled => {
            format!("moves fingers against each other and from harmonic to harmonic, {easiest} {a} and {b}")
        }
    }
}

fn one_worse(class: TrillClass) -> TrillClass {
    match class {
        TrillClass::Clean => TrillClass::Uneven,
        TrillClass::Uneven => TrillClass::Exchange,
        TrillClass::Exchange | TrillClass::Tangled => TrillClass::Tangled,
    }
}
