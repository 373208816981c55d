//! Kinds of maps, from the stiffest to the softest.

/// A kind of map from nominal to measured points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Model {
    /// Shift and turn.
    Rigid,
    /// Shift, turn and one scale.
    Similarity,
    /// Shift, turn, a scale each way, and shear.
    Affine,
}

impl Model {
    /// Returns how many numbers such a map has.
    #[must_use]
    pub const fn parameters(self) -> usize {
        match self {
            Self::Rigid => 3,
            Self::Similarity => 4,
            Self::Affine => 6,
        }
    }

    /// Returns the fewest pairs that fix such a map.
    #[must_use]
    pub const fn least_pairs(self) -> usize {
        self.parameters().div_ceil(2)
    }

    /// Returns how many readings are left to check the map with, when each pair gives two.
    #[must_use]
    pub const fn freedom(self, pairs: usize) -> usize {
        (2 * pairs).saturating_sub(self.parameters())
    }

    /// Returns the name that reports use under `--details`.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Rigid => "rigid",
            Self::Similarity => "similarity",
            Self::Affine => "affine",
        }
    }
}
