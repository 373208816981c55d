//! An offcut's edge as obstacles, for engines that know boxes alone.
//!
//! What lies beside the outline is covered by upright boxes, in bands between its corners. Where an edge slants the bands are narrow,
//! and each box reaches to the farthest point of the edge in its band: what is left is inside, but for a thin staircase.

use super::super::{Area, Request, Shape, SheetKind};

/// Greatest height of a band along a slanting edge.
const BAND_NM: i64 = 2_000_000;

/// Returns the same request with every outline of a sheet turned into obstacles.
pub(super) fn as_obstacles(request: &Request) -> Request {
    Request {
        sheets: request.sheets.iter().map(sheet_as_obstacles).collect(),
        ..request.clone()
    }
}

/// Returns the same sheet with its outline turned into obstacles.
pub(super) fn sheet_as_obstacles(sheet: &SheetKind) -> SheetKind {
    let mut plain = sheet.clone();
    if let Some(outline) = plain.outline.take() {
        plain.obstacles.extend(beside(&outline, sheet.area));
    }
    plain
}

/// Boxes that cover what of `area` is not inside `outline`.
fn beside(outline: &Shape, area: Area) -> Vec<Area> {
    let sides = sides(outline);
    let bands = bands(&sides, area);
    let mut boxes: Vec<Area> = Vec::new();
    for band in bands.windows(2) {
        let (top, bottom) = (band[0], band[1]);
        for (left, right) in outside(&sides, area, top, bottom) {
            let taller = boxes
                .iter_mut()
                .find(|b| b.bottom_nm() == top && (b.x_nm, b.right_nm()) == (left, right));
            match taller {
                Some(above) => above.height_nm += bottom - top,
                None => boxes.push(Area::from_edges(left, top, right, bottom)),
            }
        }
    }
    boxes
}

/// A side of a ring from its upper to its lower end.
type Side = ([i64; 2], [i64; 2]);

/// All sides that are not level.
fn sides(outline: &Shape) -> Vec<Side> {
    let rings = std::iter::once(&outline.outer).chain(&outline.holes);
    let sides = rings.flat_map(|ring| {
        let next = ring.iter().cycle().skip(1);
        ring.iter().zip(next).map(|(p, q)| (*p, *q))
    });
    sides
        .filter(|(p, q)| p[1] != q[1])
        .map(|(p, q)| if p[1] < q[1] { (p, q) } else { (q, p) })
        .collect()
}

/// Where bands end: at every corner, and in even steps along slanting sides.
fn bands(sides: &[Side], area: Area) -> Vec<i64> {
    let mut ends = vec![area.y_nm, area.bottom_nm()];
    for (upper, lower) in sides {
        let step = if upper[0] == lower[0] {
            lower[1] - upper[1]
        } else {
            BAND_NM
        };
        let count = usize::try_from(step).unwrap_or(usize::MAX).max(1);
        ends.extend((upper[1]..lower[1]).step_by(count));
        ends.push(lower[1]);
    }
    ends.retain(|y| (area.y_nm..=area.bottom_nm()).contains(y));
    ends.sort_unstable();
    ends.dedup();
    ends
}

/// From where to where a band is outside, edges included that slant through it.
fn outside(sides: &[Side], area: Area, top: i64, bottom: i64) -> Vec<(i64, i64)> {
    let mut through: Vec<(i64, i64)> = sides
        .iter()
        .filter(|(upper, lower)| upper[1] <= top && bottom <= lower[1])
        .map(|side| (x_at(*side, top), x_at(*side, bottom)))
        .collect();
    through.sort_unstable_by_key(|(above, below)| above + below);
    let mut found = Vec::new();
    let mut from = area.x_nm;
    for pair in through.chunks(2) {
        let [enter, leave] = pair else { break };
        found.push((from, enter.0.max(enter.1)));
        from = leave.0.min(leave.1);
    }
    found.push((from, area.right_nm()));
    found.retain(|(left, right)| left < right);
    found
}

/// Where a side crosses a level line, to the nanometre to its left or right that is nearer to its upper end.
fn x_at((upper, lower): Side, y: i64) -> i64 {
    let wide = |n: i64| i128::from(n);
    let across = wide(lower[0] - upper[0]) * wide(y - upper[1]) / wide(lower[1] - upper[1]);
    upper[0] + i64::try_from(across).expect("no more than the side is wide")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn area(left: i64, top: i64, right: i64, bottom: i64) -> Area {
        Area::from_edges(left, top, right, bottom)
    }

    #[test]
    fn an_l_leaves_one_box_beside_its_leg() {
        let l = Shape {
            outer: vec![[0, 0], [40, 0], [40, 50], [100, 50], [100, 80], [0, 80]],
            holes: Vec::new(),
        };
        assert_eq!(beside(&l, area(0, 0, 100, 80)), [area(40, 0, 100, 50)]);
    }

    #[test]
    fn a_hole_is_one_box() {
        let frame = Shape {
            outer: vec![[0, 0], [0, 80], [100, 80], [100, 0]],
            holes: vec![vec![[20, 20], [80, 20], [80, 60], [20, 60]]],
        };
        assert_eq!(beside(&frame, area(0, 0, 100, 80)), [area(20, 20, 80, 60)]);
    }

    #[test]
    fn a_slope_is_covered_whole_by_stairs_of_narrow_bands() {
        // x + y = 10 mm: bands of 2 mm, each covered from where the slope is at its lower end.
        let mm = 1_000_000;
        let slope = Shape {
            outer: vec![[0, 0], [10 * mm, 0], [0, 10 * mm]],
            holes: Vec::new(),
        };
        let stairs = beside(&slope, area(0, 0, 10 * mm, 10 * mm));
        let wanted: Vec<Area> = (0..5)
            .map(|i| area((8 - 2 * i) * mm, 2 * i * mm, 10 * mm, (2 * i + 2) * mm))
            .collect();
        assert_eq!(stairs, wanted);
    }
}
