//! How far apart two paths are.
//!
//! Paths of the same make-up (as many runs, each of as many lines and cubics) are compared point by point, control points
//! included. A file that was saved again may start a closed path elsewhere, run it backwards or split its curves; then
//! points are taken along both, and the distance is the largest one from a point of either path to the other path
//! (Hausdorff's). Two paths can be near each other and still differ, drawn twice or with gaps: their lengths tell.

use kurbo::{BezPath, PathSeg, Point};

use super::trace::{Run, between, corners, length, runs, walk};
use crate::math::VERIFY_MM;

/// Lines and points beyond which paths of different make-up are not compared: 20 000 against 20 000 takes about a second.
const MOST_POINTS: usize = 20_000;

/// Share of its length by which a path may differ when its curves are split elsewhere.
const LENGTH_SHARE: f64 = 0.002;

/// What comparing a planned path with a found one gave.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Deviation {
    /// Largest distance in millimetres; `None` if the paths are too different to tell.
    pub(super) distance_mm: Option<f64>,
    /// Planned and found points that belong together; empty if the paths are made up differently.
    pub(super) pairs: Vec<(Point, Point)>,
    /// Planned and found length in millimetres, if they differ by more than the distance explains.
    pub(super) lengths_mm: Option<(f64, f64)>,
}

/// Compares a planned path with a found one in the same frame.
pub(super) fn deviation(planned: &BezPath, found: &BezPath) -> Deviation {
    let (planned, found) = (runs(planned), runs(found));
    let pairs = pair_up(&planned, &found).unwrap_or_default();
    let mut deviation = Deviation {
        distance_mm: farthest(&pairs),
        pairs,
        lengths_mm: None,
    };
    if deviation.distance_mm.is_some_and(|mm| mm <= VERIFY_MM) {
        return deviation;
    }
    let (planned, found) = (polylines(&planned), polylines(&found));
    let lengths = (total_length(&planned), total_length(&found));
    let slack = (LENGTH_SHARE * lengths.0).max(10.0 * VERIFY_MM);
    let apart = hausdorff(&planned, &found);
    let is_near = apart.is_some_and(|mm| mm <= VERIFY_MM);
    if is_near && (lengths.0 - lengths.1).abs() > slack {
        deviation.lengths_mm = Some(lengths);
    }
    // A near miss in shape alone is the smaller number; a real miss is told point by point where that is possible.
    if is_near || deviation.distance_mm.is_none() {
        deviation.distance_mm = apart;
    }
    deviation
}

/// Largest distance in millimetres from a point of `part` to `whole`; `None` if there is nothing to compare or too much.
pub(super) fn reach(part: &BezPath, whole: &BezPath) -> Option<f64> {
    one_way(&polylines(&runs(part)), &polylines(&runs(whole)))
}

fn pair_up(planned: &[Run], found: &[Run]) -> Option<Vec<(Point, Point)>> {
    let mut pairs = Vec::new();
    if planned.len() != found.len() {
        return None;
    }
    for (p, f) in planned.iter().zip(found) {
        if p.segments.len() != f.segments.len() {
            return None;
        }
        pairs.push((p.start, f.start));
        for segments in p.segments.iter().zip(&f.segments) {
            match segments {
                (PathSeg::Line(p), PathSeg::Line(f)) => pairs.push((p.p1, f.p1)),
                (PathSeg::Cubic(p), PathSeg::Cubic(f)) => {
                    pairs.extend([(p.p1, f.p1), (p.p2, f.p2), (p.p3, f.p3)]);
                }
                (PathSeg::Line(_) | PathSeg::Cubic(_) | PathSeg::Quad(_), _) => return None,
            }
        }
    }
    Some(pairs)
}

fn farthest(pairs: &[(Point, Point)]) -> Option<f64> {
    pairs
        .iter()
        .map(|(planned, found)| between(*planned, *found))
        .max_by(f64::total_cmp)
}

fn polylines(runs: &[Run]) -> Vec<Vec<Point>> {
    runs.iter().map(corners).collect()
}

fn total_length(polylines: &[Vec<Point>]) -> f64 {
    polylines.iter().map(|corners| length(corners)).sum()
}

fn hausdorff(a: &[Vec<Point>], b: &[Vec<Point>]) -> Option<f64> {
    Some(one_way(a, b)?.max(one_way(b, a)?))
}

fn one_way(from: &[Vec<Point>], to: &[Vec<Point>]) -> Option<f64> {
    let is_small = |lines: &[Vec<Point>]| lines.iter().map(Vec::len).sum::<usize>() <= MOST_POINTS;
    if !is_small(from) || !is_small(to) {
        return None;
    }
    let mut points: Vec<Point> = from.iter().flat_map(|corners| walk(corners)).collect();
    if points.len() > MOST_POINTS {
        points = from.concat();
    }
    let farthest_mm2 = points
        .into_iter()
        .map(|point| nearest_mm2(point, to))
        .collect::<Option<Vec<f64>>>()?
        .into_iter()
        .max_by(f64::total_cmp)?;
    Some(farthest_mm2.sqrt())
}

/// Squared distances throughout: a root for each pair of a point and a line is what would take the time.
fn nearest_mm2(point: Point, polylines: &[Vec<Point>]) -> Option<f64> {
    polylines
        .iter()
        .flat_map(|corners| corners.windows(2))
        .map(|pair| to_line_mm2(point, pair[0], pair[1]))
        .min_by(f64::total_cmp)
}

fn to_line_mm2(point: Point, start: Point, end: Point) -> f64 {
    let way = end - start;
    let square = way.hypot2();
    let along = if square > 0.0 {
        ((point - start).dot(way) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (point - start - along * way).hypot2()
}

#[cfg(test)]
mod tests {
    use kurbo::Affine;

    use super::super::trace::read;
    use super::*;

    fn distance(planned: &str, found: &str) -> Option<f64> {
        deviation(&read(planned).unwrap(), &read(found).unwrap()).distance_mm
    }

    #[test]
    fn a_square_moved_by_two_hundredths_is_off_by_that() {
        let planned = read("M 10 10 L 50 10 L 50 40 L 10 40 Z").unwrap();
        let found = Affine::translate((0.02, 0.0)) * &planned;
        let mm = deviation(&planned, &found).distance_mm.unwrap();
        assert!((mm - 0.02).abs() < 1e-12, "{mm}");
    }

    #[test]
    fn another_start_or_direction_is_the_same_path() {
        let planned = "M 10 10 L 50 10 L 50 40 L 10 40 Z";
        for found in [
            "M 50 40 L 10 40 L 10 10 L 50 10 Z",
            "M 10 10 L 10 40 L 50 40 L 50 10 Z",
        ] {
            assert!(distance(planned, found).unwrap() < 1e-9, "{found}");
        }
    }

    #[test]
    fn a_curve_split_in_two_is_the_same_path() {
        // The halves of (0,0) (0,8) (8,8) (8,0) by de Casteljau's construction.
        let whole = "M 0 0 C 0 8 8 8 8 0";
        let halves = "M 0 0 C 0 4 2 6 4 6 C 6 6 8 4 8 0";
        assert!(distance(whole, halves).unwrap() < 0.001);
    }

    #[test]
    fn a_crease_that_ends_early_is_off_by_the_rest() {
        let mm = distance("M 0 0 L 40 0", "M 0 0 L 20 0 L 39.9 0").unwrap();
        assert!((mm - 0.1).abs() < 1e-9, "{mm}");
    }

    #[test]
    fn a_gap_in_a_line_is_seen() {
        let mm = distance("M 0 0 L 40 0", "M 0 0 L 19 0 M 21 0 L 40 0").unwrap();
        assert!((mm - 1.0).abs() < 1e-9, "{mm}");
    }

    #[test]
    fn a_line_drawn_twice_differs_in_length() {
        let planned = read("M 0 0 L 40 0").unwrap();
        let found = read("M 0 0 L 40 0 L 0 0").unwrap();
        assert_eq!(deviation(&planned, &found).lengths_mm, Some((40.0, 80.0)));
    }

    #[test]
    fn nothing_found_has_no_distance() {
        assert_eq!(distance("M 0 0 L 1 0", ""), None);
    }
}
