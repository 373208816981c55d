//! What was measured with a ruler beside the scan.

use kurbo::Size;

use super::face_scan::ScanMap;
use super::scanner::RuleReading;
use crate::calibrate::chart::Chart;
use crate::diagnostic::Diagnostic;
use crate::fit::BAND_95;
use crate::project::Axis;

/// What a plain ruler is read to, one standard deviation: half a millimetre, counting both ends (design value).
const READING_SD_MM: f64 = 0.165;

/// Error of the ruler's own scale, one standard deviation: half of the 0.07 % that class I allows at 300 mm (measuring instruments
/// directive, material measures of length).
const RULER_SD: f64 = 0.000_35;

/// A printer is off by 3 % at most, and a slip on the ruler by a centimetre is more than that.
const MOST_PRINTED: f64 = 0.05;

/// A scanner is off by some tenths of a percent.
const MOST_SHOWN: f64 = 0.01;

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measured {
    /// The check rule in the chart's middle.
    Bar,
    /// One of the ruler lines `A` to `D`.
    Line(char),
}

/// A printed length of the first front, measured with a ruler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RuleNote {
    /// What was measured.
    pub what: Measured,
    /// How long it is, in millimetres.
    pub length_mm: f64,
    /// How far that may be off, 19 times in 20, in millimetres; `None` for a plain ruler read to half a millimetre.
    pub within_mm: Option<f64>,
}

impl RuleNote {
    /// Returns what it says of the printer.
    ///
    /// # Errors
    ///
    /// It names no line of the chart, or is far from what was printed and scanned.
    pub fn reading(&self, chart: &Chart) -> Result<RuleReading, Diagnostic> {
        let (axis, nominal_mm) = match self.what {
            Measured::Bar => (Axis::X, chart.rule.length_mm),
            Measured::Line(id) => {
                let line = chart.lines.iter().find(|l| l.id == id);
                let line = line.ok_or_else(|| no_such_line(id))?;
                let axis = if (line.to.x - line.from.x).abs() > (line.to.y - line.from.y).abs() {
                    Axis::X
                } else {
                    Axis::Y
                };
                (axis, line.length_mm())
            }
        };
        let ratio = self.length_mm / nominal_mm;
        let message = format!(
            "a line of {nominal_mm:.1} mm was measured as {:.1} mm: no printer is off by that",
            self.length_mm
        );
        refuse_far(ratio, MOST_PRINTED, message)?;
        Ok(RuleReading::Printed {
            face: 0,
            axis,
            ratio,
            sd: deviation(self.within_mm, nominal_mm),
        })
    }
}

/// Returns what the sheet's true size says of the scanner, for the sheet of a scan.
///
/// # Errors
///
/// It is far from what was scanned.
pub fn sheet_readings(
    sheet: Size,
    within_mm: Option<f64>,
    scan: &ScanMap,
) -> Result<[RuleReading; 2], Diagnostic> {
    let reading = |shown_mm: f64, true_mm: f64, along| {
        let ratio = shown_mm / true_mm;
        let message = format!(
            "{}: a side of the sheet was measured as {true_mm:.1} mm and scanned as {shown_mm:.1} mm: no scanner is off by that",
            scan.name
        );
        refuse_far(ratio, MOST_SHOWN, message)?;
        Ok(RuleReading::Shown {
            along,
            ratio,
            sd: deviation(within_mm, true_mm),
        })
    };
    Ok([
        reading(scan.sheet.width, sheet.width, scan.across[0])?,
        reading(scan.sheet.height, sheet.height, scan.across[1])?,
    ])
}

fn deviation(within_mm: Option<f64>, length_mm: f64) -> f64 {
    let reading_mm = within_mm.map_or(READING_SD_MM, |w| w / BAND_95);
    crate::math::hypot(reading_mm / length_mm, RULER_SD)
}

fn refuse_far(ratio: f64, most: f64, message: String) -> Result<(), Diagnostic> {
    if ratio.is_finite() && (ratio - 1.0).abs() <= most {
        return Ok(());
    }
    Err(Diagnostic::error("calibrate.rule", message)
        .hint("measure again, and see which line or side the reading is of"))
}

fn no_such_line(id: char) -> Diagnostic {
    Diagnostic::error("calibrate.rule", format!("the chart has no line {id}"))
        .hint("its lines are A and B across, C and D down; the bar in its middle is called bar")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibrate::chart::ChartEdition;
    use crate::paper;

    fn a4() -> Chart {
        Chart::upright(paper::find("a4").unwrap(), ChartEdition::Millimetres).unwrap()
    }

    fn note(what: Measured, length_mm: f64) -> RuleNote {
        RuleNote {
            what,
            length_mm,
            within_mm: Some(0.196),
        }
    }

    /// By hand: 100.3 of 100 mm; within 0.196 mm is a deviation of 0.1 mm, with 0.035 % of the ruler's 0.106 %.
    #[test]
    fn the_bar_tells_the_printers_scale_across() {
        let reading = note(Measured::Bar, 100.3).reading(&a4()).unwrap();
        let RuleReading::Printed {
            axis, ratio, sd, ..
        } = reading
        else {
            panic!("{reading:?}")
        };
        assert_eq!(axis, Axis::X);
        assert!((ratio - 1.003).abs() < 1e-12 && (sd - 0.001_06).abs() < 1e-5);
    }

    #[test]
    fn a_line_that_runs_down_tells_the_scale_down() {
        let chart = a4();
        let length_mm = chart.lines[2].length_mm();
        let reading = note(Measured::Line('C'), length_mm)
            .reading(&chart)
            .unwrap();
        assert!(
            matches!(reading, RuleReading::Printed { axis: Axis::Y, .. }),
            "{reading:?}"
        );
    }

    #[test]
    fn a_slip_on_the_ruler_and_an_unknown_line_are_refused() {
        let slip = note(Measured::Bar, 110.3).reading(&a4()).unwrap_err();
        assert!(slip.message.contains("110.3"), "{}", slip.message);
        let unknown = note(Measured::Line('Q'), 100.0).reading(&a4()).unwrap_err();
        assert!(unknown.message.contains('Q'), "{}", unknown.message);
    }
}
