//! `workspace/executeCommand`: what is asked for, and what is told.

use super::open_text::{Snapshot, path_of};
use super::owner::Workspace;
use super::session::Session;
use crate::assist::{chart_text, instrument, sheet};
use crate::exchange::form::Form;
use crate::exchange::musicxml::Pitches;
use crate::exchange::part::{find_player, part_timed};
use crate::exchange::sheet::html;
use serde_json::Value;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use tower_lsp::lsp_types::Url;

/// The commands, as they are announced.
pub const COMMANDS: [&str; 5] = [CHART, PART, SHEET, EXPORT, DEBUG];
/// The chart of an instrument, or of the instrument of a player: `["trumpet in Bb"]`, `[URI, PLAYER]`.
const CHART: &str = "waterkey.chart";
/// What a player reads: `[URI, PLAYER]`, or `[URI, PLAYER, PATH]` to write it to a file as well.
const PART: &str = "waterkey.part";
/// The rehearsal sheet of an open score as a page: `[URI]`.
const SHEET: &str = "waterkey.sheet";
/// The score, or what a player reads, for other programs: `[URI, PATH]`, `[URI, PATH, PLAYER]`. The ending of the
/// path says the form; the answer is the path that was written.
const EXPORT: &str = "waterkey.export";
/// What the server knows of itself.
const DEBUG: &str = "waterkey.debug";

/// A4 where no score names another, in hertz.
const A4: f64 = 440.0;

/// A command with its arguments.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    Chart { instrument: String },
    ChartOf { uri: Url, player: String },
    Part { uri: Url, player: String, path: Option<String> },
    Sheet { uri: Url },
    Export { uri: Url, path: String, player: Option<String> },
    Debug,
}

/// Reads a command; what is wrong with it, in words.
pub fn read(name: &str, arguments: &[Value]) -> Result<Command, String> {
    match name {
        CHART => match arguments {
            [Value::String(instrument)] => Ok(Command::Chart { instrument: instrument.clone() }),
            [Value::String(address), Value::String(player)] => {
                Ok(Command::ChartOf { uri: uri(address)?, player: player.clone() })
            }
            _ => Err(format!(
                "{CHART} takes an instrument, such as \"trumpet in Bb\", or the URI of an open score and a player"
            )),
        },
        PART => {
            let (address, player, path) = match arguments {
                [Value::String(address), Value::String(player)] => (address, player, None),
                [Value::String(address), Value::String(player), Value::Null] => (address, player, None),
                [Value::String(address), Value::String(player), Value::String(path)] => {
                    (address, player, Some(path.clone()))
                }
                _ => {
                    return Err(format!(
                        "{PART} takes the URI of an open score, a player, and a path if the part is to be written to a file"
                    ));
                }
            };
            Ok(Command::Part { uri: uri(address)?, player: player.clone(), path })
        }
        SHEET => match arguments {
            [Value::String(address)] => Ok(Command::Sheet { uri: uri(address)? }),
            _ => Err(format!("{SHEET} takes the URI of an open score")),
        },
        EXPORT => {
            let (address, path, player) = match arguments {
                [Value::String(address), Value::String(path)]
                | [Value::String(address), Value::String(path), Value::Null] => (address, path, None),
                [Value::String(address), Value::String(path), Value::String(player)] => {
                    (address, path, Some(player.clone()))
                }
                _ => {
                    return Err(format!(
                        "{EXPORT} takes the URI of an open score, the path of a file that ends in .musicxml, .mxl, .mid or .json, and a player if only their part is wanted"
                    ));
                }
            };
            Ok(Command::Export { uri: uri(address)?, path: path.clone(), player })
        }
        DEBUG if arguments.is_empty() => Ok(Command::Debug),
        DEBUG => Err(format!("{DEBUG} takes no arguments")),
        _ => Err(format!("there is no command {name}; there are {}", COMMANDS.join(", "))),
    }
}

fn uri(address: &str) -> Result<Url, String> {
    Url::parse(address).map_err(|_| format!("\"{address}\" is no URI of a score"))
}

/// The chart of an instrument, named as in a score.
pub fn chart(words: &str) -> Result<String, String> {
    Ok(chart_text(&instrument(&[words.to_owned()])?, A4))
}

/// The chart of what a player has in hand at the beginning.
pub fn chart_of(text: &Snapshot, player: &str) -> Result<String, String> {
    let score = text.desk.score();
    let index = find_player(score, player).map_err(|why| why.to_string())?;
    let player = score.head.players.get(index);
    let first = player.and_then(|p| p.instruments.first());
    let held = first.ok_or_else(|| "the score does not say what this player plays".to_owned())?;
    Ok(chart_text(&held.instrument, score.head.a4(text.desk.settings().tuning)))
}

/// What a player reads.
pub fn part(text: &Snapshot, player: &str) -> Result<String, String> {
    let index = find_player(text.desk.score(), player).map_err(|why| why.to_string())?;
    Ok(part_timed(&text.desk, text.clock(), index))
}

/// The rehearsal sheet, a page for a browser.
pub fn sheet(text: &Snapshot) -> String {
    html(&sheet::sheet(&text.desk))
}

/// The score, or one part of it, in the form that the path's ending says.
pub fn export(text: &Snapshot, path: &str, player: Option<&str>) -> Result<Vec<u8>, String> {
    let ending = path.rsplit_once('.').map_or("", |(_, ending)| ending);
    let form = Form::of_ending(ending)
        .ok_or_else(|| format!("\"{path}\" says no form; let it end in .musicxml, .mxl, .mid or .json"))?;
    match player {
        Some(player) => {
            let index = find_player(text.desk.score(), player).map_err(|why| why.to_string())?;
            form.part(&text.desk, index)
        }
        None => form.score(&text.desk, Pitches::Written),
    }
}

/// The file that a path means: an absolute one, a file's URI, or one beside the score.
pub fn place(score: &Url, path: &str) -> Result<PathBuf, String> {
    let own = path_of(score);
    let plain = Path::new(path);
    let found = if plain.is_absolute() {
        plain.to_path_buf()
    } else if path.starts_with("file:") {
        let given = Url::parse(path).ok().and_then(|uri| uri.to_file_path().ok());
        given.ok_or_else(|| format!("\"{path}\" is no file"))?
    } else {
        let beside = own.as_deref().and_then(Path::parent).map(|folder| folder.join(plain));
        beside.ok_or_else(|| {
            format!("the score has no place on disk, so nothing lies beside it: name the whole path, not \"{path}\"")
        })?
    };
    let same = |a: &Path, b: &Path| {
        a == b || a.canonicalize().ok().zip(b.canonicalize().ok()).is_some_and(|(a, b)| a == b)
    };
    match own {
        Some(own) if same(&own, &found) => {
            Err(format!("{} is the score itself; name another file", found.display()))
        }
        _ => Ok(found),
    }
}

/// The server, what was agreed with the client, and every open text.
pub fn debug(session: &Session, workspace: &Workspace) -> String {
    let mut out = format!("waterkey {}\n", env!("CARGO_PKG_VERSION"));
    let _ = writeln!(out, "position encoding {}", session.encoding.kind().as_str());
    let yes = |flag: bool| if flag { "yes" } else { "no" };
    let agreed = [
        ("diagnostics are asked for", session.pull),
        ("configuration is asked for", session.configuration),
        ("changed files are told of", session.register_files),
        ("edits name a version", session.versioned),
        ("Markdown", session.markdown),
        ("documents can be shown", session.show_document),
        ("trace", session.trace),
    ];
    agreed.into_iter().for_each(|(what, is)| {
        let _ = writeln!(out, "{what}: {}", yes(is));
    });
    for folder in &workspace.folders {
        let _ = writeln!(out, "folder {}", folder.display());
    }
    if let Some(megabytes) = memory() {
        let _ = writeln!(out, "memory {megabytes:.1} MB");
    }
    let _ = writeln!(out, "open texts: {}", workspace.known.len());
    for (text, _) in &workspace.known {
        let (document, score) = (text.desk.document(), text.desk.score());
        let _ = writeln!(
            out,
            "{} version {}: {} bytes, {} lines ({} read), {} players, {} blocks, {} pairs checked, {} findings",
            text.uri,
            text.version,
            document.lines().bytes(),
            document.lines().len(),
            document.lines_read(),
            score.head.players.len(),
            score.blocks.len(),
            text.desk.report().checked,
            text.desk.findings().len()
        );
    }
    out
}

/// Resident memory in megabytes, where the system tells it.
fn memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:"))?;
    let kilobytes: f64 = line.trim().trim_end_matches(" kB").parse().ok()?;
    Some(kilobytes / 1024.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    fn told(name: &str, arguments: Value) -> Result<Command, String> {
        read(name, arguments.as_array().unwrap())
    }

    #[test]
    fn arguments_are_read_or_it_is_said_what_they_should_be() {
        assert_eq!(told("waterkey.debug", json!([])), Ok(Command::Debug));
        assert_eq!(
            told("waterkey.chart", json!(["F tuba"])),
            Ok(Command::Chart { instrument: "F tuba".into() })
        );
        let part = told("waterkey.part", json!(["untitled:a", "Tp1", "p.brass"]));
        assert_eq!(
            part,
            Ok(Command::Part {
                uri: Url::parse("untitled:a").unwrap(),
                player: "Tp1".into(),
                path: Some("p.brass".into())
            })
        );
        for (name, arguments) in [
            ("waterkey.part", json!([])),
            ("waterkey.part", json!(["untitled:a"])),
            ("waterkey.part", json!(["no uri", "Tp1"])),
            ("waterkey.part", json!(["untitled:a", 1])),
            ("waterkey.part", json!(["untitled:a", "Tp1", 2])),
            ("waterkey.sheet", json!([])),
            ("waterkey.sheet", json!(["no uri"])),
            ("waterkey.sheet", json!(["untitled:a", "Tp1"])),
            ("waterkey.chart", json!([])),
            ("waterkey.chart", json!([{}])),
            ("waterkey.debug", json!([1])),
            ("waterkey.export", json!(["untitled:a"])),
            ("waterkey.export", json!(["untitled:a", "x.mid", 1])),
            ("waterkey.export", json!(["no uri", "x.mid"])),
            ("waterkey.nonsense", json!([])),
        ] {
            let why = told(name, arguments).unwrap_err();
            assert!(why.contains("waterkey.") || why.contains("no URI"), "{why}");
        }
    }

    #[test]
    fn a_part_never_takes_the_place_of_its_score() {
        let dir = tempfile::tempdir().unwrap();
        let score = dir.path().join("a.brass");
        std::fs::write(&score, "").unwrap();
        let uri = Url::from_file_path(&score).unwrap();
        assert_eq!(place(&uri, "b.brass"), Ok(dir.path().join("b.brass")));
        assert!(place(&uri, "a.brass").is_err());
        assert!(place(&uri, "./a.brass").is_err());
        assert!(place(&uri, uri.as_str()).is_err());
        assert!(place(&Url::parse("untitled:a").unwrap(), "b.brass").is_err());
        assert!(place(&Url::parse("untitled:a").unwrap(), dir.path().join("b").to_str().unwrap()).is_ok());
    }
}
