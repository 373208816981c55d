//! The same pieces in other stock, artwork or number.

use super::Artwork;
use crate::diagnostic::Origin;

/// One edition of a job. All editions are planned together.
#[derive(Debug, Clone, PartialEq)]
pub struct Edition {
    /// Declared id; empty for the one edition of a file that declares none.
    pub id: String,
    /// Name for people; empty like the id.
    pub name: String,
    /// Copies asked for; at least 1.
    pub copies: u32,
    /// Copies made besides.
    pub spares: u32,
    /// Stock to use instead: (declared, used), positions in the project's list.
    pub stock_swaps: Vec<(usize, usize)>,
    /// Artwork to use instead.
    pub artwork_swaps: Vec<ArtworkSwap>,
    /// Where it is declared.
    pub origin: Origin,
}

/// Artwork an edition uses instead of the declared one.
#[derive(Debug, Clone, PartialEq)]
pub struct ArtworkSwap {
    /// Position of the piece in the project's list.
    pub piece: usize,
    /// Position of the artwork in the piece's list.
    pub artwork: usize,
    /// What is printed instead.
    pub instead: Artwork,
}
