//! Parts of a sheet while it is being cut.

use super::cutout::{Cutout, SAME_NM, nearest_nm};
use crate::plan::Sheet;
use crate::plan::place::Area;
use crate::project::{Axis, Edge, Edges};

/// A part in hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Loose {
    /// Number in the order in which parts come about; the whole sheet is 0.
    pub(super) id: usize,
    pub(super) area: Area,
    /// Which of its edges have been cut.
    pub(super) fresh: Edges<bool>,
    /// Positions of the cutouts in it, rising.
    pub(super) holds: Vec<usize>,
}

/// A part but for where on the sheet it is: parts of the same look are cut in one pile.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Look {
    size_nm: (i64, i64),
    /// Which edges are fresh; empty where that does not matter.
    fresh: Vec<bool>,
    /// Left, top, right and bottom edge of each cutout from the part's own corner, and its piece.
    holds: Vec<([i64; 4], usize)>,
}

impl Loose {
    /// The whole sheet.
    pub(super) fn whole(sheet: &Sheet, cutouts: &[Cutout]) -> Self {
        let (width_nm, height_nm) = (nearest_nm(sheet.width_mm), nearest_nm(sheet.height_mm));
        Self {
            id: 0,
            area: Area::from_edges(0, 0, width_nm, height_nm),
            fresh: Edges::all(false),
            holds: (0..cutouts.len()).collect(),
        }
    }

    pub(super) fn is_waste(&self) -> bool {
        self.holds.is_empty()
    }

    /// The cutout that the part is, edge on edge.
    pub(super) fn finished(&self, cutouts: &[Cutout]) -> Option<usize> {
        let [only] = self.holds[..] else {
            return None;
        };
        let (own, wanted) = (edges(self.area), edges(cutouts[only].area));
        let is_same = own
            .iter()
            .zip(wanted)
            .all(|(a, b)| (a - b).abs() <= SAME_NM);
        is_same.then_some(only)
    }

    /// Sides of cutouts that are no edge of the part yet.
    pub(super) fn open_sides(&self, cutouts: &[Cutout]) -> usize {
        let own = edges(self.area);
        let open = |cutout: &usize| {
            let sides = edges(cutouts[*cutout].area);
            let is_open = |(a, b): &(i64, i64)| (a - b).abs() > SAME_NM;
            own.into_iter().zip(sides).filter(is_open).count()
        };
        self.holds.iter().map(open).sum()
    }

    /// Where a cut from edge to edge meets no cutout, and the edge of one at least; rising, on the sheet.
    pub(super) fn lines(&self, axis: Axis, cutouts: &[Cutout]) -> Vec<i64> {
        let (near, far) = span(self.area, axis);
        let mut spans: Vec<(i64, i64)> = self
            .holds
            .iter()
            .map(|c| span(cutouts[*c].area, axis))
            .collect();
        spans.sort_unstable();
        let mut lines = Vec::new();
        let mut end = near;
        for (start, stop) in spans {
            if start >= end - SAME_NM {
                lines.extend([end, start]);
            }
            end = end.max(stop);
        }
        lines.push(end);
        lines.retain(|at| *at > near + SAME_NM && *at < far - SAME_NM);
        lines.dedup_by(|b, a| (*b - *a).abs() <= SAME_NM);
        lines
    }

    /// Cuts the part in two; the new edges are fresh, and the new parts are numbered from `id`.
    pub(super) fn split(&self, axis: Axis, at_nm: i64, id: usize, cutouts: &[Cutout]) -> [Self; 2] {
        let (a, (left, right)) = (self.area, span(self.area, Axis::X));
        let (top, bottom) = span(self.area, Axis::Y);
        let (near, far) = match axis {
            Axis::X => (
                Area::from_edges(left, top, at_nm, bottom),
                Area::from_edges(at_nm, top, right, bottom),
            ),
            Axis::Y => (
                Area::from_edges(left, top, right, at_nm),
                Area::from_edges(left, at_nm, right, bottom),
            ),
        };
        debug_assert!(
            a.contains(near) && a.contains(far),
            "a cut lies on its part"
        );
        let (before, after): (Vec<usize>, Vec<usize>) = self
            .holds
            .iter()
            .partition(|c| span(cutouts[**c].area, axis).1 <= at_nm + SAME_NM);
        let [near_edge, far_edge] = ends(axis);
        [
            Self {
                id,
                area: near,
                fresh: with(self.fresh, far_edge),
                holds: before,
            },
            Self {
                id: id + 1,
                area: far,
                fresh: with(self.fresh, near_edge),
                holds: after,
            },
        ]
    }

    pub(super) fn is_fresh(&self, edge: Edge) -> bool {
        match edge {
            Edge::Top => self.fresh.top,
            Edge::Right => self.fresh.right,
            Edge::Bottom => self.fresh.bottom,
            Edge::Left => self.fresh.left,
        }
    }

    /// How the part looks. Which edges are fresh matters only where distances count from a print.
    pub(super) fn look(&self, cutouts: &[Cutout], is_printed: bool) -> Look {
        let (x, y) = (self.area.x_nm, self.area.y_nm);
        let hold = |c: &usize| {
            let [left, top, right, bottom] = edges(cutouts[*c].area);
            let from_corner = [left - x, top - y, right - x, bottom - y];
            (from_corner, cutouts[*c].piece)
        };
        let mut holds: Vec<_> = self.holds.iter().map(hold).collect();
        holds.sort_unstable();
        let f = self.fresh;
        let fresh = [f.left, f.top, f.right, f.bottom];
        Look {
            size_nm: (self.area.width_nm, self.area.height_nm),
            fresh: fresh.into_iter().filter(|_| is_printed).collect(),
            holds,
        }
    }
}

/// The edges that a cut along `axis` can be measured from, the near one first.
pub(super) const fn ends(axis: Axis) -> [Edge; 2] {
    match axis {
        Axis::X => [Edge::Left, Edge::Right],
        Axis::Y => [Edge::Top, Edge::Bottom],
    }
}

/// From where to where an area reaches along an axis.
pub(super) fn span(area: Area, axis: Axis) -> (i64, i64) {
    match axis {
        Axis::X => (area.x_nm, area.right_nm()),
        Axis::Y => (area.y_nm, area.bottom_nm()),
    }
}

/// The other axis.
pub(super) const fn across(axis: Axis) -> Axis {
    match axis {
        Axis::X => Axis::Y,
        Axis::Y => Axis::X,
    }
}

fn edges(area: Area) -> [i64; 4] {
    [area.x_nm, area.y_nm, area.right_nm(), area.bottom_nm()]
}

fn with(mut fresh: Edges<bool>, edge: Edge) -> Edges<bool> {
    match edge {
        Edge::Top => fresh.top = true,
        Edge::Right => fresh.right = true,
        Edge::Bottom => fresh.bottom = true,
        Edge::Left => fresh.left = true,
    }
    fresh
}

#[cfg(test)]
mod tests {
    use super::*;

    fn millimetres(areas: &[[i64; 4]]) -> Vec<Cutout> {
        let nm = |mm: i64| mm * 1_000_000;
        let cutout = |[x0, y0, x1, y1]: &[i64; 4]| Cutout {
            area: Area::from_edges(nm(*x0), nm(*y0), nm(*x1), nm(*y1)),
            piece: 0,
        };
        areas.iter().map(cutout).collect()
    }

    fn whole(width_mm: i64, height_mm: i64, cutouts: &[Cutout]) -> Loose {
        Loose {
            id: 0,
            area: Area::from_edges(0, 0, width_mm * 1_000_000, height_mm * 1_000_000),
            fresh: Edges::all(false),
            holds: (0..cutouts.len()).collect(),
        }
    }

    #[test]
    fn a_gutter_can_be_cut_at_both_its_edges_and_touching_pieces_at_one() {
        // Two columns of 40 from 5 on with 6 between them, and one of 9 right beside: 5, 45, 51, 91, 100 across 110.
        let cutouts = millimetres(&[[5, 0, 45, 30], [51, 0, 91, 30], [91, 0, 100, 30]]);
        let lines = whole(110, 30, &cutouts).lines(Axis::X, &cutouts);
        assert_eq!(lines, [5, 45, 51, 91, 100].map(|mm| mm * 1_000_000));
        assert!(whole(110, 30, &cutouts).lines(Axis::Y, &cutouts).is_empty());
    }

    #[test]
    fn no_cut_runs_through_a_piece() {
        // The lower piece lies across the gap between the upper ones.
        let cutouts = millimetres(&[[0, 0, 40, 30], [40, 0, 80, 30], [10, 30, 70, 60]]);
        let sheet = whole(80, 60, &cutouts);
        assert!(sheet.lines(Axis::X, &cutouts).is_empty());
        assert_eq!(sheet.lines(Axis::Y, &cutouts), [30_000_000]);
    }

    #[test]
    fn both_sides_of_a_cut_are_fresh_and_equal_parts_look_alike() {
        let cutouts = millimetres(&[[0, 0, 40, 30], [40, 0, 80, 30]]);
        let sheet = whole(80, 30, &cutouts);
        let [left, right] = sheet.split(Axis::X, 40_000_000, 1, &cutouts);
        assert!(left.fresh.right && !left.fresh.left && right.fresh.left);
        assert_eq!(
            (left.finished(&cutouts), right.finished(&cutouts)),
            (Some(0), Some(1))
        );
        // On a print it matters that other edges are fresh.
        assert_eq!(left.look(&cutouts, false), right.look(&cutouts, false));
        assert_ne!(left.look(&cutouts, true), right.look(&cutouts, true));
    }
}
