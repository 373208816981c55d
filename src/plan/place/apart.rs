//! Whether boxes on a sheet come apart the way they are cut.
//!
//! Lines from edge to edge that meet no box part the boxes into bands. A layout comes apart if bands, and bands within bands, end in
//! single boxes. It does not matter which lines are cut first, since each leaves all others as they are; only a trimmer that is short
//! for the sheet makes a difference, so both directions are tried.

use super::{Area, Cutting};

/// Returns whether `boxes` on a sheet with this `area` can be cut.
pub(super) fn comes_apart(cutting: Cutting, area: Area, boxes: &[Area]) -> bool {
    match cutting {
        Cutting::Outlines => true,
        Cutting::Rows => is_in_columns(boxes) || is_in_columns(&transposed(boxes)),
        Cutting::EdgeToEdge { reach_nm } => {
            is_trimmed(area, boxes, reach_nm.unwrap_or(i64::MAX), [true, true])
        }
    }
}

/// Whether all bands beside each other hold boxes that stand above each other.
fn is_in_columns(boxes: &[Area]) -> bool {
    let is_column = |band: &Vec<Area>| bands(&transposed(band)).len() == band.len();
    bands(boxes).iter().all(is_column)
}

/// Whether cuts up to a length take all boxes out of an area; `ways` says whether cuts down and cuts across are worth a try.
fn is_trimmed(area: Area, boxes: &[Area], reach_nm: i64, ways: [bool; 2]) -> bool {
    if let [] | [_] = boxes {
        return boxes.iter().all(|b| is_taken_out(area, *b, reach_nm));
    }
    let [down, across] = ways;
    (down && is_cut_down(area, boxes, reach_nm, [false, true]))
        || (across
            && is_cut_down(
                area.transposed(),
                &transposed(boxes),
                reach_nm,
                [false, true],
            ))
}

/// Whether cuts down part the boxes into bands that are trimmed further `then`, seen from the bands.
fn is_cut_down(area: Area, boxes: &[Area], reach_nm: i64, then: [bool; 2]) -> bool {
    let bands = bands(boxes);
    if bands.len() < 2 || area.height_nm > reach_nm {
        return false;
    }
    let starts: Vec<i64> = bands.iter().map(|band| band[0].x_nm).collect();
    bands.iter().enumerate().all(|(i, band)| {
        let left = if i == 0 { area.x_nm } else { starts[i] };
        let right = starts.get(i + 1).copied().unwrap_or(area.right_nm());
        let part = Area::from_edges(left, area.y_nm, right, area.bottom_nm());
        is_trimmed(part, band, reach_nm, then)
    })
}

/// Whether the cuts beside and below a single box are short enough, in the better order.
fn is_taken_out(area: Area, piece: Area, reach_nm: i64) -> bool {
    let (width, height) = (area.width_nm, area.height_nm);
    match (piece.width_nm < width, piece.height_nm < height) {
        (false, false) => true,
        (true, false) => height <= reach_nm,
        (false, true) => width <= reach_nm,
        (true, true) => {
            height.max(piece.width_nm) <= reach_nm || width.max(piece.height_nm) <= reach_nm
        }
    }
}

/// Boxes parted by all upright lines that meet none of them, from left to right; in each band the leftmost box first.
fn bands(boxes: &[Area]) -> Vec<Vec<Area>> {
    let mut sorted = boxes.to_vec();
    sorted.sort_unstable();
    let mut bands: Vec<Vec<Area>> = Vec::new();
    let mut end_nm = i64::MIN;
    for one in sorted {
        if one.x_nm >= end_nm || bands.is_empty() {
            bands.push(Vec::new());
        }
        end_nm = end_nm.max(one.right_nm());
        bands
            .last_mut()
            .expect("a band was opened for the first box")
            .push(one);
    }
    bands
}

fn transposed(boxes: &[Area]) -> Vec<Area> {
    boxes.iter().map(|b| b.transposed()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: Area = Area {
        x_nm: 0,
        y_nm: 0,
        width_nm: 10,
        height_nm: 10,
    };
    const TRIMMER: Cutting = Cutting::EdgeToEdge { reach_nm: None };

    fn area([left, top, right, bottom]: [i64; 4]) -> Area {
        Area::from_edges(left, top, right, bottom)
    }

    #[test]
    fn a_pinwheel_does_not_come_apart_and_three_of_its_arms_do() {
        // Four boxes of 6 x 4 around a square of 2 x 2: every line from edge to edge meets one of them.
        let arms = [[0, 0, 6, 4], [6, 0, 10, 6], [4, 6, 10, 10], [0, 4, 4, 10]].map(area);
        assert!(!comes_apart(TRIMMER, SHEET, &arms));
        assert!(comes_apart(TRIMMER, SHEET, &arms[..3]));
        assert!(comes_apart(Cutting::Outlines, SHEET, &arms));
    }

    #[test]
    fn rows_and_columns_are_straight_and_stacks_within_them_are_none() {
        let two_rows = [[0, 0, 3, 4], [3, 0, 8, 3], [0, 4, 5, 9]].map(area);
        assert!(comes_apart(Cutting::Rows, SHEET, &two_rows));
        // One box below another within the first row: a trimmer can do that, and whoever weeds row by row cannot.
        let stacked = [[0, 0, 3, 4], [3, 0, 8, 2], [3, 2, 8, 4], [0, 4, 5, 9]].map(area);
        assert!(!comes_apart(Cutting::Rows, SHEET, &stacked));
        assert!(comes_apart(TRIMMER, SHEET, &stacked));
    }

    #[test]
    fn a_short_trimmer_begins_with_its_short_cuts() {
        // 12 x 24 with a reach of 13: across first, then each half down; boxes that want a cut of 24 first are out of reach.
        let sheet = area([0, 0, 12, 24]);
        let short = Cutting::EdgeToEdge { reach_nm: Some(13) };
        let halves = [[0, 0, 6, 12], [6, 0, 12, 12], [0, 12, 12, 24]].map(area);
        assert!(comes_apart(short, sheet, &halves));
        let strips = [[0, 0, 6, 24], [6, 0, 12, 24]].map(area);
        assert!(!comes_apart(short, sheet, &strips));
        assert!(comes_apart(TRIMMER, sheet, &strips));
        // One strip of 5 x 24 needs a cut of 24 as well, one of 5 x 13 does not.
        assert!(!comes_apart(short, sheet, &[area([0, 0, 5, 24])]));
        assert!(comes_apart(short, sheet, &[area([0, 0, 5, 13])]));
    }
}
