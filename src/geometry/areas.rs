//! Plain areas: what two of them share, and what one leaves of the other.
//!
//! An area is a list of closed rings, the first corner not repeated; a point is inside if it is inside an odd number of them, so holes
//! need no direction.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::scale::FixedScaleFloatOverlay;
use kurbo::Point;

use super::polygon::{Polygon, STEPS_PER_MM, thickness_mm, to_polygon};

/// A closed ring in millimetres, the first corner not repeated.
pub type Ring = Vec<Point>;

/// Returns the parts that both areas cover, each as rings.
///
/// # Panics
///
/// Panics on areas that reach farther than a hundred kilometres.
#[must_use]
pub fn shared(a: &[Ring], b: &[Ring]) -> Vec<Vec<Ring>> {
    overlay(a, b, OverlayRule::Intersect)
}

/// Returns the parts of `a` that `b` does not cover, each as rings.
///
/// # Panics
///
/// Panics on areas that reach farther than a hundred kilometres.
#[must_use]
pub fn without(a: &[Ring], b: &[Ring]) -> Vec<Vec<Ring>> {
    overlay(a, b, OverlayRule::Difference)
}

/// Returns how thick an area is on average, in millimetres: twice its area over the length of its edge.
#[must_use]
pub fn thickness_of(rings: &[Ring]) -> f64 {
    thickness_mm(&polygons(rings))
}

/// Returns the size of the area inside one ring in square millimetres.
#[must_use]
pub fn ring_area_mm2(ring: &[Point]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    let twice: f64 = ring
        .iter()
        .zip(next)
        .map(|(p, q)| p.x * q.y - q.x * p.y)
        .sum();
    twice.abs() / 2.0
}

/// Returns whether the point is inside an odd number of the rings.
///
/// ```
/// use kurbo::Point;
/// use sheetwright::geometry::areas::covers;
///
/// let square = |from: f64, to: f64| vec![(from, from), (to, from), (to, to), (from, to)].into_iter().map(Point::from).collect::<Vec<_>>();
/// let frame = [square(0.0, 30.0), square(10.0, 20.0)];
/// assert!(covers(&frame, Point::new(5.0, 15.0)) && !covers(&frame, Point::new(15.0, 15.0)));
/// ```
#[must_use]
pub fn covers(rings: &[Ring], point: Point) -> bool {
    let crossings = |ring: &Ring| {
        let next = ring.iter().cycle().skip(1);
        let sides = ring.iter().zip(next);
        sides
            .filter(|(p, q)| {
                (p.y > point.y) != (q.y > point.y)
                    && point.x < p.x + (point.y - p.y) / (q.y - p.y) * (q.x - p.x)
            })
            .count()
    };
    rings.iter().map(crossings).sum::<usize>() % 2 == 1
}

fn polygons(rings: &[Ring]) -> Vec<Polygon> {
    rings.iter().map(|ring| to_polygon(ring)).collect()
}

fn overlay(a: &[Ring], b: &[Ring], rule: OverlayRule) -> Vec<Vec<Ring>> {
    let shapes = polygons(a)
        .overlay_with_fixed_scale_as::<i64>(&polygons(b), rule, FillRule::EvenOdd, STEPS_PER_MM)
        .expect("areas lie within a hundred metres");
    let ring = |polygon: &Polygon| polygon.iter().map(|[x, y]| Point::new(*x, *y)).collect();
    shapes
        .iter()
        .map(|shape| shape.iter().map(ring).collect())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(x0: f64, y0: f64, x1: f64, y1: f64) -> Ring {
        [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
            .map(Point::from)
            .to_vec()
    }

    fn area_mm2(parts: &[Vec<Ring>]) -> f64 {
        let part = |rings: &Vec<Ring>| {
            let holes: f64 = rings[1..].iter().map(|r| ring_area_mm2(r)).sum();
            ring_area_mm2(&rings[0]) - holes
        };
        parts.iter().map(part).sum()
    }

    #[test]
    fn what_two_areas_share_and_what_one_leaves_make_the_other() {
        // 60 x 40 with a hole of 20 x 10 from (10, 10); the other covers all right of x = 20, half of the hole with it.
        let frame = [
            rectangle(0.0, 0.0, 60.0, 40.0),
            rectangle(10.0, 10.0, 30.0, 20.0),
        ];
        let half = [rectangle(20.0, -5.0, 80.0, 45.0)];
        // Right of x = 20: 40 * 40 less 10 * 10 of the hole; left of it: 20 * 40 less 10 * 10.
        assert!((area_mm2(&shared(&frame, &half)) - 1500.0).abs() < 1e-6);
        assert!((area_mm2(&without(&frame, &half)) - 700.0).abs() < 1e-6);
        assert_eq!(
            shared(&frame, &[rectangle(60.0, 0.0, 90.0, 40.0)]),
            Vec::<Vec<Ring>>::new()
        );
    }

    #[test]
    fn a_sliver_is_as_thick_as_it_is_wide() {
        // 2 · 300 · 0.01 / 600.02.
        let sliver = [rectangle(0.0, 0.0, 300.0, 0.01)];
        assert!((thickness_of(&sliver) - 6.0 / 600.02).abs() < 1e-12);
    }
}
