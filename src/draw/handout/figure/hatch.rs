//! Areas with something done to them, as a drawing shows them.

use kurbo::BezPath;

use super::super::super::treated::{self, What};
use super::super::Told;
use crate::drawing::Item;
use crate::handout::PieceWork;

/// What is done to an area, and on which side of what is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(in super::super) struct Hatch {
    what: What,
    /// Whether it is on the face that does not show.
    is_behind: bool,
}

impl Hatch {
    pub(in super::super) fn label(self) -> String {
        let what = match self.what {
            What::Embossed => "embossed",
            What::Stamped => "stamped or written on",
            What::Plain => "left plain",
            What::Glued => "glue goes here",
        };
        if self.is_behind {
            format!("{what}, on the face that is not shown (broken lines)")
        } else {
            what.to_owned()
        }
    }
}

/// All areas of a piece with something done to them, in the piece frame.
pub(in super::super) fn treated(told: Told<'_>, work: &PieceWork) -> Vec<(Hatch, BezPath)> {
    let areas = treated::treated_areas(told.project, work.piece).into_iter();
    areas
        .map(|area| {
            let hatch = Hatch {
                what: area.what,
                is_behind: area.face != work.scored_face,
            };
            (hatch, area.path)
        })
        .collect()
}

/// The hatching of an area, in the frame it is given in.
pub(in super::super) fn hatched(area: &BezPath, hatch: Hatch) -> Vec<Item> {
    treated::hatched(area, hatch.what, hatch.is_behind, 1.0)
}
