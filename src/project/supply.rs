//! Things that are bought besides paper: film, ribbon, thread, adhesive strip, foam pads.

use super::Price;
use crate::diagnostic::Origin;
use crate::length::{Length, Size};

/// Something that copies need besides paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Supply {
    /// Declared id.
    pub id: String,
    /// Name for people; the id where none was given.
    pub name: String,
    /// How much of it is needed.
    pub need: Need,
    /// How it is sold; `None` where it need not be bought by the pack.
    pub pack: Option<Pack>,
    /// What of it is there, of the kind of the need.
    pub on_hand: Amount,
    /// Where it is declared.
    pub origin: Origin,
}

/// How much of a supply is needed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// So many lengths for each copy, each in one run: a seam only where the maker says so.
    Lengths {
        /// One of them, overlap included.
        each: Size,
        /// How much of each is the overlap of its seam.
        overlap: Length,
        /// How many a copy takes.
        per_copy: u32,
    },
    /// So many for each copy.
    Count {
        /// How many a copy takes.
        per_copy: u32,
    },
    /// So many for the whole class, however many copies: a pot of glue, a roll of tape.
    Once {
        /// How many.
        count: u32,
    },
}

/// How a supply is sold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pack {
    /// What is in a pack.
    pub holds: Amount,
    /// What a pack costs.
    pub price: Option<Price>,
}

/// How much of a supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Amount {
    /// By length, in one run.
    Length(Length),
    /// By count.
    Count(u32),
}
