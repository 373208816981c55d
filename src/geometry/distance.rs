//! How far two outlines are apart.
//!
//! Both are flattened, then their sides are swept from left to right and only those compared that could still be nearer than
//! the nearest found so far: about n log n for n sides in all, n² at worst.

use kurbo::{Line, Point, Rect};

use super::Outline;
use super::crossing::{box_of, meeting_point, nearest_on, sides};
use super::sweep::visit_near;
use crate::math::hypot;

/// Returns the smallest distance in mm between two outlines; zero if they touch or overlap or one lies on the other.
///
/// A piece in another one's hole has the distance to the hole's edge. The result is within `tolerance_mm` of the truth, and
/// exact but for rounding if both outlines have straight sides only.
///
/// # Examples
///
/// ```
/// use kurbo::Affine;
/// use sheetwright::geometry::{distance::distance_mm, shape::rectangle};
///
/// let card = rectangle(60.0, 40.0).unwrap();
/// let other = card.transformed(Affine::translate((63.0, 44.0)));
/// assert_eq!(distance_mm(&card, &other, 0.001), 5.0); // 3 across and 4 down
/// ```
#[must_use]
pub fn distance_mm(a: &Outline, b: &Outline, tolerance_mm: f64) -> f64 {
    // Either edge may depart by half.
    let all = |outline: &Outline| -> Vec<Line> {
        outline
            .flattened(tolerance_mm / 2.0)
            .iter()
            .flat_map(|polygon| sides(polygon))
            .collect()
    };
    let (sides_a, sides_b) = (all(a), all(b));
    if a.contains(sides_b[0].p0) || b.contains(sides_a[0].p0) {
        return 0.0;
    }
    let mut nearest_mm = between(sides_a[0].p0, sides_b[0].p0);
    let boxes: Vec<Rect> = sides_a
        .iter()
        .chain(&sides_b)
        .map(|side| box_of(*side))
        .collect();
    visit_near(&boxes, nearest_mm, |i, j| {
        if i < sides_a.len() && j >= sides_a.len() {
            nearest_mm = nearest_mm.min(side_distance_mm(sides_a[i], sides_b[j - sides_a.len()]));
        }
        (nearest_mm > 0.0).then_some(nearest_mm)
    });
    nearest_mm
}

fn between(p: Point, q: Point) -> f64 {
    hypot(q.x - p.x, q.y - p.y)
}

/// Returns the distance between two segments in mm.
pub(super) fn side_distance_mm(a: Line, b: Line) -> f64 {
    let (p, q) = nearest_points(a, b);
    between(p, q)
}

/// Returns the points of `a` and `b` that are nearest to each other.
pub(super) fn nearest_points(a: Line, b: Line) -> (Point, Point) {
    if let Some(p) = meeting_point(a, b) {
        return (p, p);
    }
    let candidates = [
        (a.p0, nearest_on(b, a.p0)),
        (a.p1, nearest_on(b, a.p1)),
        (nearest_on(a, b.p0), b.p0),
        (nearest_on(a, b.p1), b.p1),
    ];
    let length_sq = |pair: &(Point, Point)| (pair.1 - pair.0).hypot2();
    candidates
        .into_iter()
        .min_by(|s, t| length_sq(s).total_cmp(&length_sq(t)))
        .expect("there are four")
}

#[cfg(test)]
mod tests {
    use kurbo::{Affine, BezPath};

    use super::*;
    use crate::geometry::shape::{circle, rectangle};

    fn at(outline: &Outline, x_mm: f64, y_mm: f64) -> Outline {
        outline.transformed(Affine::translate((x_mm, y_mm)))
    }

    fn outline(text: &str) -> Outline {
        Outline::new(&BezPath::from_svg(text).unwrap(), 0.001).unwrap()
    }

    #[test]
    fn circles_are_apart_by_the_way_between_centres_less_both_radii() {
        // Centres 3-4-5 · 10 apart: 50 - 10 - 5.
        let a = circle(20.0).unwrap();
        let b = at(&circle(10.0).unwrap(), 10.0 + 30.0 - 5.0, 10.0 + 40.0 - 5.0);
        for tolerance in [0.1, 0.01, 0.001] {
            let found = distance_mm(&a, &b, tolerance);
            assert!((found - 35.0).abs() <= tolerance, "{found}");
            assert!((distance_mm(&b, &a, tolerance) - found).abs() < 1e-12);
        }
    }

    #[test]
    fn a_corner_and_a_slope_are_apart_at_right_angles() {
        // The line 3x + 4y = 120 is 120/5 = 24 from the origin, the corner (-1, -1) another 7/5 from there.
        let slope = outline("M40 0 L40 30 L0 30 Z");
        let card = at(&rectangle(10.0, 10.0).unwrap(), -11.0, -11.0);
        assert!((distance_mm(&slope, &card, 0.001) - 25.4).abs() < 1e-12);
    }

    #[test]
    fn overlapping_touching_and_enclosed_outlines_are_not_apart() {
        let card = rectangle(60.0, 40.0).unwrap();
        for other in [
            at(&card, 30.0, 20.0),
            at(&card, 60.0, 0.0),
            at(&rectangle(5.0, 5.0).unwrap(), 20.0, 20.0),
            card.clone(),
        ] {
            assert!(distance_mm(&card, &other, 0.001) <= 0.0);
            assert!(distance_mm(&other, &card, 0.001) <= 0.0);
        }
        // A plus of two bars: neither holds a corner of the other.
        let bar = at(&rectangle(20.0, 100.0).unwrap(), 20.0, -30.0);
        assert!(distance_mm(&card, &bar, 0.001) <= 0.0);
    }

    #[test]
    fn a_piece_in_a_hole_has_the_distance_to_its_edge() {
        let frame = outline("M0 0 H60 V40 H0 Z M10 10 H50 V30 H10 Z");
        let card = at(&rectangle(32.0, 10.0).unwrap(), 14.0, 13.0);
        assert!((distance_mm(&frame, &card, 0.001) - 3.0).abs() < 1e-12);
    }

    #[test]
    fn wavy_edges_of_thousands_of_sides_are_compared_quickly_and_right() {
        // Two saw blades face to face, teeth meeting tip to tip 2 mm apart.
        let saw = |tip: f64, back: f64| {
            let mut path = BezPath::new();
            path.move_to((0.0, back));
            for i in 0..2500 {
                let x = f64::from(i) * 0.2;
                path.line_to((x, tip));
                path.line_to((x + 0.1, tip + (back - tip) / 2.0));
            }
            path.line_to((500.0, back));
            path.close_path();
            Outline::new(&path, 0.001).unwrap()
        };
        assert!((distance_mm(&saw(0.0, -10.0), &saw(2.0, 12.0), 0.001) - 2.0).abs() < 1e-12);
    }
}
