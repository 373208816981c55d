//! `calibrate chart`: the chart as a proved set of files.

use std::num::NonZeroUsize;
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use serde_json::json;

use crate::calibrate::chart::{self, Chart, ChartEdition, ChartFaces};
use crate::cli::options::Format as Output;
use crate::cli::report::{self, Sources};
use crate::cli::{DONE, WRONG, verify};
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::job::{self, Made};
use crate::length::{LengthUnit, Size, parse_pair};
use crate::paper::{self, Format};
use crate::plan::PlanOptions;

/// Options of `calibrate chart`.
#[derive(Debug, Args)]
pub(super) struct ChartOptions {
    /// The sheet's format: letter, a4, any name from `papers`, or a size such as "12 1/2 x 12 in".
    #[arg(long, value_name = "NAME")]
    paper: String,
    /// Feed the sheet with its longer side first, for jobs on sheets that lie.
    #[arg(long)]
    lying: bool,
    /// Print the back, too, with scales that show how far it lies from the front.
    #[arg(long)]
    duplex: bool,
    /// The ruler it is read with [default: in for formats in inches, else mm]
    #[arg(long, value_enum)]
    edition: Option<EditionOption>,
    /// Folder to write; an earlier result in it is replaced.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
}

/// The ruler that a chart is read with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum EditionOption {
    /// A mark at each millimetre.
    Mm,
    /// A mark at each sixteenth of an inch.
    #[value(alias = "in")]
    Inch,
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
    let chart = wanted(options).map_err(|d| wrong(&[d]))?;
    let faces = if options.duplex {
        ChartFaces::Both
    } else {
        ChartFaces::Front
    };
    let project = chart::project(&chart, faces);
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

fn wanted(options: &ChartOptions) -> Result<Chart, Diagnostic> {
    let format = format(&options.paper)?;
    let edition = match options.edition {
        Some(EditionOption::Mm) => ChartEdition::Millimetres,
        Some(EditionOption::Inch) => ChartEdition::Inches,
        None if format.name().ends_with(LengthUnit::Inch.symbol()) => ChartEdition::Inches,
        None => ChartEdition::Millimetres,
    };
    if options.lying {
        Chart::lying(&format, edition)
    } else {
        Chart::upright(&format, edition)
    }
}

/// Finds a format by its name, or makes one of a size.
fn format(text: &str) -> Result<Format, Diagnostic> {
    if let Some(format) = paper::find(text) {
        return Ok(format.clone());
    }
    let size = parse_pair(text, None).ok();
    let sides = size.and_then(|(one, other)| Some((Size::new(one)?, Size::new(other)?)));
    if let Some((one, other)) = sides {
        return Ok(Format::custom("sheet", one, other));
    }
    let mistake = Diagnostic::error(
        "calibrate.paper",
        format!("no sheet format is called \"{text}\", and it is no size"),
    );
    Err(mistake.hint(match paper::nearest_name(text) {
        Some(name) => format!("did you mean --paper \"{name}\"?"),
        None => "`sheetwright papers` lists the names; a size is written \"8 x 10 in\"".to_owned(),
    }))
}
