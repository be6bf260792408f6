//! What is offered for everything the fixtures and samples have wrong, for whoever works on the cures.

use std::path::{Path, PathBuf};
use waterkey::assist::Cures;
use waterkey::host::FolderLoader;
use waterkey::rules::{Desk, Settings};

fn files(folder: &Path, all: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            files(&path, all);
        } else if path.extension().is_some_and(|e| e == "brass") {
            all.push(path);
        }
    }
}

#[test]
#[ignore = "prints"]
fn survey() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = Vec::new();
    files(&root.join("tests/fixtures"), &mut all);
    files(&root.join("samples"), &mut all);
    for path in all {
        let text = std::fs::read_to_string(&path).unwrap();
        let desk = Desk::new(&text, Settings::default(), &FolderLoader::for_score(&path, &[]));
        let cures = Cures::of(&desk);
        println!("=== {}", path.strip_prefix(root).unwrap().display());
        for finding in cures.findings() {
            let line = &desk.document().lines().get(finding.line as usize).unwrap().text;
            println!(
                "{}:{} {} `{}`\n    {line}",
                finding.line + 1,
                finding.rule,
                finding.severity.word(),
                finding.span.of(line)
            );
            let offers = cures.offers(finding);
            for cure in &finding.cures {
                if let waterkey::rules::Cure::Replace { title, .. } = cure
                    && !offers.iter().any(|o| o.title == *title)
                {
                    println!("   DROPPED {title}");
                }
            }
            for offer in offers {
                println!(
                    "  {}{} {}",
                    if offer.preferred { "*" } else { " " },
                    if offer.safe { "S" } else { " " },
                    offer.title
                );
                if offer.kind == waterkey::assist::OfferKind::Allow {
                    continue;
                }
                let mut lines: Vec<u32> = offer.edits.iter().map(|e| e.line).collect();
                lines.dedup();
                for l in lines {
                    let mut t = desk.document().lines().get(l as usize).unwrap().text.to_string();
                    t.push('$');
                    for e in offer.edits.iter().rev().filter(|e| e.line == l) {
                        let end = (e.span.end as usize).min(t.len());
                        t.replace_range(e.span.start as usize..end, &e.with);
                    }
                    println!("        {}: {t}", l + 1);
                }
            }
        }
        if let Some(all) = cures.all() {
            println!("  ALL {}", all.title);
        }
    }
}
