//! The `waterkey` command.

use std::process::ExitCode;

fn main() -> ExitCode {
    waterkey::cli::run(std::env::args_os())
}
