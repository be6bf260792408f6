//! Findings as they are pulled; then nothing is pushed, or it would be left unread.

use super::client::{Client, brief};
use super::texts::{CLEAN, GAP};
use serde_json::{Value, json};

fn client() -> Client {
    let capabilities = json!({"textDocument": {"diagnostic": {}},
        "workspace": {"diagnostic": {"refreshSupport": true}}});
    Client::start(capabilities)
}

#[test]
fn full_then_unchanged_then_full() {
    let uri = "untitled:a";
    let mut client = client();
    assert_eq!(client.initialized["capabilities"]["diagnosticProvider"]["interFileDependencies"], true);
    client.open(uri, 1, GAP);
    let first = client.pull(uri, Value::Null);
    assert_eq!(first["kind"], "full");
    assert_eq!(brief(&first["items"]), ["tube-gap 4:13-16"]);
    assert!(first["items"][0]["codeDescription"]["href"].is_string());
    let again = client.pull(uri, first["resultId"].clone());
    assert_eq!((&again["kind"], &again["resultId"]), (&json!("unchanged"), &first["resultId"]));
    client.edit(uri, 2, [2, 0, 2, 0], "\n");
    let moved = client.pull(uri, first["resultId"].clone());
    assert_eq!(brief(&moved["items"]), ["tube-gap 5:13-16"]);
    client.close(uri);
    assert_eq!(client.pull(uri, Value::Null)["items"], json!([]));
}

#[test]
fn the_workspace_is_answered_when_there_is_news() {
    let mut client = client();
    client.open("untitled:a", 4, GAP);
    client.open("untitled:b", 1, CLEAN);
    let first = client.ask("workspace/diagnostic", json!({"previousResultIds": []}))["result"].clone();
    let all = first["items"].as_array().unwrap();
    assert_eq!(all.len(), 2);
    assert_eq!((&all[0]["uri"], &all[0]["version"]), (&json!("untitled:a"), &json!(4)));
    assert_eq!(brief(&all[0]["items"]), ["tube-gap 4:13-16"]);
    let ids = |items: &[Value]| -> Value {
        items.iter().map(|i| json!({"uri": i["uri"], "value": i["resultId"]})).collect()
    };
    let before = ids(all);
    let parked = client.question("workspace/diagnostic", json!({"previousResultIds": before}));
    // This changes no finding and answers nothing.
    client.edit("untitled:b", 2, [2, 0, 2, 0], "// quay");
    client.pull("untitled:b", Value::Null);
    assert!(client.unread.is_empty());
    client.replace("untitled:b", 3, GAP);
    let news = client.answer(parked)["result"]["items"].clone();
    assert_eq!((&news[0]["kind"], &news[1]["kind"]), (&json!("unchanged"), &json!("full")));
    let before = ids(news.as_array().unwrap());
    let parked = client.question("workspace/diagnostic", json!({"previousResultIds": before}));
    client.close("untitled:a");
    let gone = client.answer(parked)["result"]["items"].clone();
    let gone = gone.as_array().unwrap().iter().find(|i| i["uri"] == "untitled:a").unwrap().clone();
    assert_eq!(gone["items"], json!([]));
}

#[test]
fn a_refresh_is_asked_for_when_settings_change() {
    let mut client = client();
    client.open("untitled:a", 1, GAP);
    client.pull("untitled:a", Value::Null);
    let settings = json!({"settings": {"waterkey": {"rules": {"tube-gap": "off"}}}});
    client.tell("workspace/didChangeConfiguration", settings);
    assert_eq!(client.pull("untitled:a", Value::Null)["items"], json!([]));
    assert_eq!(client.asked_for("workspace/diagnostic/refresh", 1), 1);
}

#[test]
fn scores_in_open_folders_that_are_not_open() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().canonicalize().unwrap();
    std::fs::write(folder.join("quay.brass"), GAP).unwrap();
    std::fs::write(folder.join("slipway.brass"), CLEAN).unwrap();
    let uri = |name: &str| format!("file://{}/{name}", folder.display());
    let mut client = Client::with(json!({"capabilities": {"textDocument": {"diagnostic": {}}},
        "workspaceFolders": [{"uri": format!("file://{}", folder.display()), "name": "harbour"}]}));
    let first =
        client.ask("workspace/diagnostic", json!({"previousResultIds": []}))["result"]["items"].clone();
    assert_eq!((&first[0]["uri"], &first[0]["version"]), (&json!(uri("quay.brass")), &Value::Null));
    assert_eq!(brief(&first[0]["items"]), ["tube-gap 4:13-16"]);
    assert_eq!(first[1]["items"], json!([]));
    let before: Value =
        first.as_array().unwrap().iter().map(|i| json!({"uri": i["uri"], "value": i["resultId"]})).collect();
    let parked = client.question("workspace/diagnostic", json!({"previousResultIds": before}));
    // Opened and closed it is the same; changed in the editor or on disk it is not.
    client.open(&uri("quay.brass"), 1, GAP);
    client.close(&uri("quay.brass"));
    client.pull("untitled:a", Value::Null);
    std::fs::write(folder.join("slipway.brass"), GAP).unwrap();
    let changes = json!({"changes": [{"uri": uri("slipway.brass"), "type": 2}]});
    client.tell("workspace/didChangeWatchedFiles", changes);
    let news = client.answer(parked)["result"]["items"].clone();
    assert_eq!((&news[0]["kind"], &news[1]["kind"]), (&json!("unchanged"), &json!("full")));
    assert_eq!(brief(&news[1]["items"]), ["tube-gap 4:13-16"]);
}
