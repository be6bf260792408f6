//! Names that several files have in common: found and changed in all of them, in real folders, with
//! astral characters before the names and inside them, in all three encodings.

use super::client::{Client, range_of};
use super::folders::{ENCODINGS, applied, ask, at, cut, folder, opened, started, uri};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Declares what the others use; the player's name has an astral letter.
const CREW: &str = "\
brass 1
// \u{1d11e} the crew
player T\u{10428}p = trumpet in Bb, name \"\u{1d11e}\"
player Tb1 = skiff
group All = T\u{10428}p Tb1
";
const LOW: &str = "include \"../boats.brass\"\ngroup Low = Tb1\n";
const BOATS: &str = "instrument skiff = slide, fundamental Bb1\r\nphrase oars | q : C4 D4 E4 F4 |\r\n";
const QUAY: &str = "\
brass 1
title \"Quay \u{1d11e}\"
include \"crew.brass\"
include \"parts/low.brass\"

bar 1  meter 4/4  tempo q = 72  mark A
T\u{10428}p | w : \"\u{1d11e}\u{1d11e}\" C5 | play oars |
T\u{10428}p Tb1 | | | w : D4 |
Low | | | | w : D3 |
";
const PIER: &str = "\
brass 1
include \"./parts/../crew.brass\"
include \"boats.brass\"
allow too-high for All

bar 1  meter 4/4  tempo q = 72  mark A
T\u{10428}p | w : C5 |
";
/// Has a player of the same name, and nothing to do with the others.
const FERRY: &str =
    "brass 1\nplayer T\u{10428}p = cornet in Bb\nbar 1 tempo q = 72\nT\u{10428}p | w : C5 |\n";

fn harbour() -> (tempfile::TempDir, PathBuf) {
    folder(&[
        ("crew.brass", CREW),
        ("parts/low.brass", LOW),
        ("boats.brass", BOATS),
        ("quay.brass", QUAY),
        ("pier.brass", PIER),
        ("ferry.brass", FERRY),
    ])
}

fn rename(client: &mut Client, uri: &str, position: &Value, new: &str) -> Value {
    ask(client, "textDocument/rename", uri, position, json!({"newName": new}))
}

/// `FILE line:text` of every place that is named.
fn places(root: &Path, encoding: &str, locations: &Value) -> Vec<String> {
    let mut all: Vec<String> = locations
        .as_array()
        .unwrap()
        .iter()
        .map(|l| {
            let path = PathBuf::from(l["uri"].as_str().unwrap().strip_prefix("file://").unwrap());
            let text = std::fs::read_to_string(&path).unwrap();
            let name = path.strip_prefix(root).unwrap().display();
            format!("{name} {}:{}", l["range"]["start"]["line"], cut(encoding, &text, &l["range"]))
        })
        .collect();
    all.sort();
    all
}

fn texts(root: &Path) -> BTreeMap<String, String> {
    ["crew.brass", "parts/low.brass", "boats.brass", "quay.brass", "pier.brass", "ferry.brass"]
        .map(|name| {
            let text = std::fs::read_to_string(root.join(name)).unwrap();
            (name.rsplit('/').next().unwrap().to_owned(), text)
        })
        .into()
}

#[test]
fn a_name_leads_into_the_file_that_declares_it() {
    for encoding in ENCODINGS {
        let (_dir, root) = harbour();
        let mut client = started(None, encoding, json!({}));
        let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
        let mut declared = |what: &str, n: usize| {
            let position = at(encoding, QUAY, what, n);
            let found = ask(&mut client, "textDocument/definition", &quay, &position, json!({}));
            places(&root, encoding, &json!([found["result"]])).remove(0)
        };
        assert_eq!(declared("T\u{10428}p", 0), "crew.brass 2:T\u{10428}p");
        assert_eq!(declared("Tb1", 0), "crew.brass 3:Tb1");
        assert_eq!(declared("oars", 0), "boats.brass 1:oars", "through two others");
        assert_eq!(declared("Low", 0), "parts/low.brass 1:Low");
    }
}

#[test]
fn what_an_included_name_is_is_told() {
    let (_dir, root) = harbour();
    let mut client = started(None, "utf-16", json!({}));
    let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
    for (what, told) in [("T\u{10428}p", "rumpet"), ("Tb1", "skiff"), ("Low", "Tb1"), ("oars", "oars")] {
        let position = at("utf-16", QUAY, what, 0);
        let hover = ask(&mut client, "textDocument/hover", &quay, &position, json!({}))["result"].clone();
        assert!(hover["contents"]["value"].as_str().unwrap_or("").contains(told), "{what}: {hover}");
    }
}

#[test]
fn a_name_is_found_in_every_score_in_reach() {
    for encoding in ENCODINGS {
        let (_dir, root) = harbour();
        let mut client = started(Some(&root), encoding, json!({}));
        let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
        let context = json!({"context": {"includeDeclaration": true}});
        let position = at(encoding, QUAY, "T\u{10428}p", 1);
        let all = ask(&mut client, "textDocument/references", &quay, &position, context.clone());
        let all = &all["result"];
        assert_eq!(all[0]["uri"], quay, "this text comes first");
        let here = "T\u{10428}p";
        let expected = ["crew.brass 2", "crew.brass 4", "pier.brass 6", "quay.brass 6", "quay.brass 7"];
        assert_eq!(places(&root, encoding, all), expected.map(|e| format!("{e}:{here}")));
        let used = json!({"context": {"includeDeclaration": false}});
        let used = ask(&mut client, "textDocument/references", &quay, &position, used)["result"].clone();
        assert_eq!(used.as_array().unwrap().len(), 4);
        // From inside a file that knows neither the one that declares nor the ones that use.
        let low = opened(&mut client, &root.join("parts/low.brass"), LOW);
        let position = at(encoding, LOW, "Tb1", 0);
        let all = ask(&mut client, "textDocument/references", &low, &position, context.clone());
        let expected = ["crew.brass 3:Tb1", "crew.brass 4:Tb1", "parts/low.brass 1:Tb1", "quay.brass 7:Tb1"];
        assert_eq!(places(&root, encoding, &all["result"]), expected);
        let found = ask(&mut client, "textDocument/definition", &low, &position, json!({}));
        assert_eq!(places(&root, encoding, &json!([found["result"]])), ["crew.brass 3:Tb1"]);
        // An instrument that only a file included beside this one declares.
        let crew = opened(&mut client, &root.join("crew.brass"), CREW);
        let position = at(encoding, CREW, "skiff", 0);
        let all = ask(&mut client, "textDocument/references", &crew, &position, context.clone());
        assert_eq!(places(&root, encoding, &all["result"]), ["boats.brass 0:skiff", "crew.brass 3:skiff"]);
        // Marks are each text's own.
        let position = at(encoding, QUAY, "mark A", 0);
        let position =
            json!({"line": position["line"], "character": position["character"].as_u64().unwrap() + 5});
        let all = ask(&mut client, "textDocument/references", &quay, &position, context)["result"].clone();
        assert_eq!(places(&root, encoding, &all), ["quay.brass 5:A"]);
    }
}

#[test]
fn a_name_changes_in_all_files_and_back() {
    for encoding in ENCODINGS {
        let (_dir, root) = harbour();
        let mut client = started(Some(&root), encoding, json!({}));
        let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
        let position = at(encoding, QUAY, "T\u{10428}p", 0);
        let before = texts(&root);
        let mut after = before.clone();
        let answer = rename(&mut client, &quay, &position, "C\u{10428}rnet");
        let versions = applied(encoding, &answer, &mut after);
        let expected = [("crew.brass", Value::Null), ("pier.brass", Value::Null), ("quay.brass", json!(7))];
        assert_eq!(versions, expected.map(|(name, version)| (name.to_owned(), version)));
        for (name, text) in &before {
            let wanted = if name == "ferry.brass" {
                text.clone()
            } else {
                text.replace("T\u{10428}p", "C\u{10428}rnet")
            };
            assert_eq!(after[name], wanted, "{name}");
        }
        for name in ["crew.brass", "pier.brass", "quay.brass"] {
            std::fs::write(root.join(name), &after[name]).unwrap();
        }
        client.replace(&quay, 8, &after["quay.brass"]);
        let answer = rename(&mut client, &quay, &position, "T\u{10428}p");
        applied(encoding, &answer, &mut after);
        assert_eq!(after, before, "there and back");
        client.end();
        client.unread.clear();
    }
}

#[test]
fn what_the_editor_holds_is_what_is_changed() {
    let (_dir, root) = harbour();
    let mut client = started(Some(&root), "utf-16", json!({}));
    let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
    let crew = opened(&mut client, &root.join("crew.brass"), CREW);
    let unsaved = format!("// not saved\n{CREW}group Solo = T\u{10428}p\n");
    client.replace(&crew, 12, &unsaved);
    let mut after = texts(&root);
    after.insert("crew.brass".into(), unsaved.clone());
    let answer = rename(&mut client, &quay, &at("utf-16", QUAY, "T\u{10428}p", 0), "Cor");
    let versions = applied("utf-16", &answer, &mut after);
    assert_eq!(versions[0], ("crew.brass".to_owned(), json!(12)));
    assert_eq!(after["crew.brass"], unsaved.replace("T\u{10428}p", "Cor"));
    // A name that is taken only in what is not saved.
    let refused = rename(&mut client, &quay, &at("utf-16", QUAY, "T\u{10428}p", 0), "Solo");
    let said = refused["error"]["message"].as_str().unwrap();
    assert!(said.contains("`Solo` is taken") && said.contains("crew.brass"), "{said}");
    client.end();
    client.unread.clear();
}

#[test]
fn names_are_one_however_they_are_typed() {
    let crew = "player Ete\u{301} = trumpet in Bb\n";
    let quay =
        "include \"crew.brass\"\nbar 1 tempo q = 72\n\u{c9}t\u{e9} | w : C5 |\n".replace('\u{c9}', "E");
    let (_dir, root) = folder(&[("crew.brass", crew), ("quay.brass", &quay)]);
    let mut client = started(None, "utf-16", json!({}));
    let quay_uri = opened(&mut client, &root.join("quay.brass"), &quay);
    let position = at("utf-16", &quay, "Et", 0);
    let mut after: BTreeMap<String, String> =
        [("crew.brass".to_owned(), crew.to_owned()), ("quay.brass".to_owned(), quay.clone())].into();
    let answer = rename(&mut client, &quay_uri, &position, "Cor");
    assert_eq!(applied("utf-16", &answer, &mut after).len(), 2);
    assert!(after.values().all(|text| text.contains("Cor")), "{after:?}");
    // The same name typed the other way is no change.
    let same = rename(&mut client, &quay_uri, &position, "Ete\u{301}");
    assert_eq!(same["result"]["documentChanges"], json!([]), "{same}");
}

#[test]
fn a_change_that_cannot_be_is_refused_in_a_sentence() {
    let (_dir, root) = harbour();
    let mut client = started(Some(&root), "utf-16", json!({}));
    let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
    let position = at("utf-16", QUAY, "T\u{10428}p", 0);
    let mut refused = |new: &str| {
        let answer = rename(&mut client, &quay, &position, new);
        answer["error"]["message"].as_str().unwrap_or_else(|| panic!("{answer}")).to_owned()
    };
    // The file that declares it is named, whoever uses it.
    for (new, said) in
        [("skiff", "boats.brass"), ("oars", "boats.brass"), ("Low", "low.brass"), ("All", "crew.brass")]
    {
        let told = refused(new);
        assert!(told.contains(&format!("`{new}` is taken")), "{told}");
        assert!(told.contains(said), "{told}");
    }
    assert!(refused("bar").contains("begins a line"));
    assert!(refused("9 \"|\"").contains("no name"));
    // A file of the score that can no longer be read.
    std::fs::write(root.join("boats.brass"), b"instrument skiff\xff = slide").unwrap();
    let told = refused("Cor");
    assert!(told.contains("boats.brass") && told.contains("UTF-8"), "{told}");
    std::fs::write(root.join("boats.brass"), BOATS).unwrap();
    // A score on disk that cannot be read, and may include the same files.
    std::fs::write(root.join("jetty.brass"), b"\xff").unwrap();
    let told = refused("Cor");
    assert!(told.contains("jetty.brass") && told.contains("UTF-8"), "{told}");
    std::fs::remove_file(root.join("jetty.brass")).unwrap();
    // Names of one text alone have nothing to do with it.
    std::fs::write(root.join("jetty.brass"), b"\xff").unwrap();
    let ferry = opened(&mut client, &root.join("ferry.brass"), FERRY);
    let answer = rename(&mut client, &ferry, &at("utf-16", FERRY, "T\u{10428}p", 0), "Cor");
    assert_eq!(answer["result"]["documentChanges"].as_array().unwrap().len(), 1, "{answer}");
}

#[cfg(unix)]
#[test]
fn nothing_outside_the_open_folder_is_touched() {
    let (_dir, outer) =
        folder(&[("town/crew.brass", CREW), ("town/boats.brass", BOATS), ("pier.brass", PIER)]);
    let town = outer.join("town");
    let quay = QUAY.replace("include \"parts/low.brass\"\n", "").replace("Low |", "Tb1 |");
    std::fs::write(town.join("quay.brass"), &quay).unwrap();
    // A score beside the folder that includes the same file is not looked at.
    std::fs::write(outer.join("pier.brass"), PIER.replace("./parts/..", "town")).unwrap();
    let mut client = started(Some(&town), "utf-16", json!({}));
    let uri = opened(&mut client, &town.join("quay.brass"), &quay);
    let position = at("utf-16", &quay, "T\u{10428}p", 0);
    let answer = rename(&mut client, &uri, &position, "Cor");
    let touched: Vec<&str> = answer["result"]["documentChanges"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| c["textDocument"]["uri"].as_str().unwrap())
        .collect();
    assert_eq!(touched.len(), 2, "{touched:?}");
    assert!(touched.iter().all(|uri| uri.contains("/town/")), "{touched:?}");
    // One that is linked into the folder has the name too: then nothing is changed at all.
    std::fs::write(outer.join("slip.brass"), PIER.replace("./parts/../", "")).unwrap();
    std::os::unix::fs::symlink(outer.join("slip.brass"), town.join("slip.brass")).unwrap();
    let told = rename(&mut client, &uri, &position, "Cor");
    let told = told["error"]["message"].as_str().unwrap();
    assert!(told.contains("slip.brass") && told.contains("outside"), "{told}");
}

#[cfg(unix)]
#[test]
fn addresses_are_those_of_the_client() {
    let (_dir, root) = harbour();
    std::os::unix::fs::symlink(&root, root.with_extension("link")).unwrap();
    let link = root.with_extension("link");
    let mut client = started(None, "utf-16", json!({}));
    // Through a link, and with a letter written as a number.
    let crew = format!("{}/cr%65w.brass", uri(&link));
    client.open(&crew, 3, CREW);
    client.findings(&crew, 3);
    let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
    let position = at("utf-16", QUAY, "T\u{10428}p", 0);
    let found = ask(&mut client, "textDocument/definition", &quay, &position, json!({}));
    assert_eq!(found["result"]["uri"], crew);
    let answer = rename(&mut client, &quay, &position, "Cor");
    let changes = answer["result"]["documentChanges"].as_array().unwrap();
    let ids: Vec<&Value> = changes.iter().map(|c| &c["textDocument"]).collect();
    assert_eq!(ids, [&json!({"uri": quay, "version": 7}), &json!({"uri": crew, "version": 3})]);
    std::fs::remove_file(link).unwrap();
    client.end();
    client.unread.clear();
}

#[test]
fn the_old_way_to_give_changes_has_all_files_too() {
    let (_dir, root) = harbour();
    let mut client = started(Some(&root), "utf-16", json!({"workspace": {}}));
    let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
    let answer = rename(&mut client, &quay, &at("utf-16", QUAY, "T\u{10428}p", 0), "Cor");
    let changes = answer["result"]["changes"].as_object().unwrap();
    assert_eq!(changes.len(), 3, "{answer}");
    assert!(changes.contains_key(&uri(&root.join("pier.brass"))));
}

#[test]
fn who_asks_first_is_told_where_a_name_is_declared_at_all() {
    let (_dir, root) = harbour();
    let mut client =
        started(Some(&root), "utf-16", json!({"textDocument": {"rename": {"prepareSupport": true}}}));
    let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
    let mut may = |uri: &str, position: &Value| {
        ask(&mut client, "textDocument/prepareRename", uri, position, json!({}))["result"].clone()
    };
    let ready = may(&quay, &at("utf-16", QUAY, "oars", 0));
    assert_eq!(ready["placeholder"], "oars");
    assert_eq!(may(&quay, &json!({"line": 0, "character": 0})), Value::Null);
    let low = opened(&mut client, &root.join("parts/low.brass"), LOW);
    let ready = ask(&mut client, "textDocument/prepareRename", &low, &at("utf-16", LOW, "Tb1", 0), json!({}));
    assert_eq!(ready["result"]["range"], range_of([1, 12, 1, 15]));
    // A text without a place has no files around it.
    let lone = "include \"crew.brass\"\nbar 1\nTb1 | w : C4 |\n";
    client.open("untitled:a", 1, lone);
    client.findings("untitled:a", 1);
    let position = json!({"line": 2, "character": 0});
    let ready = ask(&mut client, "textDocument/prepareRename", "untitled:a", &position, json!({}));
    assert_eq!(ready["result"], Value::Null);
    assert_eq!(
        ask(&mut client, "textDocument/definition", "untitled:a", &position, json!({}))["result"],
        Value::Null
    );
}
