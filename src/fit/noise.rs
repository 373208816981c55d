//! What is taken for the error of the readings.

/// Least error of one typed coordinate that is believed, in millimetres: half of what a fine rule shows.
pub const LEAST_TYPED_MM: f64 = 0.05;

/// Least error of one coordinate found in a scan that is believed, in millimetres.
pub const LEAST_SCANNED_MM: f64 = 0.01;

/// What is taken for the error of the readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Noise {
    /// What the pairs say.
    Known,
    /// What their residuals say, times what the pairs say, but no less than this: few residuals may be small by chance.
    Estimated {
        /// [`LEAST_TYPED_MM`] or [`LEAST_SCANNED_MM`] for [`Pair::new`](super::Pair::new); a share of the pairs' own error otherwise.
        least: f64,
    },
}

impl Noise {
    /// The factor on what the pairs say, infinite where it is to be estimated and cannot be.
    pub(super) fn sigma(self, estimated: Option<f64>) -> f64 {
        match self {
            Self::Known => 1.0,
            Self::Estimated { least } => estimated.map_or(f64::INFINITY, |s| s.max(least)),
        }
    }
}
