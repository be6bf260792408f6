//! Names looked for in all texts at once.

use super::client::{Client, range_of};
use super::folders::{ENCODINGS, cut, folder, opened, started, uri};
use serde_json::{Value, json};
use std::path::Path;

const QUAY: &str = "\
title \"Quay \u{1d11e} at dawn\"
include \"hulls/boats.txt\"
player T\u{10428}p = trumpet in Bb
player Tb1 = trombone
group Low = Tb1
phrase oars | q : C4 D4 E4 F4 |
bar 1  tempo q = 72  mark \"\u{1d11e} Two Lights\"
bar 2  spot tail
";
const PIER: &str = "// \u{1d11e}\r\nplayer Tuba = F tuba\r\nbar 1 mark B\r\nTuba | w : C2 |\r\n";

fn looked_for(client: &mut Client, typed: &str) -> Vec<Value> {
    let answer = client.ask("workspace/symbol", json!({"query": typed}));
    answer["result"].as_array().unwrap_or_else(|| panic!("{answer}")).clone()
}

fn names(all: &[Value]) -> Vec<&str> {
    all.iter().map(|s| s["name"].as_str().unwrap()).collect()
}

#[test]
fn everything_with_a_name_is_found_in_open_and_closed_texts() {
    for encoding in ENCODINGS {
        let (_dir, root) = folder(&[
            ("quay.brass", QUAY),
            ("old/pier.brass", PIER),
            ("hulls/boats.txt", "instrument skiff = slide, fundamental Bb1\n"),
            ("broken.brass", ""),
        ]);
        std::fs::write(root.join("broken.brass"), b"player \xff").unwrap();
        let mut client = started(Some(&root), encoding, json!({}));
        let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
        client.open("untitled:b", 1, "group Pair = A B\n");
        client.findings("untitled:b", 1);
        let all = looked_for(&mut client, "");
        let mut told: Vec<String> = all
            .iter()
            .map(|s| {
                let at = &s["location"];
                let text = match at["uri"].as_str().unwrap() {
                    "untitled:b" => "group Pair = A B\n".to_owned(),
                    uri => std::fs::read_to_string(Path::new(uri.strip_prefix("file://").unwrap())).unwrap(),
                };
                assert_eq!(cut(encoding, &text, &at["range"]), s["name"], "{s}");
                format!("{} in {}", s["name"].as_str().unwrap(), s["containerName"].as_str().unwrap())
            })
            .collect();
        told.sort();
        let title = "Quay \u{1d11e} at dawn";
        let mut expected = vec![
            "B in pier.brass".to_owned(),
            "Pair in b".into(),
            "Tuba in pier.brass".into(),
            "skiff in boats.txt".into(),
            format!("{title} in quay.brass"),
        ];
        let own = ["T\u{10428}p", "Tb1", "Low", "oars", "\u{1d11e} Two Lights", "tail"];
        expected.extend(own.map(|name| format!("{name} in {title}")));
        expected.sort();
        assert_eq!(told, expected);
        let kinds = |name: &str| all.iter().find(|s| s["name"] == name).unwrap()["kind"].clone();
        assert_eq!(
            [kinds("Tb1"), kinds("Low"), kinds("oars"), kinds("skiff")],
            [13, 18, 12, 5].map(|k| json!(k))
        );
        let tuba = all.iter().find(|s| s["name"] == "Tuba").unwrap();
        assert_eq!(tuba["location"]["uri"], uri(&root.join("old/pier.brass")));
        assert_eq!(tuba["location"]["range"], range_of([1, 7, 1, 11]));

        assert_eq!(names(&looked_for(&mut client, "tb1")), ["Tb1"]);
        assert_eq!(names(&looked_for(&mut client, "TB")), ["Tb1", "Tuba"], "the nearest first");
        assert_eq!(names(&looked_for(&mut client, "two li")), ["\u{1d11e} Two Lights"]);
        assert_eq!(names(&looked_for(&mut client, "\u{10428}p")), ["T\u{10428}p"]);
        assert!(looked_for(&mut client, "zebra").is_empty());

        // What the editor holds counts, and what changed on disk.
        client.replace(&quay, 8, "player Zebra = trombone\n");
        std::fs::write(root.join("old/pier.brass"), "player Zebras = trombone\n").unwrap();
        assert_eq!(names(&looked_for(&mut client, "zebra")), ["Zebra", "Zebras"]);
        client.end();
        client.unread.clear();
    }
}

#[test]
fn no_more_than_anybody_reads() {
    let mut client = started(None, "utf-16", json!({}));
    let text: String = (0..1000).map(|n| format!("player P{n} = trombone\n")).collect();
    client.open("untitled:a", 1, &text);
    client.findings("untitled:a", 1);
    assert_eq!(looked_for(&mut client, "p").len(), 200);
    assert_eq!(names(&looked_for(&mut client, "P999")), ["P999"]);
}
