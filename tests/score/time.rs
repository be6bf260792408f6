//! Onsets and lengths in fractions and in seconds, worked out by hand beside each text.

use waterkey::music::Fraction;
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;
use waterkey::score::clock::Clock;

fn desk(text: &str) -> Desk {
    let desk = Desk::new(text, Settings::default(), &NoFiles);
    let faults: Vec<_> =
        desk.findings().into_iter().filter(|f| !matches!(f.rule, "row-short" | "no-tempo")).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    desk
}

fn whole(text: &str) -> Option<f64> {
    Clock::of(desk(text).score()).whole()
}

fn close(a: Option<f64>, b: f64) {
    assert!((a.unwrap() - b).abs() < 1e-9, "{a:?} is not {b}");
}

const HEAD: &str = "player Tp1 = trumpet in Bb\nplayer Tp2 = trumpet in Bb\n";

#[test]
fn a_bar_of_four_quarters_at_sixty_is_four_seconds() {
    close(whole(&format!("{HEAD}bar 1  tempo q = 60\nTp1 | w : C5 | w : C5 |\n")), 8.0);
    // 6/8 at a dotted quarter of 72: two beats of 5/6 s.
    close(whole(&format!("{HEAD}bar 1  meter 6/8  tempo q. = 72\nTp1 | q. : C5 C5 |\n")), 5.0 / 3.0);
}

#[test]
fn without_a_tempo_there_are_no_seconds() {
    assert_eq!(whole(&format!("{HEAD}bar 1\nTp1 | w : C5 |\n")), None);
    let late = format!("{HEAD}bar 1\nTp1 | w : C5 |\nbar 2  tempo q = 60\nTp1 | w : C5 |\n");
    let desk = desk(&late);
    let clock = Clock::of(desk.score());
    assert_eq!(clock.block(0), None);
    close(clock.block(1), 4.0);
    assert_eq!(clock.whole(), None);
}

#[test]
fn repeats_and_endings_are_played_out() {
    // Two bars, played 1-2, 1-3: four bars of 2 s.
    let text = format!(
        "{HEAD}bar 1  tempo q = 120  repeat 2\nTp1 | w : C5 |\nbar 2  ending 1\nTp1 | w : C5 |\nbar 3  ending 2\nTp1 | w : C5 |\n"
    );
    let desk = desk(&text);
    let clock = Clock::of(desk.score());
    close(clock.whole(), 8.0);
    let starts: Vec<f64> = (0..4).map(|v| clock.visit(v).unwrap()).collect();
    assert_eq!(starts, [0.0, 2.0, 4.0, 6.0]);
}

#[test]
fn silence_between_blocks_takes_its_time() {
    close(
        whole(&format!("{HEAD}bar 1  meter 3/4  tempo q = 60\nTp1 | h. : C5 |\nbar 5\nTp1 | h. : C5 |\n")),
        15.0,
    );
}

#[test]
fn a_tempo_inside_a_bar_counts_from_its_place() {
    // Two quarters at 60, two at 120.
    close(
        whole(&format!("{HEAD}bar 1  tempo q = 60\nrhythm | q q [tempo q = 120] q q |\nTp1 | C5*4 |\n")),
        3.0,
    );
    // And it stays for the next block.
    close(
        whole(&format!(
            "{HEAD}bar 1  tempo q = 60\nrhythm | q q [tempo q = 120] q q |\nTp1 | C5*4 |\nbar 2\nTp1 | w : C5 |\n"
        )),
        5.0,
    );
}

#[test]
fn a_ritardando_is_a_straight_line_to_the_next_tempo() {
    // From 120 to 60 over a whole note: 4 ln 2 seconds, then four quarters at 60.
    let text = format!(
        "{HEAD}bar 1  tempo q = 120\nrhythm | [rit] w | w |\nTp1 | C5 | C5 |\nbar 3  tempo q = 60\nTp1 | w : C5 |\n"
    );
    close(whole(&text), 8.0 * 2f64.ln() + 4.0);
    // With no tempo to come, the old speed stays.
    close(whole(&format!("{HEAD}bar 1  tempo q = 120\nrhythm | [rit] w |\nTp1 | C5 |\n")), 2.0);
    // `[a-tempo]` leads back to the tempo before.
    close(
        whole(&format!("{HEAD}bar 1  tempo q = 120\nrhythm | [rit] w | [a-tempo] w |\nTp1 | C5 | C5 |\n")),
        4.0,
    );
}

#[test]
fn a_fermata_for_all_is_one_pause_and_a_break_half_a_second() {
    let text = format!("{HEAD}bar 1  tempo q = 60\nrhythm | h h:fermata |\nTp1 | C5 D5 |\nTp2 | E4 F4 |\n");
    close(whole(&text), 5.0);
    close(whole(&format!("{HEAD}bar 1  tempo q = 60\nTp1 | h : C5,, D5 |\nTp2 | h : C5,, D5 |\n")), 4.5);
    close(whole(&format!("{HEAD}bar 1  tempo q = 60\nTp1 | h : C5 D5:fermata |\n")), 5.0);
    close(whole(&format!("{HEAD}bar 1  tempo q = 60\nTp1 | w : C5 | =:fermata |\n")), 9.0);
    close(whole(&format!("{HEAD}bar 1  tempo q = 60\nTp1 | w : C5 | -:fermata |\n")), 9.0);
}

#[test]
fn tuplets_are_exact() {
    let desk =
        desk(&format!("{HEAD}bar 1  tempo q = 60\nTp1 | {{3:2 q {{3:2 e*3}} q}} h : C5 D5 E5 F5 G5 A5 |\n"));
    let events = desk.report().events(desk.score(), 0, 0);
    let f = |n, d| Fraction::new(n, d).unwrap();
    let onsets: Vec<Fraction> = events.iter().map(|e| e.onset).collect();
    assert_eq!(onsets, [f(0, 1), f(1, 6), f(2, 9), f(5, 18), f(1, 3), f(1, 2)]);
    let sum = events.iter().fold(Fraction::ZERO, |a, e| a.plus(e.length).unwrap());
    assert_eq!(sum, Fraction::ONE);
    let clock = Clock::of(desk.score());
    close(clock.in_block(0, 0, events[1].onset), 2.0 / 3.0);
    close(clock.length(0, &events[1]), 2.0 / 9.0);
}

#[test]
fn meters_in_turn_go_on_through_gaps_and_later_blocks() {
    // 2/4 3/4 2/4, then a gap of one bar (3/4), then 2/4 3/4: 0.5 s a quarter at 120.
    let text = format!(
        "{HEAD}bar 1  meter 2/4 3/4  tempo q = 120\nTp1 | h : C5 | h. : C5 | h : C5 |\nbar 5\nTp1 | h : C5 | h. : C5 |\n"
    );
    let desk = desk(&text);
    let clock = Clock::of(desk.score());
    close(clock.block(0), 3.5);
    close(clock.block(1), 2.5);
    close(clock.whole(), 7.5);
}

#[test]
fn a_fermata_of_a_rhythm_row_concerns_everybody() {
    // Nobody takes the figure, and all wait: 4 s and one more.
    let text =
        format!("{HEAD}bar 1  tempo q = 60\nrhythm | h h:fermata |\nTp1 | w : C5 |\nTp2 | q : C5*4 |\n");
    close(whole(&text), 5.0);
    let desk = desk(&text);
    let half = Fraction::new(1, 1).unwrap();
    assert_eq!(Clock::of(desk.score()).pauses(0), [(0, half, 1.0)]);
}

#[test]
fn a_fermata_on_a_bars_rest_or_hold_is_one_too() {
    let bars = format!("{HEAD}bar 1  tempo q = 60\nTp1 | w : C5 | =:fermata | -:fermata |\n");
    close(whole(&bars), 14.0);
}

#[test]
fn where_several_pause_at_once_the_longest_pause_counts() {
    for (first, second) in [(",,", ":fermata"), (":fermata", ",,")] {
        let text = format!("{HEAD}bar 1  tempo q = 60\nTp1 | w : C5{first} |\nTp2 | w : C5{second} |\n");
        close(whole(&text), 5.0);
    }
}
