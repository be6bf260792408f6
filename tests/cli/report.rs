//! `waterkey report`: the rehearsal sheet.

use super::answer::{folder, members, run, run_with};
use super::scores::FAULTY;
use proptest::prelude::*;
use std::collections::HashSet;
use std::path::Path;
use waterkey::assist::sheet::sheet;
use waterkey::exchange::sheet::{html, json, text};
use waterkey::host::FolderLoader;
use waterkey::rules::{Desk, Settings};
use waterkey::score::NoFiles;

/// A repeat, a mute in a hurry, another instrument, high notes, a note too high, a part of two seats.
const SCORE: &str = "\
title    \"Harbour at First Light\"
composer \"A <copyist> & friends\"
player Tp1 = trumpet in Bb, level amateur, doubles flugelhorn in Bb, mutes cup, name \"The pilot's trumpet\"
player Eu  = euphonium, seats 2
player Sig = bugle in Bb

bar 1  meter 4/4  key Bb major  tempo q = 60  mark A  repeat 2
Tp1 | q : Bb4 C5 D5 Eb5 | h : F5 G5  | w : C6                    |
Eu  | w : (Bb2 F3)      | h : Bb2 C3 | -                         |

bar 4  mark B
Tp1 | h. q : [mute cup] Bb4 - | - | [switch flugelhorn] w : F4 |
Eu  | rest 3                                                   |
";

fn score() -> String {
    SCORE.replace("| [switch flugelhorn] w : F4 |", "| w : [switch flugelhorn] F4 |")
}

fn desk(text: &str) -> Desk {
    Desk::new(text, Settings::default(), &NoFiles)
}

/// The page as a tree: it is XML as well as HTML.
fn page(html: &str) -> roxmltree::Document<'_> {
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..Default::default() };
    let page = roxmltree::Document::parse_with_options(html, options);
    page.unwrap_or_else(|why| panic!("{why}\n{}", html.chars().take(4000).collect::<String>()))
}

/// What must hold for every page.
fn page_is_sound(desk: &Desk) {
    let told = sheet(desk);
    let html = html(&told);
    let page = page(&html);
    let all: Vec<_> = page.descendants().filter(|n| n.is_element()).collect();
    let ids: Vec<_> = all.iter().filter_map(|n| n.attribute("id")).collect();
    let unique: HashSet<_> = ids.iter().collect();
    assert_eq!(unique.len(), ids.len(), "an id twice");
    for link in all.iter().filter_map(|n| n.attribute("href")) {
        let place = link.strip_prefix('#').unwrap_or_else(|| panic!("{link} leads out of the page"));
        assert!(unique.contains(&place), "{link} leads nowhere");
    }
    for node in &all {
        assert!(!["script", "link", "img", "iframe", "foreignObject"].contains(&node.tag_name().name()));
        for attribute in node.attributes() {
            assert!(!attribute.name().starts_with("on") && attribute.name() != "src", "{attribute:?}");
            assert!(
                !attribute.value().contains("NaN") && !attribute.value().contains("inf%"),
                "{attribute:?}"
            );
        }
    }
    let style = all.iter().find(|n| n.tag_name().name() == "style").unwrap().text().unwrap();
    assert!(!style.contains("url(") && !style.contains("@import"));
    let class = |name: &'static str| {
        all.iter().filter(move |n| n.attribute("class").is_some_and(|c| c.split(' ').any(|c| c == name)))
    };
    assert_eq!(class("player").count(), told.players.len());
    let with_chart = told.players.iter().filter(|p| !p.instruments.is_empty() && told.axis.length > 0.0);
    assert_eq!(class("chart").count(), with_chart.count());
    for chart in class("chart") {
        let inside = |name| chart.descendants().any(|n| n.attribute("class") == Some(name));
        assert!(inside("band") && inside("staff") && inside("usual"));
        assert!(chart.attribute("aria-label").is_some_and(|label| label.starts_with("Chart of ")));
    }
    for cell in class("cell") {
        assert!(cell.children().any(|n| n.tag_name().name() == "title" && n.text().is_some()));
    }
    let headings: Vec<u8> = all
        .iter()
        .filter_map(|n| n.tag_name().name().strip_prefix('h').filter(|l| l.len() == 1)?.parse().ok())
        .collect();
    assert_eq!(headings.iter().filter(|level| **level == 1).count(), 1);
    assert!(headings.windows(2).all(|pair| pair[1] <= pair[0] + 1), "no level is left out: {headings:?}");
    let _ = text(&told, 40);
    json(&told).unwrap();
}

#[test]
fn as_text() {
    let dir = folder(&[("a.brass", &score())]);
    let answer = run(dir.path(), &["report", "a.brass"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    insta::assert_snapshot!(answer.out);
    assert_eq!(run_with(dir.path(), &["report", "-"], score().as_bytes()).out, answer.out);
}

#[test]
fn json_has_its_shape() {
    let dir = folder(&[("a.brass", &score())]);
    let answer = run(dir.path(), &["report", "a.brass", "--format", "json"]).json();
    assert_eq!(
        members(&answer),
        [
            "arranger",
            "bars",
            "composer",
            "findings",
            "marks",
            "playedBars",
            "players",
            "seconds",
            "title",
            "version"
        ]
    );
    assert_eq!(
        (&answer["version"], &answer["bars"], &answer["playedBars"]),
        (&1.into(), &6.into(), &9.into())
    );
    assert_eq!(answer["seconds"], 36.0);
    assert_eq!(answer["marks"][1], serde_json::json!({"name": "A", "bar": 1, "seconds": 12.0}));
    let player = &answer["players"][0];
    assert_eq!(
        members(player),
        [
            "changes",
            "changesLeftOut",
            "findings",
            "hardestBars",
            "highPassages",
            "highSeconds",
            "highest",
            "id",
            "instruments",
            "level",
            "longestWithoutRest",
            "lowest",
            "name",
            "notes",
            "playingBars",
            "playingSeconds",
            "playingShare",
            "seats"
        ]
    );
    // Both times round and three quarters of bar 4, without a rest: 24 s and 3 s.
    assert_eq!(
        player["longestWithoutRest"],
        serde_json::json!({
            "firstBar": 1, "lastBar": 4, "bars": 7, "fromSeconds": 0.0, "toSeconds": 27.0, "playingSeconds": 27.0
        })
    );
    assert_eq!((&player["playingSeconds"], &player["playingShare"]), (&31.0.into(), &0.861.into()));
    assert_eq!(player["highest"], serde_json::json!({"written": "D6", "sounding": "C6", "bar": 3}));
    let change = &player["changes"][0];
    assert_eq!(
        members(change),
        [
            "atSeconds",
            "availableSeconds",
            "comfortableSeconds",
            "firstBar",
            "from",
            "kind",
            "lastBar",
            "leastSeconds",
            "source",
            "time",
            "to"
        ]
    );
    assert_eq!((&change["availableSeconds"], &change["time"]), (&0.0.into(), &"too-little".into()));
    assert_eq!((&change["to"], &change["kind"]), (&"cup mute".into(), &"bell".into()));
    assert_eq!(player["changes"][1]["kind"], "instrument");
    assert_eq!(player["changes"][1]["availableSeconds"], 5.0);
    let instrument = members(&player["instruments"][1]);
    assert_eq!(
        instrument,
        [
            "clef",
            "comfortableTopWritten",
            "highAboveWritten",
            "label",
            "lowWritten",
            "notes",
            "playingSeconds",
            "reachWritten",
            "usualTopWritten"
        ]
    );
    assert_eq!(
        members(&player["hardestBars"][0]),
        ["bar", "findings", "lipsShare", "notesPerSecond", "points"]
    );
    assert_eq!(
        members(&player["findings"][0]),
        ["atSeconds", "bar", "grade", "limit", "line", "measured", "message", "rule", "severity"]
    );
    assert_eq!(
        members(&player["highPassages"][0]),
        [
            "firstBar",
            "fromSeconds",
            "highSeconds",
            "highestSounding",
            "highestWritten",
            "lastBar",
            "toSeconds"
        ]
    );
    let silent = &answer["players"][2];
    assert_eq!((&silent["playingShare"], &silent["notes"]), (&0.0.into(), &0.into()));
    assert!(silent["longestWithoutRest"].is_null() && silent["lowest"].is_null());
}

#[test]
fn as_a_page_into_a_file() {
    let dir = folder(&[("a.brass", &score())]);
    let answer = run(dir.path(), &["report", "a.brass", "--format", "html", "-o", "a.html"]);
    assert_eq!((answer.status, answer.out.as_str(), answer.err.as_str()), (0, "a.html is written\n", ""));
    let written = std::fs::read_to_string(dir.path().join("a.html")).unwrap();
    assert_eq!(run(dir.path(), &["report", "a.brass", "--format", "html"]).out, written);
    assert_eq!(written, html(&sheet(&desk(&score()))));
    let page = page(&written);
    let heading =
        page.descendants().find(|n| n.has_tag_name(("http://www.w3.org/1999/xhtml", "h1"))).unwrap();
    assert_eq!(heading.descendants().filter_map(|n| n.text()).next(), Some("Harbour at First Light"));
    assert!(written.contains("A &lt;copyist&gt; &amp; "), "escaped");
    let answer = run(dir.path(), &["report", "a.brass", "-o", "./a.brass"]);
    assert!(answer.status == 2 && answer.err.contains("the score itself"), "{answer:?}");
    assert_eq!(std::fs::read_to_string(dir.path().join("a.brass")).unwrap(), score());
}

#[test]
fn every_sample_has_a_sound_page() {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples");
    let mut seen = 0;
    for entry in std::fs::read_dir(samples).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "brass") {
            let text = std::fs::read_to_string(&path).unwrap();
            page_is_sound(&Desk::new(&text, Settings::default(), &FolderLoader::for_score(&path, &[])));
            seen += 1;
        }
    }
    assert!(seen >= 7);
}

#[test]
fn what_is_not_there_or_not_whole() {
    let dir = folder(&[
        ("a.brass", &score()),
        ("faulty.brass", FAULTY),
        ("empty.brass", ""),
        (
            "untimed.brass",
            "player Hn = horn in F\nbar 1\nHn | w : F4 |\nbar 2  tempo q = 60\nHn | w : F4 |\n",
        ),
    ]);
    for wrong in [
        &["report"][..],
        &["report", "nobody.brass"],
        &["report", "a.brass", "--format", "pdf"],
        &["report", "a.brass", "-o", "no/where.html"],
    ] {
        let answer = run(dir.path(), wrong);
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{wrong:?}");
        assert!(!answer.err.is_empty(), "{wrong:?}");
    }
    let faulty = run(dir.path(), &["report", "faulty.brass"]);
    assert_eq!(faulty.status, 1);
    assert!(
        faulty.out.contains("error place-count") && faulty.err.contains("a fault of reading"),
        "{faulty:?}"
    );
    for format in ["text", "json", "html"] {
        let empty = run(dir.path(), &["report", "empty.brass", "--format", format]);
        assert_eq!((empty.status, empty.err.as_str()), (0, ""), "{format}");
        let untimed = run(dir.path(), &["report", "untimed.brass", "--format", format]);
        assert_eq!(untimed.status, 0);
    }
    let untimed = run(dir.path(), &["report", "untimed.brass", "--format", "json"]).json();
    assert!(untimed["seconds"].is_null() && untimed["players"][0]["playingShare"].is_null());
    assert_eq!(untimed["players"][0]["playingBars"], 2);
    assert!(run(dir.path(), &["report", "untimed.brass"]).out.contains("no tempo from the beginning"));
}

#[test]
fn names_stay_in_their_places() {
    let name = "<script>alert(1)</script> \u{202e}&amp; ' ]]> \u{1d11e} --> Nebelwarnsignalanlagenwärterin";
    let text = format!(
        "title \"{name}\"\nplayer A = horn in F, name \"{name}\"\nbar 1  tempo q = 60  mark \"{name}\"\nA | w : \"{name}\" F4 |\n"
    );
    page_is_sound(&desk(&text));
    let html = html(&sheet(&desk(&text)));
    assert!(!html.contains("<script"));
    let page = page(&html);
    let title =
        page.descendants().find(|n| n.tag_name().name() == "title").unwrap().text().unwrap().to_owned();
    assert_eq!(title, format!("{name}: rehearsal sheet"));
}

#[test]
fn a_long_score_for_many_has_a_small_page() {
    let mut text = String::from("title \"All watches\"\n");
    for player in 0..30 {
        text += &format!("player P{player} = trumpet in Bb\n");
    }
    for block in 0..84 {
        text += &format!(
            "bar {}  meter 4/4{}\n",
            block * 10 + 1,
            if block == 0 { "  tempo q = 120" } else { "" }
        );
        for player in 0..30 {
            let bars = " q : Bb4 C5 D5 F5 |".repeat(10);
            text += &format!("P{player} |{bars}\n");
        }
    }
    let desk = desk(&text);
    let told = sheet(&desk);
    assert!(told.players.iter().map(|p| p.notes).sum::<u64>() > 100_000);
    let html = html(&told);
    assert!(html.len() < 1_300_000, "{}", html.len());
    page_is_sound(&desk);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn whatever_is_written_has_a_sound_page(text in "(title \".{0,12}\"\n)?(player [A-Z][a-z1]{0,3} = (trumpet|horn|tuba|kazoo)( in (Bb|F|Eb))?(, name \".{0,9}\")?\n){0,3}(bar  meter [0-9]/4|bar 7  repeat 3  mark \".{0,9}\"|bar  tempo q = [0-9]{0,3}|[A-Z][a-z1]{0,3} \\| [whqe. :A-G0-9#b=%|-]{0,40}\\|\n|.{0,20}\n){0,12}") {
        page_is_sound(&desk(&text));
    }
}
