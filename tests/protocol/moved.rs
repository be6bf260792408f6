//! Included files that get another name or another place in the editor.

use super::client::Client;
use super::folders::{ENCODINGS, applied, folder, opened, started, uri};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const QUAY: &str = "title \"\u{1d11e}\"\ninclude \"./parts/low \u{1d11e}.brass\"\ninclude \"crew.brass\"\n";
const LOW: &str = "include \"../crew.brass\"\r\ninclude \"boats.brass\"\r\n";
const PIER: &str = "include \"../crew.brass\"\ninclude \"../parts/boats.brass\"\ninclude \"nobody.brass\"\n";

fn harbour() -> (tempfile::TempDir, PathBuf, BTreeMap<String, String>) {
    let files = [
        ("quay.brass", QUAY),
        ("crew.brass", "player A = trombone\n"),
        ("parts/low \u{1d11e}.brass", LOW),
        ("parts/boats.brass", "instrument skiff = slide, fundamental Bb1\n"),
        ("old/pier.brass", PIER),
    ];
    let (dir, root) = folder(&files);
    let last = |name: &str| uri(Path::new(name)).rsplit('/').next().unwrap().replace(' ', "%20");
    let texts = files.map(|(name, text)| (last(name).replace('\u{1d11e}', "%F0%9D%84%9E"), text.to_owned()));
    (dir, root, texts.into())
}

fn asking() -> Value {
    json!({"workspace": {"workspaceEdit": {"documentChanges": true},
        "fileOperations": {"willRename": true, "didRename": true}}})
}

fn moved(client: &mut Client, root: &Path, from: &str, to: &str) -> Value {
    let address = |name: &str| uri(&root.join(name)).replace(' ', "%20").replace('\u{1d11e}', "%F0%9D%84%9E");
    let file = json!({"oldUri": address(from), "newUri": address(to)});
    client.ask("workspace/willRenameFiles", json!({"files": [file]}))
}

#[test]
fn the_lines_that_name_a_file_follow_it() {
    for encoding in ENCODINGS {
        let (_dir, root, before) = harbour();
        let mut client = started(Some(&root), encoding, asking());
        let offered = &client.initialized["capabilities"]["workspace"]["fileOperations"];
        assert!(offered["willRename"]["filters"].is_array() && offered["didRename"].is_object(), "{offered}");
        opened(&mut client, &root.join("quay.brass"), QUAY);
        let low = "low%20%F0%9D%84%9E.brass";
        let mut after = |from: &str, to: &str| {
            let answer = moved(&mut client, &root, from, to);
            let mut texts = before.clone();
            let versions = applied(encoding, &answer, &mut texts);
            texts.retain(|name, text| before[name] != *text);
            assert_eq!(versions.len(), texts.len(), "{answer}");
            texts
        };
        let named = after("crew.brass", "the crew.brass");
        assert_eq!(named["quay.brass"], QUAY.replace("crew.brass", "the crew.brass"));
        assert_eq!(named[low], LOW.replace("../crew.brass", "../the crew.brass"));
        assert_eq!(named["pier.brass"], PIER.replace("../crew.brass", "../the crew.brass"));
        // The folders stay as they are written.
        let named = after("parts/low \u{1d11e}.brass", "parts/low.brass");
        assert_eq!(named.keys().collect::<Vec<_>>(), ["quay.brass"]);
        assert_eq!(named["quay.brass"], QUAY.replace("low \u{1d11e}.brass", "low.brass"));
        // A file that moves takes its own ways along.
        let placed = after("parts/low \u{1d11e}.brass", "low.brass");
        assert_eq!(placed["quay.brass"], QUAY.replace("./parts/low \u{1d11e}.brass", "low.brass"));
        assert_eq!(placed[low], "include \"crew.brass\"\r\ninclude \"parts/boats.brass\"\r\n");
        let placed = after("old/pier.brass", "pier.brass");
        assert_eq!(placed.keys().collect::<Vec<_>>(), ["pier.brass"]);
        assert_eq!(placed["pier.brass"], PIER.replace("../", ""));
        // A whole folder.
        let placed = after("parts", "hulls/small");
        assert_eq!(placed["quay.brass"], QUAY.replace("./parts/", "hulls/small/"));
        assert_eq!(placed["pier.brass"], PIER.replace("../parts/", "../hulls/small/"));
        assert_eq!(placed[low], LOW.replace("../crew", "../../crew"));
        // Nothing names these, or what they become cannot be written.
        assert_eq!(moved(&mut client, &root, "quay.brass", "wharf.brass")["result"], Value::Null);
        assert_eq!(moved(&mut client, &root, "old", "older")["result"], Value::Null);
        assert_eq!(moved(&mut client, &root, "crew.brass", "a%22b.brass")["result"], Value::Null);
        client.end();
        client.unread.clear();
    }
}

#[test]
fn a_file_that_moved_is_read_anew() {
    let (_dir, root, _) = harbour();
    let text = "include \"band.brass\"\nbar 1 tempo q = 72\nA | w : C4 |\n";
    std::fs::write(root.join("quay.brass"), text).unwrap();
    let mut client = started(Some(&root), "utf-16", asking());
    let quay = uri(&root.join("quay.brass"));
    client.open(&quay, 1, text);
    assert_eq!(client.findings(&quay, 1)[0]["code"], "include-fault");
    std::fs::rename(root.join("crew.brass"), root.join("band.brass")).unwrap();
    let file = json!({"oldUri": uri(&root.join("crew.brass")), "newUri": uri(&root.join("band.brass"))});
    client.tell("workspace/didRenameFiles", json!({"files": [file]}));
    assert_eq!(client.findings(&quay, 1), json!([]));
}

#[test]
fn who_does_not_ask_is_not_offered_it() {
    let client = started(None, "utf-16", json!({}));
    assert!(client.initialized["capabilities"]["workspace"].get("fileOperations").is_none());
}
