//! From what was found in the pictures to the printer's profile.

use kurbo::{Point, Size};

use super::doubt::{refuse_strangers, refuse_unlikely};
use super::face_scan::{FaceScan, ScanMap};
use super::result::{Parting, ScanResult, result};
use super::rule::{RuleNote, sheet_readings};
use super::scanner::{Belief, RuleReading};
use crate::calibrate::chart::Chart;
use crate::diagnostic::Diagnostic;
use crate::project::{Calibration, Face};

/// What is known beside the pictures.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    /// What is known of the scanner.
    pub belief: Belief,
    /// Lines of the chart measured with a ruler, on the first print of the front.
    pub notes: Vec<RuleNote>,
    /// The size of the first picture's sheet as measured with a ruler, and how far that may be off, both in millimetres.
    pub sheet: Option<(Size, Option<f64>)>,
}

impl Given {
    /// Nothing but the pictures.
    pub const NOTHING: Self = Self {
        belief: Belief::UNKNOWN,
        notes: Vec::new(),
        sheet: None,
    };
}

/// A printer surveyed by scans of its chart.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    /// The chart that was printed.
    pub chart: Chart,
    /// What each picture shows.
    pub maps: Vec<ScanMap>,
    /// All together.
    pub result: ScanResult,
    /// What the user should know before trusting it.
    pub warnings: Vec<Diagnostic>,
}

impl Survey {
    /// Surveys a printer by what was found in pictures of one chart.
    ///
    /// # Errors
    ///
    /// A picture shows what no printer does, two contradict each other, a ruler reading contradicts them, or the front is missing.
    pub fn new(chart: Chart, scans: &[FaceScan], given: &Given) -> Result<Self, Vec<Diagnostic>> {
        let maps = scans
            .iter()
            .map(|scan| ScanMap::new(scan).map_err(|e| vec![no_map(&scan.name, &e.to_string())]))
            .collect::<Result<Vec<_>, _>>()?;
        let doubts: Vec<Diagnostic> = maps
            .iter()
            .filter_map(|map| refuse_unlikely(map, chart.page).err())
            .collect();
        if !doubts.is_empty() {
            return Err(doubts);
        }
        refuse_strangers(&maps).map_err(|d| vec![d])?;
        if !maps.iter().any(|m| m.face == Face::Front) {
            return Err(vec![no_front()]);
        }
        let readings = readings(&chart, &maps, given)?;
        let result = result(&given.belief, &maps, &readings);
        let warnings = warnings(&chart, &result, given);
        Ok(Self {
            chart,
            maps,
            result,
            warnings,
        })
    }

    /// Returns what a profile keeps; `None` without a front.
    #[must_use]
    pub fn calibration(
        &self,
        date: (i32, u32, u32),
        paper: Option<String>,
        tray: Option<String>,
    ) -> Option<Calibration> {
        Some(Calibration {
            date,
            format: self.chart.format.clone(),
            page: self.chart.page,
            paper,
            tray,
            front: self.result.front.as_ref()?.map,
            back: self.result.back.as_ref().map(|b| b.map),
        })
    }

    /// Returns the radius in millimetres that a mark stays within 19 times in 20, at the worst corner of the page.
    #[must_use]
    pub fn worst_r95_mm(&self, face: Face) -> Option<f64> {
        let face = match face {
            Face::Front => self.result.front.as_ref()?,
            Face::Back => self.result.back.as_ref()?,
        };
        Some(worst_r95_mm(face.map.spread, self.chart.page))
    }
}

fn worst_r95_mm(spread: crate::fit::Spread, page: Size) -> f64 {
    let (w, h) = (page.width, page.height);
    [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)]
        .into_iter()
        .map(|corner| spread.r95_mm(Point::from(corner)))
        .fold(0.0, f64::max)
}

fn readings(
    chart: &Chart,
    maps: &[ScanMap],
    given: &Given,
) -> Result<Vec<RuleReading>, Vec<Diagnostic>> {
    let notes = given.notes.iter().map(|note| note.reading(chart));
    let mut readings = notes.collect::<Result<Vec<_>, _>>().map_err(|d| vec![d])?;
    if let (Some((sheet, within_mm)), Some(first)) = (given.sheet, maps.first()) {
        readings.extend(sheet_readings(sheet, within_mm, first).map_err(|d| vec![d])?);
    }
    Ok(readings)
}

fn warnings(chart: &Chart, result: &ScanResult, given: &Given) -> Vec<Diagnostic> {
    let has_rule = !given.notes.is_empty() || given.sheet.is_some();
    let mut warnings = Vec::new();
    let r95_mm = result
        .front
        .as_ref()
        .map_or(f64::INFINITY, |f| worst_r95_mm(f.map.spread, chart.page));
    match result.parting {
        Parting::Known => {}
        Parting::Mixed => {
            let message = format!(
                "the scanner was never measured, and one scan cannot tell its error from the printer's: marks in the far corner stay within {r95_mm:.2} mm only"
            );
            let mut warning = Diagnostic::warning("calibrate.scanner", message).hint(
                "scan the same print again, turned by a quarter on the glass, and give both files: across against down is then right",
            );
            if !has_rule {
                warning = warning.hint(RULE_HINT);
            }
            warnings.push(warning);
        }
        Parting::Ratio if !has_rule => {
            let message = format!(
                "both scans agree on across against down, but if the scanner makes everything larger or smaller they cannot tell: marks in the far corner stay within {r95_mm:.2} mm only"
            );
            warnings.push(Diagnostic::warning("calibrate.scanner", message).hint(RULE_HINT));
        }
        Parting::Ratio => {}
    }
    warnings
}

const RULE_HINT: &str = "measure one of the chart's long lines and add it, such as --rule C=250.4mm, or give the scanner's own scale if you know it: --scanner-scale 1.0012,0.9993";

fn no_map(name: &str, why: &str) -> Diagnostic {
    Diagnostic::error("calibrate.targets", format!("{name}: {why}"))
        .hint("scan the whole sheet again at 300 dpi")
}

fn no_front() -> Diagnostic {
    Diagnostic::error(
        "calibrate.no-front",
        "only the back was scanned, and a profile begins with the front",
    )
    .hint("scan the front of the same sheet, too, and give both files")
}
