//! Outlines as the polygons that `i_overlay` works on, and back.

use kurbo::{BezPath, Line, PathSeg, Point};

use super::Outline;
use super::crossing::lies_on;
use super::ring::{closed_rings, signed_area_mm2};
use crate::math::{COINCIDENT_MM, hypot, round_to};

/// A closed polygon in mm, the first corner not repeated.
pub(super) type Polygon = Vec<[f64; 2]>;

/// Steps in a millimetre of the whole numbers `i_overlay` calculates with: picometres.
///
/// A thousand times finer than the nanometre that results are rounded to, and it leaves room for a thousand kilometres.
pub(super) const STEPS_PER_MM: f64 = 1e9;

/// Nanometres in a millimetre.
const NM_PER_MM: u32 = 1_000_000;

/// Returns the rings flattened, the outer one first.
pub(super) fn to_polygons(outline: &Outline, tolerance_mm: f64) -> Vec<Polygon> {
    outline
        .flattened(tolerance_mm)
        .iter()
        .map(|ring| to_polygon(ring))
        .collect()
}

/// Returns the corners as plain pairs.
pub(super) fn to_polygon(corners: &[Point]) -> Polygon {
    corners.iter().map(|p| [p.x, p.y]).collect()
}

/// Returns the outline of polygons that `i_overlay` made, with corners on whole nanometres; `None` if nothing is left.
///
/// The polygons cross nowhere, but two of them, or two corners of one, may share a point.
pub(super) fn from_polygons(polygons: &[Polygon]) -> Option<Outline> {
    let (outer, holes) = polygons.split_first()?;
    let holes: Vec<_> = holes
        .iter()
        .filter_map(|polygon| to_ring(polygon))
        .collect();
    Some(Outline::from_rings(&to_ring(outer)?, &holes))
}

fn to_ring(polygon: &[[f64; 2]]) -> Option<Vec<PathSeg>> {
    let corners = straightened(polygon);
    if corners.len() < 3 {
        return None;
    }
    let ring = closed_rings(&rounded_path(&corners), COINCIDENT_MM)
        .ok()?
        .pop()?;
    (signed_area_mm2(ring.iter().copied()).abs() > COINCIDENT_MM).then_some(ring)
}

fn rounded_path(corners: &[Point]) -> BezPath {
    let rounded = |p: Point| Point::new(round_to(p.x, NM_PER_MM), round_to(p.y, NM_PER_MM));
    let mut path = BezPath::new();
    path.move_to(rounded(corners[0]));
    for corner in &corners[1..] {
        path.line_to(rounded(*corner));
    }
    path.close_path();
    path
}

/// Drops corners that add nothing, until none is left: those on the way from one neighbour to the other, and the tips of
/// spikes that run out and back on one line. Joins leave both, a few picometres wide.
fn straightened(polygon: &[[f64; 2]]) -> Vec<Point> {
    let mut corners: Vec<Point> = polygon.iter().map(|[x, y]| Point::new(*x, *y)).collect();
    loop {
        let n = corners.len();
        let mut kept: Vec<Point> = Vec::with_capacity(n);
        for (i, corner) in corners.iter().enumerate() {
            let before = *kept.last().unwrap_or(&corners[n - 1]);
            if !is_idle(before, *corner, corners[(i + 1) % n]) {
                kept.push(*corner);
            }
        }
        if kept.len() == n {
            return kept;
        }
        corners = kept;
    }
}

/// Whether the three lie on one line, in whatever order.
fn is_idle(before: Point, corner: Point, after: Point) -> bool {
    lies_on(corner, Line::new(before, after))
        || lies_on(after, Line::new(before, corner))
        || lies_on(before, Line::new(corner, after))
}

/// Returns how thick a shape is on average, in mm: twice its area over the length of its edge.
///
/// That is the width of a long sliver, half the side of a square, and a third of the height of an equal-sided triangle.
pub(super) fn thickness_mm(polygons: &[Polygon]) -> f64 {
    let (mut area_mm2, mut edge_mm) = (0.0, 0.0);
    for polygon in polygons {
        let next = polygon.iter().cycle().skip(1);
        for ([x0, y0], [x1, y1]) in polygon.iter().zip(next) {
            area_mm2 += (x0 * y1 - x1 * y0) / 2.0;
            edge_mm += hypot(x1 - x0, y1 - y0);
        }
    }
    if edge_mm > 0.0 {
        2.0 * f64::abs(area_mm2) / edge_mm
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_that_add_nothing_are_dropped() {
        // A spike of 3 mm a picometre wide on the top side, two corners on the way, and the closing corner on the way too.
        let polygon = [
            [2.0, 0.0],
            [5.0, 0.0],
            [5.0, -3.0],
            [5.0 + 1e-9, 0.0],
            [10.0, 0.0],
            [10.0, 4.0 + 1e-10],
            [10.0, 10.0],
            [0.0, 10.0],
            [0.0, 0.0],
        ];
        let square = [(10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)].map(Point::from);
        assert_eq!(straightened(&polygon), square);
        assert_eq!(straightened(&[[0.0, 0.0], [5.0, 0.0], [9.0, 0.0]]), []);
    }

    #[test]
    fn thickness_of_plain_shapes() {
        let rectangle = |w: f64, h: f64| vec![vec![[0.0, 0.0], [w, 0.0], [w, h], [0.0, h]]];
        // 2 · 300 · 0.01 / 600.02.
        assert!((thickness_mm(&rectangle(300.0, 0.01)) - 6.0 / 600.02).abs() < 1e-12);
        assert!((thickness_mm(&rectangle(8.0, 8.0)) - 4.0).abs() < 1e-12);
        // 3-4-5: 2 · 6 / 12.
        assert!((thickness_mm(&[vec![[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]]]) - 1.0).abs() < 1e-12);
        assert!(thickness_mm(&[]).abs() < 1e-300);
    }
}
