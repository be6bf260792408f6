//! The command line: one file a command, each a thin shell over the layers below.

mod changed_lines;
mod chart;
mod check;
mod completions;
mod explain;
mod export;
mod import;
mod manual;
mod mend;
mod out;
mod paint;
mod parse;
mod part;
mod plan;
mod reading;
mod report;
mod rewrite;
mod score_player;
mod serve;
mod settings;
mod share;
mod sheet;
mod sound;
mod tidy;
mod who;
mod written_file;

use clap::{Parser, Subcommand};
use out::Out;
use std::ffi::OsString;
use std::process::ExitCode;

/// Nothing to object to.
const CLEAN: u8 = 0;
/// Findings at or above the asked severity, or texts that are not tidy.
const FOUND: u8 = 1;
/// What was asked could not be done.
const FAILED: u8 = 2;

/// Reads scores for brass and says what cannot be played, and why.
#[derive(Parser)]
#[command(
    name = "waterkey",
    version,
    after_help = "Example: waterkey check harbour.brass\n\n\
                  waterkey COMMAND --help tells more about each command.\n\
                  Exit status: 0 all is well, 1 there are findings, 2 it could not be done."
)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    Check(check::Check),
    Tidy(tidy::Tidy),
    Mend(mend::Mend),
    Explain(explain::Explain),
    Chart(chart::Chart),
    Sound(sound::Sound),
    Part(part::Part),
    Export(export::Export),
    Import(import::Import),
    Plan(plan::Plan),
    Report(sheet::Sheet),
    Who(who::Who),
    Share(share::Share),
    Rewrite(rewrite::RewriteScore),
    Parse(parse::Parse),
    Serve(serve::Serve),
    Completions(completions::Completions),
    Manual(manual::Manual),
}

/// Runs the command that the arguments name and gives its exit status.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let mut out = Out::new();
    let status = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => match arguments.command {
            Command::Check(command) => command.run(&mut out),
            Command::Tidy(command) => command.run(&mut out),
            Command::Mend(command) => command.run(&mut out),
            Command::Explain(command) => command.run(&mut out),
            Command::Parse(command) => command.run(&mut out),
            Command::Part(command) => command.run(&mut out),
            Command::Export(command) => command.run(&mut out),
            Command::Import(command) => command.run(&mut out),
            Command::Plan(command) => command.run(&mut out),
            Command::Report(command) => command.run(&mut out),
            Command::Who(command) => command.run(&mut out),
            Command::Share(command) => command.run(&mut out),
            Command::Rewrite(command) => command.run(&mut out),
            Command::Chart(command) => command.run(&mut out),
            Command::Sound(command) => command.run(&mut out),
            Command::Serve(command) => command.run(&mut out),
            Command::Completions(command) => command.run(&mut out),
            Command::Manual(command) => command.run(&mut out),
        },
        Err(error) => help(&mut out, &error),
    };
    ExitCode::from(out.finish(status))
}

/// Prints the help that was asked for, or what is wrong with the arguments.
fn help(out: &mut Out, error: &clap::Error) -> u8 {
    let text = error.render();
    if error.use_stderr() {
        out.trouble(
            if out.colour_on_error() { text.ansi().to_string() } else { text.to_string() }.trim_end(),
        );
        FAILED
    } else {
        out.line(if out.colour() { text.ansi().to_string() } else { text.to_string() }.trim_end());
        CLEAN
    }
}

/// Reads a tuning note in hertz.
fn tuning(text: &str) -> Result<f64, String> {
    match text.parse() {
        Ok(hertz) if (360.0..=540.0).contains(&hertz) => Ok(hertz),
        _ => Err("A4 is a number of hertz from 360 to 540, such as 442".to_owned()),
    }
}

/// Columns to write in: those of the terminal, within what is pleasant to read.
fn width() -> usize {
    terminal_size::terminal_size().map_or(100, |(width, _)| usize::from(width.0)).clamp(40, 120)
}
