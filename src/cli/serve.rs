//! `waterkey serve`: the language server.

use super::FAILED;
use super::out::Out;
use clap::Args;
use std::path::PathBuf;

/// Serve an editor: the Language Server Protocol over standard input and output
#[derive(Args)]
#[command(after_help = "An editor starts this command and speaks to it; there is nothing to type.\n\n\
        Examples:\n  \
        waterkey serve                     quiet\n  \
        waterkey serve --log waterkey.log  write what happens to a file\n\n\
        Exit status: 0 after the editor ended the session in order, 1 otherwise.")]
pub struct Serve {
    /// A file to append a log to; - is standard error
    #[arg(long, value_name = "FILE")]
    log: Option<PathBuf>,

    /// Standard input and output; the only way there is, taken because some editors ask for it
    #[arg(long, hide = true)]
    stdio: bool,
}

impl Serve {
    pub fn run(self, out: &mut Out) -> u8 {
        // Nothing else may write to standard output while the server does.
        match crate::server::run(std::io::stdin(), std::io::stdout(), self.log.as_deref()) {
            Ok(status) => status,
            Err(why) => {
                out.trouble(&format!("the server could not start: {why}"));
                FAILED
            }
        }
    }
}
