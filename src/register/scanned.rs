//! Marks measured in a flatbed scan, in the frame of the sheet's own corner and top edge.
//!
//! A scan shows lengths as long as the scanner makes them, so that print and sheet look stretched alike. How much that may be goes into
//! the stated error, unless the scanner's scale or the sheet's size is known. The sheet's edges show only before a dark ground.

use kurbo::{Point, Size, Vec2};

use crate::diagnostic::{Diagnostic, Warned};
use crate::fit::Spread;
use crate::length::MM_PER_INCH;
use crate::math::hypot;
use crate::plan::Mark;
use crate::scan::{
    Found, KNOWN_STRETCH_SD, Kind, Picture, SHEAR_SD_RAD, STRETCH_SD, ScaleHint, SheetEdges,
    find_targets, identify, sheet_edges,
};

/// Standard deviation of a side measured with a ruler, in millimetres.
const RULER_MM: f64 = 0.15;

/// Least standard deviation of a mark beside the others, in millimetres: the printer's own ripple.
const LEAST_SIGMA_MM: f64 = 0.01;

/// Standard deviation of an edge's place, in millimetres, and of its direction: paper is cut that straight.
const EDGE_MM: f64 = 0.02;
const EDGE_RAD: f64 = 0.000_05;

/// Standard deviation of a sheet's own lean, in radians: 0.09 mm on 297 mm. No source; new sheets are seldom cut worse.
const OWN_LEAN_SD_RAD: f64 = 0.000_3;

/// Most that the sheet may look larger or smaller than it is: rulers are misread by less than that, other formats differ by more.
const MOST_STRETCH: f64 = 0.01;

/// What is known of lengths in the scan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ScanScale {
    /// Nothing but the density that the file states.
    Stated,
    /// How many times as long as they are the scanner shows lengths, along the picture's rows and its columns.
    Scanner(f64, f64),
    /// The sheet's width and height by ruler, in millimetres.
    Sheet(Size),
}

/// Marks measured in a scan.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanMarks {
    /// Each mark's id, and where it is on the sheet: millimetres from the top left corner, x along the top edge.
    pub on_sheet: Vec<(String, Point)>,
    /// Standard deviation of either coordinate of a mark beside the others, in millimetres.
    pub sigma_mm: f64,
    /// How far the frame itself may be wrong: what stretches, turns or moves all marks together.
    pub spread: Spread,
    /// The sheet's size as it follows from the scan, in millimetres.
    pub size: Size,
}

/// Finds the marks of a sheet in a scan, and measures where they are on the sheet. The marks are given where they were planned, seen as
/// the face that was scanned lies, from the sheet's top left corner.
///
/// # Errors
///
/// The marks or the sheet's edges cannot be found, the file states no density, or the sheet is of another size.
pub fn look(
    picture: &Picture,
    marks: &[Mark],
    sheet: Size,
    scale: ScanScale,
) -> Result<Warned<ScanMarks>, Diagnostic> {
    let Some(dpi) = picture.dpi() else {
        let text = "the scan does not state how many pixels it has to the inch";
        return Err(Diagnostic::error("register.scan-density", text)
            .hint("save the scan as PNG, TIFF or JPEG with its resolution"));
    };
    let targets = find_targets(picture, ScaleHint::Tagged);
    let found = identify(&targets, marks, Kind::Scan).map_err(|refusal| refusal.to_diagnostic())?;
    let edges = sheet_edges(picture, &found.picture_from_page, sheet, Kind::Scan);
    let corners = edges.corners().ok_or_else(|| no_edges(&edges))?;
    let frame = Frame::new(corners, dpi / MM_PER_INCH, scale);
    frame.check(sheet)?;
    let value = ScanMarks {
        on_sheet: found.found.iter().map(|one| frame.on_sheet(one)).collect(),
        sigma_mm: LEAST_SIGMA_MM,
        spread: frame.spread(),
        size: frame.size(),
    };
    Ok(Warned {
        value,
        warnings: Vec::new(),
    })
}

/// The sheet's frame in the scan.
struct Frame {
    /// Pixels to the millimetre along the picture's rows and columns.
    px_per_mm: Vec2,
    /// The top left corner in the scan's millimetres.
    corner: Point,
    /// Unit vector along the top edge.
    along: Vec2,
    /// The sheet as the scan shows it.
    shown: Size,
    /// Factor that takes lengths shown across and down to true ones.
    truth: [f64; 2],
    /// Standard deviation of that.
    sd: [f64; 2],
    /// How far what stands square on the top edge leans to the right in the scan, millimetres in a millimetre: the scanner's part.
    lean: f64,
}

impl Frame {
    fn new(corners_px: [Point; 4], px_per_mm: f64, scale: ScanScale) -> Self {
        let by_axis = match scale {
            ScanScale::Scanner(rows, columns) => Vec2::new(px_per_mm * rows, px_per_mm * columns),
            ScanScale::Stated | ScanScale::Sheet(_) => Vec2::new(px_per_mm, px_per_mm),
        };
        let corners = corners_px.map(|p| Point::new(p.x / by_axis.x, p.y / by_axis.y));
        let length = |from: usize, to: usize| {
            let side = corners[to] - corners[from];
            hypot(side.x, side.y)
        };
        let shown = Size::new(
            f64::midpoint(length(0, 1), length(3, 2)),
            f64::midpoint(length(0, 3), length(1, 2)),
        );
        let sides = [(shown.width, 0), (shown.height, 1)].map(|(shown_mm, axis)| match scale {
            ScanScale::Stated => (1.0, STRETCH_SD),
            ScanScale::Scanner(..) => (1.0, KNOWN_STRETCH_SD),
            ScanScale::Sheet(size) => believed([size.width, size.height][axis], shown_mm),
        });
        Self {
            px_per_mm: by_axis,
            corner: corners[0],
            along: (corners[1] - corners[0]) / length(0, 1),
            shown,
            truth: sides.map(|(factor, _)| factor),
            sd: sides.map(|(_, sd)| sd),
            lean: lean(corners) * square(SHEAR_SD_RAD)
                / (square(SHEAR_SD_RAD) + square(OWN_LEAN_SD_RAD)),
        }
    }

    fn on_sheet(&self, found: &Found) -> (String, Point) {
        let seen = found.target.centre;
        let off = Point::new(seen.x / self.px_per_mm.x, seen.y / self.px_per_mm.y) - self.corner;
        (found.mark.id.clone(), self.straightened(off))
    }

    /// Takes what is seen from the corner, in the scan's millimetres, to where it is on the sheet.
    fn straightened(&self, off: Vec2) -> Point {
        let (across, down) = (self.along.dot(off), self.along.cross(off));
        Point::new(
            (across - self.lean * down) * self.truth[0],
            down * self.truth[1],
        )
    }

    fn size(&self) -> Size {
        Size::new(
            self.shown.width * self.truth[0],
            self.shown.height * self.truth[1],
        )
    }

    fn spread(&self) -> Spread {
        // What is left of two unknown parts of which only the sum is seen.
        let (scanner, own) = (square(SHEAR_SD_RAD), square(OWN_LEAN_SD_RAD));
        let lean = scanner * own / (scanner + own) + square(EDGE_RAD);
        Spread {
            about: Point::ORIGIN,
            x: [square(self.sd[0]), 0.0, lean, 0.0, 0.0, square(EDGE_MM)],
            y: [
                square(EDGE_RAD),
                0.0,
                square(self.sd[1]),
                0.0,
                0.0,
                square(EDGE_MM),
            ],
        }
    }

    /// The scan must show a sheet of about the size that was planned.
    fn check(&self, sheet: Size) -> Result<(), Diagnostic> {
        let found = self.size();
        let off = (found.width / sheet.width - 1.0)
            .abs()
            .max((found.height / sheet.height - 1.0).abs());
        if off <= MOST_STRETCH {
            return Ok(());
        }
        let text = format!(
            "the sheet in the scan is {:.1} x {:.1} mm, planned are {:.1} x {:.1} mm",
            found.width, found.height, sheet.width, sheet.height
        );
        Err(Diagnostic::error("register.scan-size", text)
            .hint("scan the whole sheet without scaling, and measure its width and height again if you typed them"))
    }
}

/// Returns how far the left and the right edge lean to the right of square on the top and the bottom edge, on average, in radians.
///
/// The lean that a scan shows is the scanner's shear and the sheet's own lean together. Each is about 0.3 mrad (standard deviation),
/// and neither is known, so that half of the sum is most likely the scanner's; either part is then known to 0.3 mrad by the root of
/// two. Only the scanner's half may be taken out, for places are counted square from the top edge, however the others were cut.
fn lean(corners: [Point; 4]) -> f64 {
    let unit = |from: usize, to: usize| {
        let side = corners[to] - corners[from];
        side / hypot(side.x, side.y)
    };
    let (across, down) = (unit(0, 1) + unit(3, 2), unit(0, 3) + unit(1, 2));
    across.dot(down) / across.cross(down)
}

fn square(value: f64) -> f64 {
    value * value
}

/// The factor from a length that is shown to the true one, with its standard deviation, by what the scanner and the ruler say.
fn believed(ruled_mm: f64, shown_mm: f64) -> (f64, f64) {
    let ruler = RULER_MM / shown_mm;
    let (a, b) = (ruler.powi(-2), STRETCH_SD.powi(-2));
    (
        (a * ruled_mm / shown_mm + b) / (a + b),
        (a + b).sqrt().recip(),
    )
}

fn no_edges(edges: &SheetEdges) -> Diagnostic {
    let faults: Vec<String> = edges
        .warnings()
        .into_iter()
        .map(|warning| warning.message)
        .collect();
    let text = if faults.is_empty() {
        "the sheet's edges cross nowhere".to_owned()
    } else {
        faults.join("; ")
    };
    Diagnostic::error("register.scan-edges", text)
        .hint("lay a dark sheet behind the page, larger than the page, and scan again")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: at 10 px/mm a sheet of 200 x 300 mm, its corner at (100, 50) px, turned by a quarter so that its top edge points down.
    #[test]
    fn a_sheet_turned_by_a_quarter_is_measured_from_its_own_corner() {
        let corners = [
            (3100.0, 50.0),
            (3100.0, 2050.0),
            (100.0, 2050.0),
            (100.0, 50.0),
        ]
        .map(Point::from);
        let frame = Frame::new(corners, 10.0, ScanScale::Stated);
        assert!((frame.size() - Size::new(200.0, 300.0)).to_vec2().hypot2() < 1e-18);
        let off = Point::new(3000.0 / 10.0, 250.0 / 10.0) - frame.corner;
        // 20 mm along the top edge, which points down, and 10 mm down the sheet, which points left.
        assert!(
            (frame.along.dot(off) - 20.0).abs() < 1e-9
                && (frame.along.cross(off) - 10.0).abs() < 1e-9
        );
    }

    /// By hand: a ruler's 0.15 mm on 200 mm are 0.075 %, as much as a scanner's belief, so that half of what they differ by is taken.
    #[test]
    fn ruler_and_scanner_are_weighed_against_each_other() {
        let (factor, sd) = believed(200.4, 200.0);
        assert!((factor - 1.001).abs() < 1e-9 && (sd - 0.000_75 / 2.0_f64.sqrt()).abs() < 1e-9);
    }

    #[test]
    fn a_measured_scanner_is_divided_out_along_its_own_axes() {
        let corners = [(0.0, 0.0), (2002.0, 0.0), (2002.0, 2997.0), (0.0, 2997.0)].map(Point::from);
        let frame = Frame::new(corners, 10.0, ScanScale::Scanner(1.001, 0.999));
        assert!(
            (frame.size().width - 200.0).abs() < 1e-9 && (frame.size().height - 300.0).abs() < 1e-9
        );
        // 5 in 100 000 of 300 mm beside 0.02 mm of the edge and 0.3 mrad by the root of two of the scanner's lean.
        assert!(frame.spread().r95_mm(Point::new(0.0, 300.0)) < 0.14);
    }

    /// By hand: 200 x 300 mm at 10 px/mm whose bottom is 0.12 mm too far right, which is 0.4 mrad; 0.2 mrad are taken for the
    /// scanner's, so that a place 250 mm down moves 0.05 mm to the left and none along the top edge moves.
    #[test]
    fn half_of_the_lean_that_is_seen_is_taken_for_the_scanner_s() {
        let corners = [(0.0, 0.0), (2000.0, 0.0), (2001.2, 3000.0), (1.2, 3000.0)];
        let turned = [corners[1], corners[2], corners[3], corners[0]].map(|(x, y)| (-y, x));
        for (corners, lean_mrad) in [(corners, 0.4), (turned, -0.4)] {
            let corners = corners.map(Point::from);
            assert!((1000.0 * lean(corners) - lean_mrad).abs() < 1e-6);
            let frame = Frame::new(corners, 10.0, ScanScale::Stated);
            let off = |across: f64, down: f64| {
                let down_the_sheet = Vec2::new(-frame.along.y, frame.along.x);
                frame.straightened(frame.along * across + down_the_sheet * down)
            };
            let away = off(100.0, 250.0) - Point::new(100.0 - lean_mrad / 8.0, 250.0);
            assert!(away.hypot2() < 1e-12, "{away:?}");
            assert!((off(100.0, 0.0) - Point::new(100.0, 0.0)).hypot2() < 1e-18);
        }
    }

    #[test]
    fn a_sheet_of_another_size_is_refused() {
        let corners = [(0.0, 0.0), (2000.0, 0.0), (2000.0, 3000.0), (0.0, 3000.0)].map(Point::from);
        let frame = Frame::new(corners, 10.0, ScanScale::Stated);
        let refusal = frame.check(Size::new(210.0, 297.0)).unwrap_err();
        assert_eq!(
            refusal.message,
            "the sheet in the scan is 200.0 x 300.0 mm, planned are 210.0 x 297.0 mm"
        );
    }
}
