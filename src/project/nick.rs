//! What holds a piece in its sheet while a machine cuts it.

use crate::length::Size;

/// Uncut bridges in the cut of an outline, spread evenly over it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nicks {
    /// How many; at least 1.
    pub count: u32,
    /// Length of each along the outline.
    pub length: Size,
}
