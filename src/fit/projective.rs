//! A homography fitted to pairs: first by the normalised direct linear transform, then by the distances in the picture.
//!
//! After Hartley (1997): both point sets are shifted to centre 0 and scaled to mean distance root 2; the direct fit is the last right
//! singular vector of the equations. From there Gauss-Newton steps bring down the sum of squared distances; a step that does not is
//! halved. Some five steps do, each costs a few thousand multiplications.

use kurbo::Point;
use nalgebra::{DMatrix, Matrix3, SMatrix, SVector};

use super::pair::{Pair, length};
use super::{FitError, Homography, count};

/// Numbers of such a map.
const PARAMETERS: usize = 8;

/// Steps at most: the steps shrink by some hundred times each, so that ten reach the last digit.
const MOST_STEPS: usize = 40;

/// A step below this, in normalised coordinates, is none.
const LEAST_STEP: f64 = 1e-14;

type Normal = SMatrix<f64, PARAMETERS, PARAMETERS>;
type Vector = SVector<f64, PARAMETERS>;

/// A homography fitted to pairs, with what is left over, in the unit of the measured points.
#[derive(Debug, Clone, PartialEq)]
pub struct ProjectiveFit {
    /// Nominal points to measured ones.
    pub map: Homography,
    /// The direct fit that it began with.
    pub direct: Homography,
    /// The pairs it was fitted to.
    pub pairs: Vec<Pair>,
    /// Measured minus mapped points, in the order of the pairs.
    pub residuals: Vec<kurbo::Vec2>,
    scaled: Scaled,
}

/// The map between normalised points, its last entry 1, and the covariance of the other eight.
#[derive(Debug, Clone, PartialEq)]
struct Scaled {
    nominal: Matrix3<f64>,
    measured: Matrix3<f64>,
    values: Vector,
    covariance: Normal,
}

/// Fits a homography to pairs by weighted least squares of the distances at the measured points.
///
/// # Errors
///
/// There are fewer than four pairs, or three of four lie on one line.
pub fn projective(pairs: &[Pair]) -> Result<ProjectiveFit, FitError> {
    super::check(pairs, PARAMETERS / 2)?;
    let nominal = normaliser(pairs, |p| p.nominal).ok_or(FitError::OneLine)?;
    let measured = normaliser(pairs, |p| p.measured).ok_or(FitError::OneLine)?;
    let scaled: Vec<Pair> = pairs
        .iter()
        .map(|p| Pair {
            nominal: apply(&nominal, p.nominal),
            measured: apply(&measured, p.measured),
            sigma_mm: p.sigma_mm,
        })
        .collect();
    let start = direct(&scaled).ok_or(FitError::OneLine)?;
    let (values, covariance) = refine(&scaled, start).ok_or(FitError::OneLine)?;
    let scaled = Scaled {
        nominal,
        measured,
        values,
        covariance,
    };
    let map = scaled.homography(&values).ok_or(FitError::OneLine)?;
    let direct = scaled.homography(&start).ok_or(FitError::OneLine)?;
    let residuals = pairs
        .iter()
        .map(|p| p.measured - map.apply(p.nominal))
        .collect();
    Ok(ProjectiveFit {
        map,
        direct,
        pairs: pairs.to_vec(),
        residuals,
        scaled,
    })
}

impl ProjectiveFit {
    /// Returns the root of the mean squared length of the residuals.
    #[must_use]
    pub fn rms(&self) -> f64 {
        let sum: f64 = self.residuals.iter().map(|r| r.hypot2()).sum();
        (sum / count(self.residuals.len())).sqrt()
    }

    /// Returns the length of the longest residual.
    #[must_use]
    pub fn max(&self) -> f64 {
        self.residuals
            .iter()
            .map(|r| length(*r))
            .fold(0.0, f64::max)
    }

    /// Returns how many readings are left to check the map with.
    #[must_use]
    pub fn freedom(&self) -> usize {
        2 * self.pairs.len() - PARAMETERS
    }

    /// Returns the sum of the squared residuals, each in units of its pair's error.
    #[must_use]
    pub fn square_sum(&self) -> f64 {
        let both = self.pairs.iter().zip(&self.residuals);
        both.map(|(pair, r)| pair.weight() * r.hypot2()).sum()
    }

    /// Returns the variance of the map at a nominal point, the mean of both coordinates', in units of the pairs' variance.
    #[must_use]
    pub fn leverage_at(&self, at: Point) -> f64 {
        let scaled = &self.scaled;
        let [x, y] = slopes(&scaled.values, apply(&scaled.nominal, at));
        let unit = scaled.measured[(0, 0)];
        let variance = |row: Vector| (row.transpose() * scaled.covariance * row)[0] / (unit * unit);
        f64::midpoint(variance(x), variance(y))
    }
}

impl Scaled {
    fn homography(&self, values: &Vector) -> Option<Homography> {
        let back = self.measured.try_inverse()?;
        Homography::from_matrix(back * matrix(values) * self.nominal)
    }
}

/// The map that brings points to centre 0 and mean distance root 2.
fn normaliser(pairs: &[Pair], place: fn(&Pair) -> Point) -> Option<Matrix3<f64>> {
    let number = count(pairs.len());
    let sum = pairs
        .iter()
        .fold(kurbo::Vec2::ZERO, |sum, p| sum + place(p).to_vec2());
    let centre = (sum / number).to_point();
    let mean: f64 = pairs.iter().map(|p| length(place(p) - centre)).sum::<f64>() / number;
    let scale = std::f64::consts::SQRT_2 / mean;
    scale.is_finite().then(|| {
        Matrix3::new(
            scale,
            0.0,
            -scale * centre.x,
            0.0,
            scale,
            -scale * centre.y,
            0.0,
            0.0,
            1.0,
        )
    })
}

fn apply(map: &Matrix3<f64>, at: Point) -> Point {
    Point::new(
        map[(0, 0)] * at.x + map[(0, 2)],
        map[(1, 1)] * at.y + map[(1, 2)],
    )
}

fn matrix(h: &Vector) -> Matrix3<f64> {
    Matrix3::new(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], 1.0)
}

/// The direct fit: the vector that the equations send nearest to zero. Rows of zeros fill four pairs' eight equations up to nine.
fn direct(pairs: &[Pair]) -> Option<Vector> {
    let rows = (2 * pairs.len()).max(9);
    let mut equations = DMatrix::<f64>::zeros(rows, 9);
    for (i, pair) in pairs.iter().enumerate() {
        let (x, y) = (pair.nominal.x, pair.nominal.y);
        let (u, v) = (pair.measured.x, pair.measured.y);
        let first = [-x, -y, -1.0, 0.0, 0.0, 0.0, u * x, u * y, u];
        let second = [0.0, 0.0, 0.0, -x, -y, -1.0, v * x, v * y, v];
        for j in 0..9 {
            equations[(2 * i, j)] = first[j];
            equations[(2 * i + 1, j)] = second[j];
        }
    }
    let found = equations.svd(false, true);
    let sorted = found.singular_values;
    // Where a second vector is sent to zero as well, the pairs leave the map open.
    if sorted[7] <= 1e-9 * sorted[0] {
        return None;
    }
    let right = found.v_t?;
    let last = right[(8, 8)];
    let values = Vector::from_fn(|j, _| right[(8, j)] / last);
    values.iter().all(|v| v.is_finite()).then_some(values)
}

/// Derivatives of both coordinates by the eight numbers.
fn slopes(h: &Vector, at: Point) -> [Vector; 2] {
    let (x, y) = (at.x, at.y);
    let below = h[6] * x + h[7] * y + 1.0;
    let u = (h[0] * x + h[1] * y + h[2]) / below;
    let v = (h[3] * x + h[4] * y + h[5]) / below;
    [
        Vector::from([x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y]) / below,
        Vector::from([0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y]) / below,
    ]
}

/// Residuals of one pair.
fn misses(h: &Vector, pair: &Pair) -> [f64; 2] {
    let (x, y) = (pair.nominal.x, pair.nominal.y);
    let below = h[6] * x + h[7] * y + 1.0;
    [
        pair.measured.x - (h[0] * x + h[1] * y + h[2]) / below,
        pair.measured.y - (h[3] * x + h[4] * y + h[5]) / below,
    ]
}

fn square_sum(h: &Vector, pairs: &[Pair]) -> f64 {
    let squares = pairs.iter().map(|p| {
        let [x, y] = misses(h, p);
        p.weight() * (x * x + y * y)
    });
    squares.sum()
}

/// Brings down the squared distances; returns the eight numbers and their covariance.
fn refine(pairs: &[Pair], start: Vector) -> Option<(Vector, Normal)> {
    let mut values = start;
    let mut sum = square_sum(&values, pairs);
    for _ in 0..MOST_STEPS {
        let (normal, right) = normal_equations(&values, pairs);
        let step = nalgebra::Cholesky::new(normal)?.solve(&right);
        let Some((next, next_sum)) = downhill(&values, &step, sum, pairs) else {
            break;
        };
        (values, sum) = (next, next_sum);
        if step.amax() < LEAST_STEP {
            break;
        }
    }
    let (normal, _) = normal_equations(&values, pairs);
    Some((values, nalgebra::Cholesky::new(normal)?.inverse()))
}

/// The step, or the largest of its halves that does not go uphill; `None` where the bottom is reached.
fn downhill(values: &Vector, step: &Vector, sum: f64, pairs: &[Pair]) -> Option<(Vector, f64)> {
    (0..20).find_map(|halvings| {
        let next = values + step * 0.5_f64.powi(halvings);
        let next_sum = square_sum(&next, pairs);
        (next_sum < sum).then_some((next, next_sum))
    })
}

fn normal_equations(values: &Vector, pairs: &[Pair]) -> (Normal, Vector) {
    let (mut normal, mut right) = (Normal::zeros(), Vector::zeros());
    for pair in pairs {
        for (slope, miss) in slopes(values, pair.nominal)
            .iter()
            .zip(misses(values, pair))
        {
            normal += slope * slope.transpose() * pair.weight();
            right += slope * (pair.weight() * miss);
        }
    }
    (normal, right)
}
