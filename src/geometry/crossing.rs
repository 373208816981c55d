//! Where straight segments and rings meet.

use kurbo::{Line, Point, Rect};

use super::sweep::visit_near;
use crate::math::COINCIDENT_MM;

/// Returns a point that both segments share, `None` if they share none.
///
/// Ends count, and so does coming within [`COINCIDENT_MM`]. Of two segments that lie on top of each other it is an end of
/// one of them.
pub(super) fn meeting_point(a: Line, b: Line) -> Option<Point> {
    let (along_a, along_b) = (a.p1 - a.p0, b.p1 - b.p0);
    let side_b = (along_a.cross(b.p0 - a.p0), along_a.cross(b.p1 - a.p0));
    let side_a = (along_b.cross(a.p0 - b.p0), along_b.cross(a.p1 - b.p0));
    let opposite = |(s, t): (f64, f64)| (s > 0.0 && t < 0.0) || (s < 0.0 && t > 0.0);
    if opposite(side_a) && opposite(side_b) {
        return Some(a.p0 + along_a * (side_a.0 / (side_a.0 - side_a.1)));
    }
    [(a.p0, b), (a.p1, b), (b.p0, a), (b.p1, a)]
        .into_iter()
        .find(|(end, other)| lies_on(*end, *other))
        .map(|(end, _)| end)
}

/// Returns whether a point lies on a segment, to a nanometre.
pub(super) fn lies_on(point: Point, line: Line) -> bool {
    (point - nearest_on(line, point)).hypot2() <= COINCIDENT_MM * COINCIDENT_MM
}

/// Returns the point of the segment that is nearest to `point`.
pub(super) fn nearest_on(line: Line, point: Point) -> Point {
    let way = line.p1 - line.p0;
    let length_sq = way.hypot2();
    if length_sq > 0.0 {
        line.p0 + way * ((point - line.p0).dot(way) / length_sq).clamp(0.0, 1.0)
    } else {
        line.p0
    }
}

/// Returns the sides of a polygon, the closing one last.
pub(super) fn sides(polygon: &[Point]) -> impl Iterator<Item = Line> {
    let next = polygon.iter().cycle().skip(1);
    polygon
        .iter()
        .zip(next)
        .map(|(from, to)| Line::new(*from, *to))
}

/// Returns the smallest upright box around a segment.
pub(super) fn box_of(line: Line) -> Rect {
    Rect::from_points(line.p0, line.p1)
}

/// Where a set of polygons meets itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Meeting {
    /// A point that both sides share.
    pub(super) at: Point,
    /// Whether both sides belong to one polygon.
    pub(super) is_within_one_ring: bool,
}

/// A side of one of several polygons.
#[derive(Debug, Clone, Copy)]
struct Side {
    line: Line,
    ring: usize,
    /// Position in the ring.
    index: usize,
    /// Number of sides of the ring.
    of: usize,
}

/// Returns the leftmost-found place where a polygon crosses or touches itself or another one.
///
/// n log n for n sides, plus the pairs whose boxes overlap.
pub(super) fn first_meeting(polygons: &[Vec<Point>]) -> Option<Meeting> {
    let all: Vec<Side> = polygons
        .iter()
        .enumerate()
        .flat_map(|(ring, polygon)| {
            sides(polygon).enumerate().map(move |(index, line)| Side {
                line,
                ring,
                index,
                of: polygon.len(),
            })
        })
        .collect();
    let boxes: Vec<Rect> = all.iter().map(|side| box_of(side.line)).collect();
    let mut found = None;
    visit_near(&boxes, COINCIDENT_MM, |i, j| {
        found = meeting(all[i], all[j]);
        found.is_none().then_some(COINCIDENT_MM)
    });
    found
}

fn meeting(a: Side, b: Side) -> Option<Meeting> {
    let at = if a.ring == b.ring && (a.index + 1) % a.of == b.index {
        fold_back(a.line, b.line)
    } else if a.ring == b.ring && (b.index + 1) % b.of == a.index {
        fold_back(b.line, a.line)
    } else {
        meeting_point(a.line, b.line)
    };
    at.map(|at| Meeting {
        at,
        is_within_one_ring: a.ring == b.ring,
    })
}

/// Neighbours share a corner; they meet elsewhere only if the second runs back over the first.
fn fold_back(first: Line, second: Line) -> Option<Point> {
    if lies_on(second.p1, first) {
        Some(second.p1)
    } else if lies_on(first.p0, second) {
        Some(first.p0)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x0: f64, y0: f64, x1: f64, y1: f64) -> Line {
        Line::new((x0, y0), (x1, y1))
    }

    #[test]
    fn ends_and_overlaps_count_as_meeting() {
        let base = line(0.0, 0.0, 10.0, 0.0);
        assert_eq!(
            meeting_point(base, line(10.0, 0.0, 12.0, 5.0)),
            Some(Point::new(10.0, 0.0))
        );
        assert_eq!(
            meeting_point(base, line(5.0, 0.0, 5.0, 5.0)),
            Some(Point::new(5.0, 0.0))
        );
        assert_eq!(
            meeting_point(base, line(4.0, 0.0, 20.0, 0.0)),
            Some(Point::new(10.0, 0.0))
        );
        assert_eq!(meeting_point(base, line(11.0, 0.0, 20.0, 0.0)), None);
        assert_eq!(meeting_point(base, line(0.0, 1.0, 10.0, 1.0)), None);
        assert_eq!(meeting_point(base, line(5.0, 0.001, 5.0, 5.0)), None);
    }

    #[test]
    fn a_nanometre_apart_is_together() {
        let base = line(0.0, 0.0, 30.0, 40.0);
        // Half a nanometre off the middle (15, 20) at right angles, (-4, 3) / 5.
        let near = Point::new(15.0 - 0.4e-6, 20.0 + 0.3e-6);
        assert_eq!(
            meeting_point(base, Line::new(near, (0.0, 40.0))),
            Some(near)
        );
    }

    #[test]
    fn sides_close_the_polygon() {
        let corners = [(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)].map(Point::from);
        let all: Vec<Line> = sides(&corners).collect();
        assert_eq!(all.len(), 3);
        assert_eq!(all[2], line(0.0, 3.0, 0.0, 0.0));
    }

    #[test]
    fn a_comb_of_five_thousand_sides_is_found_clean_and_one_bad_tooth_is_found() {
        let mut comb: Vec<Point> = (0..1250)
            .flat_map(|i| {
                let x = f64::from(i);
                [(x, 10.0), (x, 0.0), (x + 0.5, 0.0), (x + 0.5, 10.0)].map(Point::from)
            })
            .collect();
        comb.extend([Point::new(1249.5, 20.0), Point::new(0.0, 20.0)]);
        assert_eq!(first_meeting(&[comb.clone()]), None);
        comb[2000] = Point::new(500.0, 21.0);
        let at = first_meeting(&[comb]).map(|m| m.at);
        assert!(at.is_some_and(|p| (p.y - 20.0).abs() < 1e-9), "{at:?}");
    }
}
