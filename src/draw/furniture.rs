//! What stands around the pieces of a sheet: register marks and ticks, and the edge of an offcut.

use kurbo::BezPath;

use super::mark::ring_and_quadrant;
use crate::drawing::{Colour, Drawing, Item, Paint, Stroke, Tag};
use crate::plan::{Placement, Sheet, Tick};
use crate::project::{Face, Project};

/// Id of an offcut's edge in drawings.
pub(super) const PAPER_EDGE: &str = "paper-edge";

/// Width of crop and crease ticks: a hair line that a home printer still prints.
const TICK_LINE_MM: f64 = 0.1;

/// The face that carries the register marks: the one that lies up on the cutter.
pub(super) fn marked_face(sheet: &Sheet) -> Face {
    match (&sheet.cut, sheet.front) {
        (Some(cut), _) => cut.face_up,
        (None, Some(_)) => Face::Front,
        (None, None) => Face::Back,
    }
}

/// Returns the edge of an offcut that is no rectangle, in the sheet frame.
pub(super) fn paper_edge(project: &Project, sheet: &Sheet) -> Option<BezPath> {
    let edge = project.stocks[sheet.stock].edge_seen(sheet.front_is);
    edge.map(|edge| edge.path())
}

/// Returns the register marks in the sheet frame.
pub(super) fn marks(sheet: &Sheet) -> Drawing {
    let tagged = sheet.marks.iter().map(|mark| Item::Tagged {
        tag: Tag {
            kind: "mark",
            id: mark.id.clone(),
        },
        inner: ring_and_quadrant(mark),
    });
    Drawing {
        items: tagged.collect(),
    }
}

/// Returns crop and crease ticks in the sheet frame.
pub(super) fn ticks<'a>(ticks: impl Iterator<Item = &'a Tick>) -> Drawing {
    let tagged = ticks.map(|tick| {
        let mut path = BezPath::new();
        path.move_to(tick.from);
        path.line_to(tick.to);
        let line = Item::Stroke {
            path,
            stroke: Stroke::solid(TICK_LINE_MM),
            paint: Paint::flat(Colour::BLACK),
        };
        Item::Tagged {
            tag: Tag {
                kind: "tick",
                id: tick.id.clone(),
            },
            inner: Drawing { items: vec![line] },
        }
    });
    Drawing {
        items: tagged.collect(),
    }
}

/// The trimmed outline of a placed piece in the sheet frame, nicks or not, without holes of the shape.
pub(super) fn outline(project: &Project, placement: &Placement) -> BezPath {
    placement.pose.to_affine() * project.pieces[placement.piece].outline.outer()
}
