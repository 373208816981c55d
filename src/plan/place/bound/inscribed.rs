//! A large disc and a large upright rectangle inside a shape.
//!
//! A bound needs no more than that they do lie inside; how large they are decides how good it is. Both leave [`SAFETY_NM`] to the
//! outline, far more than `f64` rounds. Cost: the sides of the shape times a few hundred.

use super::super::Shape;

/// What is left to the outline for rounding.
const SAFETY_NM: f64 = 2.0;

/// Lines across a shape between which rectangles are looked for.
const LINES: usize = 24;

/// Points along a side of the square within which the centre of the disc is looked for.
const POINTS: u32 = 16;

/// How often it is looked for again, around the best point, on a square an eighth as large.
const ROUNDS: u32 = 5;

type Point = [f64; 2];

/// Returns the diameter of a large disc inside `shape`.
pub(super) fn disc_nm(shape: &Shape) -> f64 {
    let sides = sides(shape);
    let (low, high) = box_of(shape);
    let mut centre = [0, 1].map(|axis| f64::midpoint(low[axis], high[axis]));
    let mut reach = [0, 1].map(|axis| (high[axis] - low[axis]) / 2.0);
    let mut best_nm = 0.0;
    for _ in 0..ROUNDS {
        let around = centre;
        for step in 0..POINTS * POINTS {
            let at = |axis: usize, step: u32| {
                around[axis] + reach[axis] * (f64::from(2 * step + 1) / f64::from(POINTS) - 1.0)
            };
            let point = [at(0, step % POINTS), at(1, step / POINTS)];
            let radius_nm = distance_nm(&sides, point) - SAFETY_NM;
            if radius_nm > best_nm && is_inside(&sides, point) {
                (best_nm, centre) = (radius_nm, point);
            }
        }
        reach = reach.map(|r| r / 8.0);
    }
    2.0 * best_nm
}

/// Returns the square that lies in a disc however it is turned.
pub(super) fn square_in_disc(disc_nm: f64) -> (i64, i64) {
    let side_nm = whole_below(disc_nm * std::f64::consts::FRAC_1_SQRT_2 - SAFETY_NM);
    (side_nm, side_nm)
}

/// Returns width and height of a large upright rectangle inside `shape`.
///
/// Between any two of a few lines across, every side of the shape blocks a span; what lies between two blocked spans is either
/// wholly inside or wholly outside.
pub(super) fn rectangle(shape: &Shape) -> (i64, i64) {
    let sides = sides(shape);
    let lines = lines(shape);
    let mut best = (0, 0);
    for (i, left) in lines.iter().enumerate() {
        for right in &lines[i + 1..] {
            let (from, to) = (left + SAFETY_NM, right - SAFETY_NM);
            for (top, bottom) in gaps(&sides, from, to) {
                let size = (whole_below(to - from), whole_below(bottom - top));
                let middle = [f64::midpoint(from, to), f64::midpoint(top, bottom)];
                let is_larger = size.0 as f64 * size.1 as f64 > best.0 as f64 * best.1 as f64;
                if is_larger && is_inside(&sides, middle) {
                    best = size;
                }
            }
        }
    }
    best
}

/// Returns the spans from top to bottom that no side enters between two lines across.
fn gaps(sides: &[[Point; 2]], from: f64, to: f64) -> Vec<(f64, f64)> {
    let blocked = sides
        .iter()
        .filter_map(|side| span_between(*side, from, to));
    let mut blocked: Vec<(f64, f64)> = blocked.collect();
    blocked.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut gaps = Vec::new();
    let mut reached = f64::INFINITY;
    for (top, bottom) in blocked {
        let gap = (reached + SAFETY_NM, top - SAFETY_NM);
        if gap.0 < gap.1 {
            gaps.push(gap);
        }
        reached = if reached.is_finite() {
            reached.max(bottom)
        } else {
            bottom
        };
    }
    gaps
}

/// Returns from where to where a side runs, down, between two lines across.
fn span_between([a, b]: [Point; 2], from: f64, to: f64) -> Option<(f64, f64)> {
    let (left, right) = if a[0] <= b[0] { (a, b) } else { (b, a) };
    if right[0] <= from || to <= left[0] {
        return None;
    }
    let down_at = |x: f64| {
        let share = (x - left[0]) / (right[0] - left[0]);
        left[1] + share * (right[1] - left[1])
    };
    let is_upright = right[0] - left[0] < SAFETY_NM;
    let (p, q) = if is_upright {
        (left[1], right[1])
    } else {
        (down_at(left[0].max(from)), down_at(right[0].min(to)))
    };
    Some((p.min(q), p.max(q)))
}

/// Returns some of the lines across on which a corner lies.
fn lines(shape: &Shape) -> Vec<f64> {
    let corners = rings(shape).flatten();
    let mut lines: Vec<i64> = corners.map(|corner| corner[0]).collect();
    lines.sort_unstable();
    lines.dedup();
    let last = lines.len() - 1;
    let count = lines.len().min(LINES);
    let chosen = (0..count).map(|i| lines[i * last / (count - 1).max(1)] as f64);
    chosen.collect()
}

fn rings(shape: &Shape) -> impl Iterator<Item = &Vec<[i64; 2]>> {
    std::iter::once(&shape.outer).chain(&shape.holes)
}

fn sides(shape: &Shape) -> Vec<[Point; 2]> {
    let point = |corner: &[i64; 2]| corner.map(|c| c as f64);
    let of_ring = |ring: &Vec<[i64; 2]>| -> Vec<[Point; 2]> {
        let next = ring.iter().cycle().skip(1);
        let sides = ring.iter().zip(next).map(|(a, b)| [point(a), point(b)]);
        sides.collect()
    };
    rings(shape).flat_map(of_ring).collect()
}

fn box_of(shape: &Shape) -> (Point, Point) {
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    for corner in &shape.outer {
        for axis in 0..2 {
            low[axis] = low[axis].min(corner[axis] as f64);
            high[axis] = high[axis].max(corner[axis] as f64);
        }
    }
    (low, high)
}

/// Whether a ray from the point crosses the sides an odd number of times.
fn is_inside(sides: &[[Point; 2]], point: Point) -> bool {
    let crosses = |[a, b]: &&[Point; 2]| {
        let is_beside = (a[1] > point[1]) != (b[1] > point[1]);
        is_beside && point[0] < a[0] + (point[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0])
    };
    sides.iter().filter(crosses).count() % 2 == 1
}

/// Returns the distance to the nearest side.
fn distance_nm(sides: &[[Point; 2]], point: Point) -> f64 {
    let squared = sides.iter().map(|[a, b]| {
        let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
        let along = ((point[0] - a[0]) * dx + (point[1] - a[1]) * dy) / (dx * dx + dy * dy);
        let along = along.clamp(0.0, 1.0);
        let (x, y) = (point[0] - a[0] - along * dx, point[1] - a[1] - along * dy);
        x * x + y * y
    });
    squared.fold(f64::INFINITY, f64::min).sqrt()
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "shapes end 100 m from the origin, far within the range"
)]
fn whole_below(nm: f64) -> i64 {
    nm.max(0.0).floor() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    const MM_NM: i64 = 1_000_000;

    fn shape(outer: &[[i64; 2]], holes: &[&[[i64; 2]]]) -> Shape {
        let in_nm = |ring: &[[i64; 2]]| ring.iter().map(|c| c.map(|mm| mm * MM_NM)).collect();
        Shape {
            outer: in_nm(outer),
            holes: holes.iter().map(|ring| in_nm(ring)).collect(),
        }
    }

    fn is_about(nm: f64, mm: f64) -> bool {
        (nm / MM_NM as f64 - mm).abs() < 1e-3 * mm && nm <= mm * MM_NM as f64
    }

    #[test]
    fn the_disc_in_a_3_4_5_triangle_has_diameter_2() {
        // Area 6 over half the perimeter of 12: radius 1.
        let triangle = shape(&[[0, 0], [40, 0], [0, 30]], &[]);
        assert!(is_about(disc_nm(&triangle), 20.0), "{}", disc_nm(&triangle));
    }

    #[test]
    fn the_disc_in_a_frame_lies_beside_its_hole() {
        let frame = shape(
            &[[0, 0], [60, 0], [60, 60], [0, 60]],
            &[&[[10, 10], [50, 10], [50, 50], [10, 50]]],
        );
        // Between the corners at (0, 0) and (10, 10) it touches both sides and the hole's corner: r (1 + 1/√2) √2 = 10 √2.
        let diameter_mm = 20.0 / (1.0 + std::f64::consts::FRAC_1_SQRT_2);
        assert!(
            is_about(disc_nm(&frame), diameter_mm),
            "{}",
            disc_nm(&frame)
        );
        // The largest rectangle is one of its bars.
        let (w, h) = rectangle(&frame);
        assert!(is_about(w.min(h) as f64, 10.0) && is_about(w.max(h) as f64, 60.0));
    }

    #[test]
    fn the_rectangle_in_a_cross_is_its_longer_bar_or_its_middle() {
        // Bars of 20 x 90 and 60 x 30: 1800 each; the longer one has 2000 when it is 100 long.
        let cross = shape(
            &[
                [20, 0],
                [40, 0],
                [40, 30],
                [60, 30],
                [60, 60],
                [40, 60],
                [40, 100],
                [20, 100],
                [20, 60],
                [0, 60],
                [0, 30],
                [20, 30],
            ],
            &[],
        );
        let (w, h) = rectangle(&cross);
        assert!(is_about(w as f64, 20.0) && is_about(h as f64, 100.0));
    }

    #[test]
    fn the_rectangle_in_a_triangle_does_not_leave_it() {
        // Half as wide and half as high would be the largest; only lines through corners are tried, and there are none but the ends.
        let triangle = shape(&[[0, 0], [40, 0], [0, 30]], &[]);
        let (w, h) = rectangle(&triangle);
        assert!(w as f64 / 40.0 + h as f64 / 30.0 <= MM_NM as f64);
        // With corners on the long side there are lines in between.
        let cut = shape(&[[0, 0], [40, 0], [30, 10], [10, 20], [0, 30]], &[]);
        let (w, h) = rectangle(&cut);
        assert!(
            is_about(w as f64 * h as f64 / MM_NM as f64, 300.0),
            "{w} {h}"
        );
    }
}
