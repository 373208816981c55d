//! Areas of a piece that are embossed, glued, stamped or left plain.

use kurbo::BezPath;

use super::{Edge, Face};
use crate::diagnostic::Origin;
use crate::length::Size;

/// What is done to an area of a piece besides cutting, creasing and printing, in file order.
#[derive(Debug, Clone, PartialEq)]
pub struct Treatment {
    /// What is done there.
    pub kind: TreatmentKind,
    /// On which face.
    pub face: Face,
    /// Where.
    pub place: TreatedPlace,
    /// A word of the maker's to it.
    pub note: Option<String>,
    /// Where it is declared.
    pub origin: Origin,
}

/// Where a treatment is.
#[derive(Debug, Clone, PartialEq)]
pub enum TreatedPlace {
    /// On the whole piece.
    Whole,
    /// On panels, by name.
    Panels(Vec<String>),
    /// Inside a closed path in the piece frame (seen from the front, also for the back), in millimetres.
    Area(BezPath),
}

/// What is done to an area.
#[derive(Debug, Clone, PartialEq)]
pub enum TreatmentKind {
    /// Embossed, after scoring and before folding; creases across it are scored again afterwards.
    Embossed(Embossing),
    /// Glue goes on here.
    Glued {
        /// Position of what it is glued with in the project's list of supplies.
        with: Option<usize>,
    },
    /// Stamped or written on by hand.
    Stamped,
    /// Left as it is.
    Plain,
}

impl TreatmentKind {
    /// The words that stand for it in project files and on pages.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        match self {
            Self::Embossed(_) => "emboss",
            Self::Glued { .. } => "glue",
            Self::Stamped => "stamp",
            Self::Plain => "leave plain",
        }
    }
}

/// How an area is embossed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Embossing {
    /// Position of the embosser in the project's list of tools.
    pub tool: usize,
    /// The piece's edge towards which the top of the pattern points; `None` where it has none.
    pub up: Option<Edge>,
    /// The piece's edge that goes in first, one for each pass.
    pub goes_in: Vec<Edge>,
    /// What the paper measures over the embossing; without it, its own caliper.
    pub caliper: Option<Size>,
}
