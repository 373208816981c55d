//! Where a part can be cut, with which setting of the fence, and what is to be minded.

use super::cutout::Cutout;
use super::part::{Loose, across, ends, span};
use super::{Caution, Guide, scale};
use crate::length::Length;
use crate::plan::Sheet;
use crate::project::{Axis, Edge, Project, TrimmerProfile};

/// The trimmer, as far as one sheet is concerned.
#[derive(Debug, Clone, Copy)]
pub(super) struct Workshop<'a> {
    trimmer: &'a TrimmerProfile,
    runs: u32,
    /// Sheets of this stock that are cut in one stroke.
    pub(super) at_once: u32,
    /// Distances count from the print, which lies a little differently on every sheet.
    pub(super) is_printed: bool,
}

/// By what a cut is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Move {
    /// With the fence at that many nanometres from the blade.
    Fence(i64),
    /// By eye, on print.
    Eye,
}

/// A cut that could be made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Offer {
    pub(super) axis: Axis,
    /// From the part's left or upper edge.
    pub(super) at_nm: i64,
    pub(super) by: Move,
    /// The edge that lies at the fence.
    pub(super) from: Edge,
    pub(super) burden: Burden,
}

/// What speaks against a cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Burden(u32);

impl Burden {
    /// The place relies on the paper's size, which may be 2 mm off its format (ISO 216).
    const PAPER_SIZE: u32 = 1;
    const OFF_SCALE: u32 = 2;
    const HELD_NARROW: u32 = 8;
    const BEYOND_REACH: u32 = 32;

    /// Whether the cut needs no caution.
    pub(super) fn is_light(self) -> bool {
        self.0 <= Self::PAPER_SIZE
    }

    pub(super) fn plus(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl<'a> Workshop<'a> {
    pub(super) fn new(project: &'a Project, sheet: &Sheet) -> Self {
        Self {
            trimmer: &project.trimmer,
            runs: sheet.runs,
            at_once: project
                .trimmer
                .sheets_at_once(project.stocks[sheet.stock].caliper),
            is_printed: sheet.front.is_some() || sheet.back.is_some(),
        }
    }

    /// Every cut that parts a part in two at the edge of a cutout.
    ///
    /// On a printed sheet only a fresh edge may lie at the fence; as long as there is none, the blade goes by the print.
    pub(super) fn offers(&self, part: &Loose, cutouts: &[Cutout]) -> Vec<Offer> {
        let mut offers = Vec::new();
        for axis in [Axis::X, Axis::Y] {
            let (near, far) = span(part.area, axis);
            let [near_edge, far_edge] = ends(axis);
            for at in part.lines(axis, cutouts) {
                let mut offer = |by, from| {
                    offers.push(Offer {
                        axis,
                        at_nm: at - near,
                        by,
                        from,
                        burden: self.burden(part, axis, by, from),
                    });
                };
                let is_usable = |edge| !self.is_printed || part.is_fresh(edge);
                if is_usable(near_edge) {
                    offer(Move::Fence(at - near), near_edge);
                }
                if is_usable(far_edge) {
                    offer(Move::Fence(far - at), far_edge);
                }
                if !is_usable(near_edge) && !is_usable(far_edge) {
                    offer(Move::Eye, near_edge);
                }
            }
        }
        offers
    }

    fn burden(&self, part: &Loose, axis: Axis, by: Move, from: Edge) -> Burden {
        let (start, stop) = span(part.area, across(axis));
        let weight = |caution: &Caution| match caution {
            Caution::HeldNarrow => Burden::HELD_NARROW,
            Caution::BeyondReach => Burden::BEYOND_REACH,
            Caution::OffScale { .. } => Burden::OFF_SCALE,
        };
        let cautions = self.cautions(stop - start, by);
        let is_far_paper = matches!(from, Edge::Right | Edge::Bottom) && !part.is_fresh(from);
        let paper = u32::from(is_far_paper && by != Move::Eye) * Burden::PAPER_SIZE;
        Burden(cautions.iter().map(weight).sum::<u32>() + paper)
    }

    /// What to mind at a cut of that length.
    pub(super) fn cautions(&self, length_nm: i64, by: Move) -> Vec<Caution> {
        let mut cautions = Vec::new();
        if length_nm > self.trimmer.reach.length().nm() {
            cautions.push(Caution::BeyondReach);
        }
        if let Move::Fence(width_nm) = by {
            let width = Length::from_nm(width_nm);
            if width < self.trimmer.least_held {
                cautions.push(Caution::HeldNarrow);
            }
            let nearest = scale::nearest(self.trimmer, width).filter(|nearest| *nearest != width);
            cautions.extend(nearest.map(|nearest| Caution::OffScale { nearest }));
        }
        cautions
    }

    /// How many sheets or parts are cut in one stroke, and in how many strokes a pile of `parts` is cut for all sheets.
    ///
    /// By eye it is sheet by sheet, for no two prints lie alike.
    pub(super) fn strokes(&self, by: Move, parts: usize) -> (u32, u32) {
        let all = self.runs * u32::try_from(parts).expect("a sheet holds fewer parts than 2^32");
        let together = match by {
            Move::Fence(_) => self.at_once.min(all),
            Move::Eye => 1,
        };
        (together, all.div_ceil(together.max(1)))
    }
}

impl Offer {
    /// What the offer says to the maker.
    pub(super) fn guide(self) -> Guide {
        match self.by {
            Move::Fence(width_nm) => Guide::Fence {
                width: Length::from_nm(width_nm),
                from: self.from,
            },
            Move::Eye => Guide::Print,
        }
    }
}
