//! One scan of one face, and the map that it shows before anything is said of the scanner.

use kurbo::{Affine, Point, Size, Vec2};

use super::frame::SheetFrame;
use super::open_factor::outer;
use super::scanner::Look;
use crate::fit::{FitError, MapFit, Pair, Spread, affine};
use crate::project::Face;

/// Least error of one coordinate of a target that is believed, in millimetres: ray scatter claims less than measurements show.
const LEAST_TARGET_MM: f64 = 0.004;

/// What was found in one picture of the chart.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceScan {
    /// The picture's name, for messages.
    pub name: String,
    /// Which side it shows.
    pub face: Face,
    /// The sheet's edges.
    pub frame: SheetFrame,
    /// Page points seen from the front, and where they were found in the scan; both in millimetres.
    pub targets: Vec<Pair>,
}

/// The map that one scan shows: page to sheet, both seen from the front, in lengths as the scanner shows them.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanMap {
    /// The picture's name, for messages.
    pub name: String,
    /// Which side it shows.
    pub face: Face,
    /// The fit over all targets.
    pub fit: MapFit,
    /// How far the map may be wrong by the targets' scatter and the edges' place, the scanner left out.
    pub spread: Spread,
    /// Unit vectors of the glass across the sheet's left and top edge.
    pub across: [Vec2; 2],
    /// The sheet's size in millimetres as shown.
    pub sheet: Size,
    /// What its top left corner is wider than a right angle, in radians as shown.
    pub corner_rad: f64,
    /// Standard deviation of that.
    corner_sd_rad: f64,
}

impl ScanMap {
    /// Fits page points to distances from the sheet's left and top edge.
    ///
    /// # Errors
    ///
    /// The targets are fewer than three or lie on one line.
    pub fn new(scan: &FaceScan) -> Result<Self, FitError> {
        let pairs: Vec<Pair> = scan
            .targets
            .iter()
            .map(|t| Pair::new(t.nominal, scan.frame.on_sheet(t.measured)))
            .collect();
        let fit = affine(&pairs)?;
        let sigma_mm = fit
            .estimated_sigma()
            .map_or(f64::INFINITY, |s| s.max(LEAST_TARGET_MM));
        let edges = edge_spread(&scan.frame, fit.map, fit.unit_spread.about);
        let spread = fit.unit_spread.times(sigma_mm * sigma_mm).plus(&edges);
        let frame = &scan.frame;
        Ok(Self {
            name: scan.name.clone(),
            face: scan.face,
            spread,
            across: [frame.left.inwards, frame.top.inwards],
            sheet: frame.size_mm(),
            corner_rad: frame.corner_rad(),
            corner_sd_rad: crate::math::hypot(frame.left.tilt_rad, frame.top.tilt_rad),
            fit,
        })
    }

    /// Returns the printer's scale across and down as the scanner shows it.
    #[must_use]
    pub fn scale(&self) -> [f64; 2] {
        let [a, _, _, d, ..] = self.fit.map.as_coeffs();
        [a, d]
    }

    /// Returns what the scan tells of scales, for the print and sheet that it is counted to.
    #[must_use]
    pub fn look(&self, face: usize, sheet: usize) -> Look {
        Look {
            face,
            sheet,
            across: self.across,
            scale: self.scale(),
            scale_sd: [self.spread.x[0].sqrt(), self.spread.y[2].sqrt()],
            corner_rad: self.corner_rad,
            corner_sd_rad: self.corner_sd_rad,
        }
    }
}

/// How far the map may be wrong because the edges are: what the left edge is off moves x, what it leans moves x by the way down.
fn edge_spread(frame: &SheetFrame, map: Affine, about: Point) -> Spread {
    let centre = map * about;
    let [a, b, c, d, ..] = map.as_coeffs();
    // Along the left edge goes the sheet's y, which the page's y makes and its x disturbs, and the other way round.
    let left_arm = centre.y - frame.on_sheet(frame.left.middle).y;
    let top_arm = centre.x - frame.on_sheet(frame.top.middle).x;
    Spread {
        about,
        x: tilt_row([b, d, left_arm], frame.left.tilt_rad, frame.left.place_mm),
        y: tilt_row([a, c, top_arm], frame.top.tilt_rad, frame.top.place_mm),
    }
}

/// The covariance of a row whose error is `tilt` times `row . (dx, dy, 1)`, plus `place`.
fn tilt_row(row: [f64; 3], tilt_rad: f64, place_mm: f64) -> [f64; 6] {
    let mut covariance = outer(row).map(|v| v * tilt_rad * tilt_rad);
    covariance[5] += place_mm * place_mm;
    covariance
}
