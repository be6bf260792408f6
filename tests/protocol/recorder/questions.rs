//! Everything that can be asked about a text.

use super::super::client::{Client, range_of};
use super::dice::Dice;
use super::text::Text;
use serde_json::{Value, json};

/// Questions about a place: method, and what it takes besides text and position.
fn of_a_place(dice: &mut Dice) -> (&'static str, Value) {
    let names = ["Cor", "Tb1", "1", "Quay_2", "\u{1d11e}"];
    let all = [
        ("textDocument/hover", json!({})),
        ("textDocument/completion", json!({})),
        ("textDocument/signatureHelp", json!({})),
        ("textDocument/definition", json!({})),
        ("textDocument/references", json!({"context": {"includeDeclaration": dice.below(2) == 0}})),
        ("textDocument/documentHighlight", json!({})),
        ("textDocument/prepareRename", json!({})),
        ("textDocument/rename", json!({"newName": names[dice.below(names.len())]})),
        ("textDocument/onTypeFormatting", json!({"ch": "|", "options": options()})),
    ];
    all[dice.below(all.len())].clone()
}

fn options() -> Value {
    json!({"tabSize": 2, "insertSpaces": true})
}

/// Any question about the text.
pub fn any(dice: &mut Dice, uri: &str, text: &Text) -> (&'static str, Value) {
    let document = json!({"uri": uri});
    let range = range_of(text.range(dice));
    match dice.below(16) {
        0 => ("textDocument/formatting", json!({"textDocument": document, "options": options()})),
        1 => (
            "textDocument/rangeFormatting",
            json!({"textDocument": document, "range": range, "options": options()}),
        ),
        2 => ("textDocument/documentSymbol", json!({"textDocument": document})),
        3 => ("textDocument/foldingRange", json!({"textDocument": document})),
        4 => {
            let (line, character) = text.place(dice);
            let position = json!({"line": line, "character": character});
            ("textDocument/selectionRange", json!({"textDocument": document, "positions": [position]}))
        }
        5 => ("textDocument/semanticTokens/full", json!({"textDocument": document})),
        6 => ("textDocument/semanticTokens/range", json!({"textDocument": document, "range": range})),
        7 => (
            "textDocument/semanticTokens/full/delta",
            json!({"textDocument": document, "previousResultId": dice.below(3).to_string()}),
        ),
        8 => ("textDocument/inlayHint", json!({"textDocument": document, "range": range})),
        9 => ("textDocument/codeLens", json!({"textDocument": document})),
        10 => (
            "textDocument/codeAction",
            json!({"textDocument": document, "range": range, "context": {"diagnostics": []}}),
        ),
        11 => ("workspace/symbol", json!({"query": "t"})),
        _ => {
            let (method, mut params) = of_a_place(dice);
            let (line, character) = text.place(dice);
            params["textDocument"] = document;
            params["position"] = json!({"line": line, "character": character});
            (method, params)
        }
    }
}

/// What a server says about a text, all of it, with what may differ between two sessions left out.
pub fn everything(client: &mut Client, uri: &str, dice: &mut Dice, text: &Text) -> Vec<Value> {
    let document = json!({"uri": uri});
    let last = text.lines().len() as u32;
    let whole = range_of([0, 0, last, 0]);
    let mut all = vec![
        ("textDocument/documentSymbol", json!({"textDocument": document})),
        ("textDocument/foldingRange", json!({"textDocument": document})),
        ("textDocument/formatting", json!({"textDocument": document, "options": options()})),
        ("textDocument/semanticTokens/full", json!({"textDocument": document})),
        ("textDocument/inlayHint", json!({"textDocument": document, "range": whole})),
        ("textDocument/codeLens", json!({"textDocument": document})),
        (
            "textDocument/codeAction",
            json!({"textDocument": document, "range": whole, "context": {"diagnostics": []}}),
        ),
    ];
    all.extend((0..60).map(|_| any(dice, uri, text)).filter(|(m, _)| !m.ends_with("/delta")));
    all.into_iter()
        .map(|(method, params)| {
            let mut answer = client.ask(method, params);
            neutral(&mut answer);
            json!({"method": method, "answer": answer})
        })
        .collect()
}

/// Takes out numbers that count within one session.
pub fn neutral(value: &mut Value) {
    match value {
        Value::Object(object) => {
            for name in ["id", "resultId", "version"] {
                object.remove(name);
            }
            // Tokens are an array of this name, and are compared.
            if object.get("data").is_some_and(Value::is_object) {
                object.remove("data");
            }
            object.values_mut().for_each(neutral);
        }
        Value::Array(all) => all.iter_mut().for_each(neutral),
        _ => {}
    }
}
