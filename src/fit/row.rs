//! One coordinate read at several places: `r = m0 x + m1 y + b`.

use kurbo::{Affine, Point};

use super::affine::row_covariance;
use super::linear::{Equation, solve};
use super::statistic::{chi2_tail, normal_tail};
use super::{FitError, Spread, count};
use crate::math::hypot;

/// One coordinate read at one place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Where, in millimetres.
    pub at: Point,
    /// What was read, in millimetres.
    pub value_mm: f64,
    /// Standard deviation of that, in millimetres.
    pub sigma_mm: f64,
}

impl Reading {
    fn weight(&self) -> f64 {
        1.0 / (self.sigma_mm * self.sigma_mm)
    }
}

/// One row of an affine map, fitted to readings of one coordinate.
#[derive(Debug, Clone, PartialEq)]
pub struct RowFit {
    /// Factor on x.
    pub along_x: f64,
    /// Factor on y.
    pub along_y: f64,
    /// Value at the origin, in millimetres.
    pub shift_mm: f64,
    /// The readings.
    pub readings: Vec<Reading>,
    /// Readings minus what the row gives, in millimetres.
    pub residuals_mm: Vec<f64>,
    /// The point that `covariance` is counted from: the weighted centre of the readings' places.
    pub about: Point,
    /// Covariance of the row as [`Spread`] orders it, by the errors that the readings say they have.
    pub covariance: [f64; 6],
}

/// Fits one row of an affine map to readings of one coordinate, by weighted least squares.
///
/// # Errors
///
/// There are fewer than three readings, or their places lie on one line.
///
/// # Examples
///
/// ```
/// use kurbo::Point;
/// use sheetwright::fit::{Reading, fit_row};
///
/// let read = |x, y, value_mm| Reading { at: Point::new(x, y), value_mm, sigma_mm: 0.1 };
/// // 1 % too wide, and 0.5 mm to the right.
/// let row = fit_row(&[read(0.0, 0.0, 0.5), read(100.0, 0.0, 101.5), read(0.0, 200.0, 0.5), read(100.0, 200.0, 101.5)]).unwrap();
/// assert!((row.along_x - 1.01).abs() < 1e-12 && row.along_y.abs() < 1e-12 && (row.shift_mm - 0.5).abs() < 1e-9);
/// // Four readings of 0.1 mm: their mean is known to 0.05 mm.
/// assert!((row.variance_mm2(Point::new(50.0, 100.0)).sqrt() - 0.05).abs() < 1e-9);
/// ```
pub fn fit_row(readings: &[Reading]) -> Result<RowFit, FitError> {
    check(readings)?;
    let weight: f64 = readings.iter().map(Reading::weight).sum();
    let sum = readings.iter().fold(kurbo::Vec2::ZERO, |sum, r| {
        sum + r.at.to_vec2() * r.weight()
    });
    let about = (sum / weight).to_point();
    let arms = readings
        .iter()
        .map(|r| hypot(r.at.x - about.x, r.at.y - about.y));
    let unit_mm = arms.fold(0.0, f64::max);
    if unit_mm <= 0.0 {
        return Err(FitError::OneLine);
    }
    let equations: Vec<Equation<3>> = readings
        .iter()
        .map(|r| Equation {
            design: [
                (r.at.x - about.x) / unit_mm,
                (r.at.y - about.y) / unit_mm,
                1.0,
            ],
            value: r.value_mm,
            weight: r.weight(),
        })
        .collect();
    let found = solve(&equations).ok_or(FitError::OneLine)?;
    let (along_x, along_y) = (found.values[0] / unit_mm, found.values[1] / unit_mm);
    let mut row = RowFit {
        along_x,
        along_y,
        shift_mm: found.values[2] - along_x * about.x - along_y * about.y,
        readings: readings.to_vec(),
        residuals_mm: Vec::new(),
        about,
        covariance: row_covariance(&found.covariance, unit_mm),
    };
    row.residuals_mm = readings
        .iter()
        .map(|r| r.value_mm - row.value_mm(r.at))
        .collect();
    Ok(row)
}

fn check(readings: &[Reading]) -> Result<(), FitError> {
    let given = readings.len();
    if given < 3 {
        return Err(FitError::TooFew { needed: 3, given });
    }
    let is_number = |r: &Reading| {
        let sigma = r.sigma_mm.is_finite() && r.sigma_mm > 0.0;
        r.at.is_finite() && r.value_mm.is_finite() && sigma
    };
    if readings.iter().all(is_number) {
        Ok(())
    } else {
        Err(FitError::NoNumber)
    }
}

impl RowFit {
    /// Returns what the row gives at a place, in millimetres.
    #[must_use]
    pub fn value_mm(&self, at: Point) -> f64 {
        self.along_x * at.x + self.along_y * at.y + self.shift_mm
    }

    /// Returns the variance of that, by the errors that the readings say they have, in square millimetres.
    #[must_use]
    pub fn variance_mm2(&self, at: Point) -> f64 {
        self.as_spread().variances_mm2(at).0
    }

    /// Returns how many readings are left to check the row with.
    #[must_use]
    pub fn freedom(&self) -> usize {
        self.readings.len() - 3
    }

    /// Returns how far the readings contradict each other, in millimetres: with a standard deviation as large as one reading's. For four
    /// readings at the corners of a rectangle this is `|r1 - r2 - r3 + r4| / 2`. 0 where nothing is left to check with.
    #[must_use]
    pub fn check_mm(&self) -> f64 {
        if self.freedom() == 0 {
            return 0.0;
        }
        let sum: f64 = self.residuals_mm.iter().map(|r| r * r).sum();
        (sum / count(self.freedom())).sqrt()
    }

    /// Returns the chance that readings contradict each other as much as these, or more, with the errors that they say they have.
    #[must_use]
    pub fn chance(&self) -> f64 {
        let both = self.readings.iter().zip(&self.residuals_mm);
        let chi2: f64 = both.map(|(r, e)| r.weight() * e * e).sum();
        chi2_tail(chi2, self.freedom())
    }

    /// Returns for each reading the chance that it lies so far from what the others say, or further; 1 where the others say nothing.
    #[must_use]
    pub fn chances(&self) -> Vec<f64> {
        let both = self.readings.iter().zip(&self.residuals_mm);
        both.map(|(reading, residual)| {
            let left_mm2 = reading.sigma_mm * reading.sigma_mm - self.variance_mm2(reading.at);
            if left_mm2 <= 1e-9 * reading.sigma_mm * reading.sigma_mm {
                1.0
            } else {
                normal_tail(residual / left_mm2.sqrt())
            }
        })
        .collect()
    }

    /// Returns the covariance of the row as [`Spread`] orders it, counted from another point.
    #[must_use]
    pub fn covariance_about(&self, about: Point) -> [f64; 6] {
        self.as_spread().counted_from(about).x
    }

    fn as_spread(&self) -> Spread {
        Spread {
            about: self.about,
            x: self.covariance,
            y: [0.0; 6],
        }
    }

    /// Returns the map that this row, which makes x, and another, which makes y, are together, and how far it may be wrong.
    #[must_use]
    pub fn with_y(&self, y: &Self) -> (Affine, Spread) {
        let map = Affine::new([
            self.along_x,
            y.along_x,
            self.along_y,
            y.along_y,
            self.shift_mm,
            y.shift_mm,
        ]);
        let spread = Spread {
            about: self.about,
            x: self.covariance,
            y: y.covariance_about(self.about),
        };
        (map, spread)
    }
}
