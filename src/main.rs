//! The `sheetwright` program.

use std::process::ExitCode;

fn main() -> ExitCode {
    sheetwright::cli::run(std::env::args_os())
}
