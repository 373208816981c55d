//! How two prints of one page differ: front and back, or before and after.

use kurbo::{Affine, Point, Vec2};

use super::linear::{Equation, solve};
use super::statistic::chi2_tail;
use super::{FitError, Pair, Spread};
use crate::math::hypot;

/// How two prints of one page differ: `d(p) = t + k (p - c) + w J (p - c)`, with `J` a quarter turn clockwise as seen.
#[derive(Debug, Clone, PartialEq)]
pub struct Difference {
    /// `c`: the weighted centre of the places where it was read.
    pub centre: Point,
    /// `t`: how far the second is shifted there, in millimetres.
    pub shift: Vec2,
    /// `k`: how much larger the second is, as a share.
    pub scale: f64,
    /// `w`: how far the second is turned clockwise, in radians.
    pub turn_rad: f64,
    /// What was read minus what this says, in millimetres.
    pub residuals: Vec<Vec2>,
    /// Variance of each coordinate of the shift, in square millimetres.
    pub shift_variance_mm2: f64,
    /// Variance of the scale and of the turn, which are known equally well.
    pub turn_variance: f64,
    square_sum: f64,
}

/// Fits a shift, a scale and a turn to differences read at some places; a pair's `measured` is its `nominal` plus the difference.
///
/// # Errors
///
/// There are fewer than two places, or all are one.
pub fn fit_difference(pairs: &[Pair]) -> Result<Difference, FitError> {
    super::check(pairs, 2)?;
    let all = super::pair::Centred::of(pairs);
    let unit_mm = all.radius_mm();
    if unit_mm <= 0.0 {
        return Err(FitError::OneLine);
    }
    let equations: Vec<Equation<4>> = pairs
        .iter()
        .flat_map(|p| {
            let (arm, d) = ((p.nominal - all.nominal) / unit_mm, p.measured - p.nominal);
            let row = |design, value| Equation {
                design,
                value,
                weight: 1.0 / (p.sigma_mm * p.sigma_mm),
            };
            [
                row([1.0, 0.0, arm.x, -arm.y], d.x),
                row([0.0, 1.0, arm.y, arm.x], d.y),
            ]
        })
        .collect();
    let found = solve(&equations).ok_or(FitError::OneLine)?;
    let mut difference = Difference {
        centre: all.nominal,
        shift: Vec2::new(found.values[0], found.values[1]),
        scale: found.values[2] / unit_mm,
        turn_rad: found.values[3] / unit_mm,
        residuals: Vec::new(),
        shift_variance_mm2: found.covariance[(0, 0)],
        turn_variance: found.covariance[(3, 3)] / (unit_mm * unit_mm),
        square_sum: 0.0,
    };
    for pair in pairs {
        let residual = pair.measured - pair.nominal - difference.at(pair.nominal);
        difference.square_sum += residual.hypot2() / (pair.sigma_mm * pair.sigma_mm);
        difference.residuals.push(residual);
    }
    Ok(difference)
}

impl Difference {
    /// Returns how far a place of the second print lies from where the first has it, in millimetres.
    #[must_use]
    pub fn at(&self, at: Point) -> Vec2 {
        let arm = at - self.centre;
        self.shift + self.scale * arm + self.turn_rad * Vec2::new(-arm.y, arm.x)
    }

    /// Returns the second print's map, of the page to the sheet in one view, where the first print's is known.
    #[must_use]
    pub fn added_to(&self, first: Affine) -> Affine {
        let (k, w) = (self.scale, self.turn_rad);
        let from_origin = self.at(Point::ZERO);
        let own = [k, w, -w, k, from_origin.x, from_origin.y];
        let first = first.as_coeffs();
        Affine::new(std::array::from_fn(|i| first[i] + own[i]))
    }

    /// Returns how far that difference may be wrong, by the errors that the readings say they have.
    #[must_use]
    pub fn spread(&self) -> Spread {
        let turn = self.turn_variance;
        let row = [turn, 0.0, turn, 0.0, 0.0, self.shift_variance_mm2];
        Spread {
            about: self.centre,
            x: row,
            y: row,
        }
    }

    /// Returns how many readings are left to check it with.
    #[must_use]
    pub fn freedom(&self) -> usize {
        2 * self.residuals.len() - 4
    }

    /// Returns the chance that readings contradict each other as much as these, or more, with the errors that they say they have.
    #[must_use]
    pub fn chance(&self) -> f64 {
        chi2_tail(self.square_sum, self.freedom())
    }

    /// Returns the length of the longest residual, in millimetres.
    #[must_use]
    pub fn max_mm(&self) -> f64 {
        let lengths = self.residuals.iter().map(|r| hypot(r.x, r.y));
        lengths.fold(0.0, f64::max)
    }
}
