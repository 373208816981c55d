//! Where readings come from: what `calibrate read`, `ruler` and `cutter` share.

use std::path::{Path, PathBuf};

use clap::Args;

use super::page::{WayOptions, chart, empty_sheet};
use super::profile::ProfileOptions;
use crate::cli::options::Format as Output;
use crate::cli::report::{self, Sources};
use crate::cli::{USAGE, WRONG};
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::load;
use crate::project::{ReadingSheet, TypedReading};

/// Options that say what was read.
#[derive(Debug, Args)]
pub(super) struct ReadingOptions {
    /// The chart's format: letter, a4, any name from `papers`, or a size.
    #[arg(
        long,
        value_name = "NAME",
        required_unless_present = "readings",
        conflicts_with = "readings"
    )]
    paper: Option<String>,
    #[command(flatten)]
    way: WayOptions,
    /// A file with the readings.
    #[arg(long, value_name = "FILE", conflicts_with_all = ["reading", "lying", "edition"])]
    readings: Option<PathBuf>,
    /// Readings, one or several, each with its repeats: x1=20.4,20.5
    #[arg(long, value_name = "KEY=VALUE", num_args = 1..)]
    reading: Vec<String>,
    #[command(flatten)]
    pub(super) profile: ProfileOptions,
}

/// Readings, and the texts that mistakes in them point into.
pub(super) struct Given {
    pub(super) sheet: ReadingSheet,
    pub(super) sources: Sources,
}

impl ReadingOptions {
    /// Whether no reading is given, so that a person is to be asked.
    pub(super) fn is_silent(&self) -> bool {
        self.readings.is_none() && self.reading.is_empty()
    }

    /// Returns what was read; shows mistakes and returns the exit code where there are any.
    pub(super) fn given(&self, output: Output) -> Result<Given, u8> {
        let mut given = match &self.readings {
            Some(path) => from_file(path, output)?,
            None => self.typed(output)?,
        };
        let sheet = &mut given.sheet;
        for (here, flag) in [
            (&mut sheet.paper, &self.profile.stock),
            (&mut sheet.tray, &self.profile.tray),
            (&mut sheet.name, &self.profile.name),
        ] {
            if flag.is_some() {
                here.clone_from(flag);
            }
        }
        sheet.date = self.profile.date.or(sheet.date);
        Ok(given)
    }

    fn typed(&self, output: Output) -> Result<Given, u8> {
        let wrong = |d: Diagnostic| refuse(&[d], &Sources::new(), output);
        let paper = self.paper.as_deref().unwrap_or_default();
        let (name, chart) = chart(paper, self.way).map_err(wrong)?;
        let mut sheet = empty_sheet(name, &chart);
        for text in &self.reading {
            let Some((key, values)) = text.split_once('=') else {
                let message = format!("\"{text}\" names nothing that was read");
                let hint = "type what was read and its value, like x1=20.4".to_owned();
                let mistake = Diagnostic::error("calibrate.reading", message).hint(hint);
                report::show(&[mistake], &Sources::new(), output);
                return Err(USAGE);
            };
            sheet.readings.push(TypedReading::typed(key.trim(), values));
        }
        Ok(Given {
            sheet,
            sources: Sources::new(),
        })
    }
}

fn from_file(path: &Path, output: Output) -> Result<Given, u8> {
    let named = files::read_text(path).map_err(|d| report::fail(d, output))?;
    let sources = report::source(&named);
    match load::readings(&named) {
        Ok(sheet) => Ok(Given { sheet, sources }),
        Err(mistakes) => Err(refuse(&mistakes, &sources, output)),
    }
}

/// Shows mistakes and returns the exit code.
pub(super) fn refuse(mistakes: &[Diagnostic], sources: &Sources, output: Output) -> u8 {
    report::show(mistakes, sources, output);
    WRONG
}
