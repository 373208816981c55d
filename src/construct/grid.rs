//! The hand grid: the step to which a maker measures.

use crate::length::Length;

/// The step on which every crease and cut of a construction lies; none leaves sizes as they come.
///
/// # Examples
///
/// ```
/// use sheetwright::construct::Grid;
/// use sheetwright::length::Length;
///
/// let grid = Grid::of(Length::from_inch_fraction(1, 16));
/// // 60.3 mm is 37.98 sixteenths.
/// assert_eq!(grid.up(Length::from_um(60_300)), Length::from_inch_fraction(38, 16));
/// assert_eq!(grid.down(Length::from_um(60_300)), Length::from_inch_fraction(37, 16));
/// assert_eq!(Grid::NONE.up(Length::from_um(60_300)), Length::from_um(60_300));
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    step_nm: i64,
}

impl Grid {
    /// No grid: sizes stay as they come.
    pub const NONE: Self = Self { step_nm: 1 };

    /// Returns the grid of this step.
    ///
    /// # Panics
    ///
    /// Panics if the step is not greater than zero.
    #[must_use]
    pub fn of(step: Length) -> Self {
        assert!(step > Length::ZERO, "a grid has a step");
        Self { step_nm: step.nm() }
    }

    /// Whether sizes stay as they come.
    #[must_use]
    pub fn is_none(self) -> bool {
        self.step_nm == 1
    }

    /// Returns the step.
    #[must_use]
    pub const fn step(self) -> Length {
        Length::from_nm(self.step_nm)
    }

    /// Returns the least length on the grid that is not less.
    #[must_use]
    pub fn up(self, length: Length) -> Length {
        Length::from_nm(-(-length.nm()).div_euclid(self.step_nm) * self.step_nm)
    }

    /// Returns the greatest length on the grid that is not more.
    #[must_use]
    pub fn down(self, length: Length) -> Length {
        Length::from_nm(length.nm().div_euclid(self.step_nm) * self.step_nm)
    }

    /// Returns the nearest length on the grid, halves up.
    #[must_use]
    pub fn nearest(self, length: Length) -> Length {
        self.down(length + Length::from_nm(self.step_nm / 2))
    }
}
