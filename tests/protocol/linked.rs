//! Links to included files.

use super::client::Client;
use super::folders::{ENCODINGS, cut, folder, opened, started, uri};
use serde_json::{Value, json};

const CREW: &str = "player A\u{10428} = trombone\nplayer B = trombone\ngroup All = A\u{10428} B\n";
const QUAY: &str = "\
title \"\u{1d11e}\"
include \"crew.brass\"
include \"parts/\u{1d11e} low.brass\"
include \"nobody.brass\"
include \"../secret.brass\"
include \"quay.brass\"
include \"parts\"
include \"/etc/passwd\"
bar 1
include \"crew.brass\"
";

fn links(client: &mut Client, uri: &str) -> Vec<Value> {
    let answer = client.ask("textDocument/documentLink", json!({"textDocument": {"uri": uri}}));
    answer["result"].as_array().unwrap_or_else(|| panic!("{answer}")).clone()
}

#[test]
fn what_is_there_and_may_be_included_has_a_link() {
    for encoding in ENCODINGS {
        let (_dir, outer) = folder(&[
            ("secret.brass", ""),
            ("town/crew.brass", CREW),
            ("town/parts/\u{1d11e} low.brass", ""),
            ("town/quay.brass", QUAY),
        ]);
        let root = outer.join("town");
        let tooltips = json!({"textDocument": {"documentLink": {"tooltipSupport": true}}});
        let mut client = started(None, encoding, tooltips);
        let quay = opened(&mut client, &root.join("quay.brass"), QUAY);
        let all = links(&mut client, &quay);
        let told: Vec<&str> = all.iter().map(|l| cut(encoding, QUAY, &l["range"])).collect();
        assert_eq!(told, ["crew.brass", "parts/\u{1d11e} low.brass"]);
        assert_eq!(all[0]["target"], uri(&root.join("crew.brass")));
        assert_eq!(all[0]["tooltip"], "crew.brass: 2 players, 1 group");
        assert!(all[1]["target"].as_str().unwrap().ends_with("/parts/%F0%9D%84%9E%20low.brass"), "{all:?}");
        assert_eq!(all[1]["tooltip"], "parts/\u{1d11e} low.brass");
        // A text without a place has none.
        client.open("untitled:a", 1, QUAY);
        client.findings("untitled:a", 1);
        assert!(links(&mut client, "untitled:a").is_empty());
    }
}

#[cfg(unix)]
#[test]
fn a_link_leads_to_the_text_that_is_open() {
    let (_dir, root) = folder(&[("crew.brass", CREW), ("quay.brass", "include \"crew.brass\"\n")]);
    std::os::unix::fs::symlink(root.join("crew.brass"), root.join("alias.brass")).unwrap();
    let mut client = started(None, "utf-16", json!({}));
    let quay = opened(&mut client, &root.join("quay.brass"), "include \"crew.brass\"\n");
    let alias = opened(&mut client, &root.join("alias.brass"), CREW);
    let all = links(&mut client, &quay);
    assert_eq!(all[0]["target"], alias);
    assert!(all[0].get("tooltip").is_none(), "this editor shows none");
}
