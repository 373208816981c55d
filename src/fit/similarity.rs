//! Shift, turn and, if asked for, one scale.
//!
//! After Umeyama (1991): centres first; in the plane his singular value decomposition comes to the direction of the sum of all
//! products of nominal and measured arms, taken as complex numbers, and the scale to that sum's length over the nominal spread.

use kurbo::{Affine, Vec2};

use super::pair::{Centred, Pair};
use super::{FitError, MapFit, Model, Spread};
use crate::math::hypot;

/// Returns the shift and turn that bring the nominal points nearest to the measured ones, in weighted squared distance.
///
/// # Errors
///
/// There are fewer than two pairs, or all nominal points are one.
pub fn rigid(pairs: &[Pair]) -> Result<MapFit, FitError> {
    let (all, cos, sin) = direction(pairs, Model::Rigid)?;
    // The error of the turn moves a point across its arm as the turned arm lies.
    let turn = 1.0 / all.spread;
    let spread = Spread {
        about: all.nominal,
        x: [
            sin * sin * turn,
            sin * cos * turn,
            cos * cos * turn,
            0.0,
            0.0,
            1.0 / all.weight,
        ],
        y: [
            cos * cos * turn,
            -sin * cos * turn,
            sin * sin * turn,
            0.0,
            0.0,
            1.0 / all.weight,
        ],
    };
    Ok(MapFit::new(
        Model::Rigid,
        about_centres(&all, cos, sin),
        spread,
        pairs,
    ))
}

/// Returns the shift, turn and scale that bring the nominal points nearest to the measured ones, in weighted squared distance.
///
/// # Errors
///
/// There are fewer than two pairs, or all nominal points are one.
///
/// # Examples
///
/// ```
/// use kurbo::Point;
/// use sheetwright::fit::{Pair, similarity};
///
/// // Two marks 100 mm apart, found 101 mm apart and a quarter turn on.
/// let pairs = [
///     Pair::new(Point::new(0.0, 0.0), Point::new(5.0, 5.0)),
///     Pair::new(Point::new(100.0, 0.0), Point::new(5.0, 106.0)),
/// ];
/// let fit = similarity(&pairs).unwrap();
/// let on = fit.map * Point::new(0.0, 100.0);
/// assert!((on.x - (5.0 - 101.0)).abs() < 1e-9 && (on.y - 5.0).abs() < 1e-9);
/// ```
pub fn similarity(pairs: &[Pair]) -> Result<MapFit, FitError> {
    let (all, cos, sin) = direction(pairs, Model::Similarity)?;
    let scale = hypot(all.along, all.across) / all.spread;
    let entry = 1.0 / all.spread;
    let row = [entry, 0.0, entry, 0.0, 0.0, 1.0 / all.weight];
    let spread = Spread {
        about: all.nominal,
        x: row,
        y: row,
    };
    let map = about_centres(&all, scale * cos, scale * sin);
    Ok(MapFit::new(Model::Similarity, map, spread, pairs))
}

/// Centres and moments, and cosine and sine of the turn.
fn direction(pairs: &[Pair], model: Model) -> Result<(Centred, f64, f64), FitError> {
    super::check(pairs, model.least_pairs())?;
    let all = Centred::of(pairs);
    let length = hypot(all.along, all.across);
    if all.spread <= 0.0 || length <= 0.0 {
        return Err(FitError::OneLine);
    }
    Ok((all, all.along / length, all.across / length))
}

fn about_centres(all: &Centred, cos: f64, sin: f64) -> Affine {
    let turn = Affine::new([cos, sin, -sin, cos, 0.0, 0.0]);
    let shift: Vec2 = all.measured - turn * all.nominal;
    Affine::translate(shift) * turn
}
