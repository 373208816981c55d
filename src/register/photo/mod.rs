//! Marks measured in a phone's photo: the weakest way, since of lengths it knows the sheet's own size alone.
//!
//! [`measure`] fits a camera, a sheet that is bent a little, its size and the print on it to everything at once: the middles of the marks'
//! rings, and points on the sheet's four edges. What the photo cannot tell, such as the sheet's size beyond what a ruler said, stays as
//! uncertain as it was, and the stated error contains it. Measured on 150 simulated photos each, taken by hand (tilt 4 to 18 degrees, the
//! sheet bent by up to 0.8 mm) and badly (15 to 32 degrees, up to 4 mm), sides by ruler to 0.15 mm: 19 in 20 within 0.36 and 0.38 mm at
//! the worst place, where 0.39 and 0.40 mm are stated; 0.2 mm if the sides are known for certain.
//!
//! Read `unknown`, then `scene` (what is seen of which sheet), `start`, `solve`, and `judge` (what is refused).

mod edges;
mod judge;
mod look;
mod scene;
mod solve;
mod start;
#[cfg(test)]
mod tests;
mod unknown;

use kurbo::{Affine, Point, Size};

use crate::diagnostic::{Diagnostic, Warned};
use crate::fit::Spread;

pub use judge::PhotoQuality;
pub use look::look;
use scene::Scene;
use solve::{MarkAt, Seen, Solved, solve};
use unknown::at;

/// Standard deviation of a mark against the smooth print around it, in millimetres: the printer's own ripple.
const PRINT_RIPPLE_MM: f64 = 0.03;

/// Standard deviation of a point of an edge against the smooth edge, in millimetres: how straight paper is cut.
const EDGE_RIPPLE_MM: f64 = 0.03;

/// Least marks: the print alone takes three.
const LEAST_MARKS: usize = 5;

/// Rounds for each start, of which only the best goes on; and for that. Ten to twenty are usual.
const FEW_ROUNDS: usize = 25;
const ROUNDS: usize = 60;

/// Radius of the circle whose middle is found, in radii of the mark: its outer and inner edge count alike, the mean of 1 and 0.72 squared.
const MIDDLE_RADIUS: f64 = 0.871_32;

/// Standard deviation of a sheet's side that was measured with a ruler, in millimetres.
pub const BY_RULER_MM: f64 = 0.15;

/// Standard deviation of a sheet's side that was not measured, in millimetres: formats allow 2 mm, shops sell some tenths (common
/// practice, no source).
pub const AS_SOLD_MM: f64 = 0.4;

/// A mark in a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhotoMark {
    /// Its centre in the plan, in millimetres on the sheet, in the frame of the face that was photographed.
    pub plan: Point,
    /// Outer diameter of its ring as planned, in millimetres.
    pub diameter_mm: f64,
    /// Middle of the ellipse as which the ring is seen, in pixels from the picture's top left corner.
    pub centre_px: Point,
    /// Standard deviation of either coordinate of that.
    pub sigma_px: f64,
}

/// What was found in a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoSeen {
    /// Width and height of the picture in pixels.
    pub picture_px: Size,
    /// The marks, identified.
    pub marks: Vec<PhotoMark>,
    /// Points along each edge of the sheet, in pixels; which edge is which follows from the marks.
    pub edges: Vec<Vec<Point>>,
}

/// What is known of the sheet's size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnownSheet {
    /// Width and height in millimetres, the sheet's top at the top.
    pub size: Size,
    /// Standard deviation of each: [`BY_RULER_MM`] or [`AS_SOLD_MM`].
    pub sigma_mm: f64,
}

/// Marks measured in a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoMarks {
    /// Where each mark is on the sheet, in millimetres from the top left corner, x along the top edge; in the order they were given.
    pub on_sheet: Vec<Point>,
    /// Standard deviation of either coordinate of a mark beside the others, in millimetres. What moves or stretches all of them
    /// together is in [`spread`](Self::spread).
    pub sigma_mm: f64,
    /// Takes the plan to where it is printed on the sheet.
    pub sheet_from_plan: Affine,
    /// How far that may be wrong.
    pub spread: Spread,
    /// How good the photo is.
    pub quality: PhotoQuality,
}

/// Measures where marks are on the sheet.
///
/// # Errors
///
/// There are too few marks, an edge is missing, or no sheet of the given size before a camera explains what was seen: see `judge`.
pub fn measure(seen: &PhotoSeen, sheet: KnownSheet) -> Result<Warned<PhotoMarks>, Diagnostic> {
    let prepared = Prepared::new(seen, sheet)?;
    let as_taken = prepared.solve(unknown::sigmas(sheet))?;
    let quality = PhotoQuality::of(&prepared.seen, &as_taken, prepared.px_per_mm);
    let refusal = match judge::check(&prepared.seen, &as_taken, &quality) {
        Ok(()) => {
            return Ok(Warned {
                value: prepared.marks(&as_taken, quality),
                warnings: judge::careless(&quality).into_iter().collect(),
            });
        }
        Err(refusal) => refusal,
    };
    if !judge::blames_camera(&as_taken) {
        return Err(refusal);
    }
    let free = prepared.solve(unknown::without_camera(unknown::sigmas(sheet)))?;
    let quality = PhotoQuality::of(&prepared.seen, &free, prepared.px_per_mm);
    judge::check(&prepared.seen, &free, &quality)?;
    Ok(Warned {
        value: doubtful(prepared.marks(&free, quality)),
        warnings: std::iter::once(judge::retouched(sheet.size))
            .chain(judge::careless(&quality))
            .collect(),
    })
}

/// The same marks with all stated errors larger by the root of two: of 150 simulated photos cropped by hundreds of pixels, 1 in 20 was
/// wrong by 1.36 times what it stated.
fn doubtful(marks: PhotoMarks) -> PhotoMarks {
    PhotoMarks {
        spread: marks.spread.times(2.0),
        ..marks
    }
}

/// What was seen, ready to be solved.
struct Prepared {
    seen: Seen,
    starts: Vec<Scene>,
    px_per_mm: f64,
}

impl Prepared {
    fn new(photo: &PhotoSeen, sheet: KnownSheet) -> Result<Self, Diagnostic> {
        if photo.marks.len() < LEAST_MARKS {
            return Err(judge::too_few_marks(photo.marks.len(), LEAST_MARKS));
        }
        let mut marks: Vec<MarkAt> = photo.marks.iter().map(PhotoMark::seen).collect();
        let starts = start::scenes(photo.picture_px, sheet.size, &marks);
        let Some(first) = starts.first() else {
            return Err(judge::no_plane());
        };
        let px_per_mm = start::px_per_mm(first);
        for mark in &mut marks {
            mark.sigma_px = crate::math::hypot(mark.sigma_px, PRINT_RIPPLE_MM * px_per_mm);
        }
        let edges = edges::of_sheet(&photo.edges, first, EDGE_RIPPLE_MM * px_per_mm)
            .map_err(|sides| judge::no_edges(&sides))?;
        let sigmas = unknown::sigmas(sheet);
        Ok(Self {
            seen: Seen {
                marks,
                edges,
                sigmas,
            },
            starts,
            px_per_mm,
        })
    }

    /// The best of the solutions from all starts: each with a third of the edge points, the best with all.
    fn solve(&self, sigmas: [f64; unknown::COUNT]) -> Result<Solved, Diagnostic> {
        let all = Seen {
            sigmas,
            ..self.seen.clone()
        };
        let few = Seen {
            edges: all.edges.iter().step_by(3).copied().collect(),
            ..all.clone()
        };
        let each = self
            .starts
            .iter()
            .filter_map(|start| solve(&few, start.clone(), FEW_ROUNDS));
        let best = each.min_by(|a, b| a.cost.total_cmp(&b.cost));
        best.and_then(|best| solve(&all, best.scene, ROUNDS))
            .ok_or_else(judge::no_plane)
    }

    fn marks(&self, solved: &Solved, quality: PhotoQuality) -> PhotoMarks {
        let scene = &solved.scene;
        PhotoMarks {
            on_sheet: self
                .seen
                .marks
                .iter()
                .map(|mark| start::on_sheet(scene, mark))
                .collect(),
            sigma_mm: PRINT_RIPPLE_MM,
            sheet_from_plan: scene.sheet_from_plan(),
            spread: spread(solved),
            quality,
        }
    }
}

impl PhotoMark {
    fn seen(&self) -> MarkAt {
        MarkAt {
            plan: self.plan,
            radius_mm: self.diameter_mm / 2.0 * MIDDLE_RADIUS,
            at_px: self.centre_px,
            sigma_px: self.sigma_px,
        }
    }
}

/// What the fit knows of the print's six numbers.
fn spread(solved: &Solved) -> Spread {
    let row = |[x, y, shift]: [usize; 3]| {
        let c = |i: usize, j: usize| solved.covariance[(at::PRINT + i, at::PRINT + j)];
        [
            c(x, x),
            c(x, y),
            c(y, y),
            c(x, shift),
            c(y, shift),
            c(shift, shift),
        ]
    };
    Spread {
        about: solved.scene.middle().to_point(),
        x: row([0, 1, 4]),
        y: row([2, 3, 5]),
    }
}

/// A number of things as a number to reckon with.
fn count(number: usize) -> f64 {
    u32::try_from(number).map_or(f64::INFINITY, f64::from)
}
