//! What a construction makes.

use kurbo::BezPath;

use crate::geometry::Outline;
use crate::math::Angle;
use crate::project::{Assembly, Axis, Fact, Fold, Panel};

/// Pieces and how they go together.
#[derive(Debug, Clone, PartialEq)]
pub struct Construction {
    /// The pieces; each once.
    pub pieces: Vec<Made>,
    /// How they go together; members name pieces by their position here, and it has no origin yet.
    pub assembly: Assembly,
    /// What came of the sizes, for people: inside, outside, clearances, travel.
    pub facts: Vec<Fact>,
}

/// One piece, flat, with its box at the origin.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    /// Name in ids, one of the kind's.
    pub name: &'static str,
    /// Name for people.
    pub title: String,
    /// How many of it are in one object.
    pub per_copy: u32,
    /// Its edge, thumb cuts included.
    pub outline: Outline,
    /// Its panels, all of them named.
    pub panels: Vec<Panel>,
    /// Its creases, each from edge to edge or to where another begins.
    pub creases: Vec<Crease>,
    /// Slits: cuts that do not part it.
    pub slits: Vec<BezPath>,
    /// Holes: closed paths.
    pub holes: Vec<BezPath>,
    /// The wished direction of the fibres.
    pub grain: Option<Axis>,
}

/// A crease of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Crease {
    /// Where, in the piece frame, in millimetres.
    pub path: BezPath,
    /// Which way it folds, seen from the front.
    pub fold: Fold,
    /// How far it is folded in the finished object.
    pub angle: Angle,
}
