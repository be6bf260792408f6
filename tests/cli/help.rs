//! Help and wrong arguments.

use super::answer::{folder, run};

const COMMANDS: [&str; 16] = [
    "check",
    "mend",
    "tidy",
    "explain",
    "part",
    "export",
    "plan",
    "report",
    "who",
    "share",
    "chart",
    "sound",
    "rewrite",
    "parse",
    "completions",
    "manual",
];

#[test]
fn every_command_has_help_with_an_example() {
    let dir = folder(&[]);
    for command in COMMANDS {
        let help = run(dir.path(), &[command, "--help"]);
        assert_eq!(help.status, 0, "{command}");
        assert!(
            help.out.contains("Example") && help.out.contains(&format!("waterkey {command}")),
            "{command}"
        );
        assert_eq!(help.err, "", "{command}");
    }
    let all = run(dir.path(), &["--help"]);
    assert_eq!(all.status, 0);
    for command in COMMANDS {
        assert!(all.out.contains(command), "{command}");
    }
}

#[test]
fn the_version_is_the_packages() {
    let version = run(folder(&[]).path(), &["--version"]);
    assert_eq!((version.status, version.out), (0, format!("waterkey {}\n", env!("CARGO_PKG_VERSION"))));
}

#[test]
fn wrong_arguments_are_2_and_go_to_standard_error() {
    let dir = folder(&[]);
    for wrong in [
        &[][..],
        &["nonsense"],
        &["check"],
        &["check", "--colour", "x"],
        &["check", "--fail-on", "hint", "x"],
    ] {
        let answer = run(dir.path(), wrong);
        assert_eq!((answer.status, answer.out.as_str()), (2, ""), "{wrong:?}");
        assert!(!answer.err.is_empty(), "{wrong:?}");
    }
}
