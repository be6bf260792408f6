//! Real folders with files, and places and edits of them, worked out from the texts alone.

use super::client::Client;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

pub const ENCODINGS: [&str; 3] = ["utf-8", "utf-16", "utf-32"];

/// A folder with files; the folder itself, links resolved.
pub fn folder(files: &[(&str, &str)]) -> (tempfile::TempDir, PathBuf) {
    let dir = tempfile::tempdir().unwrap();
    let root = dir.path().canonicalize().unwrap();
    for (name, text) in files {
        std::fs::create_dir_all(root.join(name).parent().unwrap()).unwrap();
        std::fs::write(root.join(name), text).unwrap();
    }
    (dir, root)
}

pub fn uri(path: &Path) -> String {
    format!("file://{}", path.display())
}

pub fn started(root: Option<&Path>, encoding: &str, more: Value) -> Client {
    let mut capabilities = json!({"general": {"positionEncodings": [encoding]},
        "workspace": {"workspaceEdit": {"documentChanges": true}}});
    for (key, value) in more.as_object().unwrap() {
        capabilities[key] = value.clone();
    }
    let folders = root.map(|root| json!([{"uri": uri(root), "name": "harbour"}]));
    Client::with(json!({"capabilities": capabilities, "workspaceFolders": folders}))
}

pub fn opened(client: &mut Client, path: &Path, text: &str) -> String {
    let uri = uri(path);
    client.open(&uri, 7, text);
    client.findings(&uri, 7);
    uri
}

pub fn width(encoding: &str, text: &str) -> u32 {
    let all = text.chars().map(|c| match encoding {
        "utf-8" => c.len_utf8(),
        "utf-16" => c.len_utf16(),
        _ => 1,
    });
    all.sum::<usize>() as u32
}

/// The position of the n-th of these words.
pub fn at(encoding: &str, text: &str, what: &str, n: usize) -> Value {
    let byte = text.match_indices(what).nth(n).unwrap().0;
    let before = &text[..byte];
    let line = before.matches('\n').count();
    let column = width(encoding, &before[before.rfind('\n').map_or(0, |b| b + 1)..]);
    json!({"line": line, "character": column})
}

pub fn ask(client: &mut Client, method: &str, uri: &str, position: &Value, more: Value) -> Value {
    let mut params = json!({"textDocument": {"uri": uri}, "position": position});
    for (key, value) in more.as_object().unwrap() {
        params[key] = value.clone();
    }
    client.ask(method, params)
}

/// The byte of a position, which must be between two characters.
pub fn byte(encoding: &str, text: &str, position: &Value) -> usize {
    let line = position["line"].as_u64().unwrap() as usize;
    let start = text.split_inclusive('\n').take(line).map(str::len).sum::<usize>();
    let column = position["character"].as_u64().unwrap() as u32;
    let rest = &text[start..];
    let mut ends = std::iter::once(0).chain(rest.char_indices().map(|(b, c)| b + c.len_utf8()));
    start + ends.find(|end| width(encoding, &rest[..*end]) == column).unwrap()
}

pub fn cut<'t>(encoding: &str, text: &'t str, range: &Value) -> &'t str {
    &text[byte(encoding, text, &range["start"])..byte(encoding, text, &range["end"])]
}

/// The texts after an edit of the workspace, by file; the version each edit is for.
pub fn applied(encoding: &str, answer: &Value, texts: &mut BTreeMap<String, String>) -> Vec<(String, Value)> {
    let changes = answer["result"]["documentChanges"].as_array().unwrap_or_else(|| panic!("{answer}"));
    let mut versions = Vec::new();
    for change in changes {
        let uri = change["textDocument"]["uri"].as_str().unwrap();
        let name = uri.rsplit('/').next().unwrap().to_owned();
        let text = texts.get_mut(&name).unwrap_or_else(|| panic!("{uri}"));
        let mut edits: Vec<(usize, usize, &str)> = change["edits"]
            .as_array()
            .unwrap()
            .iter()
            .map(|e| {
                let end = |name: &str| byte(encoding, text, &e["range"][name]);
                (end("start"), end("end"), e["newText"].as_str().unwrap())
            })
            .collect();
        edits.sort();
        assert!(edits.windows(2).all(|pair| pair[0].1 <= pair[1].0), "{edits:?}");
        for (start, end, new) in edits.into_iter().rev() {
            text.replace_range(start..end, new);
        }
        versions.push((name, change["textDocument"]["version"].clone()));
    }
    versions.sort_by(|a, b| a.0.cmp(&b.0));
    versions
}
