//! # breathe-together
//!
//! Several players hold a tone that is too long for one breath, and all of them have to breathe at the same
//! place.
//!
//! **Why.** One player who breathes in a held chord is not missed while another holds on. When all of them
//! breathe at once, the chord has a hole. Players of a section breathe in turn only where somebody tells them
//! to: at rehearsal, or in the part.
//!
//! **Numbers.** Warning where a breath is marked inside a held tone (`=,` and the tone goes on), where at least
//! two players, or two seats of one part, breathe at that moment and nobody holds a note across it, and where
//! the tone lasts longer than a breath of one of them, so that the breath cannot simply be left out.
//! Information where two or more players begin a tone together, hold it for longer than a breath each, and
//! nobody has a place for it. Litres, flows and seconds of a breath are those of `no-breath`. A part of several
//! seats without a mark is left to its players, who take turns.
//!
//! **Source.** To write the breaks of a long chord into the parts, at different places, fading out and coming
//! in again without an attack: an orchestrator's column on staggered breathing, and the same advice in a drum
//! corps manual. The litres and seconds are estimates.
//!
//! **Caution.** This is general and no medical advice; the players, and their teachers, decide.
//!
//! ```brass
//! player Tb1 = trombone
//! player Tb2 = trombone
//! bar 1  meter 4/4  tempo q = 60
//! Tb1 | w : f Bb3, | = | h : = - |
//! //          ^^^^ warning breathe-together: 2 players
//! Tb2 | w : f D3,  | = | h : = - |
//! ```
//!
//! ```brass
//! player Tb1 = trombone
//! player Tb2 = trombone
//! bar 1  meter 4/4  tempo q = 60
//! Tb1 | w : f Bb3, | =        | h : = - |
//! Tb2 | w : f D3   | h : =, = | h : = - |
//! ```
//!
//! **Fixes.** Breaths bars apart, each player's in another bar; a rest for all, if a break is meant.

use super::breathing::Blower;
use super::ensemble::{Carried as Together, Company, Left, SAME_PLACE, SharedPassage, SharedTold};
use super::finding::{Cure, Severity};
use super::no_breath;
use super::passage::{Carried, Passage, PassageFinding, Spot, Told};
use super::rule::{Check, Rule};
use crate::music::Fraction;
use crate::score::passage::{Sound, SoundKind};

/// The rule.
pub const RULE: Rule = Rule {
    name: "breathe-together",
    severity: Severity::Warning,
    source: include_str!("breathe_together.rs"),
    limits: &[],
    check: Check::Together { alone, together },
};

/// Share of a breath by which two may differ and be one.
const SAME: f64 = 1e-6;

/// Visits after which a hole is forgotten, if the tone around it was lost sight of.
const LONG_AGO: u32 = 64;

/// What a line carries: the tone that sounds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    tone: Option<Tone>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Tone {
    first: Spot,
    onset: Fraction,
    last: Spot,
    seconds: f64,
    litres: f64,
    breathed: bool,
    /// The last entry, its bar and where it ends there, if a breath is marked after it.
    mark: Option<(Spot, Fraction)>,
}

impl State {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        if let Some(tone) = &mut self.tone {
            tone.first.age();
            tone.last.age();
            if let Some((spot, _)) = &mut tone.mark {
                spot.age();
            }
        }
    }
}

fn alone(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    let blower = Blower { passage, air: no_breath::air(passage) };
    let state = &mut carried.breathe_together;
    for sound in passage.sounds {
        match sound.kind {
            SoundKind::Grace => {}
            SoundKind::Note | SoundKind::Held => {
                if sound.kind == SoundKind::Note {
                    state.close(&blower, told);
                }
                state.sound(&blower, sound, told);
            }
            SoundKind::Silence | SoundKind::Improvised => state.close(&blower, told),
        }
    }
    if passage.ends {
        state.close(&blower, told);
    }
}

impl State {
    fn sound(&mut self, blower: &Blower<'_>, sound: &Sound, told: &mut Told<'_>) {
        let events = sound.of(blower.passage.events);
        let (Some(event), Some(last)) = (events.first(), events.last()) else { return };
        if sound.kind == SoundKind::Note {
            let first = Spot::of(event);
            let onset = event.onset;
            self.tone = Some(Tone {
                first,
                onset,
                last: first,
                seconds: 0.0,
                litres: 0.0,
                breathed: false,
                mark: None,
            });
        }
        let Some(tone) = &mut self.tone else { return };
        if let Some((at, after)) = tone.mark.take() {
            told.leave(Left::Breath { at, after });
            tone.breathed = true;
        }
        tone.last = Spot::of(last);
        tone.seconds += sound.seconds;
        tone.litres += sound.seconds * blower.flow(sound, event);
        tone.mark = sound.breath.then(|| Some((tone.last, last.onset.plus(last.length)?))).flatten();
    }

    fn close(&mut self, blower: &Blower<'_>, told: &mut Told<'_>) {
        let Some(tone) = self.tone.take() else { return };
        let air = &blower.air;
        let share = (tone.litres / air.usable_litres).max(tone.seconds / air.comfort_seconds);
        if tone.breathed || share > 1.0 + SAME {
            told.leave(Left::Tone {
                first: tone.first,
                onset: tone.onset,
                last: tone.last,
                seconds: tone.seconds,
                lasts_seconds: tone.seconds / share.max(SAME),
                breathed: tone.breathed,
            });
        }
    }
}

/// What all carry: holes in tones that still sound.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Open {
    holes: Vec<Hole>,
}

/// A moment in which everybody who holds breathes.
#[derive(Debug, Clone, PartialEq)]
struct Hole {
    people: u32,
    breaths: Vec<(u16, Spot)>,
    /// Of these, the players whose tone still sounds.
    sound: Vec<u16>,
}

impl Open {
    /// Goes to the next visit.
    pub fn age(&mut self) {
        self.holes.iter_mut().flat_map(|hole| &mut hole.breaths).for_each(|(_, spot)| spot.age());
        self.holes.retain(|hole| hole.breaths.iter().all(|(_, spot)| spot.back < LONG_AGO));
    }
}

fn together(company: &Company<'_>, carried: &mut Together, told: &mut SharedTold<'_>) {
    let open = &mut carried.breathe_together;
    open.holes.extend(holes(company));
    let mut unmarked: Vec<(u16, &Left)> = Vec::new();
    for (player, left) in company.left(RULE.name) {
        let Left::Tone { first, seconds, lasts_seconds, breathed, .. } = left else { continue };
        let too_long = *seconds > lasts_seconds * (1.0 + SAME);
        if !breathed && company.seats(player) == 1 {
            unmarked.push((player, left));
        }
        let mut forced = None;
        open.holes.retain_mut(|hole| {
            let inside = |(who, spot): &(u16, Spot)| *who == player && within(*first, *spot);
            let inside = hole.breaths.iter().any(inside);
            hole.sound.retain(|who| *who != player);
            if inside && too_long && forced.is_none() {
                forced = Some(hole.clone());
                return false;
            }
            !hole.sound.is_empty()
        });
        if let Some(hole) = forced {
            told.out.extend(tell(&hole, *seconds, *lasts_seconds));
        }
    }
    told.out.extend(nobody_breathes(&unmarked));
}

/// True if a place lies at or after the beginning of a tone.
fn within(first: Spot, spot: Spot) -> bool {
    first.back > spot.back || first.back == spot.back && first.bar <= spot.bar
}

/// Moments of this visit in which everybody who holds breathes.
fn holes(company: &Company<'_>) -> Vec<Hole> {
    let mut marks: Vec<(u32, f64, u16, Spot)> = Vec::new();
    for (player, left) in company.left(RULE.name) {
        let Left::Breath { at, after } = left else { continue };
        if let Some(place) = company.place(*at, *after) {
            marks.push((at.back, place, player, *at));
        }
    }
    marks.sort_by(|a, b| (a.0, a.2).cmp(&(b.0, b.2)).then(a.1.total_cmp(&b.1)));
    let mut holes = Vec::new();
    while let Some((back, place, ..)) = marks.first().copied() {
        let here = |mark: &(u32, f64, u16, Spot)| mark.0 == back && (mark.1 - place).abs() < SAME_PLACE;
        let breaths: Vec<(u16, Spot)> = marks.iter().filter(|m| here(m)).map(|m| (m.2, m.3)).collect();
        marks.retain(|m| !here(m));
        let (parts, end) =
            if back == 0 { (company.parts, company.end) } else { (company.before, company.before_end) };
        let notes = || parts.iter().flat_map(|part| part.notes);
        // What is held over the end of the block is not seen to go on.
        let at_end = place > end - SAME_PLACE;
        if notes().any(|n| n.spans(place) || at_end && n.reaches(place) && !n.breath) {
            continue;
        }
        let who = |player: u16| breaths.iter().any(|(breathing, _)| *breathing == player);
        let breathing = parts.iter().filter(|part| who(part.player)).flat_map(|part| part.notes);
        let people = breathing.filter(|n| n.breath && n.reaches(place) && n.to < place + SAME_PLACE);
        let people = people.map(|n| u32::from(n.people)).sum();
        if people >= 2 {
            let sound = breaths.iter().map(|(player, _)| *player).collect();
            holes.push(Hole { people, breaths, sound });
        }
    }
    holes
}

fn tell(hole: &Hole, seconds: f64, lasts_seconds: f64) -> Option<SharedPassage> {
    let (_, at) = *hole.breaths.first()?;
    let others = hole.breaths.iter().skip(1);
    Some(SharedPassage {
        players: hole.breaths.iter().map(|(player, _)| *player).collect(),
        finding: PassageFinding {
            rule: RULE.name,
            severity: Severity::Warning,
            grade: 1,
            at,
            from: at,
            to: at,
            lead: format!("A hole in the chord where {} players breathe at once", hole.people),
            tail: format!(
                ": nobody holds on, and the tone lasts {seconds:.0} s, longer than the {lasts_seconds:.0} s of a breath (an estimate). Let them breathe in different bars, going out softly and coming in again without a new attack."
            ),
            badness: seconds / lasts_seconds,
            measured: Some(format!("{} players", hole.people)),
            limit: Some("1 player".to_owned()),
            related: others
                .map(|(_, spot)| (*spot, "this breath comes at the same time".to_owned()))
                .collect(),
            cures: vec![Cure::Stagger],
        },
    })
}

/// Players who begin a tone together and hold it for longer than a breath, without a place to breathe.
fn nobody_breathes(tones: &[(u16, &Left)]) -> Vec<SharedPassage> {
    let begins = |left: &Left| match left {
        Left::Tone { first, onset, .. } => Some((first.back, first.bar, *onset)),
        _ => None,
    };
    let mut out = Vec::new();
    for (i, (_, one)) in tones.iter().enumerate() {
        let begun = begins(one);
        if tones.iter().take(i).any(|(_, other)| begins(other) == begun) {
            continue;
        }
        let all: Vec<&(u16, &Left)> = tones.iter().filter(|(_, other)| begins(other) == begun).collect();
        let Left::Tone { first, last, seconds, lasts_seconds, .. } = one else { continue };
        if all.len() < 2 {
            continue;
        }
        let related = all.iter().skip(1).filter_map(|(_, left)| match left {
            Left::Tone { first, .. } => Some((*first, "this tone begins with it".to_owned())),
            _ => None,
        });
        out.push(SharedPassage {
            players: all.iter().map(|(player, _)| *player).collect(),
            finding: PassageFinding {
                rule: RULE.name,
                severity: Severity::Information,
                grade: 1,
                at: *first,
                from: *first,
                to: *last,
                lead: format!("{} players hold on for {seconds:.0} s", all.len()),
                tail: format!(
                    ", and none of them has a place to breathe; a breath lasts {lasts_seconds:.0} s (an estimate). Write each a breath mark in another bar: then the chord stays whole."
                ),
                badness: seconds / lasts_seconds,
                measured: Some(format!("{seconds:.0} s")),
                limit: Some(format!("{lasts_seconds:.0} s")),
                related: related.collect(),
                cures: vec![Cure::Stagger],
            },
        });
    }
    out
}
