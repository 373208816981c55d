//! Parts on sheets: what an engine returns.

use super::{Area, PartKind};

/// What a [`Placer`](super::Placer) returns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Placed {
    /// The layout.
    pub layout: Layout,
    /// Whether the search was stopped before its end.
    pub is_stopped: bool,
}

/// Parts on sheets.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Layout {
    /// Sheets, in the order of their kinds.
    pub sheets: Vec<FilledSheet>,
    /// How many of each kind of part found no place.
    pub leftovers: Vec<u32>,
    /// How many of each kind of part are placed besides those wanted.
    pub spares: Vec<u32>,
}

impl Layout {
    /// How many sheets it takes, offcuts included.
    #[must_use]
    pub fn sheet_count(&self) -> u32 {
        self.sheets.iter().map(|s| s.runs).sum()
    }
}

/// One sheet, made once or more often.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FilledSheet {
    /// Position of its kind in [`Request::sheets`](super::Request::sheets).
    pub kind: usize,
    /// How many of it.
    pub runs: u32,
    /// What lies on it, from top to bottom, then from left to right.
    pub places: Vec<Place>,
}

/// A part on a sheet: mirrored in its box if it lies front down, then turned about the top left corner of its box, then shifted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Position of its kind in [`Request::parts`](super::Request::parts).
    pub kind: usize,
    /// Where the top left corner of the unturned box lies, across, in the sheet frame.
    pub x_nm: i64,
    /// Where it lies, down.
    pub y_nm: i64,
    /// Turn clockwise as seen, in thousandths of a degree, from 0 to below 360 000.
    pub turn_mdeg: u32,
    /// Whether it lies front down: left and right of its box change places before the turn.
    pub is_mirrored: bool,
}

/// A quarter turn in thousandths of a degree.
const QUARTER_MDEG: u32 = 90_000;

impl Place {
    /// Returns the place of a part whose box, turned by some quarters clockwise, covers `area`.
    #[must_use]
    pub fn covering(kind: usize, area: Area, quarters: u8) -> Self {
        let (left, top) = (area.x_nm, area.y_nm);
        let (right, bottom) = (area.right_nm(), area.bottom_nm());
        let (x_nm, y_nm) =
            [(left, top), (right, top), (right, bottom), (left, bottom)][usize::from(quarters % 4)];
        Self {
            kind,
            x_nm,
            y_nm,
            turn_mdeg: u32::from(quarters % 4) * QUARTER_MDEG,
            is_mirrored: false,
        }
    }

    /// The quarters by which the part is turned; `None` if it is turned by another angle.
    #[must_use]
    pub fn quarters(&self) -> Option<u8> {
        let is_quarter = self.turn_mdeg.is_multiple_of(QUARTER_MDEG);
        is_quarter.then(|| u8::try_from(self.turn_mdeg / QUARTER_MDEG % 4).expect("below 4"))
    }

    /// The area that the box of `part` covers here; `None` if it is not turned by quarters.
    #[must_use]
    pub fn area(&self, part: &PartKind) -> Option<Area> {
        let (x, y, w, h) = (self.x_nm, self.y_nm, part.width_nm, part.height_nm);
        self.quarters().map(|quarters| match quarters {
            0 => Area::from_edges(x, y, x + w, y + h),
            1 => Area::from_edges(x - h, y, x, y + w),
            2 => Area::from_edges(x - w, y - h, x, y),
            _ => Area::from_edges(x, y - w, x + h, y),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::super::TurnSet;
    use super::*;

    #[test]
    fn a_place_covers_the_area_it_was_made_for_in_every_quarter() {
        let part = PartKind::boxed(3, 7, 1, TurnSet::QUARTERS);
        for (quarters, corner) in [(0, (10, 20)), (1, (17, 20)), (2, (13, 27)), (3, (10, 23))] {
            let (w, h) = if quarters % 2 == 0 { (3, 7) } else { (7, 3) };
            let area = Area::from_edges(10, 20, 10 + w, 20 + h);
            let place = Place::covering(0, area, quarters);
            // Turned clockwise about its top left corner by a quarter, a box reaches to the left of that corner and down.
            assert_eq!((place.x_nm, place.y_nm), corner);
            assert_eq!(place.area(&part), Some(area));
            assert_eq!(place.quarters(), Some(quarters));
        }
    }
}
