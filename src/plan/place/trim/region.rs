//! The free rectangles of a sheet, cut apart from each other: what is left between obstacles, or lies within an offcut's outline.
//!
//! Lines along all obstacles (and, across an outline, many more) divide the sheet into cells, each wholly free or not. The largest
//! rectangle of free cells is freed by cuts from edge to edge, then the largest one in each of the pieces cut off, and so on.

use std::ops::Range;

use super::super::{Area, Shape, SheetKind};
use super::block::size_nm2;

/// Lines drawn across an outline each way, besides those through its corners: a slanted edge loses a fiftieth at most.
const FINENESS: i64 = 50;
/// Corners of an outline through which lines are drawn; a curve has more, and needs none.
const MOST_CORNERS: usize = 40;
/// Most rectangles cut from one sheet: smaller and smaller ones help nobody.
const MOST_REGIONS: usize = 12;

/// Returns the free rectangles of a sheet; whoever cuts along them in the right order never cuts through one, nor further than
/// `reach_nm`.
pub(super) fn regions(sheet: &SheetKind, reach_nm: Option<i64>) -> Vec<Area> {
    if sheet.outline.is_none() && !sheet.obstacles.iter().any(|o| o.overlaps(sheet.area)) {
        return vec![sheet.area];
    }
    let cells = Cells::new(sheet);
    let all = Piece {
        columns: 0..cells.xs.len() - 1,
        rows: 0..cells.ys.len() - 1,
    };
    let mut pieces = vec![all];
    let mut regions = Vec::new();
    while let Some(piece) = pieces.pop() {
        if let Some(largest) = cells.largest(&piece)
            && regions.len() < MOST_REGIONS
            && let Some(rests) = cells.free(&piece, &largest, reach_nm)
        {
            regions.push(cells.area(&largest));
            pieces.extend(rests);
            pieces.sort_by(|a, b| cells.size(a).total_cmp(&cells.size(b)));
        }
    }
    regions
}

/// A block of cells.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Piece {
    columns: Range<usize>,
    rows: Range<usize>,
}

impl Piece {
    fn new(columns: Range<usize>, rows: Range<usize>) -> Self {
        Self { columns, rows }
    }
}

/// A sheet divided by lines.
struct Cells {
    xs: Vec<i64>,
    ys: Vec<i64>,
    /// Row by row.
    is_free: Vec<bool>,
}

impl Cells {
    fn new(sheet: &SheetKind) -> Self {
        let area = sheet.area;
        let corners = sheet.outline.as_ref().map_or(Vec::new(), corners);
        let lines = |from: i64, to: i64, edges: Vec<i64>, axis: usize| {
            let mut lines = edges;
            lines.extend([from, to]);
            if sheet.outline.is_some() {
                lines.extend((1..FINENESS).map(|step| from + (to - from) * step / FINENESS));
                lines.extend(corners.iter().map(|corner| corner[axis]));
            }
            lines.retain(|line| (from..=to).contains(line));
            lines.sort_unstable();
            lines.dedup();
            lines
        };
        let across = sheet
            .obstacles
            .iter()
            .flat_map(|o| [o.x_nm, o.right_nm()])
            .collect();
        let down = sheet
            .obstacles
            .iter()
            .flat_map(|o| [o.y_nm, o.bottom_nm()])
            .collect();
        let xs = lines(area.x_nm, area.right_nm(), across, 0);
        let ys = lines(area.y_nm, area.bottom_nm(), down, 1);
        let mut is_free = Vec::new();
        for row in ys.windows(2) {
            for column in xs.windows(2) {
                let cell = Area::from_edges(column[0], row[0], column[1], row[1]);
                let is_clear = !sheet.obstacles.iter().any(|o| o.overlaps(cell));
                is_free.push(
                    is_clear
                        && sheet
                            .outline
                            .as_ref()
                            .is_none_or(|outline| holds(outline, cell)),
                );
            }
        }
        Self { xs, ys, is_free }
    }

    fn area(&self, piece: &Piece) -> Area {
        Area::from_edges(
            self.xs[piece.columns.start],
            self.ys[piece.rows.start],
            self.xs[piece.columns.end],
            self.ys[piece.rows.end],
        )
    }

    fn size(&self, piece: &Piece) -> f64 {
        let area = self.area(piece);
        size_nm2(area.width_nm, area.height_nm)
    }

    /// The largest block of free cells in a piece.
    fn largest(&self, piece: &Piece) -> Option<Piece> {
        let columns = self.xs.len() - 1;
        let mut best: Option<Piece> = None;
        for top in piece.rows.clone() {
            let mut is_free = vec![true; columns];
            for row in top..piece.rows.end {
                for column in piece.columns.clone() {
                    is_free[column] &= self.is_free[row * columns + column];
                }
                for run in runs(&is_free, piece.columns.clone()) {
                    let found = Piece::new(run, top..row + 1);
                    if best
                        .as_ref()
                        .is_none_or(|b| self.size(b) < self.size(&found))
                    {
                        best = Some(found);
                    }
                }
            }
        }
        best
    }

    /// The four pieces left when `largest` is cut out of `piece`, the first cuts running so that the larger pieces stay whole;
    /// `None` if the cuts would be too long.
    fn free(&self, piece: &Piece, largest: &Piece, reach_nm: Option<i64>) -> Option<[Piece; 4]> {
        let around = |outer: &Range<usize>, inner: &Range<usize>| {
            [outer.start..inner.start, inner.end..outer.end]
        };
        let columns = around(&piece.columns, &largest.columns);
        let rows = around(&piece.rows, &largest.rows);
        let is_needed = |ranges: &[Range<usize>; 2]| ranges.iter().any(|r| !r.is_empty());
        let reaches = |needed: bool, length_nm: i64| {
            !needed || reach_nm.is_none_or(|reach| length_nm <= reach)
        };
        let (outer, inner) = (self.area(piece), self.area(largest));
        let (down, across) = (is_needed(&columns), is_needed(&rows));
        let join = |first: [Piece; 2], second: [Piece; 2]| {
            let [a, b] = first;
            let [c, d] = second;
            [a, b, c, d]
        };
        let down_first =
            (reaches(down, outer.height_nm) && reaches(across, inner.width_nm)).then(|| {
                join(
                    columns.clone().map(|c| Piece::new(c, piece.rows.clone())),
                    rows.clone().map(|r| Piece::new(largest.columns.clone(), r)),
                )
            });
        let across_first = (reaches(across, outer.width_nm) && reaches(down, inner.height_nm))
            .then(|| {
                join(
                    rows.clone().map(|r| Piece::new(piece.columns.clone(), r)),
                    columns.clone().map(|c| Piece::new(c, largest.rows.clone())),
                )
            });
        let biggest = |pieces: &[Piece; 4]| pieces.iter().map(|p| self.size(p)).fold(0.0, f64::max);
        let ways = [down_first, across_first].into_iter().flatten();
        ways.max_by(|a, b| biggest(a).total_cmp(&biggest(b)))
    }
}

/// Runs of free columns.
fn runs(is_free: &[bool], columns: Range<usize>) -> Vec<Range<usize>> {
    let mut runs = Vec::new();
    let mut start = columns.start;
    for column in columns.clone() {
        if !is_free[column] {
            runs.push(start..column);
            start = column + 1;
        }
    }
    runs.push(start..columns.end);
    runs.retain(|run| !run.is_empty());
    runs
}

fn rings(outline: &Shape) -> impl Iterator<Item = &Vec<[i64; 2]>> {
    std::iter::once(&outline.outer).chain(&outline.holes)
}

fn corners(outline: &Shape) -> Vec<[i64; 2]> {
    let corners: Vec<_> = rings(outline).flatten().copied().collect();
    if corners.len() <= MOST_CORNERS {
        corners
    } else {
        Vec::new()
    }
}

/// Whether a cell lies within an outline: no edge runs through it, and its middle is inside.
fn holds(outline: &Shape, cell: Area) -> bool {
    let middle = [
        cell.x_nm + cell.width_nm / 2,
        cell.y_nm + cell.height_nm / 2,
    ];
    let mut is_inside = false;
    for ring in rings(outline) {
        for (at, from) in ring.iter().enumerate() {
            let to = ring[(at + 1) % ring.len()];
            if runs_through(*from, to, cell) {
                return false;
            }
            is_inside ^= is_right_of(middle, *from, to);
        }
    }
    is_inside
}

/// Twice the area of the triangle of an edge and a point; its sign tells the side.
fn side(from: [i64; 2], to: [i64; 2], point: [i64; 2]) -> i128 {
    let along = |axis: usize| i128::from(to[axis] - from[axis]);
    let off = |axis: usize| i128::from(point[axis] - from[axis]);
    along(0) * off(1) - along(1) * off(0)
}

/// Whether an edge meets the inside of a cell: no axis and no normal of the edge keeps them apart.
fn runs_through(from: [i64; 2], to: [i64; 2], cell: Area) -> bool {
    let overlaps = |axis: usize, low: i64, high: i64| {
        from[axis].min(to[axis]) < high && low < from[axis].max(to[axis])
    };
    let crosses = |axis: usize, low: i64, high: i64| {
        overlaps(axis, low, high)
            || (from[axis] == to[axis] && low < from[axis] && from[axis] < high)
    };
    if !crosses(0, cell.x_nm, cell.right_nm()) || !crosses(1, cell.y_nm, cell.bottom_nm()) {
        return false;
    }
    let corners = [
        [cell.x_nm, cell.y_nm],
        [cell.right_nm(), cell.y_nm],
        [cell.x_nm, cell.bottom_nm()],
        [cell.right_nm(), cell.bottom_nm()],
    ];
    let sides = corners.map(|corner| side(from, to, corner));
    sides.iter().any(|s| *s > 0) && sides.iter().any(|s| *s < 0)
}

/// Whether a line from `point` to the left crosses an edge, one end of it counted.
fn is_right_of(point: [i64; 2], from: [i64; 2], to: [i64; 2]) -> bool {
    if (from[1] > point[1]) == (to[1] > point[1]) {
        return false;
    }
    (side(from, to, point) < 0) == (to[1] > from[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(outline: Option<&[[i64; 2]]>, obstacles: Vec<Area>) -> SheetKind {
        SheetKind {
            outline: outline.map(|outer| Shape {
                outer: outer.to_vec(),
                holes: Vec::new(),
            }),
            obstacles,
            is_offcut: true,
            ..SheetKind::of(Area::from_edges(0, 0, 100, 100))
        }
    }

    fn are_apart(regions: &[Area]) -> bool {
        (0..regions.len()).all(|a| !regions[..a].iter().any(|b| b.overlaps(regions[a])))
    }

    #[test]
    fn a_sheet_without_obstacles_stays_whole() {
        let found = regions(&sheet(None, vec![Area::from_edges(100, 0, 120, 20)]), None);
        assert_eq!(found, [Area::from_edges(0, 0, 100, 100)]);
    }

    #[test]
    fn a_mark_in_the_corner_is_cut_off_with_the_narrower_strip() {
        // A mark of 10 x 20 in the corner: 90 x 100 beside it, and 10 x 80 below it.
        let found = regions(&sheet(None, vec![Area::from_edges(0, 0, 10, 20)]), None);
        assert_eq!(
            found,
            [
                Area::from_edges(10, 0, 100, 100),
                Area::from_edges(0, 20, 10, 100)
            ]
        );
    }

    #[test]
    fn an_offcut_like_an_l_gives_both_its_arms_and_no_more() {
        // Arms 100 x 30 and 30 x 70: by hand, 3000 + 2100 square nanometres, in two rectangles.
        let l = [[0, 0], [100, 0], [100, 30], [30, 30], [30, 100], [0, 100]];
        let found = regions(&sheet(Some(&l), Vec::new()), None);
        let size: i128 = found.iter().map(|a| a.size_nm2()).sum();
        assert_eq!((found.len(), size), (2, 5100));
        assert!(are_apart(&found));
    }

    #[test]
    fn rectangles_in_a_triangle_lie_under_its_slanted_edge() {
        let triangle = [[0, 0], [100, 0], [0, 100]];
        let found = regions(&sheet(Some(&triangle), Vec::new()), None);
        assert!(are_apart(&found));
        assert!(found.iter().all(|a| a.right_nm() + a.bottom_nm() <= 100));
        // The largest rectangle in a right triangle takes half of it.
        assert_eq!(found[0].size_nm2(), 2500);
    }

    #[test]
    fn cuts_longer_than_the_reach_are_not_made() {
        let mark = vec![Area::from_edges(0, 0, 10, 20)];
        assert_eq!(regions(&sheet(None, mark), Some(90)), []);
    }
}
