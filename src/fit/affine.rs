//! A scale each way, shear, turn and shift.

use kurbo::{Affine, Point};

use super::linear::{Equation, solve};
use super::pair::{Centred, Pair};
use super::{FitError, MapFit, Model, Spread};

/// Returns the affine map that brings the nominal points nearest to the measured ones, in weighted squared distance.
///
/// # Errors
///
/// There are fewer than three pairs, or the nominal points lie on one line.
pub fn affine(pairs: &[Pair]) -> Result<MapFit, FitError> {
    super::check(pairs, Model::Affine.least_pairs())?;
    let all = Centred::of(pairs);
    let unit_mm = all.radius_mm();
    if unit_mm <= 0.0 {
        return Err(FitError::OneLine);
    }
    let row = |value: fn(&Pair, Point) -> f64| {
        let equations: Vec<Equation<3>> = pairs
            .iter()
            .map(|p| {
                let arm = (p.nominal - all.nominal) / unit_mm;
                Equation {
                    design: [arm.x, arm.y, 1.0],
                    value: value(p, all.measured),
                    weight: p.weight(),
                }
            })
            .collect();
        solve(&equations).ok_or(FitError::OneLine)
    };
    let x = row(|p, centre| p.measured.x - centre.x)?;
    let y = row(|p, centre| p.measured.y - centre.y)?;
    let about_centre = Affine::new([
        x.values[0] / unit_mm,
        y.values[0] / unit_mm,
        x.values[1] / unit_mm,
        y.values[1] / unit_mm,
        all.measured.x + x.values[2],
        all.measured.y + y.values[2],
    ]);
    let map = about_centre * Affine::translate(-all.nominal.to_vec2());
    let covariance = row_covariance(&x.covariance, unit_mm);
    let spread = Spread {
        about: all.nominal,
        x: covariance,
        y: covariance,
    };
    Ok(MapFit::new(Model::Affine, map, spread, pairs))
}

/// The covariance of a row's entries in [`Spread`]'s order, where the arms were counted in `unit_mm`.
pub(super) fn row_covariance(scaled: &nalgebra::Matrix3<f64>, unit_mm: f64) -> [f64; 6] {
    let square = unit_mm * unit_mm;
    [
        scaled[(0, 0)] / square,
        scaled[(0, 1)] / square,
        scaled[(1, 1)] / square,
        scaled[(0, 2)] / unit_mm,
        scaled[(1, 2)] / unit_mm,
        scaled[(2, 2)],
    ]
}
