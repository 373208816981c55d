//! Errors in two directions that add up.

use std::ops::Add;

use crate::fit::RADIUS_95;

/// Half the width, in standard deviations, that holds 95 % of an error in one direction: the 97.5 % point of the normal distribution.
pub(super) const WIDTH_95: f64 = 1.959_963_984_540_054;

/// The variances of x and y, in square millimetres.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Variance {
    pub(super) x: f64,
    pub(super) y: f64,
}

impl Variance {
    pub(super) const fn new((x, y): (f64, f64)) -> Self {
        Self { x, y }
    }

    /// The same in both directions, given as a standard deviation.
    pub(super) fn of_sigma(sigma_mm: f64) -> Self {
        let square = sigma_mm * sigma_mm;
        Self {
            x: square,
            y: square,
        }
    }

    /// What holds 19 times in 20 in one direction.
    pub(super) fn within(across_mm: f64, down_mm: f64) -> Self {
        Self {
            x: square_of(across_mm),
            y: square_of(down_mm),
        }
    }

    /// The radius that holds 19 times in 20.
    pub(super) fn r95_mm(self) -> f64 {
        RADIUS_95 * ((self.x + self.y) / 2.0).max(0.0).sqrt()
    }
}

impl Add for Variance {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            x: self.x + other.x,
            y: self.y + other.y,
        }
    }
}

/// The variance of an error in one direction that stays within a width 19 times in 20.
pub(super) fn square_of(within_mm: f64) -> f64 {
    let sigma_mm = within_mm / WIDTH_95;
    sigma_mm * sigma_mm
}

/// The width that an error in one direction stays within 19 times in 20.
pub(super) fn width_95_mm(variance_mm2: f64) -> f64 {
    WIDTH_95 * variance_mm2.max(0.0).sqrt()
}
