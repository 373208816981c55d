//! How far the cut may be from the print, and what covers that.

use kurbo::{BezPath, Line, ParamCurve, ParamCurveNearest, PathSeg, Point};

use super::{Located, PrintedSheet};
use crate::diagnostic::Diagnostic;
use crate::math::{FLATTEN_MM, hypot};
use crate::plan::file::{PlacementEntry, SheetEntry};
use crate::verify;

/// Steps that a curve is looked at in: between them its error changes by less than a thousandth.
const STEPS: u32 = 8;

/// How far outside the marks a cut may lie without a word, in millimetres: marks stand that far inside the area that is used.
const BESIDE_MM: f64 = 5.0;

/// How far the cut may be from the print.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// The planned place, on the sheet as it lies, where the cut may be farthest off.
    pub worst_at: Point,
    /// Title of the path there.
    pub worst_of: String,
    /// How far it may be off there, 19 times in 20, in millimetres.
    pub worst_mm: f64,
    /// Farthest distance of a cut from the area between the marks, in millimetres; 0 where all lie inside.
    pub outside_mm: f64,
    /// What the error of the machine was taken to be; `None` where it is not known and was left out.
    pub machine_mm: Option<f64>,
    /// What covers it.
    pub bleed: Bleed,
}

/// Print beyond the outlines, against what is needed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bleed {
    /// No print reaches beyond an outline, so that a cut that strays shows nothing.
    NotNeeded,
    /// It covers the error, with this much of it in millimetres.
    Covers(f64),
    /// There is less than the error, this much in millimetres.
    TooSmall(f64),
}

impl Forecast {
    /// What to warn of.
    pub(super) fn warnings(&self, sheet: &PrintedSheet) -> Vec<Diagnostic> {
        let mut found = Vec::new();
        if self.outside_mm > BESIDE_MM {
            let message = format!(
                "cuts of {} lie up to {:.0} mm outside the area between the marks that were used, where the fit is a guess",
                sheet.cut_file, self.outside_mm
            );
            let hint = "give the marks of all corners";
            found.push(Diagnostic::warning("register.outside", message).hint(hint));
        }
        if let Bleed::TooSmall(has_mm) = self.bleed {
            let message = format!(
                "the cut may be {:.2} mm off the print, and the bleed is {has_mm:.2} mm",
                self.worst_mm
            );
            let hint = format!(
                "a bleed of {:.1} mm covers it; or read the marks more finely",
                (self.worst_mm * 10.0).ceil() / 10.0
            );
            found.push(Diagnostic::warning("register.bleed", message).hint(hint));
        }
        found
    }
}

/// Works out the largest error over all that is cut.
pub(super) fn forecast(sheet: &PrintedSheet, located: &Located) -> Forecast {
    let machine_mm = sheet.machine_mm.unwrap_or(0.0);
    let hull = hull(used_marks(sheet, located));
    let lying_from_file = sheet.file_from_lying.inverse();
    let mut worst = Forecast {
        worst_at: Point::ZERO,
        worst_of: String::new(),
        worst_mm: 0.0,
        outside_mm: 0.0,
        machine_mm: sheet.machine_mm,
        bleed: Bleed::NotNeeded,
    };
    let cuts = sheet.cut.paths.iter();
    for path in cuts.filter(|path| path.layer != Some("reference")) {
        for at in places(&path.path) {
            let at = lying_from_file * at;
            let r95_mm = located.r95_mm(at, machine_mm);
            if r95_mm > worst.worst_mm {
                (worst.worst_at, worst.worst_mm) = (at, r95_mm);
                worst.worst_of.clone_from(&path.title);
            }
            worst.outside_mm = worst.outside_mm.max(outside_mm(&hull, at));
        }
    }
    worst.bleed = match sheet.bleed_mm {
        None => Bleed::NotNeeded,
        Some(has_mm) if has_mm >= worst.worst_mm => Bleed::Covers(has_mm),
        Some(has_mm) => Bleed::TooSmall(has_mm),
    };
    worst
}

fn used_marks(sheet: &PrintedSheet, located: &Located) -> Vec<Point> {
    let dropped = located.dropped();
    let used = (0..).zip(&located.ids).filter(|(i, _)| Some(*i) != dropped);
    used.filter_map(|(_, id)| sheet.mark(id))
        .map(|mark| mark.centre)
        .collect()
}

/// Places along a path: its ends and steps along its curves.
fn places(path: &BezPath) -> Vec<Point> {
    let steps = |segment: PathSeg| {
        let count = match segment {
            PathSeg::Line(_) => 1,
            PathSeg::Quad(_) | PathSeg::Cubic(_) => STEPS,
        };
        (0..=count).map(move |i| segment.eval(f64::from(i) / f64::from(count)))
    };
    path.segments().flat_map(steps).collect()
}

/// The corners of the convex hull, clockwise as seen, after Andrew's monotone chain.
fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    if points.len() < 3 {
        return points;
    }
    let chain = |points: &mut dyn Iterator<Item = Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in points {
            while let [.., a, b] = chain[..]
                && (b - a).cross(point - b) <= 0.0
            {
                chain.pop();
            }
            chain.push(point);
        }
        chain.pop();
        chain
    };
    let mut corners = chain(&mut points.iter().copied());
    corners.extend(chain(&mut points.iter().rev().copied()));
    corners
}

/// Distance of a point from a convex polygon, 0 inside.
fn outside_mm(hull: &[Point], at: Point) -> f64 {
    let next = hull.iter().cycle().skip(1);
    let sides: Vec<Line> = hull
        .iter()
        .zip(next)
        .map(|(a, b)| Line::new(*a, *b))
        .collect();
    let is_inside = |side: &Line| (side.p1 - side.p0).cross(at - side.p0) >= 0.0;
    if hull.len() > 2 && sides.iter().all(is_inside) {
        return 0.0;
    }
    nearest_mm(&sides, at)
}

fn nearest_mm(sides: &[Line], at: Point) -> f64 {
    let squares = sides
        .iter()
        .map(|side| side.nearest(at, FLATTEN_MM).distance_sq);
    squares.fold(f64::INFINITY, f64::min).sqrt()
}

/// Returns the least distance that print reaches beyond the outline of a piece of the sheet, over all pieces that are printed to their
/// edge; `None` where none is.
pub(super) fn bleed_mm(sheet: &SheetEntry) -> Option<f64> {
    let bleeds = sheet.placements.iter().filter_map(bleed_of);
    bleeds.reduce(f64::min)
}

/// How far the layer of artwork that reaches farthest does so, all round the outline.
fn bleed_of(placement: &PlacementEntry) -> Option<f64> {
    let layers = placement.artwork.iter().filter_map(|layer| {
        let clip = verify::path(&layer.clip)?;
        let sides: Vec<Line> = sides(&clip);
        let corners = placement.outline_mm.iter().map(|[x, y]| Point::new(*x, *y));
        corners
            .map(|corner| nearest_mm(&sides, corner))
            .reduce(f64::min)
    });
    layers
        .reduce(f64::max)
        .filter(|bleed_mm| *bleed_mm > FLATTEN_MM)
}

/// Straight sides that stand in for a path.
fn sides(path: &BezPath) -> Vec<Line> {
    let mut sides = Vec::new();
    for segment in path.segments() {
        let count = match segment {
            PathSeg::Line(_) => 1,
            PathSeg::Quad(_) | PathSeg::Cubic(_) => steps_of(segment),
        };
        let at = |i: u32| segment.eval(f64::from(i) / f64::from(count));
        sides.extend((0..count).map(|i| Line::new(at(i), at(i + 1))));
    }
    sides
}

/// Steps with which straight sides stay within the tolerance: a chord of an arc of length s and steps n is off by at most s^2 / (8 r n^2),
/// and no corner of paper is rounder than its own length.
fn steps_of(segment: PathSeg) -> u32 {
    let corners = segment.to_cubic();
    let arms = [
        corners.p1 - corners.p0,
        corners.p2 - corners.p1,
        corners.p3 - corners.p2,
    ];
    let length_mm: f64 = arms.iter().map(|v| hypot(v.x, v.y)).sum();
    let most = 256.0_f64
        .min((length_mm / (8.0 * FLATTEN_MM)).sqrt() * 2.0)
        .ceil();
    (1..=256).find(|n| f64::from(*n) >= most).unwrap_or(256)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A square of 100 mm: its centre and its corner lie inside, a point 3 mm right and 4 mm below a corner is 5 mm outside.
    #[test]
    fn distance_from_the_marks_is_counted_from_their_hull() {
        let corners = [
            (0.0, 0.0),
            (100.0, 100.0),
            (100.0, 0.0),
            (0.0, 100.0),
            (50.0, 50.0),
        ];
        let hull = hull(corners.map(Point::from).to_vec());
        assert_eq!(hull.len(), 4, "{hull:?}");
        for (at, want) in [
            ((50.0, 40.0), 0.0),
            ((100.0, 100.0), 0.0),
            ((103.0, 104.0), 5.0),
            ((-2.0, 50.0), 2.0),
        ] {
            let got = outside_mm(&hull, Point::from(at));
            assert!((got - want).abs() < 1e-9, "{at:?}: {got}");
        }
    }

    #[test]
    fn two_marks_have_a_line_for_a_hull() {
        let hull = hull(vec![Point::new(0.0, 0.0), Point::new(100.0, 0.0)]);
        assert!((outside_mm(&hull, Point::new(50.0, 30.0)) - 30.0).abs() < 1e-9);
    }
}
