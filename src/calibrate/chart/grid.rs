//! The grid of targets, and the room between them.

use kurbo::{Point, Size};

use super::Target;
use crate::plan::MarkClass;
use crate::project::Face;

/// Distance of the outermost targets from the page's edges in millimetres: clear of an unprintable margin of 16.5 mm.
pub(super) const INSET_MM: f64 = 20.0;

/// Outer diameter of a target's ring in millimetres.
pub(super) const DIAMETER_MM: f64 = 6.0;

/// Least distance of neighbours in millimetres. A duplex station between four targets reaches 14.1 mm from its middle upwards and
/// downwards, and a target wants 4 mm of white around its centre.
pub(super) const LEAST_STEP_MM: f64 = 37.0;

/// Most targets along the shorter and the longer side.
const MOST: [u32; 2] = [5, 7];

/// Fewest along either side: five columns hold a middle one and two cells that are not at a corner.
const FEWEST: u32 = 5;

/// The shorter side of the smallest page with a chart, in millimetres.
pub(super) const LEAST_SIDE_MM: f64 = 2.0 * INSET_MM + 4.0 * LEAST_STEP_MM;

/// Targets in columns and rows, evenly spaced. Both counts are odd, so that one stands in the page's middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Grid {
    pub(super) columns: u32,
    pub(super) rows: u32,
    page: Size,
}

impl Grid {
    /// Returns the grid for a page, or `None` if the page is too small for one.
    pub(super) fn new(page: Size) -> Option<Self> {
        let is_lying = page.width > page.height;
        let [short, long] = MOST;
        let (columns, rows) = if is_lying {
            (long, short)
        } else {
            (short, long)
        };
        Some(Self {
            columns: fitting(page.width, columns)?,
            rows: fitting(page.height, rows)?,
            page,
        })
    }

    /// Distance of neighbouring columns and rows in millimetres.
    pub(super) fn step(&self) -> Size {
        Size::new(
            step_mm(self.page.width, self.columns),
            step_mm(self.page.height, self.rows),
        )
    }

    /// A place in the grid, counted in steps from the top left target; halves lie between targets.
    pub(super) fn at(&self, column: f64, row: f64) -> Point {
        let step = self.step();
        Point::new(INSET_MM + column * step.width, INSET_MM + row * step.height)
    }

    /// The targets of one face, row by row, as seen on its page.
    pub(super) fn targets(&self, face: Face) -> Vec<Target> {
        let places =
            (0..self.rows).flat_map(|row| (0..self.columns).map(move |column| (column, row)));
        let target = |(column, row): (u32, u32)| Target {
            id: id(column, row),
            centre: self.at(column.into(), row.into()),
            class: self.class(column, row, face),
            diameter_mm: DIAMETER_MM,
        };
        places.map(target).collect()
    }

    /// The corners tell how the page is turned and whether it is mirrored, the full target tells the face.
    fn class(&self, column: u32, row: u32, face: Face) -> MarkClass {
        let (last_column, last_row) = (self.columns - 1, self.rows - 1);
        let full_row = match face {
            Face::Front => self.rows / 2,
            Face::Back => 0,
        };
        if (column, row) == (self.columns / 2, full_row) {
            MarkClass::Full
        } else if (column, row) == (0, 0) {
            MarkClass::One
        } else if (column, row) == (last_column, 0) {
            MarkClass::TwoAdjacent
        } else if (column, row) == (last_column, last_row) {
            MarkClass::TwoOpposite
        } else if (column, row) == (0, last_row) {
            MarkClass::Three
        } else {
            MarkClass::Empty
        }
    }
}

fn step_mm(side_mm: f64, count: u32) -> f64 {
    (side_mm - 2.0 * INSET_MM) / f64::from(count - 1)
}

/// The largest odd count up to `most` whose steps are long enough.
fn fitting(side_mm: f64, most: u32) -> Option<u32> {
    (FEWEST..=most)
        .rev()
        .step_by(2)
        .find(|count| step_mm(side_mm, *count) >= LEAST_STEP_MM)
}

fn id(column: u32, row: u32) -> String {
    let letter = char::from_u32(u32::from('a') + column).expect("no more columns than letters");
    format!("{letter}{}", row + 1)
}
