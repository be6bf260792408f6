//! Actions: what is offered for a range, with an astral character before it, in all three encodings, at once
//! or when it is chosen.

use super::client::{Client, range_of};
use serde_json::{Value, json};

const URI: &str = "untitled:a";

const SCORE: &str = "\
brass 1
player Tp1 = trumpet in Bb, level school
player Tb1 = straight trombone
bar 1  meter 4/4  key Bb major  tempo q = 72
Tp1 | h : \"\u{1d11e}\u{1d11e}\" G5 c5 |
Tb1 | h : \"\u{1d11e}\u{1d11e}\" E2 Eb2 |
";

/// Encoding, and the columns that two astral characters take.
const ENCODINGS: [(&str, u32); 3] = [("utf-8", 8), ("utf-16", 4), ("utf-32", 2)];

fn literals() -> Value {
    json!({"codeActionLiteralSupport": {"codeActionKind": {"valueSet": ["quickfix"]}}})
}

fn started(encoding: &str, action: Value, versioned: bool) -> Client {
    let mut client = Client::start(json!({
        "general": {"positionEncodings": [encoding]},
        "textDocument": {"codeAction": action},
        "workspace": {"workspaceEdit": {"documentChanges": versioned}},
    }));
    client.open(URI, 1, SCORE);
    client.findings(URI, 1);
    client
}

fn asked(client: &mut Client, range: [u32; 4], context: Value) -> Vec<Value> {
    let params = json!({"textDocument": {"uri": URI}, "range": range_of(range), "context": context});
    let answer = client.ask("textDocument/codeAction", params);
    answer["result"].as_array().unwrap_or_else(|| panic!("{answer}")).clone()
}

fn titles(actions: &[Value]) -> Vec<&str> {
    actions.iter().map(|a| a["title"].as_str().unwrap()).collect()
}

fn named<'a>(actions: &'a [Value], title: &str) -> &'a Value {
    let found = actions.iter().find(|a| a["title"].as_str().unwrap().starts_with(title));
    found.unwrap_or_else(|| panic!("{title} is not among {actions:#?}"))
}

#[test]
fn a_note_below_the_slide_goes_up() {
    for (encoding, wide) in ENCODINGS {
        let mut client = started(encoding, literals(), false);
        // `E2` begins behind the quote, `Eb2` three columns later.
        let from = 11 + wide + 2 + 3;
        let note = [5, from, 5, from + 3];
        let diagnostic =
            json!({"range": range_of(note), "code": "tube-gap", "message": "", "source": "waterkey"});
        let other = json!({"range": range_of([0, 0, 0, 1]), "code": "tube-gap", "message": ""});
        let context = json!({"diagnostics": [diagnostic, other], "triggerKind": 2});
        let all = asked(&mut client, [5, from + 1, 5, from + 1], context);
        let up = named(&all, "Up an octave: 1 note, inside Tb1's comfortable range");
        assert_eq!(up["kind"], "quickfix");
        assert_eq!(up["diagnostics"], json!([diagnostic]), "{encoding}");
        let digit = range_of([5, from + 2, 5, from + 3]);
        assert_eq!(up["edit"], json!({"changes": {URI: [{"range": digit, "newText": "3"}]}}), "{encoding}");
        assert!(up.get("isPreferred").is_none() && up.get("data").is_none(), "{up}");
        let here = named(&all, "Allow tube-gap for Tb1 in bar 1");
        let end = range_of([3, 44, 3, 44]);
        let line = json!([{"range": end, "newText": "\nallow tube-gap for Tb1"}]);
        assert_eq!(here["edit"]["changes"][URI], line, "{here}");
        assert!(titles(&all).contains(&"Allow tube-gap for Tb1 in this score"), "{all:?}");
        // The cursor moved by itself: nothing for the whole text.
        assert!(all.iter().all(|a| a["kind"] == "quickfix"), "{all:?}");
    }
}

#[test]
fn edits_come_when_they_are_asked_for() {
    for (encoding, wide) in ENCODINGS {
        let mut action = literals();
        action["resolveSupport"] = json!({"properties": ["edit"]});
        action["dataSupport"] = json!(true);
        action["isPreferredSupport"] = json!(true);
        let mut client = started(encoding, action, true);
        assert_eq!(client.initialized["capabilities"]["codeActionProvider"]["resolveProvider"], json!(true));
        let from = 12 + wide + 1;
        let all = asked(&mut client, [4, from, 4, from + 5], json!({"diagnostics": []}));
        assert!(all.iter().all(|a| a.get("edit").is_none() && a["data"]["version"] == 1), "{all:#?}");
        assert!(all.iter().any(|a| a["isPreferred"] == json!(true)));
        let down = named(&all, "Down an octave: 1 note").clone();
        let resolved = client.ask("codeAction/resolve", down.clone())["result"].clone();
        let edits = json!([{"range": range_of([4, from + 1, 4, from + 2]), "newText": "4"}]);
        let text = json!({"uri": URI, "version": 1});
        assert_eq!(resolved["edit"], json!({"documentChanges": [{"textDocument": text, "edits": edits}]}));
        assert_eq!(resolved["title"], down["title"]);
        let capital = named(&all, "Write C5 for c5").clone();
        // The text has gone on: what was offered for another one is not done to this.
        client.edit(URI, 2, [0, 7, 0, 7], " // dawn");
        let stale = client.ask("codeAction/resolve", capital);
        assert_eq!(stale["error"]["code"], json!(-32801), "{stale}");
        // The same number again is not the same text.
        client.close(URI);
        client.findings(URI, Value::Null);
        client.open(URI, 1, SCORE);
        client.findings(URI, 1);
        assert_eq!(client.ask("codeAction/resolve", down)["error"]["code"], json!(-32801));
        let odd = json!({"title": "x", "data": {"uri": URI, "version": "one"}});
        assert_eq!(client.ask("codeAction/resolve", odd)["error"]["code"], json!(-32602));
    }
}

#[test]
fn kinds_are_honoured() {
    let mut action = literals();
    action["disabledSupport"] = json!(true);
    let mut client = started("utf-16", action, false);
    let whole = [4, 0, 5, 30];
    let kinds = |actions: &[Value]| -> Vec<String> {
        let mut all: Vec<String> = actions.iter().map(|a| a["kind"].as_str().unwrap().to_owned()).collect();
        all.dedup();
        all
    };
    let only = |kind: &str| json!({"diagnostics": [], "only": [kind], "triggerKind": 1});
    assert_eq!(kinds(&asked(&mut client, whole, only("quickfix"))), ["quickfix"]);
    assert_eq!(kinds(&asked(&mut client, whole, only("refactor.extract"))), [""; 0]);
    for source in ["source", "source.fixAll", "source.fixAll.waterkey"] {
        let all = asked(&mut client, [0, 0, 0, 0], only(source));
        assert_eq!(titles(&all), ["Mend every plain slip: 1 place"], "{source}");
        assert_eq!(kinds(&all), ["source.fixAll.waterkey"]);
        let edits = all[0]["edit"]["changes"][URI].as_array().unwrap();
        assert_eq!(edits.len(), 1, "{edits:?}");
        assert_eq!(edits[0]["newText"], "C", "{edits:?}");
    }
    assert_eq!(asked(&mut client, [0, 0, 0, 0], only("source.fixAll.other")).len(), 0);
    // Asked for by hand, without a kind: that too.
    let invoked = json!({"diagnostics": [], "triggerKind": 1});
    assert!(kinds(&asked(&mut client, [0, 0, 0, 0], invoked)).contains(&"source.fixAll.waterkey".to_owned()));
    // Notes that lie well say why they stay.
    let stays = asked(&mut client, [5, 17, 5, 18], only("refactor.rewrite"));
    assert!(stays[0]["disabled"]["reason"].as_str().unwrap().contains("octave"), "{stays:?}");
    let moves = asked(&mut client, [4, 17, 4, 19], only("refactor"));
    assert!(moves[0]["title"].as_str().unwrap().starts_with("Down an octave"), "{moves:?}");
}

#[test]
fn who_shows_no_actions_gets_none() {
    let mut client = started("utf-16", json!({}), false);
    assert!(client.initialized["capabilities"].get("codeActionProvider").is_none());
    assert_eq!(asked(&mut client, [4, 0, 5, 30], json!({"diagnostics": []})), Vec::<Value>::new());
}

#[test]
fn places_out_of_range_and_lines_without_findings() {
    let mut client = started("utf-16", literals(), false);
    let max = u32::MAX;
    assert_eq!(asked(&mut client, [max, max, max, max], json!({"diagnostics": []})).len(), 0);
    // An end before the start is the start: what is offered for a player.
    let player = asked(&mut client, [1, 5, 0, 0], json!({"diagnostics": [], "triggerKind": 2}));
    assert_eq!(player.len(), 0);
    let all = asked(&mut client, [0, 0, max, max], json!({"diagnostics": []}));
    assert!(all.len() > 5, "{all:#?}");
}

/// A row for two, and the same two rows gathered again, with an astral character before the chords.
#[test]
fn a_row_for_two_is_written_out_and_gathered() {
    const TWO: &str = "brass 1\nplayer Hn1 = horn in F\nplayer Hn2 = horn in F\nbar 1  tempo q = 72\nHn1 Hn2 | h h : \"\u{1d11e}\" (C4 F4) D4 |\n";
    for (encoding, _) in ENCODINGS {
        for later in [false, true] {
            let mut action = literals();
            if later {
                action["dataSupport"] = json!(true);
                action["resolveSupport"] = json!({"properties": ["edit"]});
            }
            let mut client = started(encoding, action, false);
            client.open("untitled:two", 1, TWO);
            client.findings("untitled:two", 1);
            let context = json!({"diagnostics": [], "only": ["refactor.rewrite"]});
            let params = json!({"textDocument": {"uri": "untitled:two"}, "range": range_of([4, 0, 4, 0]), "context": context});
            let answer = client.ask("textDocument/codeAction", params);
            let actions = answer["result"].as_array().unwrap();
            let mut action = named(actions, "Write the row out for Hn1 and Hn2").clone();
            if later {
                assert_eq!(action.get("edit"), None);
                action = client.ask("codeAction/resolve", action)["result"].clone();
            }
            let edits = &action["edit"]["changes"]["untitled:two"];
            let new = edits[0]["newText"].as_str().unwrap();
            assert_eq!(
                new, "Hn1    | h h : \"\u{1d11e}\" F4 D4 |\nHn2    | h h : \"\u{1d11e}\" C4 D4 |",
                "{edits}"
            );
            let wide = match encoding {
                "utf-8" => 4,
                "utf-16" => 2,
                _ => 1,
            };
            assert_eq!(edits[0]["range"], range_of([4, 0, 4, 31 + wide]), "{encoding}");
            let change = json!({"textDocument": {"uri": "untitled:two", "version": 2},
                "contentChanges": [{"range": edits[0]["range"], "text": new}]});
            client.tell("textDocument/didChange", change);
            let params = json!({"textDocument": {"uri": "untitled:two"}, "range": range_of([4, 0, 5, 0]), "context": context});
            let answer = client.ask("textDocument/codeAction", params);
            let actions = answer["result"].as_array().unwrap();
            named(actions, "Gather 2 rows on one: Hn1 Hn2");
            client.end();
        }
    }
}

#[test]
fn a_selection_goes_to_another_player_who_is_free() {
    for (encoding, wide) in ENCODINGS {
        let mut client = started(encoding, literals(), false);
        let text = "player Tp1 = trumpet in Bb\nplayer Tp2 = trumpet in Bb\nbar 1  meter 4/4  tempo q = 72\nTp1 | h q q : \"\u{1d11e}\u{1d11e}\" C5 D5 E5 |\n";
        client.replace(URI, 2, text);
        client.findings(URI, 2);
        // `D5` begins five columns behind the quote.
        let from = 15 + wide + 2 + 3;
        let context = json!({"diagnostics": [], "only": ["refactor.rewrite"]});
        let actions = asked(&mut client, [3, from, 3, from + 5], context);
        let action = named(&actions, "Give 2 notes in bar 1 to Tp2: inside its comfortable range");
        assert_eq!(action["kind"], "refactor.rewrite");
        let edits = action["edit"]["changes"][URI].as_array().unwrap();
        let told: Vec<&str> = edits.iter().map(|e| e["newText"].as_str().unwrap()).collect();
        assert!(told.iter().any(|t| t.ends_with("Tp2 | h- q q : D5 E5 |")), "{told:?}");
        assert!(told.iter().any(|t| t.contains(" h h- : \"\u{1d11e}\u{1d11e}\" C5 ")), "{told:?}");
    }
}

#[test]
fn a_chord_of_one_player_is_shared_and_a_groups_chord_dealt_by_harmony() {
    for (encoding, wide) in ENCODINGS {
        let mut client = started(encoding, literals(), false);
        let text = "player Hn1 = horn in F\nplayer Hn2 = horn in F\nplayer Hn3 = horn in F\nplayer Tb1 = trombone\nplayer Tb2 = trombone\nbar 1  key F major  tempo q = 72\nTb1 | w : \"\u{1d11e}\u{1d11e}\" (F3 C4) |\nHn1 Hn2 Hn3 | w : \"\u{1d11e}\u{1d11e}\" (F4 A4) |\n";
        client.replace(URI, 2, text);
        client.findings(URI, 2);
        let context = json!({"diagnostics": []});
        let actions = asked(&mut client, [6, 13 + wide, 6, 13 + wide], context.clone());
        let action = named(&actions, "Share the chord of bar 1 out: Tb1 C4, Tb2 F3");
        assert_eq!(action["kind"], "quickfix");
        let edits = action["edit"]["changes"][URI].as_array().unwrap();
        // The chord begins behind the sign, two quotes and a blank.
        let chord = range_of([6, 10 + wide + 3, 6, 10 + wide + 10]);
        let own = edits.iter().find(|e| e["newText"] == "C4").unwrap();
        assert_eq!(own["range"], chord, "{encoding}");
        assert!(
            edits.iter().any(|e| e["newText"]
                .as_str()
                .unwrap()
                .contains("Tb2         | w : \"\u{1d11e}\u{1d11e}\" F3 |")),
            "{edits:?}"
        );
        let horns = asked(
            &mut client,
            [7, 18 + wide + 3, 7, 18 + wide + 5],
            json!({"diagnostics": [], "only": ["refactor"]}),
        );
        let action =
            named(&horns, "Share the chord of bar 1 out: Hn1 A4, Hn2 F4, Hn3 F4; the root is doubled");
        assert_eq!(action["kind"], "refactor.rewrite");
        client.end();
    }
}

/// The block's text with the edits of a change made, by the columns of an encoding.
fn made(text: &str, edits: &[Value], column: impl Fn(&str, u64) -> usize) -> String {
    let mut lines: Vec<String> = text.split_inclusive('\n').map(str::to_owned).collect();
    for edit in edits.iter().rev() {
        let at = |end: &str, part: &str| edit["range"][end][part].as_u64().unwrap();
        assert_eq!(at("start", "line"), at("end", "line"), "{edit}");
        let line = &mut lines[at("start", "line") as usize];
        let (from, to) = (column(line, at("start", "character")), column(line, at("end", "character")));
        line.replace_range(from..to, edit["newText"].as_str().unwrap());
    }
    lines.concat()
}

fn column(encoding: &str) -> impl Fn(&str, u64) -> usize {
    let wide = move |c: char| match encoding {
        "utf-8" => c.len_utf8(),
        "utf-16" => c.len_utf16(),
        _ => 1,
    };
    move |line, wanted| {
        let mut at = 0;
        let found = line.char_indices().find(|(_, c)| {
            let here = at >= wanted as usize;
            at += wide(*c);
            here
        });
        found.map_or(line.len(), |(byte, _)| byte)
    }
}

#[test]
fn a_block_is_made_playable_and_shown_before() {
    for (encoding, _) in ENCODINGS {
        let mut action = literals();
        action["resolveSupport"] = json!({"properties": ["edit"]});
        action["dataSupport"] = json!(true);
        let mut client = Client::start(json!({
            "general": {"positionEncodings": [encoding]},
            "textDocument": {"codeAction": action},
            "workspace": {"workspaceEdit": {"documentChanges": true, "changeAnnotationSupport": {}}},
        }));
        let text = "\
brass 1
player Tp1 = trumpet in Bb
player Tb1 = trombone
bar 1  meter 4/4  tempo q = 72
Tp1 | w : \"\u{1d11e}\u{1d11e}\" E6 | w : E6 |
Tb1 | w : Cb4 | w : F3 |
bar 3
Tp1 | w : C5 |
";
        client.open(URI, 1, text);
        assert_ne!(client.findings(URI, 1), json!([]));
        let context = json!({"diagnostics": [], "only": ["refactor.rewrite"]});
        let all = asked(&mut client, [4, 0, 4, 0], context.clone());
        let offered = named(&all, "Make bars 1 to 2 playable").clone();
        assert_eq!(offered["kind"], "refactor.rewrite");
        assert!(offered.get("edit").is_none(), "{offered}");
        let resolved = client.ask("codeAction/resolve", offered)["result"].clone();
        let change = &resolved["edit"];
        let (name, annotation) = change["changeAnnotations"].as_object().unwrap().iter().next().unwrap();
        assert_eq!(annotation["label"], "Make bars 1 to 2 playable");
        assert_eq!(annotation["needsConfirmation"], json!(true));
        let told = annotation["description"].as_str().unwrap();
        assert!(told.contains("Tp1: Down an octave"), "{told}");
        let document = &change["documentChanges"][0];
        assert_eq!(document["textDocument"], json!({"uri": URI, "version": 1}));
        let edits = document["edits"].as_array().unwrap();
        assert!(edits.iter().all(|e| e["annotationId"] == json!(name)), "{edits:?}");
        let after = made(text, edits, column(encoding));
        client.replace(URI, 2, &after);
        assert_eq!(client.findings(URI, 2), json!([]), "{after}");
        // Where nothing is wrong there is nothing to offer, and what was offered is overtaken.
        let all = asked(&mut client, [4, 0, 4, 0], context);
        assert!(titles(&all).iter().all(|t| !t.starts_with("Make")), "{all:?}");
    }
}
