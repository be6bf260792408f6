//! Reading faults: what is found wrong, where exactly, and what the offered way out makes of the line.

use waterkey::notation::{Ending, Line, read_line};

/// A line, and under it each fault: its name, the stretch in angle quotes, the line after the fix.
const TABLE: &str = r##"
titel "x"
    unknown-word «titel» title "x"
Titel "x"
    unknown-word «Titel» title "x"
foo bar
    unknown-word «foo»
//remark
    unknown-word «//» // remark
title Harbour
    unreadable «Harbour» title "Harbour"
title “Harbour”
    unreadable «“Harbour”» title "Harbour"
title "Harbour
    unreadable «"Harbour» title "Harbour"
title
    unreadable «title»
title "a" b
    unreadable «b»
brass 2
    bad-number «2»
brass x
    bad-number «x» brass 1
brass
    bad-number «brass» brass 1
level scholl
    unreadable «scholl» level school
pitch
    unreadable «pitch»
tuning A4 442
    unreadable «A4 442» tuning A4 = 442
tuning A4 = 0
    bad-number «0»
player = horn
    unreadable «player»
player Tp1 horn in F
    unreadable «Tp1» player Tp1 = horn in F
player bar = horn in F
    unreadable «bar»
player X = horn in
    unreadable «in»
player X = horn in F level school
    unreadable «level school» player X = horn in F, level school
player X = horn in F, levl school
    unreadable «levl» player X = horn in F, level school
player X = horn in F, mutes cupp
    unknown-name «cupp» player X = horn in F, mutes cup
player X = horn in F, seats 0
    bad-number «0»
player X = horn in F, clef tenro
    unknown-name «tenro» player X = horn in F, clef tenor
player X = horn in F, valves 9
    bad-number «9»
player X = horn in F, top C
    unreadable «C»
player X = horn in F, name x
    unreadable «x»
player X = horn in F,, level school
    unreadable «,,» player X = horn in F, level school
player X = horn in F, level school, level amateur
    unreadable «level amateur» player X = horn in F, level school
player X =
    unknown-instrument «X»
group X = A, B
    unreadable «,» group X = A B
group X
    unreadable «X»
instrument X = natural
    unreadable «X»
instrument X = valved, fundamental B
    unreadable «B»
instrument X = valved, fundamental B1, range E4..C2
    bad-number «range E4..C2»
instrument X = natural, fundamental B1, valves 2 1
    unreadable «X»
allow
    unreadable «allow»
roadmap A*1
    bad-number «*1»
bar 1 meter 0/4
    bad-number «0/4»
bar 1 meter 4/5
    bad-number «5»
bar 1 meter 4/4 meter 3/4
    unreadable «meter 3/4» bar 1 meter 4/4
bar 1 metre 4/4
    unreadable «metre» bar 1 meter 4/4
bar 1 key eb major
    unreadable «eb» bar 1 key Eb major
bar 1 key E
    unreadable «E» bar 1 key E major
bar 1 tempo q = 0
    bad-number «0»
bar 1 tempo q 60
    unreadable «60» bar 1 tempo q = 60
bar 1 repeat 1
    bad-number «1»
bar 1 pickup z
    unreadable «z»
bar 1 mark
    unreadable «mark»
bar 1, meter 4/4
    unreadable «,» bar 1 meter 4/4
Tp1 | q C5 D5 E5 F5 |
    unreadable «q» Tp1 | q : C5 D5 E5 F5 |
Tp1 | q e e C5 D5 E5 |
    unreadable «q e e» Tp1 | q e e : C5 D5 E5 |
Tp1 | {3:2 e e e} C5 D5 E5 |
    unreadable «{3:2 e e e}» Tp1 | {3:2 e e e} : C5 D5 E5 |
Tp1 | q q q q |
    unreadable «q q q q»
Tp1 | q :C5 |
    unreadable «:C5» Tp1 | q : C5 |
Tp1 | q:C5 D5 |
    unreadable «:C5» Tp1 | q: C5 D5 |
Tp1 | p q : C5 |
    unreadable «p» Tp1 | q : p C5 |
Tp1 | [mute cup] q : C5 |
    unreadable «[mute cup]» Tp1 | q : [mute cup] C5 |
Tp1 | c5 |
    unreadable «c5» Tp1 | C5 |
Tp1 | f#4 |
    unreadable «f#4» Tp1 | F#4 |
Tp1 | (c5 E5) |
    unreadable «c5» Tp1 | (C5 E5) |
Tp1 | F##4 |
    unreadable «F##4» Tp1 | Fx4 |
Tp1 | F# |
    bad-number «F#»
Tp1 | Bb |
    bad-number «Bb»
Tp1 | C10 |
    bad-number «C10»
Tp1 | F#10 |
    bad-number «F#10»
Tp1 | C5D5 |
    unreadable «C5D5» Tp1 | C5 D5 |
Tp1 | C5_D5 |
    unreadable «C5_D5» Tp1 | C5_ D5 |
Tp1 | C5=D5 |
    unreadable «=» Tp1 | C5 =D5 |
    unreadable «D5» Tp1 | C5= D5 |
Tp1 | C5 || D5 |
    unreadable «||» Tp1 | C5 | D5 |
Tp1 | C5 | D5
    unclosed «D5» Tp1 | C5 | D5 |
Tp1 | < C5 |
    unreadable «<» Tp1 | cresc C5 |
Tp1 | C5 > |
    unreadable «>» Tp1 | C5> |
Tp1 | p > C5 |
    unreadable «>» Tp1 | p dim C5 |
Tp1 | C5 . |
    unreadable «.» Tp1 | C5. |
Tp1 | “dolce” C5 |
    unreadable «“dolce”» Tp1 | "dolce" C5 |
Tp1 | "dolce C5 |
    unreadable «"dolce C5» Tp1 | "dolce" C5 |
Tp1 | C5.. |
    unreadable «.» Tp1 | C5. |
Tp1 | C5@8 |
    unreadable «@8»
Tp1 | C5@T |
    unreadable «@T» Tp1 | C5@T0 |
Tp1 | C5:trill= |
    unreadable «=»
Tp1 | C5:gliss=D5 |
    unreadable «=D5» Tp1 | C5:gliss |
Tp1 | C5:glis |
    unknown-name «:glis» Tp1 | C5:gliss |
Tp1 | C5*1 |
    bad-number «*1» Tp1 | C5 |
Tp1 | C5*65 |
    bad-number «*65»
Tp1 | C5*3. |
    unreadable «.» Tp1 | C5.*3 |
Tp1 | =- C5 |
    unreadable «-» Tp1 | = C5 |
Tp1 | -. |
    unreadable «.» Tp1 | - |
Tp1 | /C5^ D5 |
    unreadable «^» Tp1 | /C5 D5 |
Tp1 | /C5*3 D5 |
    unreadable «*3» Tp1 | /C5 D5 |
Tp1 | C5 /D5 |
    unreadable «/D5»
Tp1 | / D5 C5 |
    unreadable «/»
Tp1 | [mute cp] C5 |
    unknown-name «cp» Tp1 | [mute cup] C5 |
Tp1 | [cup] C5 |
    unknown-name «cup» Tp1 | [mute cup] C5 |
Tp1 | [opne] C5 |
    unknown-name «opne» Tp1 | [open] C5 |
Tp1 | [rit] C5 |
    unreadable «[rit]»
Tp1 | [tempo q = 60] C5 |
    unreadable «[tempo q = 60]»
Tp1 | [] C5 |
    unreadable «[]»
Tp1 | p |
    place-count «p» Tp1 | p - |
Tp1 | h : p |
    place-count «p» Tp1 | h : p - |
Tp1 | : C5 |
    unreadable «:»
Tp1 | h : rest 4 |
    unreadable «rest 4» Tp1 |  rest 4 |
Tp1 | C5 rest 4 D5 |
    unreadable «rest 4» Tp1 | C5 | rest 4 | D5 |
Tp1 | rest |
    unreadable «rest» Tp1 | - |
Tp1 | rest 0 |
    bad-number «0»
Tp1 | play |
    unreadable «play»
Tp1 | play x up |
    unreadable «up»
Tp1 | crescendo C5 |
    unreadable «crescendo» Tp1 | cresc C5 |
Tp1 | dolce C5 |
    unreadable «dolce» Tp1 | "dolce" C5 |
Tp1 | –  |
    unreadable «–» Tp1 | -  |
Tp1 | C5 ( D5 |
    unreadable «(»
Tp1 | ((C4 E4) G4) |
    unreadable «(C4»
Tp1 | (C4) |
    unreadable «(C4)» Tp1 | C4 |
Tp1 | e4 : C5*4 |
    unreadable «e4» Tp1 | e*4 : C5*4 |
Tp1 | Q : C5 |
    unreadable «Q» Tp1 | q : C5 |
Tp1 | q... : C5 |
    bad-number «.» Tp1 | q.. : C5 |
Tp1 | {0:2 q} : C5 |
    bad-number «0»
Tp1 | {3 e e e} : C5 D5 E5 |
    unreadable «3» Tp1 | {3:2 e e e} : C5 D5 E5 |
Tp1 | {3:2 } : C5 |
    unreadable «}»
Tp1 | q_ : C5 |
    unreadable «_»
Tp1 | ssss : C5 |
    unreadable «ssss»
Tp1 | q:trill : C5 |
    unreadable «:trill»
Tp1 | C5 D5 |
rhythm | q q : |
    unreadable «:» rhythm | q q  |
rhythm | % q |
    unreadable «%»
rhythm | %*3 |
    unreadable «%*3» rhythm | % | % | % |
rhythm | - |
    unreadable «-»
rhythm | rest 4 |
    unreadable «rest»
rhythm | [mute cup] q |
    unreadable «[mute cup]»
rhythm | {2:1 {2:1 {2:1 {2:1 q}}}} |
    unreadable «{2:1»
rhythm q q q
    unreadable «q q q»
chords | bb6 |
    unreadable «bb6» chords | Bb6 |
chords | NC |
    unreadable «NC» chords | N.C. |
phrase | w : C5 |
    unreadable «phrase»
phrase x | = |
    unreadable «=»
phrase x | q= q : C5 |
    unreadable «q=»
| C5 |
    unknown-player «|»
Tp1, Tp2 | C5 |
    unreadable «,» Tp1 Tp2 | C5 |
Tp1? | C5 |
    unknown-player «Tp1?»
Tp1 | C5 D5 |
    unreadable « » Tp1 | C5 D5 |
Tp1 | "dolce"h |
    unreadable «h»
Tp1 | C5 | D5 | !x
    unreadable «!»
Tp1 | C5@12@3 |
    unreadable «@3» Tp1 | C5@12 |
Tp1 | C5,,,, |
    unreadable «,,» Tp1 | C5,, |
Tp1 | C5 } D5 |
    unreadable «}»
Tp1 | $ C5 |
    unreadable «$»
Tp1 | 3 C5 |
    unreadable «3»
Tp1 | C5 *3 |
    unreadable «*3» Tp1 | C5*3 |
Tp1 | mfp C5 |
    unreadable «mfp» Tp1 | mp C5 |
Tp1 | % C5 |
    unreadable «%» Tp1 | % | C5 |
Tp1 | improvise |
    unreadable «improvise»
Tp1 | play x up H7 |
    unreadable «H7»
Tp1 | h{ : C5 |
    unreadable «{»
Tp1 | C5 : D5 |
    unreadable «C5»
Tp1 | [clef tenr] C5 |
    unknown-name «tenr» Tp1 | [clef tenor] C5 |
Tp1 | [switch] C5 |
    unreadable «switch»
Tp1 | [solo x] C5 |
    unreadable «x»
rhythm | [tempo q 60] q |
    unreadable «60» rhythm | [tempo q = 60] q |
allow too_high
    unknown-name «too_high»
player Tp1 = horn in F mutes cup
    unreadable «mutes cup» player Tp1 = horn in F, mutes cup
bar 1 key H major
    unreadable «H»
bar 123456
    bad-number «123456»
bar 1 repeat 2 to
    unreadable «to»
bar 1 ending
    unreadable «ending»
phrase x y | w : C5 |
    unreadable «y»
rhythm x | q |
    unreadable «x»
Tp1 // | C5 |
    unknown-word «Tp1»
Tp1 |
    unclosed «|» Tp1 | |
player X = horn in F
    unreadable « » player X = horn in F
    unreadable « » player X = horn in F
"##;

fn read(text: &str) -> Line {
    read_line(text, Ending::Lf)
}

fn fixed(text: &str, fault: &waterkey::notation::Fault) -> Option<String> {
    let mut out = text.to_owned();
    for (span, with) in fault.fix.as_ref()?.edits.iter().rev() {
        out.replace_range(span.start as usize..span.end as usize, with);
    }
    Some(out)
}

#[test]
fn faults_stand_where_the_mistake_is() {
    let mut told = String::new();
    for text in TABLE.lines().filter(|l| !l.is_empty() && !l.starts_with("    ")) {
        told.push_str(text.trim_end());
        for fault in &read(text).faults {
            let with = fixed(text, fault).unwrap_or_default();
            let one = format!("\n    {} «{}» {with}", fault.name.word(), fault.span.of(text));
            told.push_str(one.trim_end());
        }
        told.push('\n');
    }
    assert_eq!(told.trim(), TABLE.trim());
}

#[test]
fn a_fix_takes_its_fault_away() {
    for text in TABLE.lines().filter(|l| !l.is_empty() && !l.starts_with("    ")) {
        let line = read(text);
        for fault in &line.faults {
            let Some(better) = fixed(text, fault) else { continue };
            let after = read(&better);
            assert!(after.faults.len() < line.faults.len(), "{text} became {better}: {:?}", after.faults);
        }
    }
}

#[test]
fn a_bar_with_an_unreadable_token_says_so() {
    use waterkey::notation::tree::LineTree;
    let line = read("Tp1 | C5 c5 | D5 | q E5 | p | q : C5 D5 |");
    let LineTree::Row(row) = &line.tree else { panic!("a row") };
    let faulty: Vec<bool> = row.bars.iter().map(|bar| bar.faulty).collect();
    assert_eq!(faulty, [true, false, true, true, false]);
}

#[test]
fn messages_are_for_musicians() {
    for text in TABLE.lines().filter(|l| !l.starts_with("    ")) {
        for fault in &read(text).faults {
            assert!(fault.text.ends_with(['.', '?', '…', '`']), "{}", fault.text);
            for word in ["Some(", "None", "token", "parse", "Span", "unexpected", "syntax"] {
                assert!(!fault.text.contains(word), "{}", fault.text);
            }
            let title = fault.fix.as_ref().map_or("X", |fix| &fix.title);
            assert!(title.starts_with(|c: char| c.is_uppercase()), "{title}");
        }
    }
}
