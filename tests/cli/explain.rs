//! `waterkey explain`.

use super::answer::{folder, run};

#[test]
fn every_name_of_the_index_has_a_page() {
    let dir = folder(&[]);
    let index = run(dir.path(), &["explain"]);
    assert_eq!((index.status, index.err.as_str()), (0, ""));
    let severities = ["error", "warning", "information", "hint"];
    let names: Vec<&str> = index
        .out
        .lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(names.len() > 20, "{}", index.out);
    for name in names {
        let page = run(dir.path(), &["explain", name]);
        assert_eq!(page.status, 0, "{name}");
        assert!(page.out.starts_with(&format!("{name}\n\n")), "{}", page.out);
        let line = index.out.lines().find(|l| l.trim_start().starts_with(name)).unwrap();
        assert!(severities.iter().any(|s| line.contains(s)), "{line}");
    }
}

#[test]
fn a_wrong_name_offers_the_nearest() {
    let answer = run(folder(&[]).path(), &["explain", "bar-lenght"]);
    assert_eq!((answer.status, answer.out.as_str()), (2, ""));
    assert!(answer.err.contains("bar-length"), "{}", answer.err);
}
