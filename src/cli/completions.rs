//! `waterkey completions`: what a shell needs to complete these commands.

use super::out::Out;
use super::{Arguments, CLEAN};
use clap::{Args, CommandFactory};
use clap_complete::{Shell, generate};

/// Print what a shell needs to complete these commands
#[derive(Args)]
#[command(after_help = "Examples:\n  \
        waterkey completions bash > ~/.local/share/bash-completion/completions/waterkey\n  \
        waterkey completions fish > ~/.config/fish/completions/waterkey.fish")]
pub struct Completions {
    #[arg(value_name = "SHELL")]
    shell: Shell,
}

impl Completions {
    pub fn run(self, out: &mut Out) -> u8 {
        let mut script = Vec::new();
        generate(self.shell, &mut Arguments::command(), "waterkey", &mut script);
        out.text(&String::from_utf8_lossy(&script));
        CLEAN
    }
}
