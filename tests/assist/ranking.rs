//! Who could take something over: the order, and the numbers it goes by, reckoned another way.

use super::text::{desk, samples};
use waterkey::rules::Desk;
use waterkey::section::gap::{LONG_SECONDS, around};
use waterkey::section::{Candidate, Standing, Stretch, Why, rank};

fn ranked(desk: &Desk, id: &str, block: usize, bars: (u32, u32)) -> Vec<Candidate> {
    let player = desk.score().head.players.iter().position(|p| p.id == id).unwrap();
    let stretch = Stretch::bars(desk, player, block, bars.0, bars.1).unwrap();
    rank(desk, &stretch.closed(desk).unwrap())
}

fn ids(desk: &Desk, all: &[Candidate]) -> Vec<String> {
    all.iter().map(|c| desk.score().head.players[c.player].id.clone()).collect()
}

fn points(all: &[Candidate], player: usize, why: Why) -> u32 {
    let cost = &all.iter().find(|c| c.player == player).unwrap().cost;
    cost.parts.iter().filter(|p| p.why == why).map(|p| p.points).sum()
}

/// Everything a player sounds, as it is played, in seconds from the beginning: reckoned from the whole line.
fn sounding(desk: &Desk, player: usize) -> Vec<(f64, f64)> {
    let (score, clock) = (desk.score(), &desk.report().clock);
    let mut all = Vec::new();
    desk.report().listen(score, player, &mut |visit, passage| {
        let Some(at) = score.order.visits.get(visit) else { return };
        let gap = clock.of_block(at.block as usize).unwrap().gap_seconds.unwrap_or(0.0);
        let begins = clock.visit(visit).unwrap() - if at.pass == 1 { gap } else { 0.0 };
        let heard = passage.sounds.iter().filter(|s| s.sounds() && s.seconds > 0.0);
        all.extend(heard.map(|s| (begins + s.onset_seconds, begins + s.end_seconds())));
    });
    all
}

#[test]
fn silence_around_a_stretch_is_that_of_the_whole_line() {
    let mut compared = 0;
    for (name, desk) in samples() {
        // Where a bar does not add up, nobody knows when its notes end.
        if desk.findings().iter().any(|f| f.severity == waterkey::rules::Severity::Error) {
            continue;
        }
        let score = desk.score();
        // A break for all is no rest of anybody's: half a second more or less.
        let near = if desk.document().text().contains(",,") { 0.6 } else { 1e-6 };
        let lines: Vec<Vec<(f64, f64)>> = (0..score.head.players.len()).map(|p| sounding(&desk, p)).collect();
        for (block, placed) in score.blocks.iter().enumerate().filter(|(_, b)| b.frame.bars > 0) {
            let bar = placed.frame.bars / 2;
            let stretch = Stretch::bars(&desk, 0, block, bar, bar).unwrap();
            for (player, line) in lines.iter().enumerate() {
                let events = desk.report().events(score, block, player);
                let plays = events.iter().any(|e| waterkey::section::stretch::sounds(e) && e.bar == bar);
                let Some(gap) = around(&desk, &stretch, player).filter(|_| !plays) else { continue };
                let clock = &desk.report().clock;
                let (mut before, mut after) = (LONG_SECONDS, LONG_SECONDS);
                for (visit, _) in
                    score.order.visits.iter().enumerate().filter(|(_, v)| v.block as usize == block)
                {
                    let place = |bar| clock.in_block(block, bar, waterkey::music::Fraction::ZERO).unwrap();
                    let from = clock.visit(visit).unwrap() + place(bar);
                    let to =
                        clock.visit(visit).unwrap() + clock.in_block(block, bar, stretch.to.onset).unwrap();
                    for (a, b) in line {
                        if *b <= from + 1e-6 {
                            before = before.min(from - b);
                        }
                        if *a >= to - 1e-6 {
                            after = after.min(a - to);
                        }
                    }
                }
                let same = |a: f64, b: f64| (a.min(LONG_SECONDS) - b.min(LONG_SECONDS)).abs() < near;
                assert!(same(gap.before_seconds, before), "{name} {block} {player}: {gap:?} {before}");
                assert!(same(gap.after_seconds, after), "{name} {block} {player}: {gap:?} {after}");
                compared += 1;
            }
        }
    }
    assert!(compared > 80, "{compared}");
}

#[test]
fn the_order_is_that_of_the_costs_and_who_has_the_notes_comes_first() {
    let mut seen = 0;
    for (_, desk) in samples() {
        for block in 0..desk.score().blocks.len() {
            for player in 0..desk.score().head.players.len() {
                let Some(stretch) = Stretch::bars(&desk, player, block, 0, 0) else { continue };
                let Ok(stretch) = stretch.closed(&desk) else { continue };
                let all = rank(&desk, &stretch);
                let key =
                    |c: &Candidate| (!c.cost.is_possible(), c.standing != Standing::Doubles, c.cost.points());
                assert!(all.is_sorted_by_key(key));
                let mut players: Vec<usize> = all.iter().map(|c| c.player).collect();
                players.sort_unstable();
                players.dedup();
                assert!(players.len() == all.len() && !players.contains(&player));
                seen += all.len();
            }
        }
    }
    assert!(seen > 300, "{seen}");
}

const SECTION: &str = "\
player Hn1 = horn in F
player Hn2 = horn in F
player Tp1 = trumpet in Bb
player Tp2 = trumpet in Bb, level school
player Co  = cornet in Bb
player Tb  = trombone
bar 1  meter 4/4  key none  tempo q = 60
";

#[test]
fn the_pair_comes_first_and_the_same_sound_before_another() {
    let text = format!("{SECTION}Hn1 | q*4 : F4 G4 A4 F4 |\n");
    let desk = desk(&text);
    let order = ids(&desk, &ranked(&desk, "Hn1", 0, (0, 0)));
    assert_eq!(order.first().unwrap(), "Hn2", "{order:?}");
    let text = format!("{SECTION}Tp1 | q*4 : F4 G4 A4 F4 |\n");
    let desk = super::text::desk(&text);
    let order = ids(&desk, &ranked(&desk, "Tp1", 0, (0, 0)));
    // A schoolgirl on the same instrument before a professional on one of another bore: 24 points to 25.
    assert_eq!(order[..2], ["Tp2", "Co"], "{order:?}");
}

#[test]
fn higher_above_what_is_comfortable_is_never_cheaper_and_a_longer_rest_never_dearer() {
    let names = ["C", "D", "E", "F", "G", "A", "B"];
    let mut last = [0u32; 6];
    for octave in 5..7 {
        for name in names {
            let text = format!("{SECTION}Hn1 | w : {name}{octave} |\n");
            let desk = desk(&text);
            let all = ranked(&desk, "Hn1", 0, (0, 0));
            for (player, least) in last.iter_mut().enumerate().skip(1) {
                let limits = &desk.score().head.players[player].instruments[0].limits;
                let midi = waterkey::music::Pitch::parse(&format!("{name}{octave}")).unwrap().midi();
                if midi > limits.comfortable {
                    let now = points(&all, player, Why::Range);
                    assert!(now >= *least, "{name}{octave} {player}: {now} after {least}");
                    *least = now;
                }
            }
        }
    }
    let mut before = u32::MAX;
    for rest in ["h.. e-", "h. q-", "h+e q.-", "h h-", "q h.-"] {
        let text = format!("{SECTION}Hn1 | - | w : F4 |\nHn2 | {} : F4 | - |\n", rest);
        let desk = desk(&text);
        let now = points(&ranked(&desk, "Hn1", 0, (1, 1)), 1, Why::Rest);
        assert!(now <= before, "{rest}: {now} after {before}");
        before = now;
    }
    assert_eq!(before, 0);
}

#[test]
fn a_mute_that_is_not_there_and_a_note_off_the_tube_are_out_of_the_question() {
    let head = "player Tp1 = trumpet in Bb\nplayer Tp2 = trumpet in Bb, mutes none\nplayer Tb = straight trombone\nbar 1  meter 4/4  tempo q = 60\n";
    let muted = desk(&format!("{head}Tp1 | w : [mute cup] G4 |\n"));
    let all = ranked(&muted, "Tp1", 0, (0, 0));
    assert!(
        all.iter().any(|c| c.player == 1 && !c.cost.is_possible() && c.cost.told(9).contains("no cup mute"))
    );
    let low = desk(&format!("{head}Tp1 | w : Eb2 |\n"));
    let all = ranked(&low, "Tp1", 0, (0, 0));
    assert!(all.iter().all(|c| !c.cost.is_possible()), "{all:?}");
}
