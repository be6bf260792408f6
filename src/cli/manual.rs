//! `waterkey manual`: the manual pages of these commands, made from the same words as their help.

use super::out::Out;
use super::{Arguments, CLEAN, FAILED};
use clap::{Args, CommandFactory};
use clap_mangen::Man;
use std::io;
use std::path::{Path, PathBuf};

/// Print the manual page, or write one for each command into a folder
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey manual | man -l -\n  \
        waterkey manual --into ~/.local/share/man/man1")]
pub struct Manual {
    /// Write waterkey.1 and a page for each command here instead of printing the first
    #[arg(long, value_name = "FOLDER")]
    into: Option<PathBuf>,
}

impl Manual {
    pub fn run(self, out: &mut Out) -> u8 {
        let mut whole = Arguments::command();
        whole.build();
        match self.into {
            None => match page(&whole) {
                Ok(text) => {
                    out.text(&text);
                    CLEAN
                }
                Err(why) => {
                    out.trouble(&format!("The manual page could not be made: {why}"));
                    FAILED
                }
            },
            Some(folder) => match write_all(&whole, &folder) {
                Ok(count) => {
                    out.line(&format!("{count} pages in {}", folder.display()));
                    CLEAN
                }
                Err((path, why)) => {
                    out.trouble(&format!("{}: {why}", path.display()));
                    FAILED
                }
            },
        }
    }
}

fn page(command: &clap::Command) -> io::Result<String> {
    let mut bytes = Vec::new();
    Man::new(command.clone()).render(&mut bytes)?;
    String::from_utf8(bytes).map_err(io::Error::other)
}

/// Writes a page for the whole and for each command; how many.
fn write_all(whole: &clap::Command, folder: &Path) -> Result<usize, (PathBuf, io::Error)> {
    std::fs::create_dir_all(folder).map_err(|why| (folder.to_owned(), why))?;
    let mut count = 0;
    for command in std::iter::once(whole).chain(whole.get_subcommands().filter(|c| c.get_name() != "help")) {
        // `waterkey-check`, as the page of a part is called.
        let name = command.get_display_name().unwrap_or(command.get_name()).to_owned();
        let path = folder.join(format!("{name}.1"));
        let text = page(command).map_err(|why| (path.clone(), why))?;
        std::fs::write(&path, text).map_err(|why| (path, why))?;
        count += 1;
    }
    Ok(count)
}
