//! Chances and percent points of the distributions that fits need.
//!
//! With two degrees in the numerator F has a closed form, and so has chi square with two degrees; the others come from `statrs`.

use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor, Normal};

use super::count;

/// Returns the 95 % point of F with 2 and `freedom` degrees; infinite for none.
///
/// From the tail `(1 + 2 F / n)^(-n/2)`.
///
/// # Examples
///
/// ```
/// // Tables of F print 5.14 for 2 and 6 degrees.
/// assert!((sheetwright::fit::f95_of_2(6) - 5.143).abs() < 0.001);
/// ```
#[must_use]
pub fn f95_of_2(freedom: usize) -> f64 {
    let n = count(freedom);
    n / 2.0 * (libm::pow(0.05, -2.0 / n) - 1.0)
}

/// Returns the chance that F with these degrees is as large as this or larger; 1 where a degree is 0.
#[must_use]
pub fn f_tail(f: f64, above: usize, below: usize) -> f64 {
    if above == 0 || below == 0 {
        return 1.0;
    }
    if above == 2 {
        let n = count(below);
        return libm::pow(1.0 + 2.0 * f.max(0.0) / n, -n / 2.0);
    }
    FisherSnedecor::new(count(above), count(below)).map_or(1.0, |d| d.sf(f.max(0.0)))
}

/// Returns the chance that chi square with these degrees is as large as this or larger; 1 where there is no degree.
#[must_use]
pub fn chi2_tail(chi2: f64, freedom: usize) -> f64 {
    match freedom {
        0 => 1.0,
        2 => libm::exp(-chi2 / 2.0),
        _ => ChiSquared::new(count(freedom)).map_or(1.0, |d| d.sf(chi2.max(0.0))),
    }
}

/// Returns the chance that a normal variable is this many standard deviations away from its mean, or further, on either side.
#[must_use]
pub fn normal_tail(deviations: f64) -> f64 {
    2.0 * Normal::standard().sf(deviations.abs())
}
