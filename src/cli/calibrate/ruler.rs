//! `calibrate ruler`: four lengths and two distances become a printer's first profile.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::profile::refuse_profile;
use super::readings::{ReadingOptions, refuse};
use crate::calibrate::{Need, Report, printer_file, read_by_ruler};
use crate::cli::DONE;
use crate::cli::check;
use crate::cli::options::{Format as Output, ProjectOptions};
use crate::cli::report;
use crate::cli::today::today;

/// Options of `calibrate ruler`.
#[derive(Debug, Args)]
pub(super) struct RulerOptions {
    #[command(flatten)]
    readings: ReadingOptions,
    /// A project, to be told whether its bleed needs more than a ruler.
    #[arg(long, value_name = "PROJECT")]
    project: Option<PathBuf>,
}

/// Runs the subcommand and returns the exit code.
pub(super) fn run(options: &RulerOptions, output: Output) -> u8 {
    match measure(options, output) {
        Ok(code) | Err(code) => code,
    }
}

fn measure(options: &RulerOptions, output: Output) -> Result<u8, u8> {
    let given = options.readings.given(output)?;
    let job = match &options.project {
        Some(path) => Some(
            check::open(&ProjectOptions::of(path.clone()), output)?
                .project
                .value,
        ),
        None => None,
    };
    let profile = &options.readings.profile;
    let before = profile.before(output)?;
    let found =
        read_by_ruler(&given.sheet, today()).map_err(|m| refuse(&m, &given.sources, output))?;
    let measured = found.value;
    let name = profile.new_name(given.sheet.name.as_deref());
    let written = printer_file(
        &measured.calibration,
        None,
        &measured.account,
        &name,
        before.as_ref(),
    )
    .map_err(|m| refuse_profile(&m, before.as_ref(), output))?;
    profile.write(&written.text, output)?;
    let told = Report {
        calibration: &measured.calibration,
        method: &measured.account.method,
        margins: None,
        precision: Some(measured.precision),
    };
    let need = job
        .as_ref()
        .map(|job| (Need::of(job, &measured.calibration), &job.job.name));
    let out = profile.out.display();
    match output {
        Output::Json => report::result(&report::pretty(&json!({
            "profile": out.to_string(),
            "measured": told.json(),
            "need": need.map(|(need, name)| json!({
                "job": name,
                "least_bleed_mm": need.least_bleed_mm,
                "misfit_mm": need.misfit_mm,
                "is_covered": need.is_covered(),
            })),
            "diagnostics": report::to_json(&found.warnings, &given.sources),
        }))),
        Output::Text => {
            report::show(&found.warnings, &given.sources, output);
            report::result(&told.text(profile.details));
            if let Some((need, name)) = need {
                report::result(&format!("{}\n", need.words(name)));
            }
            report::result(&format!("written to {out}\n"));
        }
    }
    Ok(DONE)
}
