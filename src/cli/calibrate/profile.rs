//! The profile that a measurement goes into: what `calibrate read`, `ruler`, `scan` and `cutter` share.

use std::path::PathBuf;

use clap::Args;

use super::readings::refuse;
use crate::cli::options::Format as Output;
use crate::cli::report::{self, Sources};
use crate::date::{self, Date};
use crate::diagnostic::Diagnostic;
use crate::files;
use crate::load::NamedText;

/// Options that say what is measured, and where the profile goes.
#[derive(Debug, Args)]
pub(super) struct ProfileOptions {
    /// The printed paper in your words, such as "oat card 200 g".
    #[arg(long, value_name = "WORDS")]
    pub(super) stock: Option<String>,
    /// The tray it was fed from, in your words.
    #[arg(long, value_name = "WORDS")]
    pub(super) tray: Option<String>,
    /// The machine's name in your words [default: the profile's, or its file's]
    #[arg(long, value_name = "WORDS")]
    pub(super) name: Option<String>,
    /// Day of the measurement, like 2026-05-09 [default: today]
    #[arg(long, value_name = "DATE", value_parser = parse_date)]
    pub(super) date: Option<Date>,
    /// The profile to write; one that is there keeps its name, limits and comments.
    #[arg(long, value_name = "FILE")]
    pub(super) out: PathBuf,
    /// Also show the numbers behind the words.
    #[arg(long)]
    pub(super) details: bool,
}

fn parse_date(text: &str) -> Result<Date, String> {
    date::parse(text)
        .ok_or_else(|| format!("{text} is no day; write year, month and day, like 2026-05-09"))
}

impl ProfileOptions {
    /// The profile that is there already.
    pub(super) fn before(&self, output: Output) -> Result<Option<NamedText>, u8> {
        if !self.out.exists() {
            return Ok(None);
        }
        let before = files::read_text(&self.out).map_err(|d| report::fail(d, output))?;
        Ok(Some(before))
    }

    /// What a new profile is called where `name` is not said.
    pub(super) fn new_name(&self, name: Option<&str>) -> String {
        let stem = || self.out.file_stem().map(|s| s.to_string_lossy());
        name.map(str::to_owned)
            .or_else(|| stem().map(Into::into))
            .unwrap_or_else(|| "Printer".to_owned())
    }

    /// Writes the profile.
    pub(super) fn write(&self, text: &str, output: Output) -> Result<(), u8> {
        files::write_file(&self.out, text.as_bytes()).map_err(|d| report::fail(d, output))
    }
}

/// Shows what is wrong with the profile that is there already, and returns the exit code.
pub(super) fn refuse_profile(
    mistakes: &[Diagnostic],
    before: Option<&NamedText>,
    output: Output,
) -> u8 {
    let sources = before.map_or_else(Sources::new, report::source);
    refuse(mistakes, &sources, output)
}
