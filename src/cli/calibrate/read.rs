//! `calibrate read`: the chart read by eye becomes a printer's profile.

use std::io::{self, BufRead};

use clap::Args;
use serde_json::json;

use super::profile::refuse_profile;
use super::readings::{Given, ReadingOptions, refuse};
use crate::calibrate::chart::ChartFaces;
use crate::calibrate::{self, Report, ask, printer_file, read_by_eye};
use crate::cli::options::Format as Output;
use crate::cli::report;
use crate::cli::today::today;
use crate::cli::{DONE, WRONG};
use crate::project::ReadingSheet;

/// Options of `calibrate read`.
#[derive(Debug, Args)]
pub(super) struct ReadOptions {
    #[command(flatten)]
    readings: ReadingOptions,
    /// Also ask for the back, where readings are asked for one at a time.
    #[arg(long)]
    duplex: bool,
}

/// Runs the subcommand and returns the exit code.
pub(super) fn run(options: &ReadOptions, output: Output) -> u8 {
    match read(options, output) {
        Ok(code) | Err(code) => code,
    }
}

fn read(options: &ReadOptions, output: Output) -> Result<u8, u8> {
    let mut given = options.readings.given(output)?;
    if options.readings.is_silent() {
        given.sheet = asked(options, given.sheet)?;
    }
    let Given { sheet, sources } = given;
    let profile = &options.readings.profile;
    let before = profile.before(output)?;
    let found = read_by_eye(&sheet, today()).map_err(|mistakes| {
        if options.readings.is_silent() {
            report::talk(&typed_again(&sheet));
        }
        refuse(&mistakes, &sources, output)
    })?;
    let eye = found.value;
    let name = profile.new_name(sheet.name.as_deref());
    let margins = eye.margins;
    let written = printer_file(
        &eye.calibration,
        margins,
        &eye.account,
        &name,
        before.as_ref(),
    )
    .map_err(|m| refuse_profile(&m, before.as_ref(), output))?;
    profile.write(&written.text, output)?;
    let told = Report {
        calibration: &eye.calibration,
        method: &eye.account.method,
        margins: margins.as_ref(),
        precision: Some(eye.precision),
    };
    let out = profile.out.display();
    match output {
        Output::Json => report::result(&report::pretty(&json!({
            "profile": out.to_string(),
            "measured": told.json(),
            "checks_mm": eye.checks_mm,
            "diagnostics": report::to_json(&found.warnings, &sources),
        }))),
        Output::Text => {
            report::show(&found.warnings, &sources, output);
            report::result(&told.text(profile.details));
            report::result(&format!("written to {out}\n"));
        }
    }
    Ok(DONE)
}

/// Asks for the readings one at a time, on the terminal.
fn asked(options: &ReadOptions, sheet: ReadingSheet) -> Result<ReadingSheet, u8> {
    let faces = if options.duplex {
        ChartFaces::Both
    } else {
        ChartFaces::Front
    };
    let chart = calibrate::chart_of(&sheet);
    let mut lines = io::stdin().lock().lines().map_while(Result::ok);
    let answers = chart
        .ok()
        .and_then(|chart| ask(&chart, faces, sheet, &mut lines, &mut report::talk));
    answers.ok_or_else(|| {
        report::talk("\nnothing was written\n");
        WRONG
    })
}

/// What was answered, as flags, so that nothing has to be read twice.
fn typed_again(sheet: &ReadingSheet) -> String {
    let flags: String = sheet
        .kept()
        .iter()
        .map(|(key, text)| format!(" \"{key}={text}\""))
        .collect();
    format!("\nwhat you typed, to be changed and given again: --reading{flags}\n")
}
