//! # no-breath
//!
//! Somebody plays on for longer than the air of one breath lasts.
//!
//! **Why.** Air is a supply. Loud notes, low notes and wide instruments use it fastest: what is one phrase on
//! a soft trumpet is three breaths on a loud tuba. Who runs out breathes where the music does not want it.
//!
//! **Numbers.** From one place to breathe to the next: a rest of at least 0.25 s, a breath mark `,`, or the
//! second half of a staccato note if it lasts as long. A mark takes up to 0.6 s (`mark`) from the end of its
//! note, and no more than half of it. Litres in a breath: school 2, amateur 3, professional 4
//! (`litres-school`, …). Litres a second in the middle register at pp, mf, f, ff: trumpet and cornet 0.10,
//! 0.18, 0.27, 0.40; horn 0.10, 0.22, 0.35, 0.55; trombone and baritone 0.14, 0.35, 0.60, 0.90; euphonium
//! 0.14, 0.38, 0.65, 1.00; bass trombone 0.17, 0.45, 0.80, 1.20; tuba 0.15, 0.65, 1.20, 1.80; a third more
//! in the lowest fifth of the range, 0.6 of it in the highest. However little flows, a breath lasts no
//! longer than 12.5, 18.75, 25 s (`seconds-school`, …). Repeats, endings and road map are played out.
//!
//! A tongued line needs no marks: wherever a tongued note follows one of half a second or more, the player
//! may take a breath from the end of that note, and where this is enough nothing is said. Where slurs would
//! have to be broken for it, it is information: better mark where. Where even so the air runs out (one long
//! tone, quick notes without end) it is a warning, a strong one at twice a breath. A sound of more than 60 s
//! without a new attack is an error: 6 L, as much as anybody has, at 0.1 L/s. Parts of several seats are not
//! looked at, since their players breathe in turn.
//!
//! **Source.** Flow in wind playing of under 0.05 to over 1.6 L/s, nearly all the air used: Bouhuys, J. Appl.
//! Physiol. 19, 967-975, 1964. 0.1 to 1 L/s, tuba above it, a deep breath about 5 L: Wolfe, UNSW. Trumpet 10
//! to 30 L/min, tuba 7 to well over 120: Jacobs, c. 1960, in Frederiksen, Song and Wind, 1996. The numbers
//! between these are estimates.
//!
//! **Caution.** This is general and no medical advice; the player, and the player's teacher, decide.
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 60
//! Tb1 | w : mf F3 | = | = | h : - Eb3 |
//! //                    ^ warning no-breath: 12 s
//! ```
//!
//! ```brass
//! player Tb1 = trombone
//! bar 1  meter 4/4  tempo q = 60
//! Tb1 | w : mf F3 | =, | = | h : - Eb3 |
//! ```
//!
//! **Fixes.** A breath mark at a joint of the phrase; a rest; a softer dynamic; two players in turn.

use super::breathing::{Blower, Dotted, Joint, Over, Spell, Stretch};
use super::finding::{Cure, Severity};
use super::passage::{Carried, Passage, PassageFinding, Told};
use super::rule::{Check, Limit, Rule};
use super::short_breath;
use super::wording::{at_level, capital, counted};
use crate::brass::Level;
use crate::brass::body::Air;
use crate::brass::body::air::{
    CATCH_SECONDS, COMFORT_SECONDS, LONGEST_SECONDS, MARK_SECONDS, REFILL_LITRES_PER_SECOND, USABLE_LITRES,
};

/// Share of a breath from which the warning is a strong one (estimate).
const STRONG: f64 = 2.0;

/// Share of a breath by which two may differ and be one.
const SAME: f64 = 1e-6;

const fn limit(key: &'static str, default: f64, unit: &'static str) -> Limit {
    Limit { key, default, unit, source: "estimate" }
}

/// The rule.
pub const RULE: Rule = Rule {
    name: "no-breath",
    severity: Severity::Warning,
    source: include_str!("no_breath.rs"),
    limits: &[
        limit("litres-school", USABLE_LITRES[0], "L"),
        limit("litres-amateur", USABLE_LITRES[1], "L"),
        limit("litres-professional", USABLE_LITRES[2], "L"),
        limit("seconds-school", COMFORT_SECONDS[0], "s"),
        limit("seconds-amateur", COMFORT_SECONDS[1], "s"),
        limit("seconds-professional", COMFORT_SECONDS[2], "s"),
        limit("catch", CATCH_SECONDS, "s"),
        limit("refill", REFILL_LITRES_PER_SECOND, "L/s"),
        limit("mark", MARK_SECONDS, "s"),
    ],
    check: Check::Passage(check),
};

/// The air of a player of this level, with the limits in force.
pub(super) fn air(passage: &Passage<'_>) -> Air {
    let level = passage.level();
    let settings = passage.settings;
    let mut air = Air::at(level);
    if !settings.limits.is_empty() {
        let at_least = |key: &str, least: f64| RULE.limit(settings, key).max(least);
        air.usable_litres = at_least(&format!("litres-{}", level.word()), 0.1);
        air.comfort_seconds = at_least(&format!("seconds-{}", level.word()), 1.0);
        air.catch_seconds = at_least("catch", 0.0);
        air.refill_litres_per_second = at_least("refill", 0.1);
        air.mark_seconds = at_least("mark", 0.0);
        short_breath::set(&mut air, settings);
    }
    air
}

fn check(passage: &Passage<'_>, carried: &mut Carried, told: &mut Told<'_>) {
    if passage.player.seats > 1 {
        return;
    }
    let blower = Blower { passage, air: air(passage) };
    let mut teller = Teller { level: passage.level(), air: &blower.air, told };
    for sound in passage.sounds {
        carried.breathing.hear(&blower, sound, &mut teller);
    }
    if passage.ends {
        carried.breathing.finish(&mut teller);
    }
}

struct Teller<'a, 't> {
    level: Level,
    air: &'a Air,
    told: &'a mut Told<'t>,
}

impl Over for Teller<'_, '_> {
    fn stretch(&mut self, stretch: &Stretch) {
        self.told.out.extend(too_long(stretch, self.air, self.level));
    }

    fn spell(&mut self, spell: &Spell) {
        self.told.out.extend(short_breath::found(spell, self.air, self.level));
    }
}

/// How much it matters that the text leaves no room for breath, from the shares of a breath used by a player
/// who breathes by choice, and by one who breaks slurs too.
pub(super) fn severity(by_choice: f64, breaking: f64) -> Option<Severity> {
    match (by_choice > 1.0 + SAME, breaking > 1.0 + SAME) {
        (false, _) => None,
        (true, false) => Some(Severity::Information),
        (true, true) => Some(Severity::Warning),
    }
}

fn too_long(stretch: &Stretch, air: &Air, level: Level) -> Option<PassageFinding> {
    let (passed, lasted) = stretch.passed?;
    let severity = severity(stretch.by_choice, stretch.breaking)?;
    let severity = if stretch.unbroken_seconds > LONGEST_SECONDS { Severity::Error } else { severity };
    if severity == Severity::Information && stretch.tiny_seconds > 0.0 {
        return Some(short_breath::tiny(stretch, air, level));
    }
    let share = (stretch.litres / air.usable_litres, stretch.seconds / air.comfort_seconds);
    let who = at_level(level);
    let seconds = counted(stretch.seconds, air.most_seconds(), 0);
    let litres = counted(stretch.litres, air.most_litres(), 1);
    let takes = if share.0 >= share.1 {
        format!(
            "{litres} L of air, and {who} has about {} L (an estimate), used up after {lasted:.0} s",
            air.usable_litres
        )
    } else {
        format!(
            "longer than the {} s for which {who} goes without a breath in comfort (an estimate)",
            air.comfort_seconds
        )
    };
    let way_out = match severity {
        Severity::Error => format!(
            "nobody plays one sound for more than {LONGEST_SECONDS} s without a gap (6 L of air at 0.1 L/s). Break it, or let two players take turns."
        ),
        Severity::Information => "A slur has to be broken: mark where with `,`.".to_owned(),
        _ => "Breaths stolen from the ends of longer notes do not make up for it. Write a breath mark `,` or a rest, a softer dynamic, or let another player take over.".to_owned(),
    };
    let joint = stretch.joint;
    Some(PassageFinding {
        rule: RULE.name,
        severity,
        grade: if severity == Severity::Warning && stretch.breaking > STRONG { 2 } else { 1 },
        at: passed,
        from: stretch.first,
        to: stretch.last,
        lead: format!("{} s of playing without a place to breathe", capital(&seconds)),
        tail: if severity == Severity::Error {
            format!(": {way_out}")
        } else {
            format!(": {takes}. {way_out}")
        },
        badness: stretch.breaking + share.0.max(share.1),
        measured: Some(if share.0 >= share.1 { format!("{litres} L") } else { format!("{seconds} s") }),
        limit: Some(match severity {
            Severity::Error => format!("{LONGEST_SECONDS} s"),
            _ if share.0 >= share.1 => format!("{} L", air.usable_litres),
            _ => format!("{} s", air.comfort_seconds),
        }),
        related: std::iter::once((stretch.first, "here the breath begins".to_owned()))
            .chain(joint.map(|(spot, joint, _)| (spot, words(joint).to_owned())))
            .collect(),
        cures: cures(joint),
    })
}

/// What to say of the best place for a breath, which is the second related place.
pub(super) fn words(joint: Joint) -> &'static str {
    match joint {
        Joint::Rest => "a breath fits in this short rest, if the note before it ends sooner",
        Joint::PhraseEnd => "a breath fits here, where a phrase ends",
        Joint::Leap => "a breath fits here, before the leap",
        Joint::Barline => "a breath fits here, at the barline",
        Joint::Plain => "a breath fits here",
        Joint::InSlur => "a breath fits here best, though it breaks the slur",
    }
}

/// A breath mark there; or, where the note before it is dotted, a rest in the place of the dot.
pub(super) fn cures(joint: Option<(super::passage::Spot, Joint, Dotted)>) -> Vec<Cure> {
    let Some((_, joint, Dotted(dotted))) = joint else { return Vec::new() };
    let undot = (dotted && joint != Joint::InSlur).then_some(Cure::Undot { related: 1 });
    std::iter::once(Cure::Breathe { related: 1 }).chain(undot).collect()
}
