//! What lies on the maker's table besides the trimmer: a scoring board, embossers, punches and dies.

use crate::diagnostic::Origin;
use crate::length::Size;

/// A tool that pieces are scored, embossed or finished with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tool {
    /// Declared id.
    pub id: String,
    /// Name for people; the id where none was given.
    pub name: String,
    /// What it is and what it can take.
    pub kind: ToolKind,
    /// Where it is declared.
    pub origin: Origin,
}

/// What a tool is and what it can take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ToolKind {
    /// A grooved board with a fence, along which paper is scored.
    ScoringBoard {
        /// From the fence to the last groove.
        reach: Size,
        /// From one groove to the next.
        pitch: Size,
    },
    /// Two plates or a roller between which paper is embossed.
    Embosser {
        /// What comes out embossed of paper as wide as it takes.
        across: Size,
        /// What comes out embossed, from the edge that goes in first.
        deep: Size,
    },
    /// A hand punch, put on at an edge of the paper.
    Punch {
        /// From the paper's edge to the farthest point that it can cut.
        reach: Size,
    },
    /// A die in a press.
    Die {
        /// The widest paper that goes through.
        press_width: Size,
    },
}

impl ToolKind {
    /// The words that stand for it in project files and on pages.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::ScoringBoard { .. } => "scoring board",
            Self::Embosser { .. } => "embosser",
            Self::Punch { .. } => "punch",
            Self::Die { .. } => "die",
        }
    }
}

/// How a piece that is planned by a rough shape gets its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Finish {
    /// Position of the punch or die in the project's list of tools.
    pub tool: usize,
    /// The shape it has in the end, in the piece frame. The piece's own outline is the rough one.
    pub finished: crate::geometry::Outline,
    /// What else comes out of one pass: positions of pieces, and how many of each.
    pub also: Vec<(usize, u32)>,
    /// Where it is declared.
    pub origin: Origin,
}
