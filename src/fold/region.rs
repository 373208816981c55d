//! Flat regions bounded by rings of corners.

use kurbo::{Line, Point};

use super::arrangement::length_mm;
use crate::geometry::areas::{Ring, thickness_of};

/// Most gaps between corners that are looked into for a point inside.
const MOST_GAPS: usize = 64;

/// Returns the area inside a ring, positive if it runs from x towards y.
pub(super) fn signed_area_mm2(ring: &[Point]) -> f64 {
    sides(ring)
        .map(|l| l.p0.to_vec2().cross(l.p1.to_vec2()))
        .sum::<f64>()
        / 2.0
}

/// Returns the sides of a ring, the closing one last.
pub(super) fn sides(ring: &[Point]) -> impl Iterator<Item = Line> + '_ {
    let next = ring.iter().cycle().skip(1);
    ring.iter().zip(next).map(|(a, b)| Line::new(*a, *b))
}

/// Returns whether a ring goes round a point.
pub(super) fn contains(ring: &[Point], point: Point) -> bool {
    crossings(ring, point.y).filter(|x| *x < point.x).count() % 2 == 1
}

/// Returns whether a point lies in a region: within its outer ring and in none of its holes.
pub(super) fn holds(rings: &[Vec<Point>], point: Point) -> bool {
    rings.iter().filter(|ring| contains(ring, point)).count() % 2 == 1
}

/// Where the ring crosses a level, as x.
fn crossings(ring: &[Point], y_mm: f64) -> impl Iterator<Item = f64> + '_ {
    sides(ring).filter_map(move |l| {
        let is_crossing = (l.p0.y > y_mm) != (l.p1.y > y_mm);
        is_crossing.then(|| l.p0.x + (l.p1.x - l.p0.x) * ((y_mm - l.p0.y) / (l.p1.y - l.p0.y)))
    })
}

/// Returns a point well inside a region; `None` if it has no area.
pub(super) fn inside_point(rings: &[Vec<Point>]) -> Option<Point> {
    let mut levels: Vec<f64> = rings.iter().flatten().map(|p| p.y).collect();
    levels.sort_by(f64::total_cmp);
    let mut gaps: Vec<(f64, f64)> = levels
        .windows(2)
        .map(|w| (w[1] - w[0], w[0].midpoint(w[1])))
        .collect();
    gaps.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut best: Option<(f64, Point)> = None;
    for (height, y) in gaps.into_iter().take(MOST_GAPS).filter(|gap| gap.0 > 0.0) {
        let mut xs: Vec<f64> = rings.iter().flat_map(|ring| crossings(ring, y)).collect();
        xs.sort_by(f64::total_cmp);
        for pair in xs.chunks_exact(2) {
            let room = (pair[1] - pair[0]).min(height);
            if best.is_none_or(|(most, _)| room > most) {
                best = Some((room, Point::new(pair[0].midpoint(pair[1]), y)));
            }
        }
    }
    best.filter(|(room, _)| *room > 0.0).map(|(_, point)| point)
}

/// Returns the distance of a point from the nearest side of a region, and that side.
pub(super) fn nearest_side(rings: &[Vec<Point>], point: Point) -> Option<(f64, Line)> {
    let all = rings.iter().flat_map(|ring| sides(ring));
    let by_distance = all.map(|side| (length_mm(Line::new(nearest_on(side, point), point)), side));
    by_distance.min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Returns how far a point lies outside a region; 0 inside it.
pub(super) fn outside_mm(rings: &[Vec<Point>], point: Point) -> f64 {
    if holds(rings, point) {
        return 0.0;
    }
    nearest_side(rings, point).map_or(f64::INFINITY, |(distance, _)| distance)
}

/// Returns how deep parts of an area reach outside another one, as `outside_mm` measures it at a point; a part that fills a hole of the
/// other one is as deep as it is thick.
pub(super) fn depth_mm(parts: &[Vec<Ring>], outside_mm: impl Fn(Point) -> f64) -> f64 {
    let corners = parts.iter().flatten().flatten();
    let deepest = corners.map(|p| outside_mm(*p)).fold(0.0, f64::max);
    let thickest = parts.iter().map(|part| thickness_of(part));
    thickest.fold(deepest, f64::max)
}

/// Returns the point of a line that is nearest to another point.
pub(super) fn nearest_on(line: Line, point: Point) -> Point {
    let way = line.p1 - line.p0;
    let length_sq = way.hypot2();
    if length_sq > 0.0 {
        line.p0 + way * ((point - line.p0).dot(way) / length_sq).clamp(0.0, 1.0)
    } else {
        line.p0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(corners: &[(f64, f64)]) -> Vec<Point> {
        corners.iter().copied().map(Point::from).collect()
    }

    #[test]
    fn a_point_inside_a_frame_is_not_in_its_hole() {
        let frame = [
            ring(&[(0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0)]),
            ring(&[(5.0, 5.0), (5.0, 35.0), (50.0, 35.0), (50.0, 5.0)]),
        ];
        let found = inside_point(&frame).unwrap();
        assert!(holds(&frame, found), "{found:?}");
        // The bar at the right is 10 mm wide.
        assert_eq!(found, Point::new(55.0, 20.0));
        assert!(!holds(&frame, Point::new(20.0, 20.0)));
        assert!((outside_mm(&frame, Point::new(8.0, 20.0)) - 3.0).abs() < 1e-12);
        assert!((outside_mm(&frame, Point::new(63.0, 44.0)) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn area_is_signed_by_direction() {
        let triangle = ring(&[(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]);
        assert!((signed_area_mm2(&triangle) - 6.0).abs() < 1e-12);
        assert!(inside_point(&[ring(&[(0.0, 0.0), (9.0, 0.0)])]).is_none());
    }
}
