//! Why points give no map.

use std::fmt;

/// Why points give no map.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FitError {
    /// There are fewer points than the map has unknowns.
    TooFew {
        /// How many are needed.
        needed: usize,
        /// How many there are.
        given: usize,
    },
    /// All points lie in one place or on one line, so that nothing is known beside it.
    OneLine,
    /// A coordinate is not a finite number, or a standard deviation is not above zero.
    NoNumber,
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { needed, given } => {
                write!(f, "{given} points are given, {needed} are needed")
            }
            Self::OneLine => f.write_str("the points lie on one line or in one place"),
            Self::NoNumber => {
                f.write_str("a coordinate is no number, or an error is not above zero")
            }
        }
    }
}

impl std::error::Error for FitError {}
