//! The plan of a line and the plan of one note are one plan.

use std::path::Path;
use waterkey::host::FolderLoader;
use waterkey::rules::line_plan::{of_line, of_note};
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;

#[test]
fn a_note_is_planned_as_its_line_is() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut notes = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "brass") {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        let desk = Desk::new(&text, Settings::default(), &FolderLoader::for_score(&path, &[]));
        for player in 0..desk.score().head.players.len() {
            let line = of_line(&desk, player);
            for (i, planned) in line.iter().enumerate().filter(|(_, p)| p.pass == 1) {
                let events = desk.report().events(desk.score(), planned.block, player);
                let Some(event) = planned.event(&desk, &events) else { continue };
                let same = |p: &&waterkey::rules::line_plan::PlannedNote| {
                    (p.visit, p.line, p.span, p.bar)
                        == (planned.visit, planned.line, planned.span, planned.bar)
                };
                // Several notes of a phrase or of a `*n` stand in one place: the first is told.
                if line.iter().position(|p| same(&p) && p.note.midi == planned.note.midi) != Some(i) {
                    continue;
                }
                let (here, next) = of_note(&desk, player, planned.block, event).unwrap();
                assert_eq!((here.step, here.span), (planned.step, planned.span), "{path:?}");
                let after = line.get(i + 1).filter(|n| !n.begins());
                assert_eq!(next.map(|n| (n.step, n.span)), after.map(|n| (n.step, n.span)), "{path:?}");
                notes += 1;
            }
        }
    }
    assert!(notes > 500, "{notes}");
}

#[test]
fn a_note_without_a_tempo_has_no_plan() {
    let desk = Desk::new("player Tb1 = trombone\nbar 1\nTb1 | h : F3 C3 |\n", Settings::default(), &NoFiles);
    let events = desk.report().events(desk.score(), 0, 0);
    assert_eq!(of_note(&desk, 0, 0, &events[0]), None);
    assert!(of_line(&desk, 0).is_empty());
}

/// A note is found again in a score of any length without hearing the whole line.
#[test]
fn the_plan_of_a_note_hears_its_surroundings_alone() {
    let mut text =
        String::from("player Tb1 = trombone\nbar 1  meter 4/4  tempo q = 100\nTb1 | q : F3 C3 D3 Eb3 |\n");
    for _ in 0..3000 {
        text += "bar\nTb1 | q : F3 C3 D3 Eb3 |\n";
    }
    let desk = Desk::new(&text, Settings::default(), &NoFiles);
    let mut heard = 0;
    desk.report().listen_from(desk.score(), 0, 1500, &mut |_, _| {
        heard += 1;
        heard < 3
    });
    assert_eq!(heard, 3);
    let events = desk.report().events(desk.score(), 1500, 0);
    let (here, next) = of_note(&desk, 0, 1500, &events[3]).unwrap();
    assert_eq!((here.visit, next.unwrap().visit), (1500, 1501));
}
