//! Settings: from the editor, from the folder, changed under way, and wrong ones.

use super::client::{Client, brief};
use super::texts::GAP;
use serde_json::{Value, json};

const OFF: &str = "[rules]\ntube-gap = \"off\"\n";

#[test]
fn given_at_the_start() {
    let options = json!({"rules": {"tube-gap": "information"}});
    let mut client = Client::with(json!({"capabilities": {}, "initializationOptions": options}));
    client.open("untitled:a", 1, GAP);
    assert_eq!(client.findings("untitled:a", 1)[0]["severity"], 3);
}

#[test]
fn told_later() {
    let mut client = Client::start(json!({}));
    client.open("untitled:a", 1, GAP);
    client.findings("untitled:a", 1);
    let settings = json!({"settings": {"waterkey": {"rules": {"tube-gap": "off"}}}});
    client.tell("workspace/didChangeConfiguration", settings);
    assert_eq!(client.findings("untitled:a", 1), json!([]));
    client.tell("workspace/didChangeConfiguration", json!({"settings": null}));
    assert_eq!(brief(&client.findings("untitled:a", 1)), ["tube-gap 4:13-16"]);
}

#[test]
fn asked_for() {
    let workspace = json!({"configuration": true, "didChangeConfiguration": {"dynamicRegistration": true}});
    let mut client = Client::silent();
    client.configuration = json!({"rules": {"tube-gap": "hint"}});
    client.begin(json!({"capabilities": {"workspace": workspace}}));
    client.open("untitled:a", 1, GAP);
    let hint = |params: &Value| params["params"]["diagnostics"][0]["severity"] == 4;
    client.take(hint);
    client.unread.clear();
    client.configuration = Value::Null;
    client.tell("workspace/didChangeConfiguration", json!({"settings": null}));
    assert_eq!(client.findings("untitled:a", 1)[0]["severity"], 1);
    let asked: Vec<&str> = client.asked.iter().map(|(method, _)| method.as_str()).collect();
    assert!(asked.contains(&"client/registerCapability"), "{asked:?}");
    assert_eq!(asked.iter().filter(|m| **m == "workspace/configuration").count(), 2);
}

#[test]
fn wrong_settings_are_named_one_by_one_and_the_rest_holds() {
    let options = json!({"level": "virtuoso", "rules": {"tube-gap": "off", "tube-gape": "off"}});
    let mut client = Client::with(json!({"capabilities": {}, "initializationOptions": options}));
    let mut said: Vec<String> = Vec::new();
    for _ in 0..2 {
        said.push(client.next("window/showMessage")["message"].as_str().unwrap().to_owned());
    }
    said.sort();
    assert!(said[0].contains("`level`") && said[1].contains("tube-gape"), "{said:?}");
    client.open("untitled:a", 1, GAP);
    assert_eq!(client.findings("untitled:a", 1), json!([]));
    // Told once, not again.
    let settings = json!({"settings": {"waterkey": options}});
    client.tell("workspace/didChangeConfiguration", settings);
    client.format("untitled:a");
}

#[test]
fn the_folder_has_the_last_word() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().canonicalize().unwrap();
    let score = format!("file://{}/quay.brass", folder.display());
    let settings = format!("file://{}/waterkey.toml", folder.display());
    let options = json!({"rules": {"tube-gap": "hint"}});
    let mut client = Client::with(json!({"capabilities": {}, "initializationOptions": options}));
    let write = |client: &mut Client, text: Option<&str>| {
        match text {
            Some(text) => std::fs::write(folder.join("waterkey.toml"), text).unwrap(),
            None => std::fs::remove_file(folder.join("waterkey.toml")).unwrap(),
        }
        client.tell("workspace/didChangeWatchedFiles", json!({"changes": [{"uri": settings, "type": 2}]}));
    };
    client.open(&score, 1, GAP);
    assert_eq!(client.findings(&score, 1)[0]["severity"], 4);
    write(&mut client, Some(OFF));
    assert_eq!(client.findings(&score, 1), json!([]));
    write(&mut client, Some("[rules]\ntube-gap = \"warning\"\nlevel = 3\n"));
    assert_eq!(client.findings(&score, 1)[0]["severity"], 2);
    let said = client.next("window/showMessage")["message"].as_str().unwrap().to_owned();
    assert!(said.contains("waterkey.toml, line 3"), "{said}");
    write(&mut client, None);
    assert_eq!(client.findings(&score, 1)[0]["severity"], 4);
}

#[test]
fn another_place_for_the_pages() {
    let capabilities = json!({"textDocument": {"publishDiagnostics": {"codeDescriptionSupport": true}}});
    let options = json!({"pages": "https://harbour.example/rules/"});
    let mut client = Client::with(json!({"capabilities": capabilities, "initializationOptions": options}));
    client.open("untitled:a", 1, GAP);
    let found = client.findings("untitled:a", 1);
    assert_eq!(found[0]["codeDescription"]["href"], "https://harbour.example/rules/tube-gap");
}
