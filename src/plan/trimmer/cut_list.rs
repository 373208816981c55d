//! The cut list of a sheet: numbered cuts, and what each of them leaves.

use kurbo::Rect;

use crate::length::Length;
use crate::project::{Axis, Edge};

/// How a sheet is cut edge to edge by hand.
#[derive(Debug, Clone, PartialEq)]
pub struct CutList {
    /// All that is ever held in hand, the whole sheet first.
    pub parts: Vec<Part>,
    /// The cuts in the order in which they are made.
    pub cuts: Vec<Cut>,
    /// Most sheets that are cut at once.
    pub at_once: u32,
}

impl CutList {
    /// How often the fence is set for this sheet, as if it stood nowhere before.
    #[must_use]
    pub fn fence_settings(&self) -> u32 {
        changes(self.fences())
    }

    /// How often the blade comes down for all the sheets.
    #[must_use]
    pub fn strokes(&self) -> u32 {
        self.cuts.iter().map(|cut| cut.times).sum()
    }

    /// Where the fence stands in the end; `None` if it is never set.
    #[must_use]
    pub fn last_fence(&self) -> Option<Length> {
        self.fences().last()
    }

    /// The setting of each cut that is made by the fence.
    pub fn fences(&self) -> impl Iterator<Item = Length> + '_ {
        self.cuts.iter().filter_map(|cut| match &cut.guide {
            Guide::Fence { width, .. } => Some(*width),
            Guide::Ticks(_) | Guide::Print => None,
        })
    }
}

/// Counts how often a setting differs from the one before it, the first one included.
pub(in crate::plan) fn changes(fences: impl Iterator<Item = Length>) -> u32 {
    let mut at = None;
    let mut count = 0;
    for fence in fences {
        if at.replace(fence) != Some(fence) {
            count += 1;
        }
    }
    count
}

/// A part of the sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// `sheet` for the whole, the id of the placement that a finished part is, `waste-1`, ..., and `a`, `b`, ... for all others.
    pub name: String,
    /// Where on the sheet it was, in the sheet frame, in millimetres.
    pub area: Rect,
    /// What it is good for.
    pub holds: Holds,
}

/// What a part is good for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Holds {
    /// It is cut further.
    More,
    /// It is the piece with this position in [`Sheet::placements`](crate::plan::Sheet::placements), or the rectangle that a piece of
    /// another shape is finished from.
    Piece(usize),
    /// It falls away.
    Waste,
}

/// A numbered cut, made on a pile of equal parts.
#[derive(Debug, Clone, PartialEq)]
pub struct Cut {
    /// From 1, in the order of the list.
    pub number: u32,
    /// The direction in which its place is measured: a cut along [`Axis::X`] is upright.
    pub axis: Axis,
    /// What it is made by.
    pub guide: Guide,
    /// How long it is, in millimetres.
    pub length_mm: f64,
    /// Sheets, or equal parts of sheets, that are cut in one stroke; in the last stroke there may be fewer.
    pub together: u32,
    /// Strokes for all the sheets.
    pub times: u32,
    /// The parts it divides, all equal.
    pub splits: Vec<Split>,
    /// What to mind.
    pub cautions: Vec<Caution>,
}

/// A part cut in two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Split {
    /// Position in [`CutList::parts`].
    pub part: usize,
    /// Place of the cut on the sheet, in the sheet frame, in millimetres.
    pub at_mm: f64,
    /// What sort of edge lies at the fence; `None` for a cut by eye.
    pub edge: Option<EdgeKind>,
    /// What is left or above of the cut, and what is right of it or below; positions in [`CutList::parts`].
    pub leaves: [usize; 2],
}

/// What a cut is made by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Guide {
    /// An edge lies at the fence.
    Fence {
        /// From the fence to the blade: the width of what is held.
        width: Length,
        /// The edge of the part at the fence, as the sheet's picture shows it.
        from: Edge,
    },
    /// The blade comes down on printed ticks: their ids.
    Ticks(Vec<String>),
    /// The blade comes down on the edge of the printed pieces, because no tick is on the paper there.
    Print,
}

/// What sort of edge lies at the fence.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EdgeKind {
    /// The paper's own.
    Paper,
    /// Cut before.
    Fresh,
}

/// What to mind at a cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Caution {
    /// Less than the trimmer's least width is held.
    HeldNarrow,
    /// The cut is longer than the trimmer's reach.
    BeyondReach,
    /// The fence cannot be set on a division of its scale; this one is nearest.
    OffScale {
        /// The nearest setting.
        nearest: Length,
    },
}
