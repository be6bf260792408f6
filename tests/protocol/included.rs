//! Included files: on disk, in the editor, changed under way.

use super::client::{Client, brief};
use serde_json::{Value, json};
use std::path::Path;

const SCORE: &str = "brass 1\ninclude \"crew.brass\"\n\nbar 1  meter 4/4  tempo q = 72\nTb1 | h : E2 Eb2 |\n";
const STRAIGHT: &str = "brass 1\nplayer Tb1 = straight trombone\n";
const ATTACHED: &str = "brass 1\nplayer Tb1 = trombone\n";

fn uri(path: &Path) -> String {
    format!("file://{}", path.canonicalize().unwrap().display())
}

fn changed(client: &mut Client, uri: &str) {
    client.tell("workspace/didChangeWatchedFiles", json!({"changes": [{"uri": uri, "type": 2}]}));
}

/// A folder with the score and the crew; their addresses.
fn folder() -> (tempfile::TempDir, String, String) {
    let dir = tempfile::tempdir().unwrap();
    let (score, crew) = (dir.path().join("quay.brass"), dir.path().join("crew.brass"));
    std::fs::write(&score, SCORE).unwrap();
    std::fs::write(&crew, STRAIGHT).unwrap();
    let (score, crew) = (uri(&score), uri(&crew));
    (dir, score, crew)
}

#[test]
fn a_changed_file_changes_the_findings() {
    let (dir, score, crew) = folder();
    let mut client = Client::start(json!({}));
    client.open(&score, 1, SCORE);
    assert_eq!(brief(&client.findings(&score, 1)), ["tube-gap 4:13-16"]);
    std::fs::write(dir.path().join("crew.brass"), ATTACHED).unwrap();
    changed(&mut client, &crew);
    assert_eq!(client.findings(&score, 1), json!([]));
    std::fs::remove_file(dir.path().join("crew.brass")).unwrap();
    changed(&mut client, &crew);
    assert!(brief(&client.findings(&score, 1))[0].starts_with("include-fault 1:"));
    std::fs::write(dir.path().join("crew.brass"), STRAIGHT).unwrap();
    changed(&mut client, &crew);
    assert_eq!(brief(&client.findings(&score, 1)), ["tube-gap 4:13-16"]);
}

#[test]
fn what_the_editor_holds_counts_before_what_is_saved() {
    let (_dir, score, crew) = folder();
    let mut client = Client::start(json!({}));
    client.open(&score, 1, SCORE);
    client.findings(&score, 1);
    client.open(&crew, 1, STRAIGHT);
    assert_eq!(client.findings(&crew, 1), json!([]));
    client.replace(&crew, 2, ATTACHED);
    assert_eq!(client.findings(&score, 1), json!([]));
    client.replace(&crew, 3, STRAIGHT);
    assert_eq!(brief(&client.findings(&score, 1)), ["tube-gap 4:13-16"]);
    client.replace(&crew, 4, ATTACHED);
    assert_eq!(client.findings(&score, 1), json!([]));
    // Closed without saving: the disk counts again.
    client.close(&crew);
    assert_eq!(brief(&client.findings(&score, 1)), ["tube-gap 4:13-16"]);
}

#[test]
fn a_text_without_a_place_includes_nothing() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, SCORE);
    assert!(brief(&client.findings("untitled:a", 1))[0].starts_with("include-fault 1:"));
}

#[test]
fn the_client_is_asked_to_watch() {
    let capabilities = json!({"workspace": {"didChangeWatchedFiles": {"dynamicRegistration": true}}});
    let mut client = Client::start(capabilities);
    client.end();
    let registered = &client.asked[0];
    assert_eq!(registered.0, "client/registerCapability");
    let patterns = &registered.1["registrations"][0]["registerOptions"]["watchers"];
    assert_eq!(patterns, &json!([{"globPattern": "**/*.brass"}, {"globPattern": "**/waterkey.toml"}]));
}

#[test]
fn an_open_folder_widens_what_may_be_included() {
    let dir = tempfile::tempdir().unwrap();
    std::fs::create_dir(dir.path().join("parts")).unwrap();
    std::fs::write(dir.path().join("crew.brass"), ATTACHED).unwrap();
    let path = dir.path().join("parts/quay.brass");
    let text = SCORE.replace("crew.brass", "../crew.brass");
    std::fs::write(&path, &text).unwrap();
    let folders = json!([{"uri": uri(dir.path()), "name": "harbour"}]);
    let capabilities = json!({"workspace": {"workspaceFolders": true}});
    let mut client = Client::with(json!({"capabilities": capabilities, "workspaceFolders": folders}));
    client.open(&uri(&path), 1, &text);
    assert_eq!(client.findings(&uri(&path), 1), json!([]));
    let event = json!({"event": {"added": [], "removed": folders}});
    client.tell("workspace/didChangeWorkspaceFolders", event);
    assert!(brief(&client.findings(&uri(&path), 1))[0].starts_with("include-fault 1:"));
    let event: Value = json!({"event": {"added": folders, "removed": []}});
    client.tell("workspace/didChangeWorkspaceFolders", event);
    assert_eq!(client.findings(&uri(&path), 1), json!([]));
}
