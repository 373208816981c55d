//! Maps fitted to measured points, and how far such a map may be wrong.
//!
//! Points are millimetres unless a name says otherwise, y down. A map takes nominal points to measured ones. [`Spread`] is what a
//! fit knows of its own error; everything that states "19 in 20 within ..." goes through it.
//!
//! [`Pair`]s go into [`rigid()`], [`similarity()`], [`affine()`] or [`projective()`]; [`choose`] takes the kind of map that the pairs
//! bear, and [`slip`] tells which pair contradicts the others. Readings of one coordinate at a time go into [`fit_row`], differences
//! between two prints into [`fit_difference`].

mod affine;
mod choice;
mod difference;
mod fit_error;
mod homography;
mod linear;
mod map_fit;
mod model;
mod noise;
mod pair;
mod projective;
mod row;
mod similarity;
mod slip;
mod spread;
mod statistic;
mod terms;
mod turned_scans;
mod vernier;

pub use affine::affine;
pub use choice::{Choice, Reason, choose, larger_model_chance};
pub use difference::{Difference, fit_difference};
pub use fit_error::FitError;
pub use homography::Homography;
pub use map_fit::MapFit;
pub use model::Model;
pub use noise::{LEAST_SCANNED_MM, LEAST_TYPED_MM, Noise};
pub use pair::{Pair, is_mirrored};
pub use projective::{ProjectiveFit, projective};
pub use row::{Reading, RowFit, fit_row};
pub use similarity::{rigid, similarity};
pub use slip::{Cleaned, PairTest, Slip, clean, slip, tests};
pub use spread::{RADIUS_95, Spread};
pub use statistic::{chi2_tail, f_tail, f95_of_2, normal_tail};
pub use terms::{BAND_95, Terms};
pub use turned_scans::TurnedScans;
pub use vernier::vernier_fraction;

/// Returns the map of a kind that brings the nominal points nearest to the measured ones.
///
/// # Errors
///
/// There are too few pairs, or they lie on one line.
pub fn fit(model: Model, pairs: &[Pair]) -> Result<MapFit, FitError> {
    match model {
        Model::Rigid => rigid(pairs),
        Model::Similarity => similarity(pairs),
        Model::Affine => affine(pairs),
    }
}

/// Checks that there are enough pairs, and that they are numbers.
fn check(pairs: &[Pair], needed: usize) -> Result<(), FitError> {
    let given = pairs.len();
    if given < needed {
        return Err(FitError::TooFew { needed, given });
    }
    let is_number = |p: &Pair| {
        p.nominal.is_finite()
            && p.measured.is_finite()
            && p.sigma_mm.is_finite()
            && p.sigma_mm > 0.0
    };
    if pairs.iter().all(is_number) {
        Ok(())
    } else {
        Err(FitError::NoNumber)
    }
}

/// A number of things as a number to reckon with.
fn count(number: usize) -> f64 {
    u32::try_from(number).map_or(f64::INFINITY, f64::from)
}
