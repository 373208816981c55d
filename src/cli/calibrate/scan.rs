//! `calibrate scan`: scans of the printed chart become a printer's profile.

use std::path::PathBuf;

use clap::Args;
use kurbo::Size;
use serde_json::json;

use super::profile::{ProfileOptions, refuse_profile};
use super::readings::refuse;
use super::scan_flags::{Rule, SheetSize, parse_dpi, parse_rule, parse_scale, parse_sheet};
use super::scan_report;
use crate::calibrate::chart::Chart;
use crate::calibrate::scan::{
    Belief, FaceScan, Given, Survey, possible_charts, read_scan, residual_picture,
};
use crate::calibrate::{Account, printer_file};
use crate::cli::options::Format as Output;
use crate::cli::report::{self, Sources};
use crate::cli::today::today;
use crate::cli::{DONE, WRONG};
use crate::date;
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::paper::Format;
use crate::scan::Picture;

/// Options of `calibrate scan`.
#[derive(Debug, Args)]
pub(super) struct ScanOptions {
    /// Scans of the printed chart: PNG, JPEG or TIFF, 150 to 1200 dpi, the sheet anywhere on the glass before a dark ground.
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The sheet's format, where it is not to be told from the picture: letter, a4, any name from `papers`, or a size.
    #[arg(long, value_name = "NAME", value_parser = super::scan_flags::parse_format)]
    paper: Option<Format>,
    /// Pixels to the inch that the scans were made with, where the files do not say or lie.
    #[arg(long, value_name = "N", value_parser = parse_dpi)]
    dpi: Option<f64>,
    /// The scanner's own scale along the picture's rows and columns, where it was measured: 1.0012,0.9993
    #[arg(long, value_name = "X,Y", value_parser = parse_scale)]
    scanner_scale: Option<(f64, f64)>,
    /// A line of the chart measured with a ruler, A to D or bar, and how far that may be off: "C=240.6mm within 0.2mm"
    #[arg(long, value_name = "LINE=LENGTH", value_parser = parse_rule)]
    rule: Vec<Rule>,
    /// Size of the sheet of the first file, measured with a ruler: "210.1 x 296.8 mm"
    #[arg(long, value_name = "SIZE", value_parser = parse_sheet)]
    sheet_size: Option<SheetSize>,
    /// Picture to write that shows where on the page the error is, before and after.
    #[arg(long, value_name = "PNG")]
    residuals: Option<PathBuf>,
    #[command(flatten)]
    profile: ProfileOptions,
}

/// Runs the subcommand and returns the exit code.
pub(super) fn run(options: &ScanOptions, output: Output) -> u8 {
    match measure(options, output) {
        Ok(code) | Err(code) => code,
    }
}

fn measure(options: &ScanOptions, output: Output) -> Result<u8, u8> {
    let (chart, scans, mut warnings) = read_all(options, output)?;
    let survey = Survey::new(chart, &scans, &given(options))
        .map_err(|d| refuse(&d, &Sources::new(), output))?;
    warnings.extend(survey.warnings.iter().cloned());
    let profile = &options.profile;
    let day = profile.date.unwrap_or_else(today);
    let calibration = survey
        .calibration(day, profile.stock.clone(), profile.tray.clone())
        .expect("a survey without a front is refused");
    let before = profile.before(output)?;
    let account = account(options);
    let name = profile.new_name(profile.name.as_deref());
    let written = printer_file(&calibration, None, &account, &name, before.as_ref())
        .map_err(|m| refuse_profile(&m, before.as_ref(), output))?;
    if let Some(path) = &options.residuals {
        let title = format!("{name}, {}", date::show(day));
        let picture = residual_picture(&survey.result, survey.chart.page, &title)
            .expect("a survey has targets");
        files::write_file(path, &picture).map_err(|d| report::fail(d, output))?;
    }
    profile.write(&written.text, output)?;
    show(options, &survey, &warnings, output);
    Ok(DONE)
}

/// Reads every picture, one after the other so that only one is in memory.
fn read_all(
    options: &ScanOptions,
    output: Output,
) -> Result<(Chart, Vec<FaceScan>, Vec<Diagnostic>), u8> {
    let mut charts = possible_charts(options.paper.as_ref());
    let (mut scans, mut warnings, mut mistakes) = (Vec::new(), Vec::new(), Vec::new());
    let mut first: Option<(usize, String)> = None;
    for path in &options.files {
        let name = path.display().to_string();
        let bytes = files::read_picture(path).map_err(|d| report::fail(d, output))?;
        let picture = Picture::decode(&bytes).map(|p| match options.dpi {
            Some(dpi) => p.with_dpi(Some(dpi)),
            None => p,
        });
        drop(bytes);
        let read = picture
            .map_err(|d| vec![named(&name, d)])
            .and_then(|p| read_scan(&name, &p, &charts));
        match read {
            Err(d) => mistakes.extend(d),
            Ok(read) => {
                let (chart, one) = first.get_or_insert((read.chart, name.clone()));
                if *chart != read.chart {
                    mistakes.push(two_charts(one, &charts[*chart], &name, &charts[read.chart]));
                }
                scans.push(read.scan);
                warnings.extend(read.warnings);
            }
        }
    }
    match first {
        Some((chart, _)) if mistakes.is_empty() => Ok((charts.swap_remove(chart), scans, warnings)),
        Some(_) | None => {
            report::show(&mistakes, &Sources::new(), output);
            Err(WRONG)
        }
    }
}

fn named(name: &str, mistake: Diagnostic) -> Diagnostic {
    Diagnostic {
        message: format!("{name}: {}", mistake.message),
        ..mistake
    }
}

fn two_charts(one: &str, its: &Chart, other: &str, others: &Chart) -> Diagnostic {
    let size = |chart: &Chart| {
        format!(
            "{} ({:.0} x {:.0} mm)",
            chart.format, chart.page.width, chart.page.height
        )
    };
    let message = format!(
        "{one} shows a chart for {} and {other} one for {}",
        size(its),
        size(others)
    );
    Diagnostic::error("calibrate.strangers", message)
        .hint("give scans of one chart; another format gets a profile of its own")
}

fn given(options: &ScanOptions) -> Given {
    Given {
        belief: match options.scanner_scale {
            Some((x, y)) => Belief::measured(x, y),
            None => Belief::UNKNOWN,
        },
        notes: options.rule.iter().map(|r| r.note).collect(),
        sheet: options
            .sheet_size
            .as_ref()
            .map(|s| (Size::new(s.width_mm, s.height_mm), s.within_mm)),
    }
}

/// The files and flags as they were typed, so that the profile tells where it comes from.
fn account(options: &ScanOptions) -> Account {
    let mut readings: Vec<(String, String)> = Vec::new();
    for (number, file) in options.files.iter().enumerate() {
        let name = file.file_name().unwrap_or(file.as_os_str());
        readings.push((
            format!("scan{}", number + 1),
            name.to_string_lossy().into_owned(),
        ));
    }
    if let Some((x, y)) = options.scanner_scale {
        readings.push(("scanner_scale".to_owned(), format!("{x},{y}")));
    }
    for (number, rule) in options.rule.iter().enumerate() {
        readings.push((format!("rule{}", number + 1), rule.typed.clone()));
    }
    if let Some(sheet) = &options.sheet_size {
        readings.push(("sheet_size".to_owned(), sheet.typed.clone()));
    }
    Account {
        method: format!(
            "by scan, {}",
            crate::diagnostic::counted(options.files.len(), "file")
        ),
        readings,
    }
}

fn show(options: &ScanOptions, survey: &Survey, warnings: &[Diagnostic], output: Output) {
    match output {
        Output::Json => report::result(&report::pretty(&json!({
            "profile": options.profile.out.display().to_string(),
            "residuals": options.residuals.as_ref().map(|p| p.display().to_string()),
            "measured": scan_report::json(survey),
            "diagnostics": report::to_json(warnings, &Sources::new()),
        }))),
        Output::Text => {
            report::show(warnings, &Sources::new(), output);
            report::result(&scan_report::text(survey, options.profile.details));
            let picture = options.residuals.as_ref().map_or_else(String::new, |p| {
                format!(", picture of the errors to {}", p.display())
            });
            report::result(&format!(
                "written to {}{picture}\n",
                options.profile.out.display()
            ));
        }
    }
}
