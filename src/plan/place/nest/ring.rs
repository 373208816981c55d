//! Closed rings of corners in nanometres, paper to the left of every side.
//!
//! Left is meant in the sense of the cross product: with y down, an outer ring runs clockwise as seen and a hole the other way.

use super::super::Shape;

/// A corner, x and y in nanometres.
pub(super) type Point = [f64; 2];

/// Twice the area of the triangle from `a` over `b` to `c`; above 0 if the way turns left.
pub(super) fn turn(a: Point, b: Point, c: Point) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// The distance from `a` to `b`.
pub(super) fn length_nm(a: Point, b: Point) -> f64 {
    let (x, y) = (b[0] - a[0], b[1] - a[1]);
    (x * x + y * y).sqrt()
}

/// The distance of `p` from the segment from `a` to `b`.
pub(super) fn distance_nm(p: Point, a: Point, b: Point) -> f64 {
    let (x, y) = (b[0] - a[0], b[1] - a[1]);
    let along = (p[0] - a[0]) * x + (p[1] - a[1]) * y;
    let share = (along / (x * x + y * y).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
    length_nm(p, [a[0] + share * x, a[1] + share * y])
}

/// The area within, above 0 for an outer ring and below for a hole.
pub(super) fn area_nm2(ring: &[Point]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    ring.iter()
        .zip(next)
        .map(|(a, b)| a[0] * b[1] - a[1] * b[0])
        .sum::<f64>()
        / 2.0
}

/// Whether the inner parts of two segments cross.
pub(super) fn cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    let (from, to) = (turn(a, b, c), turn(a, b, d));
    let (start, end) = (turn(c, d, a), turn(c, d, b));
    from * to < 0.0 && start * end < 0.0
}

/// Whether `p` lies in the triangle, its sides included; the triangle turns left.
pub(super) fn is_in_triangle(p: Point, [a, b, c]: [Point; 3]) -> bool {
    turn(a, b, p) >= 0.0 && turn(b, c, p) >= 0.0 && turn(c, a, p) >= 0.0
}

/// Returns the convex hull, turning left.
pub(super) fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|a, b| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])));
    let mut hull: Vec<Point> = Vec::new();
    for pass in 0..2 {
        let start = hull.len();
        for p in &sorted {
            while hull.len() >= start + 2
                && turn(hull[hull.len() - 2], hull[hull.len() - 1], *p) <= 0.0
            {
                hull.pop();
            }
            hull.push(*p);
        }
        hull.pop();
        if pass == 0 {
            sorted.reverse();
        }
    }
    hull
}

/// Returns the rings of a shape, the outer one first.
pub(super) fn rings(shape: &Shape) -> Vec<Vec<Point>> {
    let mut rings = vec![oriented(&shape.outer, true)];
    rings.extend(shape.holes.iter().map(|hole| oriented(hole, false)));
    rings
}

#[expect(
    clippy::cast_precision_loss,
    reason = "sheets end metres from the origin, far below 2^53 nm"
)]
fn oriented(corners: &[[i64; 2]], is_outer: bool) -> Vec<Point> {
    let mut ring: Vec<Point> = corners
        .iter()
        .map(|[x, y]| [*x as f64, *y as f64])
        .collect();
    if (area_nm2(&ring) > 0.0) != is_outer {
        ring.reverse();
    }
    ring
}

/// Returns the ring of an upright rectangle, paper inside.
pub(super) fn rectangle(left: f64, top: f64, right: f64, bottom: f64) -> Vec<Point> {
    vec![[left, top], [right, top], [right, bottom], [left, bottom]]
}
