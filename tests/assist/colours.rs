//! Colours of lines, drawn under them.

use super::text::{desk, samples};
use std::fmt::Write as _;
use waterkey::assist::{Colour, Coloured, Ground, colours};
use waterkey::notation::line::Line;
use waterkey::notation::token::Kind;
use waterkey::rules::Desk;

fn letter(colour: Colour) -> char {
    match colour {
        Colour::Word => 'W',
        Colour::Term => 'T',
        Colour::Player => 'P',
        Colour::Group => 'G',
        Colour::Phrase => 'F',
        Colour::Mark => 'M',
        Colour::OwnInstrument => 'O',
        Colour::Instrument => 'I',
        Colour::Note => 'N',
        Colour::ChordSymbol => 'H',
        Colour::Value => 'V',
        Colour::Number => '1',
        Colour::Dynamic => 'D',
        Colour::Instruction => 'X',
        Colour::Technique => 'Q',
        Colour::Choice => '@',
        Colour::Sign => '+',
        Colour::Text => '"',
        Colour::Comment => '/',
    }
}

/// The line and, under every character of a colour, its letter; a small one where a name is declared.
fn drawn(text: &str, all: &[Coloured]) -> String {
    let under: String = text
        .char_indices()
        .map(|(at, _)| {
            let here = all.iter().find(|c| c.span.contains(at as u32));
            here.map_or(' ', |c| {
                if c.declares { letter(c.colour).to_ascii_lowercase() } else { letter(c.colour) }
            })
        })
        .collect();
    format!("{text}\n{}", under.trim_end())
}

fn of(ground: &Ground, line: &Line) -> Vec<Coloured> {
    let mut all = Vec::new();
    colours(ground, line, &mut all);
    all
}

pub fn colours_are_sound(desk: &Desk) {
    let ground = Ground::of(desk);
    for line in desk.document().lines().iter() {
        let mut end = 0;
        for one in of(&ground, line) {
            assert!(end <= one.span.start && one.span.start < one.span.end, "{one:?} of {:?}", line.text);
            end = one.span.end;
            let shown = line.text.get(one.span.start as usize..end as usize).expect("whole characters");
            let trimmed = shown.trim() == shown || one.colour == Colour::Comment;
            assert!(trimmed, "no blanks at the ends: {one:?} of {:?}", line.text);
        }
    }
}

fn all_drawn(text: &str) -> String {
    let desk = desk(text);
    let ground = Ground::of(&desk);
    let mut out = String::new();
    for line in desk.document().lines().iter() {
        writeln!(out, "{}", drawn(&line.text, &of(&ground, line))).unwrap();
    }
    out
}

#[test]
fn lines_of_the_head() {
    insta::assert_snapshot!(all_drawn(
        "brass 1
title \"Quay\"  // a remark
level amateur
pitch written
tuning A4 = 442
player Tp1 = trumpet in Bb, level school, top C6, mutes straight solo-tone, doubles piccolo trumpet in A
player Hn1 = Seahorn, clef bass, seats 3, name \"the \u{1d11e} horn\", signature none
player T\u{10428}b = trombonne in Bb, valves 4 plain
group Top = Tp1 Nobody Hn1
group All = Top T\u{10428}b
instrument Seahorn = valved, fundamental Bb1, in F basso, valves 2 1 3, range E2..Bb4, comfortable F2..F4
phrase riff in Bb | q : C5_ /D5 (E5 F5)*2 - | play riffle |
allow too-high too-hgih for Tp1 Nobody All
roadmap A \"Trio\"*2 start Z
include \"crew.brass\"
a line that is none
bar 1  mark A
bar 2  mark \"Trio\"
"
    ));
}

#[test]
fn lines_of_a_block() {
    insta::assert_snapshot!(all_drawn(
        "player Tp1 = trumpet in Bb, doubles flugelhorn in Bb
player Hn1 = horn in F
group All = Tp1 Hn1
phrase riff | q : C5 D5 E5 F5 |
bar 7  meter 3+2/8 2/4  key Eb major  tempo \"Calm\" q. = 60  mark A  pickup e  repeat 2 to 24  // off we go
bar  key none  ending 1 2  spot tail-1  close h.+e  odd 3
chords | F#m7b5/A C7(b9) | q q h : Bb6 N.C. Eb | % | rest 2 |
rhythm | q. e {3:2 e*3}*2 h- | [tempo \"Lively\" q = 76] q:fermata h= [rit] | % |
Tp1 | p Bb4_ C#5. cresc D5@12 | [mute solo-tone] \"dolce\" = -, | %*3 | play riff up m3*2 | rest 8 |
All Nobody | q : (C4 E4. G4)>,, /(B3 D4) C4:trill=D4 E4:gliss_*2 [switch flugelhorn in Bb] | improvise 4 | ||
Hn1 | q : [stopped] c4 Bb* [mute bowl] xyzzy [clef bass] Gx4 [a-tempo] |
"
    ));
}

#[test]
fn colours_lie_side_by_side() {
    for (_, desk) in samples() {
        colours_are_sound(&desk);
    }
}

#[test]
fn nothing_in_a_sample_is_without_a_colour_but_commas() {
    for (name, desk) in samples().into_iter().filter(|(name, _)| name != "harbour-mistakes.brass") {
        let ground = Ground::of(&desk);
        for line in desk.document().lines().iter() {
            let all = of(&ground, line);
            for token in line.tokens.iter().filter(|t| !matches!(t.kind, Kind::Blank | Kind::Comma)) {
                let covered = all.iter().any(|c| c.span.contains(token.span.start));
                assert!(covered, "{name}: {:?} of {}", token.of(&line.text), line.text);
            }
        }
    }
}
