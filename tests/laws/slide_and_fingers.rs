//! Slides and fingers: numbers worked out another way, and slower is never worse.

use proptest::prelude::*;
use std::fmt::Write as _;
use waterkey::brass::plan::{Effort, Planner};
use waterkey::brass::{Instrument, Level, Way, catalogue};
use waterkey::music::Pitch;
use waterkey::rules::{Finding, Settings, Severity, check};
use waterkey::score::NoFiles;

const SLIDES: [&str; 4] = ["straight trombone", "trombone", "bass trombone", "alto trombone"];
const VALVES: [&str; 4] = ["trumpet in C", "euphonium", "F tuba", "horn in F"];

fn instrument(name: &str) -> Instrument {
    let (name, key) = name.split_once(" in ").map_or((name, None), |(name, key)| (name, Some(key)));
    let key = key.map(|key| Pitch::parse(&format!("{key}4")).unwrap());
    catalogue::find(name, key, None).unwrap().instrument
}

/// Notes in one value, eight to a bar, at this tempo.
fn score(name: &str, level: Level, notes: &[i32], tempo: u32) -> String {
    let mut text =
        format!("player P = {name}, level {}\nbar 1  meter 2/4  tempo q = {tempo}\nP |", level.word());
    for bar in notes.chunks(8) {
        text.push_str(" s :");
        bar.iter().for_each(|midi| write!(text, " {}", Pitch::plain(*midi, true)).unwrap());
        (bar.len()..8).for_each(|_| text.push_str(" -"));
        text.push_str(" |");
    }
    text.push('\n');
    text
}

fn found(text: &str, rule: &str) -> Vec<Finding> {
    let mut all = check(text, &Settings::default(), &NoFiles);
    assert!(!all.iter().any(|f| f.severity == Severity::Error && f.rule != "tube-gap"), "{text}\n{all:#?}");
    all.retain(|f| f.rule == rule);
    all
}

/// Late shifts that the findings tell.
fn late(findings: &[Finding]) -> u32 {
    let told = |f: &Finding| match f.message.split_once(" slide shift") {
        Some(("A", _)) => 1,
        Some((count, _)) => count.parse().unwrap(),
        None => 0,
    };
    findings.iter().map(told).sum()
}

/// Fewest shifts far too late, late and jumping, over all paths, with distances and times worked out afresh;
/// `None` where a shift is so close to a limit that rounding decides.
fn fewest(made: &Instrument, level: Level, notes: &[i32], seconds: f64) -> Option<(u32, u32, u32)> {
    let (start, per_cm) = [(0.090, 0.006), (0.060, 0.0042), (0.045, 0.0032)][level as usize];
    let planner = Planner::new(made, Effort::at(level));
    // A tube as long as half the wave of its fundamental; the slide is two tubes side by side.
    let open = 34_500.0 / (440.0 * 2f64.powf((f64::from(made.tube.fundamental) - 69.0) / 12.0)) / 2.0;
    let scale = made.tube.centimetres() / open;
    assert!((0.95..1.05).contains(&scale), "{scale}");
    let cm = |way: &Way| f64::from(way.slide) * made.tube.centimetres() / 2.0;
    let mut costs: Vec<(Way, (u32, u32, u32))> = planner.ways(notes[0]).map(|way| (way, (0, 0, 0))).collect();
    for midi in &notes[1..] {
        let mut next = Vec::new();
        for to in planner.ways(*midi) {
            let mut best: Option<(u32, u32, u32)> = None;
            for (from, (strong, late, jumps)) in &costs {
                let way = (cm(from) - cm(&to)).abs();
                let needs = if way < 3.0 { 0.0 } else { start + way * per_cm };
                let near = |limit: f64| (limit - seconds).abs() < 1e-4;
                if (way - 3.0).abs() < 0.02 || (way - 44.0).abs() < 0.02 || near(needs) || near(needs / 2.0) {
                    return None;
                }
                let is_strong = seconds < needs / 2.0;
                let is_late = seconds < needs && !is_strong;
                let jump = way > 44.0 && seconds < 0.7;
                let cost =
                    (strong + u32::from(is_strong), late + u32::from(is_late), jumps + u32::from(jump));
                best = Some(best.map_or(cost, |b| b.min(cost)));
            }
            next.push((to, best?));
        }
        costs = next;
    }
    costs.into_iter().map(|(_, cost)| cost).min()
}

fn any_notes() -> impl Strategy<Value = Vec<i32>> {
    prop::collection::vec(0i32..20, 2..24)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn as_few_shifts_are_late_as_any_path_has(
        which in 0usize..4, level in 0usize..3, steps in any_notes(), tempo in 40u32..260
    ) {
        let (made, level) = (instrument(SLIDES[which]), Level::ALL[level]);
        let notes: Vec<i32> = steps.iter().map(|s| made.lowest() + s).collect();
        prop_assume!(notes.iter().all(|midi| !made.ways(*midi).is_empty()));
        let wanted = fewest(&made, level, &notes, 15.0 / f64::from(tempo));
        prop_assume!(wanted.is_some());
        let (strong, few, jumps) = wanted.unwrap();
        let mut findings = found(&score(SLIDES[which], level, &notes, tempo), "slide-too-far");
        findings.retain(|f| !f.message.contains("a child's reach"));
        prop_assert_eq!(late(&findings), strong + few, "{:#?}", findings);
        prop_assert_eq!(findings.iter().any(|f| f.grade == 2), strong > 0, "{:#?}", findings);
        prop_assert_eq!(findings.is_empty(), strong + few + jumps == 0, "{:#?}", findings);
    }

    #[test]
    fn slower_is_never_worse(
        slides in any::<bool>(), which in 0usize..4, level in 0usize..3, steps in any_notes(),
        tempo in 40u32..200, slower in 1u32..30
    ) {
        let (name, rule) = if slides { (SLIDES[which], "slide-too-far") } else { (VALVES[which], "valve-tangle") };
        let (made, level) = (instrument(name), Level::ALL[level]);
        let notes: Vec<i32> = steps.iter().map(|s| made.lowest() + s).collect();
        let worst = |tempo: u32| {
            let text = score(name, level, &notes, tempo);
            found(&text, rule).iter().map(|f| (f.severity, f.grade)).max()
        };
        prop_assert!(worst(tempo.saturating_sub(slower).max(20)) <= worst(tempo));
    }

    /// A passage shorter than the window: every move counts, and no other path moves less with the same fingers.
    #[test]
    fn the_moves_of_the_fingers_are_added_up_afresh(which in 0usize..4, steps in prop::collection::vec(0i32..20, 2..9)) {
        let made = instrument(VALVES[which]);
        let notes: Vec<i32> = steps.iter().map(|s| made.lowest() + s).collect();
        let planner = Planner::new(&made, Effort::at(Level::School));
        let mut settings = Settings::default();
        settings.limits.insert(("valve-tangle".to_owned(), "school".to_owned()), 0.01);
        let text = score(VALVES[which], Level::School, &notes, 120);
        let findings = check(&text, &settings, &NoFiles);
        let told = findings.iter().find(|f| f.rule == "valve-tangle");
        let told: f64 = told.map_or(0.0, |f| f.measured.as_ref().unwrap().split(' ').next().unwrap().parse().unwrap());
        let weighed = |a: &Way, b: &Way| {
            let bits = |w: &Way| u32::from(w.how.digits) | u32::from(w.how.thumb) << 8;
            let (down, up) = (bits(b) & !bits(a), bits(a) & !bits(b));
            match (down.count_ones() + up.count_ones(), down != 0 && up != 0) {
                (1, _) if down | up == 0b100 => 1.5,
                (n, exchange) => f64::from(n) * if exchange { 2.0 } else { 1.0 },
            }
        };
        // Of all paths those that move fewest fingers: nobody moves fewer than these, and the usual ones move
        // at least as many as are told.
        let mut fewest: Vec<(Way, f64)> = planner.ways(notes[0]).map(|way| (way, 0.0)).collect();
        for midi in &notes[1..] {
            let next = planner.ways(*midi).map(|to| {
                let best = fewest.iter().map(|(from, sum)| sum + weighed(from, &to)).fold(f64::INFINITY, f64::min);
                (to, best)
            });
            fewest = next.collect();
        }
        let fewest = fewest.into_iter().map(|(_, sum)| sum).fold(f64::INFINITY, f64::min);
        let usual: Option<Vec<Way>> = notes.iter().map(|midi| made.note(*midi).usual).collect();
        prop_assume!(usual.is_some());
        let usual: f64 = usual.unwrap().windows(2).map(|w| weighed(&w[0], &w[1])).sum();
        prop_assert!(fewest <= told + 0.06 && told <= usual + 0.06, "{} {} {}", fewest, told, usual);
    }
}
