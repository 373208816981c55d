//! Polygons with holes as a few convex cells.
//!
//! Holes are joined to the outer ring by slits, the ring is cut into triangles ear by ear, and triangles are put together again
//! across every diagonal where the result stays convex (S. Hertel and K. Mehlhorn, "Fast triangulation of the plane with respect to
//! simple polygons", 1985): at most four times as many cells as the fewest possible. Several orders are tried.

use super::ring::{Point, area_nm2, hull, is_in_triangle, length_nm, turn};

/// Returns convex cells, each turning left, that together cover what the rings enclose; the outer ring stands first.
///
/// Rings that touch themselves can be beyond this; then one cell, the convex hull, covers more than asked.
pub(super) fn convex_cells(rings: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let ring = joined(rings);
    let area: f64 = area_nm2(&ring);
    let Some(triangles) = triangles(&ring) else {
        return vec![hull(&rings[0])];
    };
    let ways = [Order::LongFirst, Order::ShortFirst, Order::Given];
    let best = ways
        .into_iter()
        .map(|order| merged(&ring, &triangles, order))
        .min_by_key(Vec::len)
        .expect("there are three ways");
    let covered: f64 = best.iter().map(|cell| area_nm2(cell)).sum();
    if (covered - area).abs() > area.abs() * 1e-6 {
        return vec![hull(&rings[0])];
    }
    best
}

/// The rings as one, holes hanging on slits.
fn joined(rings: &[Vec<Point>]) -> Vec<Point> {
    let mut ring = rings[0].clone();
    let mut holes: Vec<&Vec<Point>> = rings[1..].iter().collect();
    let right = |hole: &Vec<Point>| hole.iter().map(|p| p[0]).fold(f64::MIN, f64::max);
    holes.sort_by(|a, b| right(b).total_cmp(&right(a)));
    for (done, hole) in holes.iter().enumerate() {
        let Some((from, to)) = slit(&ring, hole, &holes[done + 1..]) else {
            continue;
        };
        let around = (0..=hole.len()).map(|k| hole[(to + k) % hole.len()]);
        let tail = ring.split_off(from);
        let back = tail[0];
        ring.push(back);
        ring.extend(around);
        ring.extend(tail);
    }
    ring
}

/// The shortest slit between a corner of the ring and one of the hole that meets nothing on its way.
fn slit(ring: &[Point], hole: &[Point], others: &[&Vec<Point>]) -> Option<(usize, usize)> {
    let mut ways: Vec<(f64, usize, usize)> = Vec::new();
    for (i, a) in ring.iter().enumerate() {
        ways.extend(
            hole.iter()
                .enumerate()
                .map(|(k, b)| (length_nm(*a, *b), i, k)),
        );
    }
    ways.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let is_free = |ring: &[Point], a: Point, b: Point| {
        (0..ring.len()).all(|k| !touches(a, b, ring[k], ring[(k + 1) % ring.len()]))
    };
    ways.into_iter()
        .find(|(_, i, k)| {
            let (a, b) = (ring[*i], hole[*k]);
            is_free(ring, a, b)
                && is_free(hole, a, b)
                && others.iter().all(|o| is_free(o, a, b))
                && leaves_inwards(ring, *i, b)
        })
        .map(|(_, i, k)| (i, k))
}

/// Whether the way from corner `i` to `b` starts on the side of the paper. Slits make two corners of one point, and only one of
/// them sees `b`.
fn leaves_inwards(ring: &[Point], i: usize, b: Point) -> bool {
    let n = ring.len();
    let (before, at, after) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
    if turn(before, at, after) >= 0.0 {
        turn(before, at, b) > 0.0 && turn(at, after, b) > 0.0
    } else {
        turn(before, at, b) > 0.0 || turn(at, after, b) > 0.0
    }
}

/// Whether the segments meet other than at a common end.
fn touches(a: Point, b: Point, c: Point, d: Point) -> bool {
    let same = |p: Point, q: Point| length_nm(p, q) < 0.5;
    if same(a, c) || same(a, d) || same(b, c) || same(b, d) {
        return false;
    }
    let (from, to) = (turn(a, b, c), turn(a, b, d));
    let (start, end) = (turn(c, d, a), turn(c, d, b));
    from * to <= 0.0 && start * end <= 0.0
}

/// The ring cut into triangles of its corners; `None` if it crosses itself.
fn triangles(ring: &[Point]) -> Option<Vec<[usize; 3]>> {
    let mut left: Vec<usize> = (0..ring.len()).collect();
    let mut triangles = Vec::new();
    while left.len() > 3 {
        let n = left.len();
        let around = |k: usize| [left[(k + n - 1) % n], left[k], left[(k + 1) % n]];
        let mut ears: Vec<(f64, usize)> = (0..n)
            .filter(|k| {
                let [a, b, c] = around(*k).map(|i| ring[i]);
                turn(a, b, c) > 0.0
            })
            .map(|k| {
                let [a, _, c] = around(k).map(|i| ring[i]);
                (length_nm(a, c), k)
            })
            .collect();
        ears.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        if let Some((_, k)) = ears.iter().find(|(_, k)| is_ear(ring, &left, around(*k))) {
            triangles.push(around(*k));
            left.remove(*k);
        } else {
            let straight = (0..n).find(|k| {
                let [a, b, c] = around(*k).map(|i| ring[i]);
                turn(a, b, c).abs() <= length_nm(a, c).max(1.0)
            })?;
            left.remove(straight);
        }
    }
    triangles.push([left[0], left[1], left[2]]);
    Some(triangles)
}

fn is_ear(ring: &[Point], left: &[usize], ear: [usize; 3]) -> bool {
    let corners = ear.map(|i| ring[i]);
    left.iter().filter(|i| !ear.contains(i)).all(|i| {
        let p = ring[*i];
        corners.iter().any(|c| length_nm(*c, p) < 0.5) || !is_in_triangle(p, corners)
    })
}

/// In which order diagonals are taken away.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Order {
    LongFirst,
    ShortFirst,
    Given,
}

fn merged(ring: &[Point], triangles: &[[usize; 3]], order: Order) -> Vec<Vec<Point>> {
    let mut cells: Vec<Vec<Point>> = triangles
        .iter()
        .map(|t| t.map(|i| ring[i]).to_vec())
        .filter(|cell| area_nm2(cell) > 0.0)
        .collect();
    let mut diagonals: Vec<(Point, Point)> = cells
        .iter()
        .flat_map(|cell| (0..cell.len()).map(|k| (cell[k], cell[(k + 1) % cell.len()])))
        .filter(|(a, b)| a[0] < b[0] || (a[0] <= b[0] && a[1] < b[1]))
        .collect();
    let length = |(a, b): &(Point, Point)| length_nm(*a, *b);
    match order {
        Order::LongFirst => diagonals.sort_by(|a, b| length(b).total_cmp(&length(a))),
        Order::ShortFirst => diagonals.sort_by(|a, b| length(a).total_cmp(&length(b))),
        Order::Given => {}
    }
    for (a, b) in diagonals {
        merge_across(&mut cells, a, b);
    }
    cells.iter_mut().for_each(drop_straight);
    cells
}

fn merge_across(cells: &mut Vec<Vec<Point>>, a: Point, b: Point) {
    let side = |cell: &Vec<Point>, from: Point, to: Point| {
        (0..cell.len()).find(|k| {
            length_nm(cell[*k], from) < 0.5 && length_nm(cell[(k + 1) % cell.len()], to) < 0.5
        })
    };
    let find = |from, to| {
        cells
            .iter()
            .enumerate()
            .find_map(|(i, cell)| side(cell, from, to).map(|k| (i, k)))
    };
    let (Some((i, at)), Some((j, back))) = (find(a, b), find(b, a)) else {
        return;
    };
    if i == j {
        return;
    }
    let (first, second) = (&cells[i], &cells[j]);
    let mut whole: Vec<Point> = (1..=first.len())
        .map(|k| first[(at + k) % first.len()])
        .collect();
    whole.extend((2..second.len()).map(|k| second[(back + k) % second.len()]));
    if is_convex(&whole) {
        cells[i] = whole;
        cells.remove(j);
    }
}

fn is_convex(ring: &[Point]) -> bool {
    let n = ring.len();
    (0..n).all(|k| turn(ring[k], ring[(k + 1) % n], ring[(k + 2) % n]) >= 0.0)
}

fn drop_straight(ring: &mut Vec<Point>) {
    let mut k = 0;
    while k < ring.len() && ring.len() > 3 {
        let n = ring.len();
        let (a, b, c) = (ring[(k + n - 1) % n], ring[k], ring[(k + 1) % n]);
        if turn(a, b, c) <= length_nm(a, c) * 1e-3 {
            ring.remove(k);
        } else {
            k += 1;
        }
    }
}
