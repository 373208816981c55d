//! `calibrate cutter`: the readings of a test cut become a cutting machine's profile.

use std::path::PathBuf;

use clap::Args;
use serde_json::json;

use super::profile::refuse_profile;
use super::readings::{ReadingOptions, refuse};
use crate::calibrate::{ByTestCut, cutter_details, cutter_file, cutter_words, read_test_cut};
use crate::cli::options::Format as Output;
use crate::cli::report;
use crate::cli::today::today;
use crate::cli::{DONE, WRONG};
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::load;
use crate::project::PrintMap;

/// Options of `calibrate cutter`.
#[derive(Debug, Args)]
pub(super) struct CutterOptions {
    #[command(flatten)]
    readings: ReadingOptions,
    /// Profile of the printer that printed the charts: what it does is taken off.
    #[arg(long, value_name = "FILE", required_unless_present = "as_printed")]
    printer: Option<PathBuf>,
    /// Take the charts as printed right; the machine then cuts where that printer prints without a profile.
    #[arg(long, conflicts_with = "printer")]
    as_printed: bool,
}

/// Runs the subcommand and returns the exit code.
pub(super) fn run(options: &CutterOptions, output: Output) -> u8 {
    match measure(options, output) {
        Ok(code) | Err(code) => code,
    }
}

fn measure(options: &CutterOptions, output: Output) -> Result<u8, u8> {
    let given = options.readings.given(output)?;
    let printer = printer(options, &given.sheet, output)?;
    let profile = &options.readings.profile;
    let before = profile.before(output)?;
    let found = read_test_cut(&given.sheet, printer.as_ref(), today())
        .map_err(|m| refuse(&m, &given.sources, output))?;
    let measured = found.value;
    let name = profile.new_name(given.sheet.name.as_deref());
    let page = (given.sheet.format.as_str(), measured.chart.page);
    let written = cutter_file(
        &measured.calibration,
        page,
        &measured.account,
        &name,
        before.as_ref(),
    )
    .map_err(|m| refuse_profile(&m, before.as_ref(), output))?;
    profile.write(&written.text, output)?;
    let out = profile.out.display();
    match output {
        Output::Json => report::result(&report::pretty(&json!({
            "profile": out.to_string(),
            "measured": to_json(&measured),
            "diagnostics": report::to_json(&found.warnings, &given.sources),
        }))),
        Output::Text => {
            report::show(&found.warnings, &given.sources, output);
            let mut lines = cutter_words(&measured);
            if profile.details {
                lines.extend(cutter_details(&measured));
            }
            report::result(&format!("{}\nwritten to {out}\n", lines.join("\n    ")));
        }
    }
    Ok(DONE)
}

fn to_json(measured: &ByTestCut) -> serde_json::Value {
    let calibration = &measured.calibration;
    json!({
        "method": measured.account.method,
        "cut_from_file": calibration.cut_from_file.as_coeffs(),
        "repeat_mm": calibration.repeat_mm,
        "sheets": measured.sheets,
        "within_95_mm": {
            "middle": calibration.spread.r95_mm(measured.chart.page.to_rect().center()),
        },
    })
}

/// Where the charts were printed; `None` where that is taken to be right.
fn printer(
    options: &CutterOptions,
    sheet: &crate::project::ReadingSheet,
    output: Output,
) -> Result<Option<PrintMap>, u8> {
    let Some(path) = &options.printer else {
        return Ok(None);
    };
    let named = files::read_text(path).map_err(|d| report::fail(d, output))?;
    let sources = report::source(&named);
    let read =
        load::printer_profile(&named, Some(today())).map_err(|m| refuse(&m, &sources, output))?;
    if output == Output::Text {
        report::show(&read.warnings, &sources, output);
    }
    let Some(calibration) = read.value.calibration else {
        let message = format!("{} says nothing of a measurement", named.name);
        let hint = "measure the printer with `calibrate read` first, or say --as-printed";
        report::show(
            &[Diagnostic::error("calibrate.printer", message).hint(hint)],
            &sources,
            output,
        );
        return Err(WRONG);
    };
    let is_same = (calibration.page.width - sheet.page.width).abs() < 0.5
        && (calibration.page.height - sheet.page.height).abs() < 0.5;
    if !is_same {
        let message = format!(
            "{} was measured on {:.1} x {:.1} mm, and the test cut is on {:.1} x {:.1} mm",
            named.name,
            calibration.page.width,
            calibration.page.height,
            sheet.page.width,
            sheet.page.height
        );
        let hint = "cut a chart of the format that the printer was measured on";
        report::show(
            &[Diagnostic::error("calibrate.printer", message).hint(hint)],
            &sources,
            output,
        );
        return Err(WRONG);
    }
    Ok(Some(calibration.front))
}
