//! Manual pages and shell completions: made from the commands, so what is checked is that nothing is missing.

use super::answer::{folder, run};
#[cfg(unix)]
use std::process::Command;

/// Long options that a command's help tells.
fn options(help: &str) -> Vec<&str> {
    let words = help.split_whitespace().map(|w| w.trim_end_matches([',', ';', '.']));
    words.filter(|w| w.starts_with("--") && w.len() > 2 && w[2..].starts_with(char::is_lowercase)).collect()
}

#[test]
fn every_command_has_a_page_with_all_its_options() {
    let dir = folder(&[]);
    let answer = run(dir.path(), &["manual", "--into", "pages"]);
    assert_eq!((answer.status, answer.err.as_str()), (0, ""));
    let first = std::fs::read_to_string(dir.path().join("pages/waterkey.1")).unwrap();
    assert_eq!(run(dir.path(), &["manual"]).out, first, "what is printed is the first page");
    let commands: Vec<&str> =
        first.lines().filter_map(|l| l.strip_prefix("waterkey\\-")?.strip_suffix("(1)")).collect();
    assert!(commands.len() >= 10, "{commands:?}");
    assert_eq!(
        answer.out,
        format!("{} pages in pages\n", commands.iter().filter(|c| **c != "help").count() + 1)
    );
    for command in commands.into_iter().filter(|c| *c != "help") {
        let page = std::fs::read_to_string(dir.path().join(format!("pages/waterkey-{command}.1"))).unwrap();
        assert!(page.starts_with(".ie") && page.contains("Example"), "{command}");
        let page = page.replace("\\-", "-");
        for option in options(&run(dir.path(), &[command, "--help"]).out) {
            assert!(page.contains(option), "{command}: {option}");
        }
    }
}

#[test]
fn a_folder_that_cannot_be_made_is_told() {
    let dir = folder(&[("pages", "a file is in the way")]);
    let answer = run(dir.path(), &["manual", "--into", "pages"]);
    assert_eq!((answer.status, answer.out.as_str()), (2, ""));
    assert!(answer.err.starts_with("pages: "), "{}", answer.err);
}

#[test]
fn every_shell_learns_every_command() {
    let dir = folder(&[]);
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let script = run(dir.path(), &["completions", shell]);
        assert_eq!((script.status, script.err.as_str()), (0, ""), "{shell}");
        for word in ["check", "explain", "manual", "--fail-on"] {
            let word = if shell == "fish" { word.trim_start_matches("--") } else { word };
            assert!(script.out.contains(word), "{shell}: {word}");
        }
    }
    assert_eq!(run(dir.path(), &["completions", "abacus"]).status, 2);
}

/// The shell itself reads what is written for it, and completes a command with it.
#[test]
#[cfg(unix)]
fn bash_completes_a_command() {
    let dir = folder(&[]);
    let script = run(dir.path(), &["completions", "bash"]).out;
    std::fs::write(dir.path().join("script"), script).unwrap();
    let ask = "source ./script; COMP_WORDS=(waterkey ti); COMP_CWORD=1; _waterkey waterkey ti waterkey; echo \"${COMPREPLY[@]}\"";
    let answer = Command::new("bash").args(["--norc", "-c", ask]).current_dir(dir.path()).output().unwrap();
    assert_eq!(String::from_utf8_lossy(&answer.stdout), "tidy\n", "{answer:?}");
}
