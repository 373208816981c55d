//! `calibrate chart`: the chart as a proved set of files.

use std::num::NonZeroUsize;
use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::page::PageOptions;
use crate::calibrate::chart::{self, ChartFaces};
use crate::cli::options::Format as Output;
use crate::cli::report::{self, Sources};
use crate::cli::{DONE, WRONG, verify};
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::job::{self, Made};
use crate::load;
use crate::plan::PlanOptions;
use crate::project::Calibration;

/// Options of `calibrate chart`.
#[derive(Debug, Args)]
pub(super) struct ChartOptions {
    #[command(flatten)]
    page: PageOptions,
    /// Print the back, too, with scales that show how far it lies from the front.
    #[arg(long)]
    duplex: bool,
    /// Print the chart through this printer's profile, to see the error gone.
    #[arg(long, value_name = "FILE")]
    printer: Option<PathBuf>,
    /// Folder to write; an earlier result in it is replaced.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
}

/// Runs the subcommand and returns the exit code.
pub(super) fn run(options: &ChartOptions, output: Output) -> u8 {
    match make(options, output) {
        Ok(code) | Err(code) => code,
    }
}

fn make(options: &ChartOptions, output: Output) -> Result<u8, u8> {
    let disk = |d| report::fail(d, output);
    let wrong = |mistakes: &[Diagnostic]| {
        report::show(mistakes, &Sources::new(), output);
        WRONG
    };
    files::check_target(&options.out).map_err(disk)?;
    let chart = options.page.chart().map_err(|d| wrong(&[d]))?;
    let faces = if options.duplex {
        ChartFaces::Both
    } else {
        ChartFaces::Front
    };
    let project = match calibration(options, output)? {
        None => chart::project(&chart, faces),
        Some(calibration) => chart::project_through(&chart, faces, calibration),
    };
    let planned = job::plan(&project, &PlanOptions::default()).map_err(|d| wrong(&d))?;
    if planned.warnings.iter().any(Diagnostic::is_error) {
        return Err(wrong(&planned.warnings));
    }
    let made = job::make(&project, &planned.value, NonZeroUsize::MIN).map_err(disk)?;
    let folder = files::deliver(&options.out, &made).map_err(disk)?;
    let names: Vec<&str> = made.files.keys().map(String::as_str).collect();
    report::result(&match output {
        Output::Json => report::pretty(&json!({
            "folder": folder,
            "files": names,
            "verdict": made.verdict,
            "diagnostics": report::to_json(&planned.warnings, &Sources::new()),
        })),
        Output::Text => {
            let written = format!("written to {}: {}\n", folder.display(), names.join(", "));
            verify::text(&made.verdict) + &written + &next(&made, faces)
        }
    });
    Ok(if made.verdict.is_proved() {
        DONE
    } else {
        WRONG
    })
}

/// What was measured of the printer that is named.
fn calibration(options: &ChartOptions, output: Output) -> Result<Option<Calibration>, u8> {
    let Some(path) = &options.printer else {
        return Ok(None);
    };
    let named = files::read_text(path).map_err(|d| report::fail(d, output))?;
    let read = load::printer_profile(&named, None).map_err(|mistakes| {
        report::show(&mistakes, &report::source(&named), output);
        WRONG
    })?;
    if read.value.calibration.is_some() {
        return Ok(read.value.calibration);
    }
    let message = format!("{} says nothing of what was measured", named.name);
    let mistake = Diagnostic::error("calibrate.printer", message).hint(
        "measure the printer first: `calibrate scan` or `calibrate read` write such a profile",
    );
    report::show(&[mistake], &Sources::new(), output);
    Err(WRONG)
}

/// What to do with the files.
fn next(made: &Made, faces: ChartFaces) -> String {
    if !made.verdict.is_proved() {
        return "the target is untouched; the failed set is there to look at\n".to_owned();
    }
    let sides = match faces {
        ChartFaces::Front => "",
        ChartFaces::Both => " on both sides",
    };
    format!(
        "next: print print.pdf at 100 %{sides}, tick the edge that went in first, then measure it or scan it\n"
    )
}
