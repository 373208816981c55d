//! Pieces whose place the maker has decided.

use crate::diagnostic::Origin;
use crate::length::Length;
use crate::math::Angle;

/// A single piece that stays where it is put while the rest is laid out around it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pin {
    /// Position of the piece in the project's list.
    pub piece: usize,
    /// Number of the copy, from 1 over all editions.
    pub copy: u32,
    /// Number of this piece within the copy, from 1.
    pub part: u32,
    /// Position of the stock it is cut from: its own, or an offcut of that.
    pub stock: usize,
    /// Which sheet of that stock, from 1.
    pub sheet: u32,
    /// From the sheet's left edge to the leftmost point of the piece as it lies.
    pub x: Length,
    /// From the sheet's top edge to the topmost point of the piece as it lies.
    pub y: Length,
    /// Clockwise as seen.
    pub turn: Angle,
    /// Where it is declared.
    pub origin: Origin,
}
