//! Scores made at random that could have been written by somebody: most of them have nothing wrong with
//! them, and together they use the whole notation.

use std::fmt::Write as _;

/// Numbers that depend on the seed alone.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, sides: usize) -> usize {
        // SplitMix64 (Steele, Lea and Flood, 2014).
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) % sides.max(1) as u64) as usize
    }

    fn one_in(&mut self, n: usize) -> bool {
        self.roll(n) == 0
    }

    fn pick<'a>(&mut self, all: &[&'a str]) -> &'a str {
        all[self.roll(all.len())]
    }
}

/// ID, people, line.
const PLAYERS: [(&str, usize, &str); 7] = [
    ("Tp1", 1, "trumpet in Bb, mutes straight cup, doubles flugelhorn in Bb, doubles piccolo trumpet in A"),
    ("Hn1", 1, "horn in F, signature none, name \"First Horn\""),
    ("Hn2", 1, "horn in F, level school"),
    ("Cor", 3, "cornet in Bb, seats 3, name \"Solo Cornet\""),
    ("Tb", 1, "trombone, clef bass, doubles bass trombone"),
    ("Eu", 2, "euphonium in Bb, seats 2"),
    ("Yd", 1, "Yard, level amateur"),
];
/// Names of a row, people, members.
const ROWS: [(&str, usize, &[usize]); 11] = [
    ("Tp1", 1, &[0]),
    ("Hn1", 1, &[1]),
    ("Hn2", 1, &[2]),
    ("Cor", 3, &[3]),
    ("Tb", 1, &[4]),
    ("Eu", 2, &[5]),
    ("Yd", 1, &[6]),
    ("Horns", 2, &[1, 2]),
    ("Choir", 6, &[1, 3, 5]),
    ("Tb Eu", 3, &[4, 5]),
    ("Tp1 Cor", 4, &[0, 3]),
];
const KEYS: [&str; 9] =
    ["Bb major", "C major", "E major", "C minor", "F# major", "Db major", "none", "G# minor", "A major"];
/// Written as a meter, and in sixty-fourths.
const METERS: [(&str, &[u32]); 6] = [
    ("4/4", &[64]),
    ("3/4", &[48]),
    ("6/8", &[48]),
    ("3+2/8", &[40]),
    ("2/4 3/8", &[32, 24]),
    ("4/4", &[64]),
];
const VALUES: [(&str, u32); 9] =
    [("w", 64), ("h.", 48), ("h", 32), ("q.", 24), ("q", 16), ("e.", 12), ("e", 8), ("s", 4), ("ss", 2)];

/// A figure that lasts so long, and how many entries it takes.
fn figure(dice: &mut Dice, mut left: u32, plain: bool) -> (String, usize) {
    let mut words: Vec<String> = Vec::new();
    let mut entries = 0;
    while left > 0 {
        if !plain && left >= 16 && dice.one_in(8) {
            let (text, n) = match dice.roll(4) {
                0 => ("{3:2 e*3}", 3),
                1 => ("{3:2 q e}", 2),
                2 => ("{5:4 s*5}", 5),
                _ => ("{3:2 e e- e}", 2),
            };
            words.push(text.to_owned());
            (entries, left) = (entries + n, left - 16);
            continue;
        }
        let fits: Vec<_> = VALUES.into_iter().filter(|(_, n)| *n <= left).collect();
        let most = fits.len().min(5);
        let (letters, length) = fits[dice.roll(most)];
        left -= length;
        let mut word = letters.to_owned();
        match dice.roll(if plain { 30 } else { 12 }) {
            0 => word.push('-'),
            1 if entries > 0 => word.push('='),
            _ => entries += 1,
        }
        if dice.one_in(30) {
            word.push_str(":fermata");
        }
        words.push(word);
    }
    if entries == 0 {
        return (words.join(" ") + " ", 0);
    }
    (words.join(" "), entries)
}

fn pitch(dice: &mut Dice, from: i32) -> String {
    let letters = ["C", "D", "E", "F", "G", "A", "B"];
    let step = from + dice.roll(5) as i32;
    let accidental = ["", "", "", "", "#", "b", "b", "x", "bb"][dice.roll(9)];
    format!("{}{accidental}{}", letters[step.rem_euclid(7) as usize], step.div_euclid(7))
}

fn marks(dice: &mut Dice, people: usize) -> String {
    let mut out = String::new();
    if people == 1 && dice.one_in(14) {
        out.push_str(dice.pick(&["@0", "@1", "@2"]));
    }
    if dice.one_in(4) {
        out.push_str(dice.pick(&[
            ".",
            "-",
            ">",
            "^",
            "_",
            ",",
            ",,",
            ":fermata",
            ":trill",
            ":trill=Eb5",
            ":flutter",
            ":gliss_",
            ".,",
            ">_",
        ]));
    }
    out
}

fn free(dice: &mut Dice, row: usize) -> String {
    if !dice.one_in(5) {
        return String::new();
    }
    let mut all = vec![
        "p ",
        "mf ",
        "ff ",
        "sfz ",
        "fp ",
        "cresc ",
        "dim ",
        "\"dolce\" ",
        "[open] ",
        "[plain] ",
        "[flutter] ",
    ];
    match row {
        0 => all.extend([
            "[mute cup] ",
            "[switch flugelhorn] ",
            "[switch piccolo trumpet] ",
            "[switch trumpet] ",
        ]),
        1 | 2 | 7 => all.extend(["[stopped] ", "[hand] "]),
        3 => all.extend(["[solo] ", "[tutti] "]),
        4 => all.extend(["[clef tenor] ", "[switch bass trombone] "]),
        _ => {}
    }
    dice.pick(&all).to_owned()
}

/// Where the notes of a row lie, in letters from C0.
fn height(row: usize) -> i32 {
    [35, 28, 26, 32, 22, 20, 22, 26, 26, 21, 33][row]
}

/// So many entries for a row.
fn list(dice: &mut Dice, row: usize, entries: usize) -> String {
    let (_, people, _) = ROWS[row];
    let mut words = Vec::new();
    let mut left = entries;
    let mut sounded = false;
    while left > 0 {
        let n = if left > 1 && dice.one_in(6) { 2 + dice.roll(left - 1) } else { 1 };
        left -= n;
        let times = if n > 1 { format!("*{n}") } else { String::new() };
        let before = free(dice, row);
        let entry = match dice.roll(12) {
            0 => {
                sounded = false;
                format!("-{}", dice.pick(&["", "", "", ",", ":fermata"]))
            }
            1 if sounded => format!("={}", dice.pick(&["", "", ".", "_", ",,"])),
            2 => {
                sounded = true;
                let grace = pitch(dice, height(row));
                format!("/{grace} {}{}", pitch(dice, height(row)), marks(dice, people))
            }
            3..=5 if people > 1 => {
                let n = 2 + dice.roll(people - 1);
                let notes: Vec<String> = (0..n)
                    .map(|i| {
                        let inner = if dice.one_in(9) { dice.pick(&[".", "_", ">", ":fermata"]) } else { "" };
                        match dice.roll(9) {
                            0 if n == people => "-".to_owned(),
                            1 if n == people && sounded => "=".to_owned(),
                            _ => format!("{}{inner}", pitch(dice, height(row) + 5 * i as i32)),
                        }
                    })
                    .collect();
                sounded = !notes.iter().any(|n| n == "-");
                format!("({}){}", notes.join(" "), marks(dice, people))
            }
            _ => {
                sounded = true;
                format!("{}{}", pitch(dice, height(row)), marks(dice, people))
            }
        };
        words.push(format!("{before}{entry}{times}"));
    }
    if dice.one_in(12) {
        words.push(free(dice, row).trim_end().to_owned());
    }
    words.retain(|w| !w.is_empty());
    words.join(" ")
}

/// A rhythm row: its text, and for each bar how many entries it asks for.
fn rhythm(dice: &mut Dice, lengths: &[u32]) -> (String, Vec<Option<usize>>) {
    let mut text = "rhythm |".to_owned();
    let mut wanted: Vec<Option<usize>> = Vec::new();
    for (bar, length) in lengths.iter().enumerate() {
        let thing = if dice.one_in(6) {
            dice.pick(&["[rit] ", "[accel] ", "[a-tempo] ", "[tempo q = 96] ", "\"together\" "])
        } else {
            ""
        };
        if dice.one_in(6) {
            wanted.push(None);
            write!(text, " {thing}|").unwrap();
        } else if bar > 0 && lengths[bar - 1] == *length && wanted[bar - 1].is_some() && dice.one_in(4) {
            wanted.push(wanted[bar - 1]);
            write!(text, " {thing}% |").unwrap();
        } else {
            let (words, entries) = figure(dice, *length, true);
            let single = !words.trim().contains(' ') && !words.contains(['-', '=', ':']);
            let mut words: Vec<&str> = words.split_whitespace().collect();
            words.insert(dice.roll(words.len() + 1), thing.trim_end());
            words.retain(|w| !w.is_empty());
            wanted.push((entries > 0).then_some(if single { 1 } else { entries }));
            write!(text, " {} |", words.join(" ")).unwrap();
        }
    }
    (text, wanted)
}

struct Block<'d> {
    dice: &'d mut Dice,
    lengths: Vec<u32>,
    /// By bar and player: taken.
    taken: Vec<[bool; 7]>,
}

impl Block<'_> {
    fn row(&mut self, row: usize, wanted: &[Option<usize>]) -> String {
        let (names, people, members) = ROWS[row];
        let mut text = format!("{names} |");
        let mut bar = 0;
        // What `%` would repeat lasts so long.
        let mut before: Option<u32> = None;
        while bar < self.lengths.len() {
            let free_bars =
                (bar..self.lengths.len()).take_while(|b| members.iter().all(|m| !self.taken[*b][*m])).count();
            if free_bars == 0 || self.dice.one_in(6) {
                text.push_str(" |");
                (bar, before) = (bar + 1, None);
                continue;
            }
            let length = self.lengths[bar];
            let many = (1 + self.dice.roll(3)).min(free_bars);
            let dice = &mut *self.dice;
            let (cell, bars) = match dice.roll(12) {
                0 => {
                    before = None;
                    (format!("{}rest {many}", free(dice, row)), many)
                }
                1 => {
                    before = Some(length);
                    (format!("-{}", dice.pick(&["", "", ",", ":fermata"])), 1)
                }
                2 | 3 if before == Some(length) => (format!("{}%", free(dice, row)), 1),
                4 if people < 3 => {
                    before = None;
                    (format!("improvise {many}"), many)
                }
                5 if length == 64 && free_bars > 1 && self.lengths[bar + 1] == 64 => {
                    before = None;
                    (dice.pick(&["play riff", "play riff up m3", "play riff down P4"]).to_owned(), 2)
                }
                6..=8 if wanted.get(bar).copied().flatten().is_some() => {
                    before = Some(length);
                    (list(dice, row, wanted[bar].unwrap()), 1)
                }
                _ => {
                    before = Some(length);
                    let (words, entries) = figure(dice, length, false);
                    if entries == 0 {
                        ("-".to_owned(), 1)
                    } else {
                        (format!("{words} : {}", list(dice, row, entries)), 1)
                    }
                }
            };
            write!(text, " {cell} |").unwrap();
            for b in bar..bar + bars {
                members.iter().for_each(|m| self.taken[b][*m] = true);
            }
            bar += bars;
        }
        text
    }
}

/// The score of a seed.
pub fn score(seed: u64) -> String {
    let mut dice = Dice(seed);
    let dice = &mut dice;
    let mut text = "brass 1\ntitle \"Harbour at First Light\"\n".to_owned();
    if dice.one_in(3) {
        text.push_str("tuning A4 = 442\n");
    }
    // Rows for players of several instruments need one transposition in written pitch.
    let written = dice.one_in(3);
    text.push_str(if written { "pitch written\n" } else { "" });
    text.push_str("instrument Yard = valved, fundamental Bb1, in Eb, range E2..Bb4\n");
    for (id, _, line) in PLAYERS {
        writeln!(text, "player {id} = {line}").unwrap();
    }
    text.push_str("group Horns = Hn1 Hn2\ngroup Choir = Hn1 Cor Eu\n");
    text.push_str("phrase riff in Bb | q e e h : C5_ D5:trill=E5 Eb5. mf G4 | play oars |\nphrase oars | h {3:2 e*3} q- : F4, G4*2 B4 |\n");
    if dice.one_in(4) {
        text.push_str("allow awkward-spelling for Hn1 Tp1\nallow too-high\n");
    }
    let marks = ["A", "B", "C", "D", "E", "F", "G", "H"];
    let (mut body, mut marked) = (String::new(), Vec::new());
    let mut meter = 0;
    let mut turn = 0;
    let mut number = 1i64;
    let mut ending = 0;
    let mut inside: i64 = 0;
    for block in 0..1 + dice.roll(7) {
        let mut header = String::from("bar");
        let bars = 1 + dice.roll(5);
        let pickup = block == 0 && dice.one_in(4);
        if dice.one_in(8) && block > 0 && ending == 0 && number > inside {
            number += dice.roll(4) as i64;
        }
        if pickup {
            number = 0;
        }
        write!(header, " {number}").unwrap();
        let plain = block > 0 && dice.one_in(2) && ending == 0;
        if !plain {
            if block == 0 || dice.one_in(3) {
                meter = dice.roll(METERS.len());
                turn = 0;
                write!(header, "  meter {}", METERS[meter].0).unwrap();
            }
            if block == 0 || dice.one_in(3) {
                write!(header, "  key {}", dice.pick(&KEYS)).unwrap();
            }
            if (block == 0 && !dice.one_in(8)) || dice.one_in(3) {
                write!(header, "  tempo {}", dice.pick(&["q = 72", "\"Calm\" q. = 60", "h = 100.5"]))
                    .unwrap();
            }
            if dice.one_in(3) && marked.len() < marks.len() && ending == 0 && number > inside {
                let mark = marks[marked.len()];
                marked.push(mark);
                write!(header, "  {} {mark}", dice.pick(&["mark", "mark", "spot"])).unwrap();
            }
        }
        let last = number + bars as i64 - 1;
        if ending > 0 {
            write!(header, "  ending {}", 3 - ending).unwrap();
            ending -= 1;
        } else if !plain && number > inside && dice.one_in(4) {
            header.push_str("  repeat 2");
            inside = last;
            if dice.one_in(3) {
                ending = 2;
            }
        }
        if pickup {
            header.push_str("  pickup q");
        }
        let close = dice.one_in(10);
        if close {
            header.push_str("  close e");
        }
        let mut lengths = Vec::new();
        for bar in 0..bars {
            if bar == 0 && pickup {
                lengths.push(16);
                continue;
            }
            let all = METERS[meter].1;
            let full = all[turn % all.len()];
            turn += 1;
            lengths.push(if close && bar + 1 == bars { 8 } else { full });
        }
        number += bars as i64;
        writeln!(body, "{header}").unwrap();
        if dice.one_in(8) {
            body.push_str("allow too-low awkward-spelling for Tb Horns\n");
        }
        if dice.one_in(3) {
            body.push_str(
                "chords | Bb6 F#m7b5 | C7(b9) | % |\n"
                    .split_inclusive(" |")
                    .take(1 + bars.min(3))
                    .collect::<String>()
                    .as_str(),
            );
            body.push('\n');
        }
        let mut wanted = vec![None; bars];
        if dice.one_in(2) {
            let (row, asks) = rhythm(dice, &lengths);
            writeln!(body, "{row}").unwrap();
            wanted = asks;
        }
        let mut whole = Block { taken: vec![[false; 7]; bars], lengths, dice };
        for n in 0..2 + whole.dice.roll(5) {
            let row = match whole.dice.roll(ROWS.len()) {
                r if written && r > 7 => 7,
                r => r,
            };
            let text = whole.row(row, &wanted);
            writeln!(body, "{text}").unwrap();
            if n == 2 && whole.dice.one_in(3) {
                let lengths = whole.lengths.clone();
                let (row, asks) = rhythm(whole.dice, &lengths);
                writeln!(body, "{row}").unwrap();
                wanted = asks;
            }
        }
        // Somebody is there from beginning to end.
        let rest = format!("rest {bars}");
        if let Some(nobody) = (0..7).find(|m| whole.taken.iter().all(|t| !t[*m])) {
            writeln!(body, "{} | {rest} |", ROWS[nobody].0).unwrap();
        }
    }
    if !marked.is_empty() && dice.one_in(3) {
        let names: Vec<&str> = (0..3).map(|_| marked[dice.roll(marked.len())]).collect();
        writeln!(text, "roadmap {}{}*2", if dice.one_in(2) { "start " } else { "" }, names.join(" "))
            .unwrap();
    }
    text + "\n" + &body
}
