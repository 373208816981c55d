//! What goes into the corner of a free rectangle: one box, upright or sideways.

use super::super::Area;

/// A box of some size as it lies on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Block {
    /// Position among the sizes of the problem.
    pub(super) size: usize,
    /// Width as it lies.
    pub(super) width_nm: i64,
    /// Height as it lies.
    pub(super) height_nm: i64,
    /// Whether it is turned by one or three quarters.
    pub(super) is_sideways: bool,
}

impl Block {
    /// Whether it fits into `area`.
    pub(super) fn fits(self, area: Area) -> bool {
        self.width_nm <= area.width_nm && self.height_nm <= area.height_nm
    }
}

/// A block on a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Spot {
    /// Position among the blocks of the kind of sheet.
    pub(super) block: usize,
    /// Its left edge.
    pub(super) x_nm: i64,
    /// Its top edge.
    pub(super) y_nm: i64,
}

impl Spot {
    /// The area it covers.
    pub(super) fn area(self, blocks: &[Block]) -> Area {
        let block = blocks[self.block];
        Area {
            x_nm: self.x_nm,
            y_nm: self.y_nm,
            width_nm: block.width_nm,
            height_nm: block.height_nm,
        }
    }
}

/// The size of an area in square nanometres, good to 15 digits: sheets of several metres overflow whole numbers.
pub(super) fn size_nm2(width_nm: i64, height_nm: i64) -> f64 {
    width_nm as f64 * height_nm as f64
}
