//! Weighted linear least squares of a few unknowns.
//!
//! By normal equations: callers hand in centred coordinates of about unit size, so that the sums keep all digits that matter.

use nalgebra::{SMatrix, SVector};

/// Least share of the largest eigenvalue that the smallest one must have: points that leave their common line by less than a
/// hundred-thousandth of their width are on it.
const LEAST_EIGENVALUE: f64 = 1e-10;

/// One equation: `design . unknowns = value`, with its weight, the inverse of its variance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Equation<const P: usize> {
    pub(super) design: [f64; P],
    pub(super) value: f64,
    pub(super) weight: f64,
}

/// The unknowns, and their covariance in units of the equations' variance.
#[derive(Debug, Clone, Copy)]
pub(super) struct Solution<const P: usize> {
    pub(super) values: SVector<f64, P>,
    pub(super) covariance: SMatrix<f64, P, P>,
}

/// Solves the equations, or returns `None` where they leave an unknown open.
pub(super) fn solve<const P: usize>(equations: &[Equation<P>]) -> Option<Solution<P>> {
    let mut normal = SMatrix::<f64, P, P>::zeros();
    let mut right = SVector::<f64, P>::zeros();
    for equation in equations {
        let row = SVector::from(equation.design);
        normal += row * row.transpose() * equation.weight;
        right += row * (equation.weight * equation.value);
    }
    let dynamic = nalgebra::DMatrix::from_fn(P, P, |i, j| normal[(i, j)]);
    let eigenvalues = dynamic.symmetric_eigenvalues();
    if eigenvalues.min().is_nan() || eigenvalues.min() <= LEAST_EIGENVALUE * eigenvalues.max() {
        return None;
    }
    let factor = nalgebra::Cholesky::new(normal)?;
    Some(Solution {
        values: factor.solve(&right),
        covariance: factor.inverse(),
    })
}
