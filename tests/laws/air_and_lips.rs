//! The rules of air and lips, counted in another way: the whole line is played out, every sound gets its
//! seconds, and each number is worked out by looking back over all of it. Nothing is carried from visit to visit.

use proptest::prelude::*;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use waterkey::brass::{Level, Limits};
use waterkey::music::Pitch;
use waterkey::rules::stamina::at_note;
use waterkey::rules::{Desk, Finding, Settings, Severity, check};
use waterkey::score::NoFiles;
use waterkey::score::event::EventKind;

/// Instruments, with litres a second at pp, mf, f, ff and seconds without a rest, as the pages of the rules
/// give them.
const PLAYED: [(&str, [f64; 4], [f64; 3]); 6] = [
    ("trumpet in Bb", [0.10, 0.18, 0.27, 0.40], [20.0, 40.0, 90.0]),
    ("horn in F", [0.10, 0.22, 0.35, 0.55], [25.0, 45.0, 100.0]),
    ("trombone", [0.14, 0.35, 0.60, 0.90], [30.0, 60.0, 120.0]),
    ("bass trombone", [0.17, 0.45, 0.80, 1.20], [30.0, 60.0, 120.0]),
    ("euphonium", [0.14, 0.38, 0.65, 1.00], [30.0, 60.0, 120.0]),
    ("Eb tuba", [0.15, 0.65, 1.20, 1.80], [40.0, 75.0, 150.0]),
];
const LITRES: [f64; 3] = [2.0, 3.0, 4.0];
const COMFORT: [f64; 3] = [12.5, 18.75, 25.0];
const CATCH: f64 = 0.25;
const SAME: f64 = 1e-6;

/// One quarter's place of a bar.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Does {
    /// Semitones below the usual top.
    Note(i32),
    Hold,
    Rest,
}

#[derive(Debug, Clone, Copy)]
struct Entry {
    does: Does,
    dynamic: Option<&'static str>,
    slur: bool,
    breath: bool,
    staccato: bool,
    fermata: bool,
    /// `,,`
    pause: bool,
}

#[derive(Debug, Clone)]
struct Block {
    tempo: u32,
    /// From the third quarter of the first bar on.
    then: u32,
    twice: bool,
    /// Silent bars before it.
    gap: u32,
    bars: Vec<[Entry; 4]>,
}

#[derive(Debug, Clone)]
struct Piece {
    which: usize,
    level: usize,
    blocks: Vec<Block>,
}

fn any_entry() -> impl Strategy<Value = Entry> {
    let does = prop_oneof![
        8 => (-2i32..30).prop_map(Does::Note),
        3 => (-2i32..6).prop_map(Does::Note),
        5 => Just(Does::Hold),
        1 => Just(Does::Rest),
    ];
    let dynamic = prop_oneof![
        12 => Just(None),
        1 => prop::sample::select(vec!["pp", "p", "mf", "f", "ff", "fff"]).prop_map(Some),
    ];
    let rare = || prop::bool::weighted(0.06);
    (does, dynamic, prop::bool::weighted(0.3), (rare(), rare(), rare(), rare())).prop_map(
        |(does, dynamic, slur, (breath, staccato, fermata, pause))| Entry {
            does,
            dynamic,
            slur,
            breath,
            staccato,
            fermata,
            pause,
        },
    )
}

fn any_piece() -> impl Strategy<Value = Piece> {
    let bars = prop::collection::vec([any_entry(), any_entry(), any_entry(), any_entry()], 1..9);
    let tempo = || prop_oneof![20u32..70, 60u32..300];
    let gap = prop_oneof![6 => Just(0u32), 1 => 1u32..4];
    let block = (tempo(), tempo(), prop::bool::weighted(0.3), gap, bars)
        .prop_map(|(tempo, then, twice, gap, bars)| Block { tempo, then, twice, gap, bars });
    let drone = prop::bool::weighted(0.1);
    (0usize..PLAYED.len(), 0usize..3, prop::collection::vec(block, 1..7), drone).prop_map(
        |(which, level, mut blocks, drone)| {
            if drone {
                // Few notes, each long.
                for (i, entry) in blocks.iter_mut().flat_map(|b| b.bars.iter_mut().flatten()).enumerate() {
                    *entry = Entry { breath: false, pause: false, staccato: false, ..*entry };
                    entry.does = if i % 17 == 0 { entry.does } else { Does::Hold };
                }
            }
            sensible(Piece { which, level, blocks })
        },
    )
}

/// Without what no part says: a hold of nothing, a slur into a rest, two ways of letting go of one note.
fn sensible(mut piece: Piece) -> Piece {
    let mut before: Option<Does> = None;
    let last = piece.blocks.len() - 1;
    for b in 0..=last {
        let (twice, gap) = (piece.blocks[b].twice, piece.blocks[b].gap);
        let after_repeat = b > 0 && piece.blocks[b - 1].twice;
        if b == 0 {
            piece.blocks[b].gap = 0;
        } else if gap > 0 {
            before = None;
        }
        let next_gap = piece.blocks.get(b + 1).map_or(1, |next| next.gap);
        let places = 4 * piece.blocks[b].bars.len();
        for i in 0..places {
            let entry = &mut piece.blocks[b].bars[i / 4][i % 4];
            if entry.does == Does::Hold {
                match before {
                    // A repeat may come here from elsewhere, and what ends it may be let go of.
                    _ if i == 0 && (twice || after_repeat) => entry.does = Does::Rest,
                    None | Some(Does::Rest) => entry.does = Does::Rest,
                    _ => {}
                }
            }
            before = Some(entry.does);
        }
        let after = |i: usize, piece: &Piece| {
            let block = &piece.blocks[b];
            if i + 1 < places {
                Some(block.bars[(i + 1) / 4][(i + 1) % 4].does)
            } else if next_gap > 0 || block.twice {
                None
            } else {
                piece.blocks.get(b + 1).map(|next| next.bars[0][0].does)
            }
        };
        for i in 0..places {
            let next = after(i, &piece);
            let entry = &mut piece.blocks[b].bars[i / 4][i % 4];
            let note = matches!(entry.does, Does::Note(_));
            let goes_on = next == Some(Does::Hold);
            entry.dynamic = entry.dynamic.filter(|_| note);
            entry.pause &= !goes_on && entry.does != Does::Rest;
            entry.breath &= !goes_on && entry.does != Does::Rest && !entry.pause;
            entry.slur &= note && !entry.breath && !entry.pause && !matches!(next, None | Some(Does::Rest));
            entry.staccato &= note && !goes_on && !entry.slur && !entry.breath && !entry.pause;
            // Where both fall together the longer counts.
            entry.fermata &= entry.does != Does::Rest && !entry.pause;
        }
    }
    // A slur on a held note is ended by what its hold does.
    for block in &mut piece.blocks {
        let all: Vec<Entry> = block.bars.iter().flatten().copied().collect();
        for (i, entry) in block.bars.iter_mut().flatten().enumerate() {
            let held = all[i + 1..].iter().take_while(|e| e.does == Does::Hold);
            let chain: Vec<&Entry> = held.collect();
            let then = all.get(i + 1 + chain.len());
            let ends = chain.iter().any(|e| e.breath || e.pause)
                || !matches!(then.map(|e| e.does), Some(Does::Note(_)));
            entry.slur &= chain.is_empty() || !ends;
        }
    }
    piece
}

impl Piece {
    fn level(&self) -> Level {
        Level::ALL[self.level]
    }

    fn head(&self) -> String {
        format!("player P = {}, level {}\n", PLAYED[self.which].0, self.level().word())
    }

    fn limits(&self) -> Limits {
        let desk = Desk::new(&self.head(), Settings::default(), &NoFiles);
        desk.score().head.players[0].instruments[0].limits
    }

    /// The score, and by block and place where the entry stands: line and byte.
    fn text(&self, limits: &Limits) -> (String, Vec<Vec<(u32, u32)>>) {
        let mut text = self.head();
        let (mut bar, mut places) = (1, Vec::new());
        for block in &self.blocks {
            bar += block.gap;
            let twice = if block.twice { "  repeat 2" } else { "" };
            writeln!(text, "bar {bar}  tempo q = {}{twice}", block.tempo).unwrap();
            text += "rhythm |";
            for i in 0..block.bars.len() {
                text += &if i == 0 {
                    format!(" q*2 [tempo q = {}] q*2 |", block.then)
                } else {
                    " q*4 |".to_owned()
                };
            }
            text += "\nP |";
            let line = text.matches('\n').count() as u32;
            let mut here = Vec::new();
            for entry in block.bars.iter().flatten().enumerate() {
                let (i, entry) = entry;
                text += if i % 4 == 0 && i > 0 { " | " } else { " " };
                if let Some(dynamic) = entry.dynamic {
                    text += dynamic;
                    text.push(' ');
                }
                here.push((line, (text.len() - text.rfind('\n').unwrap() - 1) as u32));
                text += &match entry.does {
                    Does::Note(below) => Pitch::plain(limits.usual - below, true).to_string(),
                    Does::Hold => "=".to_owned(),
                    Does::Rest => "-".to_owned(),
                };
                for (mark, set) in [("_", entry.slur), (".", entry.staccato), (":fermata", entry.fermata)] {
                    text += if set { mark } else { "" };
                }
                text += if entry.pause { ",," } else { "" };
                text += if entry.breath { "," } else { "" };
            }
            text += " |\n";
            places.push(here);
            bar += block.bars.len() as u32;
        }
        (text, places)
    }

    /// Played out.
    fn tones(&self, limits: &Limits, places: &[Vec<(u32, u32)>]) -> Vec<Tone> {
        let mut all: Vec<Tone> = Vec::new();
        let (mut now, mut speed) = (0.0, f64::from(self.blocks[0].tempo));
        let mut written: Option<&str> = None;
        let (mut midi, mut slur) = (0, false);
        for (b, block) in self.blocks.iter().enumerate() {
            let entered = written;
            if block.gap > 0 {
                now += f64::from(4 * block.gap) * 60.0 / speed;
                slur = false;
            }
            for _ in 0..if block.twice { 2 } else { 1 } {
                written = entered;
                let begins = all.len();
                for (i, entry) in block.bars.iter().flatten().enumerate() {
                    speed = f64::from(if i < 2 { block.tempo } else { block.then });
                    written = entry.dynamic.or(written);
                    let seconds = 60.0 / speed + if entry.fermata { 1.0 } else { 0.0 };
                    let at = places[b][i];
                    match entry.does {
                        Does::Rest => slur = false,
                        Does::Hold if all.len() > begins => {
                            let tone = all.last_mut().unwrap();
                            (tone.seconds, tone.last, tone.pieces) =
                                (tone.seconds + seconds, at, tone.pieces + 1);
                            tone.breath = entry.breath;
                        }
                        does => {
                            let new = matches!(does, Does::Note(_));
                            if let Does::Note(below) = does {
                                midi = limits.usual - below;
                            }
                            all.push(Tone {
                                onset: now,
                                seconds,
                                midi,
                                new,
                                slurred: new && slur,
                                staccato: entry.staccato,
                                breath: entry.breath,
                                pieces: 1,
                                loudness: loudness(written),
                                first: at,
                                last: at,
                                flow: 0.0,
                            });
                            slur = if new { entry.slur } else { slur };
                        }
                    }
                    now += seconds + if entry.pause { 0.5 } else { 0.0 };
                }
            }
        }
        let flows = PLAYED[self.which].1;
        for tone in &mut all {
            let [pp, mf, f, ff] = flows;
            let middle = [pp, (pp * mf).sqrt(), mf, f, ff, 1.1 * ff][tone.loudness];
            let span = f64::from(limits.usual - limits.low);
            let height = f64::from(tone.midi - limits.low);
            let share = match height {
                h if 5.0 * h < span => 1.3,
                h if 5.0 * (span - h) < span => 0.6,
                _ => 1.0,
            };
            tone.flow = middle * share;
        }
        all
    }
}

/// 0 pp to 5 fff.
fn loudness(dynamic: Option<&str>) -> usize {
    ["pp", "p", "mf", "f", "ff", "fff"].iter().position(|d| *d == dynamic.unwrap_or("mf")).unwrap()
}

/// A note with its holds in one coming round of a block, or a hold that goes on from the one before.
#[derive(Debug, Clone, Copy)]
struct Tone {
    onset: f64,
    seconds: f64,
    midi: i32,
    /// A note, and not the rest of one.
    new: bool,
    slurred: bool,
    staccato: bool,
    breath: bool,
    pieces: u32,
    loudness: usize,
    first: (u32, u32),
    last: (u32, u32),
    flow: f64,
}

impl Tone {
    /// What it gives up of its end.
    fn let_go(&self) -> f64 {
        let mark = if self.breath { (self.seconds / 2.0).min(0.6) } else { 0.0 };
        if self.staccato && self.pieces == 1 { mark.max(self.seconds / 2.0) } else { mark }
    }

    fn end(&self) -> f64 {
        self.onset + self.seconds
    }

    fn blown(&self) -> f64 {
        self.seconds - self.let_go()
    }
}

/// What a rule should find.
#[derive(Debug, Clone)]
struct Wanted {
    rule: &'static str,
    at: (u32, u32),
    severity: Severity,
    grade: u8,
    badness: f64,
    measured: f64,
}

/// Everything that should be found, and whether a number is so near to a limit that rounding decides.
struct Found {
    all: Vec<Wanted>,
    near: bool,
}

impl Found {
    /// True if a value is over a limit.
    fn over(&mut self, value: f64, limit: f64) -> bool {
        self.near |= (value - limit).abs() < 1e-4 && (value - limit).abs() > 1e-9;
        value > limit + SAME
    }

    fn push(&mut self, rule: &'static str, tone: (u32, u32), grade: u8, badness: f64, measured: f64) {
        self.add(Wanted { rule, at: tone, severity: Severity::Warning, grade, badness, measured });
    }

    /// Of the same place in several rounds, the worst.
    fn add(&mut self, wanted: Wanted) {
        let same = self.all.iter_mut().find(|w| (w.rule, w.at) == (wanted.rule, wanted.at));
        match same {
            Some(told) => {
                let how_bad = |w: &Wanted| (w.severity, w.grade);
                if how_bad(told) == how_bad(&wanted) {
                    self.near |= (told.badness - wanted.badness).abs() < 1e-6
                        && (told.measured - wanted.measured).abs() > 1e-6;
                }
                if how_bad(told) < how_bad(&wanted)
                    || how_bad(told) == how_bad(&wanted) && told.badness < wanted.badness
                {
                    *told = wanted;
                }
            }
            None => self.all.push(wanted),
        }
    }
}

/// Stretches of tones between silences in which the mouthpiece leaves the lips.
fn stretches(found: &mut Found, tones: &[Tone]) -> Vec<std::ops::Range<usize>> {
    let mut all = Vec::new();
    let mut first = 0;
    for i in 1..=tones.len() {
        if i == tones.len() || silence(tones, i) > 2.0 - SAME {
            all.push(first..i);
            first = i;
        }
        found.near |= i < tones.len() && (1e-9..1e-4).contains(&(silence(tones, i) - 2.0).abs());
    }
    all
}

/// Silence before a tone.
fn silence(tones: &[Tone], i: usize) -> f64 {
    let seconds = if i == 0 { 0.0 } else { tones[i].onset - tones[i - 1].end() };
    // What is left of adding up.
    if seconds < 1e-7 { 0.0 } else { seconds }
}

fn weight(limits: &Limits, tone: &Tone) -> f64 {
    (if tone.midi > limits.comfortable { 1.0 / 0.6 } else { 1.0 })
        * (if tone.loudness >= 3 { 1.0 / 0.75 } else { 1.0 })
}

/// Last tone and seconds of a stretch that was too long, by the tone before which it is over.
type TooLong = BTreeMap<usize, f64>;

fn no_rest(found: &mut Found, piece: &Piece, limits: &Limits, tones: &[Tone]) -> TooLong {
    let limit = PLAYED[piece.which].2[piece.level];
    let mut too_long = TooLong::new();
    for stretch in stretches(found, tones) {
        let load = |to: usize| -> f64 {
            tones[stretch.start..=to].iter().map(|t| t.seconds * weight(limits, t) / limit).sum()
        };
        let Some(passed) = stretch.clone().find(|i| found.over(load(*i), 1.0)) else { continue };
        let share = load(stretch.end - 1);
        let played: f64 = tones[stretch.clone()].iter().map(|t| t.seconds).sum();
        found.near |= (share - 2.0).abs() < 1e-6;
        found.push("no-rest", tones[passed].first, if share > 2.0 { 2 } else { 1 }, share, played);
        too_long.insert(stretch.end, played);
    }
    too_long
}

fn heavy_load(found: &mut Found, piece: &Piece, tones: &[Tone]) {
    let limit = [0.6, 0.7, 0.8][piece.level] + if piece.which < 2 { 0.0 } else { 0.1 };
    let all = stretches(found, tones);
    let share = |upto: usize| -> f64 {
        let now = tones[all[upto].end - 1].end();
        let part = |stretch: &std::ops::Range<usize>| {
            let (from, to) = (tones[stretch.start].onset, tones[stretch.end - 1].end());
            let sounding: f64 = tones[stretch.clone()].iter().map(|t| t.seconds).sum();
            let inside = (to - from.max(now - 300.0)).max(0.0);
            sounding * inside / (to - from)
        };
        all[..=upto].iter().map(part).sum::<f64>() / 300.0
    };
    let mut run: Option<(usize, f64)> = None;
    for upto in 0..=all.len() {
        let now = if upto < all.len() { share(upto) } else { 0.0 };
        if found.over(now, limit) {
            let (first, most) = run.unwrap_or((upto, now));
            run = Some((first, most.max(now)));
        } else if let Some((first, most)) = run.take() {
            let at = tones[all[first].end - 1].first;
            found.push("heavy-load", at, 1, most / limit, 100.0 * most);
        }
    }
}

/// Seconds that a tone lies in the last so many before a moment.
fn within(tone: &Tone, now: f64, last: f64) -> f64 {
    (tone.end().min(now) - tone.onset.max(now - last)).max(0.0)
}

/// By tone: seconds up high, where these are too many.
fn long_high(
    found: &mut Found,
    piece: &Piece,
    limits: &Limits,
    mark: i32,
    tones: &[Tone],
) -> Vec<Option<f64>> {
    let most = [8.0, 15.0, 30.0][piece.level];
    let top = limits.comfortable;
    let counted = |now: f64, upto: usize, last: f64, over: i32| -> f64 {
        tones[..=upto].iter().filter(|t| t.midi > over).map(|t| within(t, now, last)).sum()
    };
    let mut high_at = vec![None; tones.len()];
    // First tone, worst: used, measured, by the share.
    let mut run: Option<(usize, f64, f64, bool)> = None;
    let tell = |found: &mut Found, run: &mut Option<(usize, f64, f64, bool)>| {
        if let Some((first, used, measured, by_share)) = run.take() {
            found.near |= (used - 2.0).abs() < 1e-6;
            let measured = if by_share { 100.0 * measured } else { measured };
            found.push("long-high", tones[first].first, if used > 2.0 { 2 } else { 1 }, used, measured);
        }
    };
    for (i, tone) in tones.iter().enumerate() {
        let lowest = mark.min(top);
        // A minute in which nothing was high ends it.
        if i > 0 && silence(tones, i) > 0.0 && counted(tone.onset, i - 1, 60.0, lowest) <= 0.0 {
            tell(found, &mut run);
        }
        if tone.midi <= lowest {
            if counted(tone.end(), i, 60.0, lowest) <= 0.0 {
                tell(found, &mut run);
            }
            continue;
        }
        let high = counted(tone.end(), i, 60.0, mark);
        let share = counted(tone.end(), i, 30.0, top) / 30.0;
        let (by_time, by_share) = (high / most, share / 0.2);
        let (long, often) = (found.over(by_time, 1.0), top > mark && found.over(by_share, 1.0));
        high_at[i] = Some(high).filter(|_| long);
        if !long && !often {
            tell(found, &mut run);
            continue;
        }
        let often = often && by_share > by_time;
        found.near |= top > mark && (by_share - by_time).abs() < 1e-6;
        let (used, measured) = if often { (by_share, share) } else { (by_time, high) };
        let first = run.map_or(i, |run| run.0);
        if let Some((_, worst, _, was_share)) = run {
            found.near |= (used - worst).abs() < 1e-6 && often != was_share;
        }
        if run.is_none_or(|(_, worst, ..)| used > worst) {
            run = Some((first, used, measured, often));
        }
    }
    tell(found, &mut run);
    high_at
}

fn no_recovery(
    found: &mut Found,
    piece: &Piece,
    mark: i32,
    tones: &[Tone],
    (too_long, high): (&TooLong, &[Option<f64>]),
) {
    let share = [1.0, 1.0, 0.5][piece.level];
    // Owed, rested, and whether the mouthpiece has left the lips since.
    let mut debt: Option<(f64, f64, bool)> = None;
    let owe = |debt: &mut Option<(f64, f64, bool)>, strain: f64, near: &mut bool| {
        let open = debt.map_or(f64::NEG_INFINITY, |(owed, rested, _)| owed - rested);
        *near |= (1e-9..1e-4).contains(&(open - share * strain).abs());
        if open <= share * strain + SAME {
            *debt = Some((share * strain, 0.0, false));
        }
    };
    for (i, tone) in tones.iter().enumerate() {
        if let Some(seconds) = too_long.get(&i) {
            owe(&mut debt, *seconds, &mut found.near);
        }
        let rest = silence(tones, i);
        found.near |= (1e-9..1e-4).contains(&(rest - 4.0).abs());
        if let Some((owed, rested, resting)) = &mut debt {
            *resting |= rest > 2.0 - SAME;
            *rested += if rest > 4.0 - SAME { rest } else { 0.0 };
            found.near |= (1e-9..1e-4).contains(&(*owed - *rested).abs());
            if *rested > *owed - SAME {
                debt = None;
            } else if *resting && tone.new && high[i].is_none() && (tone.midi > mark || tone.loudness == 0) {
                let (owed, rested) = (*owed, *rested);
                found.push("no-recovery", tone.first, 1, owed - rested, rested);
                debt = None;
            }
        }
        if let Some(seconds) = high[i] {
            owe(&mut debt, seconds, &mut found.near);
        }
    }
}

/// Litres used and seconds since a breath.
#[derive(Debug, Clone, Copy, Default)]
struct Lungs {
    used: f64,
    since: f64,
}

impl Lungs {
    fn breathe(&mut self, seconds: f64, litres: f64) {
        self.used = self.used.min(litres);
        if seconds >= CATCH {
            *self = Lungs { used: (self.used - 3.0 * seconds).max(0.0), since: 0.0 };
        }
    }

    fn blow(&mut self, tone: &Tone) {
        self.used += tone.flow * tone.blown();
        self.since += tone.blown();
    }

    fn share(&self, level: usize) -> f64 {
        (self.used / LITRES[level]).max(self.since / COMFORT[level])
    }
}

/// How the air stands before and after each tone: as the text has it, with breaths by choice, with slurs broken.
#[derive(Debug, Clone, Copy)]
struct Air {
    /// Before the tone and after the breath before it.
    before: [Lungs; 3],
    after: [Lungs; 3],
    /// The gap before it.
    gap: f64,
    /// Seconds since stale air went out.
    stale: f64,
    /// The lungs are full and fresh before it.
    full: bool,
}

fn air(found: &mut Found, piece: &Piece, tones: &[Tone]) -> Vec<Air> {
    let litres = LITRES[piece.level];
    let mut all: Vec<Air> = Vec::new();
    let mut lungs = [Lungs::default(); 3];
    let (mut stale, mut through) = (0.0, 0.0);
    for (i, tone) in tones.iter().enumerate() {
        let gap = if i == 0 { 99.0 } else { silence(tones, i) + tones[i - 1].let_go() };
        found.near |=
            (1e-9..1e-4).contains(&(gap - CATCH).abs()) || (1e-9..1e-4).contains(&(gap - 0.5).abs());
        // The note before, with what was held before this coming round: what its end can give.
        let begun = (0..i).rev().find(|j| tones[*j].new || all[*j].gap >= CATCH).unwrap_or(0);
        let long: f64 = tones[begun..i].iter().map(|t| t.seconds).sum();
        found.near |= (1e-9..1e-4).contains(&(long - 2.0 * CATCH).abs());
        let gives = if long >= 2.0 * CATCH - SAME { (long / 2.0).min(0.6) } else { 0.0 };
        let full;
        if gap > 0.0 {
            let more = if i == 0 { 0.0 } else { (gives - tones[i - 1].let_go()).max(0.0) };
            lungs[0].breathe(gap, litres);
            lungs[1].breathe(gap + more, litres);
            lungs[2].breathe((gap + more).max(CATCH), litres);
            (stale, through) = if gap >= 0.5 { (0.0, 0.0) } else { (stale + gap, through) };
            full = gap >= CATCH && lungs[0].used <= 0.0 && stale <= 0.0;
        } else {
            full = false;
            if tone.new && gives > 0.0 {
                lungs[2].breathe(gives, litres);
                if !tone.slurred {
                    lungs[1].breathe(gives, litres);
                }
            }
        }
        let before = lungs;
        lungs.iter_mut().for_each(|l| l.blow(tone));
        stale += tone.blown();
        through += tone.flow * tone.blown();
        if through >= litres {
            (stale, through) = (0.0, 0.0);
        }
        all.push(Air { before, after: lungs, gap, stale, full });
    }
    all
}

/// From the shares used by choice and with slurs broken.
fn severity(found: &mut Found, choice: f64, breaking: f64) -> Option<Severity> {
    match (found.over(choice, 1.0), found.over(breaking, 1.0)) {
        (false, _) => None,
        (true, false) => Some(Severity::Information),
        (true, true) => Some(Severity::Warning),
    }
}

fn breath(found: &mut Found, piece: &Piece, tones: &[Tone]) {
    let (level, litres, comfort) = (piece.level, LITRES[piece.level], COMFORT[piece.level]);
    let all = air(found, piece, tones);
    let parts = |cut: &dyn Fn(&Air) -> bool, within: std::ops::Range<usize>| {
        let cuts: Vec<usize> = within.clone().filter(|i| *i == within.start || cut(&all[*i])).collect();
        let ends = cuts.iter().skip(1).copied().chain([within.end]);
        cuts.iter().copied().zip(ends).map(|(a, b)| a..b).collect::<Vec<_>>()
    };
    for spell in parts(&|air| air.full, 0..tones.len()) {
        let (mut choice, mut breaking, mut missing) = (0.0f64, 0.0f64, 0.0f64);
        let (mut ran_out, mut too_long) = (None, false);
        for stretch in parts(&|air| air.gap >= CATCH, spell.clone()) {
            // Of rounds of a repeat the worst is told, in which only breath beyond a whole one counts.
            let most = |which: usize| -> f64 {
                let share =
                    all[stretch.clone()].iter().map(|a| a.after[which].share(level)).fold(0.0, f64::max);
                if share > 1.0 { share } else { 0.0 }
            };
            let used = |upto: usize| -> (f64, f64) {
                let part = &tones[stretch.start..=upto];
                (part.iter().map(|t| t.flow * t.blown()).sum(), part.iter().map(Tone::blown).sum())
            };
            let passed = stretch.clone().find(|i| {
                let (blown, seconds) = used(*i);
                found.over(blown, litres) || found.over(seconds, comfort)
            });
            if let Some(passed) = passed {
                too_long = true;
                let at = tones[passed].last;
                let (by_choice, by_breaking) = (most(1), most(2));
                let Some(severity) = severity(found, by_choice, by_breaking) else { continue };
                let (blown, seconds) = used(stretch.end - 1);
                // The longest sound with no new attack.
                let (mut sound, mut longest) = (0.0, 0.0f64);
                for tone in &tones[stretch.clone()] {
                    sound = if tone.new && !tone.slurred { tone.blown() } else { sound + tone.blown() };
                    longest = longest.max(sound);
                }
                let severity = if found.over(longest, 60.0) { Severity::Error } else { severity };
                let tiny = stretch.clone().skip(1).map(|i| all[i].gap).fold(0.0, f64::max);
                if severity == Severity::Information && tiny > 0.0 {
                    found.add(Wanted {
                        rule: "short-breath",
                        at,
                        severity,
                        grade: 1,
                        badness: by_breaking,
                        measured: tiny,
                    });
                    continue;
                }
                let (by_air, by_time) = (blown / litres, seconds / comfort);
                found.near |= (by_air - by_time).abs() < 1e-6 || (by_breaking - 2.0).abs() < 1e-6;
                found.add(Wanted {
                    rule: "no-breath",
                    at,
                    severity,
                    grade: if severity == Severity::Warning && by_breaking > 2.0 { 2 } else { 1 },
                    badness: by_breaking + by_air.max(by_time),
                    measured: if by_air >= by_time { blown } else { seconds },
                });
                continue;
            }
            choice = choice.max(most(1));
            breaking = breaking.max(most(2));
            for i in stretch.clone() {
                let short = all[i].after[0].used - litres;
                found.near |= (1e-9..1e-4).contains(&short.abs());
                if short > SAME {
                    missing = missing.max(short);
                    ran_out = ran_out.or(Some(tones[i].last));
                }
            }
        }
        let stale = spell.clone().find(|i| found.over(all[*i].stale, 40.0)).map(|i| tones[i].last);
        let most_stale = all[spell.clone()].iter().map(|a| a.stale).fold(0.0, f64::max);
        if let Some(at) = ran_out {
            let Some(severity) = severity(found, choice, breaking) else { continue };
            found.near |= (breaking - 2.0).abs() < 1e-6;
            let grade = if severity == Severity::Warning && breaking > 2.0 { 2 } else { 1 };
            found.add(Wanted {
                rule: "short-breath",
                at,
                severity,
                grade,
                badness: breaking,
                measured: missing,
            });
        } else if let Some(at) = stale.filter(|_| !too_long) {
            let severity = Severity::Information;
            found.add(Wanted {
                rule: "short-breath",
                at,
                severity,
                grade: 1,
                badness: breaking,
                measured: most_stale,
            });
        }
    }
}

fn wanted(piece: &Piece) -> (String, Found) {
    let limits = piece.limits();
    let (text, places) = piece.text(&limits);
    let tones = piece.tones(&limits, &places);
    let mut found = Found { all: Vec::new(), near: false };
    if tones.is_empty() {
        return (text, found);
    }
    let made = waterkey::rules::Desk::new(&piece.head(), Settings::default(), &NoFiles);
    let instrument = &made.score().head.players[0].instruments[0].instrument;
    let mark = waterkey::brass::body::lips::high_mark(instrument, piece.level());
    let too_long = no_rest(&mut found, piece, &limits, &tones);
    heavy_load(&mut found, piece, &tones);
    let high = long_high(&mut found, piece, &limits, mark, &tones);
    no_recovery(&mut found, piece, mark, &tones, (&too_long, &high));
    breath(&mut found, piece, &tones);
    (text, found)
}

const RULES: [&str; 6] = ["no-rest", "heavy-load", "long-high", "no-recovery", "no-breath", "short-breath"];

/// Breaths up to which air is counted, and limits up to which playing is.
const COUNTED_BREATHS: f64 = 20.0;
const COUNTED_LIMITS: f64 = 10.0;

/// Rule, place, severity, grade, and the least and the most that is meant by what is measured.
type Told<'f> = ((&'f str, (u32, u32)), Severity, u8, f64, f64);

fn told(findings: &[Finding]) -> Vec<Told<'_>> {
    let ours = findings.iter().filter(|f| RULES.contains(&f.rule));
    let mut all: Vec<_> = ours
        .map(|f| {
            let text = f.measured.as_ref().unwrap();
            let beyond = text.strip_prefix("more than ");
            let number = beyond.unwrap_or(text).split(' ').next().unwrap();
            // What is told is rounded to its last digit.
            let half = 0.5 * 0.1f64.powi(number.split_once('.').map_or(0, |(_, digits)| digits.len() as i32));
            let value: f64 = number.parse().unwrap();
            let most = if beyond.is_some() { f64::INFINITY } else { value + half };
            ((f.rule, (f.line, f.span.start)), f.severity, f.grade, value - half, most)
        })
        .collect();
    all.sort_by(|a, b| a.0.cmp(&b.0));
    all
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 500, ..ProptestConfig::default() })]

    #[test]
    fn every_number_is_what_a_slow_count_gives(piece in any_piece()) {
        let (text, mut found) = wanted(&piece);
        prop_assume!(!found.near);
        let findings = check(&text, &Settings::default(), &NoFiles);
        let reading = findings.iter().find(|f| f.severity == Severity::Error && f.limit.is_none() && f.measured.is_none());
        prop_assert!(reading.is_none_or(|f| f.rule == "tube-gap" || f.rule == "too-low"), "{}\n{:?}", text, reading);
        let told = told(&findings);
        found.all.sort_by(|a, b| (a.rule, a.at).cmp(&(b.rule, b.at)));
        let same = told.len() == found.all.len()
            && told.iter().zip(&found.all).all(|((what, severity, grade, least, most), wanted)| {
                *what == (wanted.rule, wanted.at)
                    && (*severity, *grade) == (wanted.severity, wanted.grade)
                    && *least - 1e-6 <= wanted.measured
                    && wanted.measured <= *most + 1e-6
            });
        prop_assert!(same, "{}\ntold {:#?}\nwanted {:#?}", text, told, found.all);
    }
}

impl Piece {
    /// With a bar's rest at some barline, as long as four quarters at this tempo; `None` if a note is held over
    /// every one of them, or slurred.
    fn rested(&self, at: prop::sample::Index, tempo: u32) -> Option<Piece> {
        let mut places = Vec::new();
        for (b, block) in self.blocks.iter().enumerate() {
            for bar in 0..=block.bars.len() {
                let inside = bar > 0 && bar < block.bars.len();
                let before = if bar > 0 { Some(&block.bars[bar - 1][3]) } else { None };
                let after = block.bars.get(bar).map(|bar| bar[0]);
                let after = after.or_else(|| self.blocks.get(b + 1).map(|next| next.bars[0][0]));
                let held = after.is_some_and(|entry| entry.does == Does::Hold);
                let slurs = before.is_some_and(|entry| entry.slur || entry.does == Does::Hold);
                if !(held || slurs || inside && block.twice || bar == 0) {
                    places.push((b, bar));
                }
            }
        }
        let (b, bar) = *places.get(at.index(places.len().max(1)))?;
        let nothing = Entry {
            does: Does::Rest,
            dynamic: None,
            slur: false,
            breath: false,
            staccato: false,
            fermata: false,
            pause: false,
        };
        let rest = Block { tempo, then: tempo, twice: false, gap: 0, bars: vec![[nothing; 4]] };
        let mut piece = self.clone();
        let after = piece.blocks[b].bars.split_off(bar);
        let then = piece.blocks[b].then;
        let mut more = vec![rest];
        if !after.is_empty() {
            more.push(Block { tempo: then, then, twice: false, gap: 0, bars: after });
        }
        // Silent bars after it keep the time they have.
        if let Some(next) = piece.blocks.get(b + 1).filter(|next| more.len() == 1 && next.gap > 0) {
            let bars = vec![[nothing; 4]; next.gap as usize];
            more.push(Block { tempo: then, then, twice: false, gap: 0, bars });
            piece.blocks[b + 1].gap = 0;
        }
        piece.blocks.splice(b + 1..b + 1, more);
        Some(piece)
    }

    fn worst(&self) -> Option<(Severity, u8)> {
        let (text, _) = self.text(&self.limits());
        let found = check(&text, &Settings::default(), &NoFiles);
        found.iter().filter(|f| RULES.contains(&f.rule)).map(|f| (f.severity, f.grade)).max()
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// Of air and lips together: where a rest parts what was one strain, its second half may be told otherwise.
    #[test]
    fn a_rest_never_makes_it_worse(
        piece in any_piece(), at in any::<prop::sample::Index>(), tempo in prop_oneof![20u32..120, 400u32..999]
    ) {
        let rested = piece.rested(at, tempo);
        prop_assume!(rested.is_some());
        let rested = rested.unwrap();
        let (before, after) = (piece.worst(), rested.worst());
        let limits = piece.limits();
        prop_assert!(after <= before, "{:?} {:?}\n{}{}", before, after, piece.text(&limits).0, rested.text(&limits).0);
    }

    /// What is told on pointing at a note is what the whole line comes to there.
    #[test]
    fn what_a_player_has_at_a_note_is_what_the_line_leaves(piece in any_piece()) {
        let limits = piece.limits();
        let (text, places) = piece.text(&limits);
        let tones = piece.tones(&limits, &places);
        let mut found = Found { all: Vec::new(), near: false };
        let airs = air(&mut found, &piece, &tones);
        let parts = stretches(&mut found, &tones);
        prop_assume!(!found.near);
        let desk = Desk::new(&text, Settings::default(), &NoFiles);
        for (block, placed) in desk.score().blocks.iter().enumerate() {
            for event in desk.report().events(desk.score(), block, 0) {
                if event.kind != EventKind::Note {
                    continue;
                }
                let place = (placed.line + event.line, event.span.start);
                let rounds: Vec<usize> = (0..tones.len()).filter(|i| tones[*i].first == place).collect();
                let told = at_note(&desk, 0, block, &event);
                prop_assert_eq!(told.len(), rounds.len(), "{}", text);
                for (told, i) in told.iter().zip(rounds) {
                    let (tone, air) = (&tones[i], &airs[i]);
                    let stretch = parts.iter().find(|part| part.contains(&i)).unwrap();
                    let before = &tones[stretch.start..i];
                    let goes_on = if tone.breath { 0 } else { tones[i + 1..].iter().take_while(|t| !t.new).count() };
                    let held = &tones[i + 1..i + 1 + goes_on];
                    let last = held.iter().position(|t| t.breath).map_or(held.len(), |i| i + 1);
                    let takes: f64 = tone.flow * (tone.blown() + held[..last].iter().map(|t| t.seconds).sum::<f64>());
                    let litres = LITRES[piece.level];
                    let most = COUNTED_LIMITS * PLAYED[piece.which].2[piece.level];
                    let weighs = |t: &Tone| t.seconds * weight(&limits, t);
                    let pairs = [
                        (told.air.litres, litres - air.before[0].used.min(COUNTED_BREATHS * litres)),
                        (told.air.by_choice_litres, litres - air.before[1].used.min(COUNTED_BREATHS * litres)),
                        (told.air.since_breath_seconds, air.before[0].since),
                        (told.air.takes_litres, takes),
                        (told.since_rest_seconds, before.iter().map(|t| t.seconds).sum::<f64>().min(most)),
                        (told.weighs_seconds, before.iter().map(weighs).sum::<f64>().min(most)),
                        (told.lips_seconds, PLAYED[piece.which].2[piece.level]),
                        (told.full_litres, litres),
                    ];
                    for (n, (told, slow)) in pairs.into_iter().enumerate() {
                        prop_assert!((told - slow).abs() < 1e-6, "{} of {:?}: {} {}\n{}", n, place, told, slow, text);
                    }
                }
            }
        }
    }
}

#[test]
fn pieces_are_of_use() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let mut seen: BTreeMap<(&str, Severity, u8), u32> = BTreeMap::new();
    let mut near = 0;
    for _ in 0..400 {
        let piece = any_piece().new_tree(&mut runner).unwrap().current();
        let (_, found) = wanted(&piece);
        near += u32::from(found.near);
        for wanted in found.all {
            *seen.entry((wanted.rule, wanted.severity, wanted.grade)).or_default() += 1;
        }
    }
    assert!(near < 100, "{near}");
    assert!(seen.contains_key(&("no-breath", Severity::Error, 1)), "{seen:?}");
    for rule in RULES {
        assert!(seen.keys().any(|key| key.0 == rule), "{rule}: {seen:?}");
    }
}
