//! Which chart is meant: the page it is on, and the ruler it is read with.

use clap::{Args, ValueEnum};

use crate::calibrate::chart::{Chart, ChartEdition};
use crate::diagnostic::Diagnostic;
use crate::length::{LengthUnit, Size, parse_pair};
use crate::paper::{self, Format};
use crate::project::{ReadingSheet, Ruler};

/// Options that name a chart.
#[derive(Debug, Args)]
pub(super) struct PageOptions {
    /// The sheet's format: letter, a4, any name from `papers`, or a size such as "12 1/2 x 12 in".
    #[arg(long, value_name = "NAME")]
    pub(super) paper: String,
    #[command(flatten)]
    pub(super) way: WayOptions,
}

/// Options that say how a chart's page is fed and read.
#[derive(Debug, Clone, Copy, Args)]
pub(super) struct WayOptions {
    /// Feed the sheet with its longer side first, for jobs on sheets that lie.
    #[arg(long)]
    pub(super) lying: bool,
    /// The ruler it is read with [default: inch for formats in inches, else mm]
    #[arg(long, value_enum)]
    pub(super) edition: Option<EditionOption>,
}

/// The ruler that a chart is read with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum EditionOption {
    /// A mark at each millimetre.
    Mm,
    /// A mark at each sixteenth of an inch.
    #[value(alias = "in")]
    Inch,
}

impl PageOptions {
    /// Returns the chart that is meant.
    pub(super) fn chart(&self) -> Result<Chart, Diagnostic> {
        Ok(chart(&self.paper, self.way)?.1)
    }
}

/// Returns the chart of a format named or sized like this, after the format's PWG name.
pub(super) fn chart(paper: &str, way: WayOptions) -> Result<(String, Chart), Diagnostic> {
    let format = format(paper)?;
    let edition = match way.edition {
        Some(EditionOption::Mm) => ChartEdition::Millimetres,
        Some(EditionOption::Inch) => ChartEdition::Inches,
        None if format.name().ends_with(LengthUnit::Inch.symbol()) => ChartEdition::Inches,
        None => ChartEdition::Millimetres,
    };
    let chart = if way.lying {
        Chart::lying(&format, edition)
    } else {
        Chart::upright(&format, edition)
    };
    Ok((format.name().to_owned(), chart?))
}

/// Returns a sheet of that chart on which nothing has been read yet.
pub(super) fn empty_sheet(name: String, chart: &Chart) -> ReadingSheet {
    ReadingSheet {
        format: name,
        page: chart.page,
        ruler: match chart.edition {
            ChartEdition::Millimetres => Ruler::Millimetres,
            ChartEdition::Inches => Ruler::Inches,
        },
        date: None,
        name: None,
        paper: None,
        tray: None,
        readings: Vec::new(),
    }
}

/// Finds a format by its name, or makes one of a size.
pub(super) fn format(text: &str) -> Result<Format, Diagnostic> {
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
