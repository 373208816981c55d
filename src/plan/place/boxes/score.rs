//! How good a layout is.
//!
//! In this order: fewest boxes left over by size, fewest sheets of the kind to spare, fewest sheets, fewest different sheets, largest
//! rectangle left on one sheet, fewest lines along which boxes begin.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use super::super::{Area, Request};
use super::max_rects::Free;
use super::{FilledSheet, Layout};

/// How good a layout is; less is better.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Score {
    left_over_nm2: i128,
    spared_kind: u32,
    sheets: u32,
    different: usize,
    rest_fiftieths: Reverse<i128>,
    lines: usize,
}

impl Score {
    /// Judges a layout.
    pub(super) fn new(request: &Request, layout: &Layout) -> Self {
        let boxes = request.parts.iter().zip(&layout.leftovers);
        let spare = request.sheets.len().saturating_sub(1);
        let spared = layout.sheets.iter().filter(|s| s.kind == spare);
        Self {
            left_over_nm2: boxes
                .map(|(b, n)| i128::from(b.width_nm) * i128::from(b.height_nm) * i128::from(*n))
                .sum(),
            spared_kind: spared.map(|s| s.runs).sum(),
            sheets: layout.sheets.iter().map(|s| s.runs).sum(),
            different: layout.sheets.len(),
            rest_fiftieths: Reverse(largest_rest(request, layout)),
            lines: layout.sheets.iter().map(lines).sum(),
        }
    }
}

/// The largest free rectangle on any sheet, in whole fiftieths of that sheet's area: smaller differences help nobody.
fn largest_rest(request: &Request, layout: &Layout) -> i128 {
    let rests = layout.sheets.iter().map(|sheet| {
        let kind = &request.sheets[sheet.kind];
        let taken = sheet.places.iter().map(|p| p.area);
        let free = Free::new(kind.area, kind.obstacles.iter().copied().chain(taken));
        let rest = free.largest().map_or(0, Area::size_nm2);
        50 * rest / kind.area.size_nm2().max(1)
    });
    rests.max().unwrap_or(0)
}

/// How many lines across and down boxes begin at: few of them are a tidy sheet, and few settings of a trimmer's fence.
fn lines(sheet: &FilledSheet) -> usize {
    let across: BTreeSet<i64> = sheet.places.iter().map(|p| p.area.x_nm).collect();
    let down: BTreeSet<i64> = sheet.places.iter().map(|p| p.area.y_nm).collect();
    across.len() + down.len()
}

#[cfg(test)]
mod tests {
    use super::super::super::{Best, Cutting, Effort, PartKind, SheetKind, TurnSet};
    use super::super::Place;
    use super::*;

    fn request() -> Request {
        Request {
            sheets: vec![SheetKind::of(Area::from_edges(0, 0, 10, 10))],
            parts: vec![PartKind::boxed(2, 2, 2, TurnSet::QUARTERS)],
            cutting: Cutting::Outlines,
            best: Best::FewestSheets,
            effort: Effort::Usual,
        }
    }

    fn score(corners: &[(i64, i64)], runs: u32, left: u32) -> Score {
        let place = |(x, y): &(i64, i64)| Place {
            kind: 0,
            area: Area::from_edges(*x, *y, x + 2, y + 2),
            quarters: 0,
        };
        let sheet = FilledSheet {
            kind: 0,
            runs,
            places: corners.iter().map(place).collect(),
        };
        let layout = Layout {
            sheets: vec![sheet],
            leftovers: vec![left],
        };
        Score::new(&request(), &layout)
    }

    #[test]
    fn leaving_nothing_over_comes_before_saving_sheets() {
        assert!(score(&[(0, 0)], 2, 0) < score(&[(0, 0)], 1, 1));
    }

    #[test]
    fn a_large_rest_comes_before_a_tidy_one() {
        // Stepped in the corner, begun at four lines, they leave 10 x 7 below; side by side at y 4, begun at three, 6 x 10 at best.
        assert!(score(&[(0, 0), (2, 1)], 1, 0) < score(&[(0, 4), (2, 4)], 1, 0));
        // Side by side at the top they leave 10 x 8, one below the other at the left 8 x 10.
        assert_eq!(
            score(&[(0, 0), (2, 0)], 1, 0),
            score(&[(0, 0), (0, 2)], 1, 0)
        );
    }

    #[test]
    fn among_equal_rests_boxes_in_line_are_best() {
        // Both leave 10 x 6 below; in the first the boxes begin at x 0 and 5 and y 0, in the second at y 0 and 2.
        assert!(score(&[(0, 2), (5, 2)], 1, 0) < score(&[(0, 0), (5, 2)], 1, 0));
    }
}
