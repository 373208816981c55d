//! Where readings come from, and the profile that they go into: what `calibrate read`, `ruler` and `cutter` share.

use std::path::{Path, PathBuf};

use clap::Args;

use super::page::{WayOptions, chart, empty_sheet};
use crate::cli::options::Format as Output;
use crate::cli::report::{self, Sources};
use crate::cli::{USAGE, WRONG};
use crate::date;
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::load::{self, NamedText};
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
    /// The printed paper in your words, such as "oat card 200 g".
    #[arg(long, value_name = "WORDS")]
    stock: Option<String>,
    /// The tray it was fed from, in your words.
    #[arg(long, value_name = "WORDS")]
    tray: Option<String>,
    /// The machine's name in your words [default: the profile's, or its file's]
    #[arg(long, value_name = "WORDS")]
    name: Option<String>,
    /// Day of the readings, like 2026-05-09 [default: today]
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    date: Option<date::Date>,
    /// The profile to write; one that is there keeps its name, limits and comments.
    #[arg(long, value_name = "FILE")]
    pub(super) out: PathBuf,
    /// Also show the numbers behind the words.
    #[arg(long)]
    pub(super) details: bool,
}

fn parse_date(text: &str) -> Result<date::Date, String> {
    date::parse(text)
        .ok_or_else(|| format!("{text} is no day; write year, month and day, like 2026-05-09"))
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
            (&mut sheet.paper, &self.stock),
            (&mut sheet.tray, &self.tray),
            (&mut sheet.name, &self.name),
        ] {
            if flag.is_some() {
                here.clone_from(flag);
            }
        }
        sheet.date = self.date.or(sheet.date);
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

    /// The profile that is there already.
    pub(super) fn before(&self, output: Output) -> Result<Option<NamedText>, u8> {
        if !self.out.exists() {
            return Ok(None);
        }
        let text = files::read_text(&self.out).map_err(|d| report::fail(d, output))?;
        Ok(Some(NamedText {
            name: self.out.display().to_string(),
            text,
        }))
    }

    /// What a new profile is called.
    pub(super) fn new_name(&self, sheet: &ReadingSheet) -> String {
        sheet.name.clone().unwrap_or_else(|| {
            let stem = self
                .out
                .file_stem()
                .map(|s| s.to_string_lossy().into_owned());
            stem.unwrap_or_else(|| "Printer".to_owned())
        })
    }

    /// Writes the profile.
    pub(super) fn write(&self, text: &str, output: Output) -> Result<(), u8> {
        files::write_file(&self.out, text.as_bytes()).map_err(|d| report::fail(d, output))
    }
}

fn from_file(path: &Path, output: Output) -> Result<Given, u8> {
    let text = files::read_text(path).map_err(|d| report::fail(d, output))?;
    let named = NamedText {
        name: path.display().to_string(),
        text,
    };
    let sources = Sources::from([(named.name.clone(), named.text.clone())]);
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
