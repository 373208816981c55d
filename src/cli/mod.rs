//! The command line: flags in, reports and an exit code out.
//!
//! Read `options` for the verbs, then one file a verb. Results go to standard output, talk to standard error. Exit codes: 0 done;
//! 1 the project is wrong, does not fit, or a proof failed; 2 usage, input or output.

mod budget;
mod calibrate;
mod check;
mod desk;
mod fold;
mod leftover;
mod make;
mod new;
mod options;
mod papers;
mod patterns;
mod plan;
mod progress;
mod register;
mod report;
mod restate;
mod scale;
mod stock;
mod today;
mod verify;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;

use options::{Options, Verb};

/// Done.
const DONE: u8 = 0;
/// The project is wrong, does not fit, or a proof failed.
const WRONG: u8 = 1;
/// Usage, input or output.
const USAGE: u8 = 2;

/// Runs the program with these arguments, the program's name first.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let options = match Options::try_parse_from(arguments) {
        Ok(options) => options,
        Err(help) => return show_help(&help),
    };
    let code = match &options.verb {
        Verb::Check(verb) => check::run(verb, options.format),
        Verb::Fold(verb) => fold::run(verb, options.format),
        Verb::Plan(verb) => plan::run(verb, options.format),
        Verb::Leftover(verb) => leftover::run(verb, options.format),
        Verb::Make(verb) => make::run(verb, options.format),
        Verb::Verify(verb) => verify::run(verb, options.format),
        Verb::Register(verb) => register::run(verb, options.format),
        Verb::New(verb) => new::run(verb, options.format),
        Verb::Restate(verb) => restate::run(verb, options.format),
        Verb::Scale(verb) => scale::run(verb, options.format),
        Verb::Stock(verb) => stock::run(verb, options.format),
        Verb::Calibrate(verb) => calibrate::run(verb, options.format),
        Verb::Desk(verb) => desk::run(verb, options.format),
        Verb::Papers(verb) => papers::run(verb, options.format),
        Verb::Patterns(verb) => patterns::run(verb, options.format),
    };
    ExitCode::from(code)
}

/// Shows what clap has to say: help on standard output, a wrong flag on standard error.
fn show_help(help: &clap::Error) -> ExitCode {
    // Nothing is left to do if the terminal is gone.
    let _ = help.print();
    ExitCode::from(if help.use_stderr() { USAGE } else { DONE })
}
