//! What is done to a piece besides cutting its outline.

use kurbo::BezPath;

use crate::diagnostic::Origin;
use crate::length::Size;
use crate::math::Angle;

/// One operation on a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Operation {
    /// What is done.
    pub kind: OperationKind,
    /// Where, in the piece frame, in millimetres. A hole's path is closed.
    pub path: BezPath,
    /// How far a crease is folded in the finished object; a right angle without it. At a curved crease, at the middle of its length.
    pub folds_to: Option<Angle>,
    /// By whom.
    pub by: Maker,
    /// Where it is declared.
    pub origin: Origin,
}

/// What an [`Operation`] does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OperationKind {
    /// Through the paper.
    Cut,
    /// A pressed fold line.
    Crease {
        /// Which way it folds.
        fold: Fold,
    },
    /// Cuts and gaps in turn, starting and ending with half a cut.
    Perforation {
        /// Length of a cut.
        cut: Size,
        /// Length of a gap.
        gap: Size,
    },
    /// Into the paper, not through it.
    PartialCut,
    /// A closed cut whose inside falls out.
    Hole,
    /// A drawn line.
    Line,
}

impl OperationKind {
    /// The one-word name used for layers, ids and files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cut => "cut",
            Self::Crease { .. } => "crease",
            Self::Perforation { .. } => "perforation",
            Self::PartialCut => "partial-cut",
            Self::Hole => "hole",
            Self::Line => "line",
        }
    }
}

/// Which way a crease folds, seen from the piece's front.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fold {
    /// The crease rises towards you.
    Mountain,
    /// The crease sinks away from you.
    Valley,
}

impl Fold {
    /// The one-word name used on pages and in files.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mountain => "mountain",
            Self::Valley => "valley",
        }
    }

    /// The same fold seen from the other face.
    #[must_use]
    pub const fn from_behind(self) -> Self {
        match self {
            Self::Mountain => Self::Valley,
            Self::Valley => Self::Mountain,
        }
    }
}

/// By whom an operation is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Maker {
    /// The cutting machine.
    Machine,
    /// A person.
    Hand,
    /// A die in a press.
    Die,
}
