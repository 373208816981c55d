//! Closed rings: reading them from a path, turning them round, and their plain measures.

use kurbo::{BezPath, Line, ParamCurve, ParamCurveArea, PathEl, PathSeg, Point};

use super::OutlineError;
use super::curve::flatten_into;
use crate::math::COINCIDENT_MM;

/// Farthest from the origin that a point may lie, in mm: a hundred metres, beyond any sheet, and small enough that
/// arithmetic in `f64` still resolves a hundredth of a nanometre.
const REACH_MM: f64 = 100_000.0;

/// Returns the closed rings of `path`: straight and cubic segments only, none of them empty, ends meeting exactly.
pub(super) fn closed_rings(
    path: &BezPath,
    tolerance_mm: f64,
) -> Result<Vec<Vec<PathSeg>>, OutlineError> {
    let mut rings = Vec::new();
    for subpath in subpaths(path) {
        if let Some(p) = out_of_reach(&subpath) {
            return Err(OutlineError::OutOfReach {
                at: p,
                reach_mm: REACH_MM,
            });
        }
        let closed_by_hand = !subpath.iter().any(|el| matches!(el, PathEl::ClosePath));
        let mut ring: Vec<PathSeg> = kurbo::segments(subpath)
            .map(raised)
            .filter(|s| !is_empty(*s))
            .collect();
        if !ring.is_empty() {
            close(&mut ring, tolerance_mm, closed_by_hand)?;
            rings.push(ring);
        }
    }
    Ok(rings)
}

/// Splits at each move and after each close; what is drawn on after a close starts where the closed subpath started.
fn subpaths(path: &BezPath) -> Vec<Vec<PathEl>> {
    let mut found: Vec<Vec<PathEl>> = Vec::new();
    let mut start = Point::ORIGIN;
    let mut is_open = false;
    for &el in path.elements() {
        if let PathEl::MoveTo(p) = el {
            start = p;
            found.push(vec![el]);
        } else {
            if !is_open {
                found.push(vec![PathEl::MoveTo(start)]);
            }
            found
                .last_mut()
                .expect("a subpath was begun above")
                .push(el);
        }
        is_open = !matches!(el, PathEl::ClosePath);
    }
    found
}

fn out_of_reach(elements: &[PathEl]) -> Option<Point> {
    let within = |p: &Point| p.x.abs() <= REACH_MM && p.y.abs() <= REACH_MM;
    elements
        .iter()
        .flat_map(|el| match *el {
            PathEl::MoveTo(p) | PathEl::LineTo(p) => vec![p],
            PathEl::QuadTo(a, p) => vec![a, p],
            PathEl::CurveTo(a, b, p) => vec![a, b, p],
            PathEl::ClosePath => vec![],
        })
        .find(|p| !within(p))
}

fn raised(segment: PathSeg) -> PathSeg {
    match segment {
        PathSeg::Line(_) | PathSeg::Cubic(_) => segment,
        PathSeg::Quad(_) => PathSeg::Cubic(segment.to_cubic()),
    }
}

fn is_empty(segment: PathSeg) -> bool {
    let c = segment.to_cubic();
    [c.p1, c.p2, c.p3].into_iter().all(|p| coincide(p, c.p0))
}

fn coincide(a: Point, b: Point) -> bool {
    (a - b).hypot2() <= COINCIDENT_MM * COINCIDENT_MM
}

/// Makes the last segment end exactly where the first begins.
fn close(
    ring: &mut Vec<PathSeg>,
    tolerance_mm: f64,
    closed_by_hand: bool,
) -> Result<(), OutlineError> {
    let start = ring[0].start();
    let end = ring[ring.len() - 1].end();
    let gap_mm = (end - start).hypot2().sqrt();
    if closed_by_hand && gap_mm > tolerance_mm {
        return Err(OutlineError::Open {
            from: end,
            to: start,
            gap_mm,
        });
    }
    let last = ring.last_mut().expect("the caller passes no empty ring");
    *last = match *last {
        PathSeg::Line(line) => PathSeg::Line(Line::new(line.p0, start)),
        PathSeg::Quad(_) | PathSeg::Cubic(_) => {
            let mut c = last.to_cubic();
            c.p3 = start;
            PathSeg::Cubic(c)
        }
    };
    ring.retain(|s| !is_empty(*s));
    Ok(())
}

/// Returns a ring as a closed subpath; a straight way back to the start is left to the closing.
pub(super) fn ring_path(ring: &[PathSeg]) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(ring[0].start());
    for (i, segment) in ring.iter().enumerate() {
        let is_last = i + 1 == ring.len();
        match segment {
            PathSeg::Line(_) if is_last => {}
            PathSeg::Line(line) => path.line_to(line.p1),
            PathSeg::Quad(q) => path.quad_to(q.p1, q.p2),
            PathSeg::Cubic(c) => path.curve_to(c.p1, c.p2, c.p3),
        }
    }
    path.close_path();
    path
}

/// Returns the ring run the other way, from the same starting point.
pub(super) fn reversed_ring(ring: &[PathSeg]) -> Vec<PathSeg> {
    ring.iter().rev().map(PathSeg::reverse).collect()
}

/// Returns the path with every subpath run the other way; a closed subpath keeps its starting point.
#[must_use]
pub fn reversed(path: &BezPath) -> BezPath {
    let mut turned = BezPath::new();
    for subpath in subpaths(path) {
        let is_closed = matches!(subpath.last(), Some(PathEl::ClosePath));
        let segments: Vec<PathSeg> = kurbo::segments(subpath).collect();
        let way_back = reversed_ring(&segments);
        match way_back.first() {
            Some(_) if is_closed => turned.extend(ring_path(&way_back)),
            Some(first) => {
                turned.move_to(first.start());
                turned.extend(way_back.iter().map(PathSeg::as_path_el));
            }
            None => {}
        }
    }
    turned
}

/// Returns the area inside a ring in mm², positive if it runs clockwise as seen with y down.
pub(super) fn signed_area_mm2(ring: impl IntoIterator<Item = PathSeg>) -> f64 {
    ring.into_iter().map(|s| s.signed_area()).sum()
}

/// Returns the corners of the polygon that stands in for a ring, no two neighbours in one point, the first not repeated.
pub(super) fn flattened_ring(
    ring: impl IntoIterator<Item = PathSeg>,
    tolerance_mm: f64,
) -> Vec<Point> {
    let mut points = Vec::new();
    for segment in ring {
        flatten_into(segment, tolerance_mm, &mut points);
    }
    without_repeats(points)
}

/// Returns the lines of corners that stand in for the subpaths of a path, within `tolerance_mm` of it; a closed one ends where it began.
#[must_use]
pub fn flattened(path: &BezPath, tolerance_mm: f64) -> Vec<Vec<Point>> {
    let line = |subpath: Vec<PathEl>| {
        let mut segments = kurbo::segments(subpath).peekable();
        let mut points: Vec<Point> = segments.peek().map(PathSeg::start).into_iter().collect();
        for segment in segments {
            flatten_into(segment, tolerance_mm, &mut points);
        }
        points.dedup_by(|a, b| coincide(*a, *b));
        points
    };
    let lines = subpaths(path).into_iter().map(line);
    lines.filter(|points| points.len() > 1).collect()
}

/// Returns the corners of a closed polygon without those that coincide with the one before.
pub(super) fn without_repeats(mut points: Vec<Point>) -> Vec<Point> {
    points.dedup_by(|a, b| coincide(*a, *b));
    while points.len() > 1 && coincide(points[0], points[points.len() - 1]) {
        points.pop();
    }
    points
}

#[cfg(test)]
mod tests {
    use super::*;

    fn path(text: &str) -> BezPath {
        BezPath::from_svg(text).unwrap()
    }

    #[test]
    fn a_reversed_triangle_starts_where_it_started() {
        assert_eq!(
            reversed(&path("M0 0 L4 0 L0 3 Z")),
            path("M0 0 L0 3 L4 0 Z")
        );
    }

    #[test]
    fn a_reversed_open_path_starts_at_its_end() {
        let way = path("M0 0 L4 0 C5 0 6 1 6 2");
        assert_eq!(reversed(&way), path("M6 2 C6 1 5 0 4 0 L0 0"));
        assert_eq!(reversed(&reversed(&way)), way);
    }

    #[test]
    fn drawing_on_after_a_close_starts_at_the_closed_start() {
        let rings = closed_rings(&path("M1 1 L5 1 L5 5 Z L1 9 L-3 1 Z"), 0.01).unwrap();
        assert_eq!(rings.len(), 2);
        assert_eq!(ring_path(&rings[1]), path("M1 1 L1 9 L-3 1 Z"));
    }

    #[test]
    fn area_of_a_3_4_5_triangle_is_6_and_signed_by_direction() {
        let clockwise = closed_rings(&path("M0 0 L4 0 L0 3 Z"), 0.01).unwrap();
        let area = signed_area_mm2(clockwise[0].iter().copied());
        assert!((area - 6.0).abs() < 1e-12);
        let back = signed_area_mm2(reversed_ring(&clockwise[0]));
        assert!((back + 6.0).abs() < 1e-12);
    }

    #[test]
    fn subpaths_become_lines_of_corners() {
        let lines = flattened(&path("M0 0 H4 V3 Z M9 9 M10 0 Q12 4 14 0"), 0.5);
        let corners = |points: &[(f64, f64)]| -> Vec<Point> {
            points.iter().copied().map(Point::from).collect()
        };
        assert_eq!(
            lines[0],
            corners(&[(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 0.0)])
        );
        // The parabola over 4 mm peaks at 2 mm; each halving of its chords departs by a quarter: two pieces depart by 0.5 mm.
        assert_eq!(lines.len(), 2);
        assert!(
            lines[1]
                .iter()
                .any(|p| (p.x - 12.0).abs() < 1e-9 && (p.y - 2.0).abs() < 1e-9)
        );
    }

    #[test]
    fn empty_segments_are_dropped() {
        let rings = closed_rings(&path("M0 0 L0 0 L4 0 L4 0 L0 3 L0 0 Z"), 0.01).unwrap();
        assert_eq!(rings[0].len(), 3);
    }
}
