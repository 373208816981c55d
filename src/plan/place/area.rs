//! Upright rectangles in whole nanometres, so that pieces that fill a sheet exactly do fill it.

use kurbo::Rect;

use crate::length::Length;

/// An upright rectangle in whole nanometres, y down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Area {
    /// Left edge.
    pub x_nm: i64,
    /// Top edge.
    pub y_nm: i64,
    /// Width, at least 0.
    pub width_nm: i64,
    /// Height, at least 0.
    pub height_nm: i64,
}

impl Area {
    /// Returns the rectangle with these left, top, right and bottom edges; an empty one if they cross.
    #[must_use]
    pub fn from_edges(left_nm: i64, top_nm: i64, right_nm: i64, bottom_nm: i64) -> Self {
        Self {
            x_nm: left_nm,
            y_nm: top_nm,
            width_nm: (right_nm - left_nm).max(0),
            height_nm: (bottom_nm - top_nm).max(0),
        }
    }

    /// The right edge.
    #[must_use]
    pub fn right_nm(self) -> i64 {
        self.x_nm + self.width_nm
    }

    /// The bottom edge.
    #[must_use]
    pub fn bottom_nm(self) -> i64 {
        self.y_nm + self.height_nm
    }

    /// The same rectangle in millimetres.
    #[must_use]
    pub fn to_rect_mm(self) -> Rect {
        let mm = |nm| Length::from_nm(nm).to_mm();
        Rect::new(
            mm(self.x_nm),
            mm(self.y_nm),
            mm(self.right_nm()),
            mm(self.bottom_nm()),
        )
    }

    /// Width times height, in square nanometres.
    #[must_use]
    pub fn size_nm2(self) -> i128 {
        i128::from(self.width_nm) * i128::from(self.height_nm)
    }

    /// Whether it has no inside.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self.width_nm == 0 || self.height_nm == 0
    }

    /// Whether the insides of both meet; touching edges do not count.
    #[must_use]
    pub fn overlaps(self, other: Self) -> bool {
        self.x_nm < other.right_nm()
            && other.x_nm < self.right_nm()
            && self.y_nm < other.bottom_nm()
            && other.y_nm < self.bottom_nm()
    }

    /// Whether `other` lies inside, edges included.
    #[must_use]
    pub fn contains(self, other: Self) -> bool {
        self.x_nm <= other.x_nm
            && self.y_nm <= other.y_nm
            && other.right_nm() <= self.right_nm()
            && other.bottom_nm() <= self.bottom_nm()
    }

    /// The largest rectangles of this one that keep clear of `hole`: up to four, overlapping each other at the corners.
    pub(super) fn around(self, hole: Self) -> impl Iterator<Item = Self> {
        let (right, bottom) = (self.right_nm(), self.bottom_nm());
        [
            Self::from_edges(self.x_nm, self.y_nm, hole.x_nm, bottom),
            Self::from_edges(hole.right_nm(), self.y_nm, right, bottom),
            Self::from_edges(self.x_nm, self.y_nm, right, hole.y_nm),
            Self::from_edges(self.x_nm, hole.bottom_nm(), right, bottom),
        ]
        .into_iter()
        .filter(|part| !part.is_empty())
    }

    /// The same rectangle with x and y exchanged.
    pub(super) fn transposed(self) -> Self {
        Self {
            x_nm: self.y_nm,
            y_nm: self.x_nm,
            width_nm: self.height_nm,
            height_nm: self.width_nm,
        }
    }
}

/// Rounding of millimetres in `f64` stays far below this on any sheet.
const NOISE_NM: f64 = 0.01;

/// Returns the least whole nanometres that are at least `mm` millimetres, noise of the last digits aside.
#[must_use]
pub fn nm_above(mm: f64) -> i64 {
    whole((mm * 1e6 - NOISE_NM).ceil())
}

/// Returns the most whole nanometres that are at most `mm` millimetres, noise of the last digits aside.
#[must_use]
pub fn nm_below(mm: f64) -> i64 {
    whole((mm * 1e6 + NOISE_NM).floor())
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "outlines and sheets end 100 m from the origin, far within the range"
)]
fn whole(nm: f64) -> i64 {
    nm as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn touching_rectangles_do_not_overlap() {
        let left = Area::from_edges(0, 0, 10, 10);
        assert!(!left.overlaps(Area::from_edges(10, 0, 20, 10)));
        assert!(left.overlaps(Area::from_edges(9, 9, 20, 20)));
    }

    #[test]
    fn four_strips_remain_around_a_hole_in_the_middle() {
        // A 10 x 10 square with a hole from (4, 3) to (6, 8).
        let parts: Vec<_> = Area::from_edges(0, 0, 10, 10)
            .around(Area::from_edges(4, 3, 6, 8))
            .collect();
        assert_eq!(
            parts,
            [
                Area::from_edges(0, 0, 4, 10),
                Area::from_edges(6, 0, 10, 10),
                Area::from_edges(0, 0, 10, 3),
                Area::from_edges(0, 8, 10, 10),
            ]
        );
    }

    #[test]
    fn millimetres_of_a_typed_size_come_back_as_its_nanometres() {
        // 8 1/2 in and 1/64 in, by the definition of the inch.
        for (mm, nm) in [(215.9, 215_900_000), (0.396_875, 396_875)] {
            assert_eq!((nm_above(mm), nm_below(mm)), (nm, nm));
        }
        assert_eq!((nm_above(-0.000_000_5), nm_below(-0.000_000_5)), (0, -1));
    }

    #[test]
    fn a_hole_at_the_edge_leaves_fewer() {
        let parts = Area::from_edges(0, 0, 10, 10).around(Area::from_edges(0, 6, 10, 12));
        assert_eq!(parts.collect::<Vec<_>>(), [Area::from_edges(0, 0, 10, 6)]);
    }
}
