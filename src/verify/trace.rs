//! Paths as lists of lines and cubics: the form in which planned and found ones are compared.

use kurbo::{BezPath, CubicBez, ParamCurve, PathEl, PathSeg, Point, Rect, Shape};
use svgtypes::{SimplePathSegment, SimplifyingPathParser};

use crate::math::{COINCIDENT_MM, hypot};

/// Distance in mm that flattening may be off: a twentieth of what is being proved.
const FLATTEN_MM: f64 = 0.0005;

/// Pieces that one cubic is cut into at most; a cubic of 10 m needs fewer.
const MOST_PIECES: u32 = 4096;

/// Longest line in mm that stays in one piece when points are taken along a path, so that a gap of this size is seen.
const STEP_MM: f64 = 0.5;

/// Reads absolute or relative path data.
///
/// # Errors
///
/// What is wrong with the text, in words; coordinates that are no finite numbers are wrong too.
pub(super) fn read(data: &str) -> Result<BezPath, String> {
    let mut path = BezPath::new();
    for segment in SimplifyingPathParser::from(data) {
        match segment.map_err(|error| error.to_string())? {
            SimplePathSegment::MoveTo { x, y } => path.move_to((x, y)),
            SimplePathSegment::LineTo { x, y } => path.line_to((x, y)),
            SimplePathSegment::CurveTo {
                x1,
                y1,
                x2,
                y2,
                x,
                y,
            } => {
                path.curve_to((x1, y1), (x2, y2), (x, y));
            }
            SimplePathSegment::Quadratic { x1, y1, x, y } => path.quad_to((x1, y1), (x, y)),
            SimplePathSegment::ClosePath => path.close_path(),
        }
    }
    if path.is_finite() {
        Ok(path)
    } else {
        Err("a coordinate is no finite number".to_owned())
    }
}

/// One connected stretch of a path without its empty segments; closing lines are among the segments.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Run {
    /// Where it starts.
    pub(super) start: Point,
    /// Lines and cubics, at least one.
    pub(super) segments: Vec<PathSeg>,
}

/// Splits a path into its runs. A lone move is no run.
pub(super) fn runs(path: &BezPath) -> Vec<Run> {
    let mut runs = Vec::new();
    let mut run = Run {
        start: Point::ZERO,
        segments: Vec::new(),
    };
    let mut at = Point::ZERO;
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(to) => {
                end_run(&mut runs, &mut run, to);
                at = to;
            }
            PathEl::LineTo(to) => at = line(&mut run, at, to),
            PathEl::QuadTo(c, to) => at = cubic(&mut run, kurbo::QuadBez::new(at, c, to).raise()),
            PathEl::CurveTo(c, d, to) => at = cubic(&mut run, CubicBez::new(at, c, d, to)),
            PathEl::ClosePath => {
                let start = run.start;
                at = line(&mut run, at, start);
                end_run(&mut runs, &mut run, start);
            }
        }
    }
    end_run(&mut runs, &mut run, Point::ZERO);
    runs
}

fn end_run(runs: &mut Vec<Run>, run: &mut Run, next_start: Point) {
    let next = Run {
        start: next_start,
        segments: Vec::new(),
    };
    let ended = std::mem::replace(run, next);
    if !ended.segments.is_empty() {
        runs.push(ended);
    }
}

fn line(run: &mut Run, from: Point, to: Point) -> Point {
    if between(from, to) > COINCIDENT_MM {
        run.segments.push(PathSeg::Line(kurbo::Line::new(from, to)));
    }
    to
}

fn cubic(run: &mut Run, curve: CubicBez) -> Point {
    let handles = between(curve.p0, curve.p1).max(between(curve.p0, curve.p2));
    if handles.max(between(curve.p0, curve.p3)) > COINCIDENT_MM {
        run.segments.push(PathSeg::Cubic(curve));
    }
    curve.p3
}

/// Distance between two points.
pub(super) fn between(a: Point, b: Point) -> f64 {
    hypot(b.x - a.x, b.y - a.y)
}

/// The smallest upright box around a path; `None` for an empty one.
pub(super) fn bounds(path: &BezPath) -> Option<Rect> {
    (!path.is_empty()).then(|| path.bounding_box())
}

/// Largest distance between corners of two boxes.
pub(super) fn box_distance(a: Rect, b: Rect) -> f64 {
    between(a.origin(), b.origin()).max(between(Point::new(a.x1, a.y1), Point::new(b.x1, b.y1)))
}

/// Corners of the straight lines that stand in for a run, its start first.
pub(super) fn corners(run: &Run) -> Vec<Point> {
    let mut corners = vec![run.start];
    for segment in &run.segments {
        if let PathSeg::Cubic(curve) = segment {
            let pieces = pieces(*curve);
            corners.extend((1..pieces).map(|i| curve.eval(f64::from(i) / f64::from(pieces))));
        }
        corners.push(segment.end());
    }
    corners
}

/// Equal steps of the parameter: a cubic in n of them leaves its chords by at most 6/8 of its largest second difference, over n².
fn pieces(curve: CubicBez) -> u32 {
    let bend = |a: Point, b: Point, c: Point| hypot(a.x - 2.0 * b.x + c.x, a.y - 2.0 * b.y + c.y);
    let largest = bend(curve.p0, curve.p1, curve.p2).max(bend(curve.p1, curve.p2, curve.p3));
    let needed = (0.75 * largest / FLATTEN_MM).sqrt();
    let mut pieces = 1;
    while f64::from(pieces) < needed && pieces < MOST_PIECES {
        pieces += 1;
    }
    pieces
}

/// Points along the lines through `corners`, no two further apart than [`STEP_MM`].
pub(super) fn walk(corners: &[Point]) -> Vec<Point> {
    let mut points: Vec<Point> = corners.first().copied().into_iter().collect();
    for pair in corners.windows(2) {
        let length = between(pair[0], pair[1]);
        let mut steps = 1;
        while f64::from(steps) * STEP_MM < length && steps < MOST_PIECES {
            steps += 1;
        }
        points.extend((1..=steps).map(|i| pair[0].lerp(pair[1], f64::from(i) / f64::from(steps))));
    }
    points
}

/// Length of the lines through `corners`.
pub(super) fn length(corners: &[Point]) -> f64 {
    corners
        .windows(2)
        .map(|pair| between(pair[0], pair[1]))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_closed_square_has_four_lines_however_it_is_spelled() {
        for data in [
            "M 0 0 L 4 0 L 4 4 L 0 4 Z",
            "M0,0H4V4H0V0Z",
            "m 0 0 4 0 0 4 -4 0 z",
            "M 0 0 L 4 0 L 4 4 L 0 4 L 0 0",
        ] {
            let runs = runs(&read(data).unwrap());
            assert_eq!(runs.len(), 1, "{data}");
            assert_eq!(runs[0].segments.len(), 4, "{data}");
        }
    }

    #[test]
    fn nonsense_and_endless_numbers_are_refused() {
        assert!(read("M 0 0 L x").is_err());
        assert!(read("M 0 0 L 1e999 0").is_err());
    }

    #[test]
    fn walking_a_line_of_two_millimetres_takes_five_points() {
        let points = walk(&[Point::ZERO, Point::new(2.0, 0.0)]);
        assert_eq!(points.len(), 5);
    }
}
