//! Sets of turns.

/// A set of turns, clockwise as seen: some of the four quarters, or every angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TurnSet {
    quarters: [bool; 4],
    is_any: bool,
}

impl TurnSet {
    /// No turn is allowed, not even none at all.
    pub const EMPTY: Self = Self {
        quarters: [false; 4],
        is_any: false,
    };
    /// Every quarter turn.
    pub const QUARTERS: Self = Self {
        quarters: [true; 4],
        is_any: false,
    };
    /// Every angle.
    pub const ANY: Self = Self {
        quarters: [true; 4],
        is_any: true,
    };

    /// Returns the set of those turns for which `is_allowed` holds; turns are counted in quarters, 0 to 3.
    #[must_use]
    pub fn of(is_allowed: impl Fn(u8) -> bool) -> Self {
        Self {
            quarters: [0, 1, 2, 3].map(is_allowed),
            is_any: false,
        }
    }

    /// Whether that many quarter turns are allowed.
    #[must_use]
    pub fn has(self, quarters: u8) -> bool {
        self.quarters[usize::from(quarters % 4)]
    }

    /// Whether every angle is allowed.
    #[must_use]
    pub fn is_any(self) -> bool {
        self.is_any
    }

    /// Whether no turn is allowed, not even none at all.
    #[must_use]
    pub fn is_empty(self) -> bool {
        self == Self::EMPTY
    }

    /// The smallest allowed quarter turn that leaves width and height where they are.
    #[must_use]
    pub fn upright(self) -> Option<u8> {
        [0, 2].into_iter().find(|q| self.has(*q))
    }

    /// The smallest allowed quarter turn that swaps width and height.
    #[must_use]
    pub fn sideways(self) -> Option<u8> {
        [1, 3].into_iter().find(|q| self.has(*q))
    }
}
