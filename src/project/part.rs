//! Parts: pieces that a construction made from a few sizes.

use std::ops::Range;

use crate::diagnostic::Origin;
use crate::length::Length;

/// A part as declared, with what its construction made of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Declared id.
    pub id: String,
    /// Name for people; the id where none was given.
    pub name: String,
    /// Name of the construction.
    pub construction: &'static str,
    /// What was asked for, key and value as typed, in the order of the construction's parameters.
    pub asked: Vec<(String, String)>,
    /// Positions of its pieces in the project.
    pub pieces: Range<usize>,
    /// What came of it, for people.
    pub facts: Vec<Fact>,
    /// Where it is declared.
    pub origin: Origin,
}

/// A size or several that came of a construction.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fact {
    /// What they are: "inside", "outside", "clearance of the lid", "travel".
    pub what: &'static str,
    /// What came out, in order.
    pub got: Vec<Length>,
    /// What was asked for, where it was asked for.
    pub asked: Option<Vec<Length>>,
}
