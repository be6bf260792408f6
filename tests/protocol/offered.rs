//! What is offered and shown while somebody types: with an astral character before the place, in all three
//! encodings, and for clients that can more and less.

use super::client::{Client, range_of};
use serde_json::{Value, json};

const URI: &str = "untitled:a";

/// Two astral characters stand before the note that is being typed, on line 7.
const SCORE: &str = "\
brass 1
player Tp1 = trumpet in Bb, mutes straight cup
player Hn  = horn in F

bar 1  meter 4/4  key Bb major  tempo q = 72
rhythm | q q h | h h |
// the pilot's call
Tp1 | \"\u{1d11e}\u{1d11e}\" Bb4 C D5 | [mute cu |
";

const ENCODINGS: [(&str, u32); 3] = [("utf-8", 8), ("utf-16", 4), ("utf-32", 2)];

fn started(encoding: &str, item: Value) -> Client {
    let mut client = Client::start(json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {"completion": {"completionItem": item}},
    }));
    client.open(URI, 1, SCORE);
    client.findings(URI, 1);
    client
}

fn complete(client: &mut Client, line: u32, column: u32, context: Value) -> Value {
    let params = json!({"textDocument": {"uri": URI}, "position": {"line": line, "character": column},
        "context": context});
    client.ask("textDocument/completion", params)["result"].clone()
}

fn asked(client: &mut Client, line: u32, column: u32) -> Value {
    complete(client, line, column, json!({"triggerKind": 1}))
}

fn item(list: &Value, label: &str) -> Value {
    let items = list["items"].as_array().unwrap_or_else(|| panic!("nothing is offered: {list}"));
    items.iter().find(|i| i["label"] == label).unwrap_or_else(|| panic!("no {label} in {list}")).clone()
}

#[test]
fn a_note_is_put_in_the_place_of_its_letter() {
    for (encoding, wide) in ENCODINGS {
        let mut client = started(encoding, json!({}));
        // `C` stands behind the quotes, `Bb4` and their blanks.
        let from = 7 + wide + 2 + 4;
        let list = asked(&mut client, 7, from + 1);
        assert_eq!(list["isIncomplete"], json!(false));
        let note = item(&list, "C5");
        assert_eq!(note["textEdit"], json!({"range": range_of([7, from, 7, from + 1]), "newText": "C5"}));
        assert_eq!(note["detail"], "written D5, valve 1");
        assert_eq!(note["insertTextFormat"], Value::Null);
        let first = list["items"].as_array().unwrap().iter().min_by_key(|i| i["sortText"].as_str().unwrap());
        assert_eq!(first.unwrap()["label"], "Bb4", "the note before is the nearest");
        assert!(!list.to_string().contains("${"), "{encoding}: no places to fill in for who cannot");
    }
}

#[test]
fn who_can_choose_may_keep_the_rest_of_the_word() {
    let mut client = started("utf-16", json!({"insertReplaceSupport": true, "snippetSupport": true}));
    let edit = item(&asked(&mut client, 7, 14), "C5")["textEdit"].clone();
    assert_eq!(edit["insert"], range_of([7, 13, 7, 14]), "inside Bb4: {edit}");
    assert_eq!(edit["replace"], range_of([7, 13, 7, 16]));
    let edit = item(&asked(&mut client, 7, 16), "C5")["textEdit"].clone();
    assert_eq!(edit["range"], range_of([7, 13, 7, 16]), "at its end there is nothing to choose: {edit}");
    let bar = item(&asked(&mut client, 3, 0), "player");
    assert_eq!(bar["insertTextFormat"], json!(2));
    assert_eq!(bar["textEdit"]["newText"], "player ${1:Tp2} = ${2:trumpet in Bb}");
}

#[test]
fn a_sign_offers_what_it_begins_and_nothing_else() {
    let mut client = started("utf-16", json!({}));
    let typed = |sign: &str| json!({"triggerKind": 2, "triggerCharacter": sign});
    client.replace(URI, 2, "player Tp1 = trumpet in Bb\nbar 1\nTp1 | q : C5: D5@ [ |\nplayer [ : @ |\n");
    client.findings(URI, 2);
    item(&complete(&mut client, 2, 13, typed(":")), ":trill");
    item(&complete(&mut client, 2, 17, typed("@")), "@0");
    item(&complete(&mut client, 2, 19, typed("[")), "mute");
    // The colon that ends the figure, and signs where they mean nothing.
    assert_eq!(complete(&mut client, 2, 9, typed(":")), Value::Null);
    assert_eq!(complete(&mut client, 3, 8, typed("[")), Value::Null);
    assert_eq!(complete(&mut client, 3, 10, typed(":")), Value::Null);
    assert_eq!(complete(&mut client, 3, 12, typed("@")), Value::Null);
}

#[test]
fn quotes_remarks_and_places_outside_the_text_offer_nothing_and_break_nothing() {
    let mut client = started("utf-16", json!({}));
    assert_eq!(asked(&mut client, 6, 8), Value::Null);
    assert_eq!(asked(&mut client, 7, 9), Value::Null);
    asked(&mut client, u32::MAX, u32::MAX);
    client.replace(URI, 2, "");
    client.findings(URI, 2);
    item(&asked(&mut client, 0, 0), "score");
}

#[test]
fn more_is_told_of_an_item_and_an_old_one_is_left_as_it_is() {
    for (formats, kind) in [(json!(["markdown"]), "markdown"), (json!([]), "plaintext")] {
        let mut client = started("utf-16", json!({"documentationFormat": formats}));
        let list = asked(&mut client, 7, 18);
        let note = item(&list, "C5");
        assert!(note["data"].to_string().len() < 120, "{}", note["data"]);
        let told = client.ask("completionItem/resolve", note.clone())["result"].clone();
        assert_eq!(told["documentation"]["kind"], kind);
        let text = told["documentation"]["value"].as_str().unwrap();
        assert!(text.contains("written D5") && text.contains("523.25 Hz"), "{text}");
        assert_eq!(told["textEdit"], note["textEdit"]);
        let mute = item(&asked(&mut client, 7, 32), "cup");
        assert_eq!(mute["textEdit"]["newText"], "cup]", "the bracket is closed: {mute}");
        let told = client.ask("completionItem/resolve", mute)["result"].clone();
        assert!(told["documentation"]["value"].as_str().unwrap().contains("Veiled"), "{told}");

        // The text went on, the player is gone: the item as it was, and no error.
        client.replace(URI, 2, "// nobody is left\n");
        let again = client.ask("completionItem/resolve", note.clone());
        assert_eq!(again["result"]["label"], "C5", "{again}");
        assert_eq!(again["result"].get("documentation"), None);
        client.findings(URI, 2);
        client.close(URI);
        assert_eq!(client.ask("completionItem/resolve", note.clone())["result"]["label"], "C5");
        let strange = json!({"label": "x", "data": {"uri": 7, "about": ["y"]}});
        assert_eq!(client.ask("completionItem/resolve", strange.clone())["result"], strange);
    }
}

fn forms(client: &mut Client, line: u32, column: u32, context: Value) -> Value {
    let params = json!({"textDocument": {"uri": URI}, "position": {"line": line, "character": column},
        "context": context});
    client.ask("textDocument/signatureHelp", params)["result"].clone()
}

#[test]
fn the_form_of_an_instruction_is_shown_part_by_part() {
    let full =
        json!({"documentationFormat": ["markdown"], "parameterInformation": {"labelOffsetSupport": true}});
    for (encoding, wide) in ENCODINGS {
        for offered in [json!({}), full.clone()] {
            let mut client = Client::start(json!({
                "general": {"positionEncodings": [encoding]},
                "textDocument": {"signatureHelp": {"signatureInformation": offered}},
            }));
            client.open(URI, 1, SCORE);
            client.findings(URI, 1);
            let shown = forms(&mut client, 7, 7 + wide + 19, Value::Null);
            let form = &shown["signatures"][0];
            assert_eq!(form["label"], "[mute NAME]", "{encoding}: {shown}");
            assert_eq!((&shown["activeSignature"], &shown["activeParameter"]), (&json!(0), &json!(0)));
            let name = if offered == full { json!([6, 10]) } else { json!("NAME") };
            assert_eq!(form["parameters"][0]["label"], name);
            let kind = if offered == full { "markdown" } else { "plaintext" };
            assert_eq!(form["parameters"][0]["documentation"]["kind"], kind);
        }
    }
}

#[test]
fn the_form_of_a_bar_is_shown_to_who_asks_and_not_to_who_types() {
    let mut client = started("utf-16", json!({}));
    let comma = json!({"triggerKind": 2, "triggerCharacter": ",", "isRetrigger": false});
    assert_eq!(forms(&mut client, 7, 16, comma), Value::Null);
    let shown = forms(&mut client, 7, 16, json!({"triggerKind": 1, "isRetrigger": false}));
    assert_eq!(shown["signatures"][0]["label"], "FIGURE : ENTRY …");
    assert_eq!(shown["signatures"][0]["activeParameter"], json!(1));
    let option = json!({"triggerKind": 2, "triggerCharacter": ",", "isRetrigger": false});
    let shown = forms(&mut client, 1, 27, option);
    assert_eq!(shown["signatures"].as_array().map(Vec::len), Some(2), "{shown}");
}
