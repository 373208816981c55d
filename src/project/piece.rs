//! Pieces and where they are mounted.

use kurbo::{Point, Rect};

use super::{Artwork, Edge, Finish, Maker, Nicks, Operation, StockSide, Treatment, TreatmentKind};
use crate::diagnostic::Origin;
use crate::geometry::{Outline, Pose};
use crate::length::{Length, Size};
use crate::math::Angle;

/// A piece of paper: an outline with operations and artwork.
///
/// Piece frame: millimetres, y down, the front face towards you, origin at the top left corner of the outline's bounding box.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Declared id.
    pub id: String,
    /// Name for people; the id where none was given.
    pub name: String,
    /// How many of it each copy needs; at least 1. For a mounted piece this counts its plies.
    pub per_copy: u32,
    /// Trimmed shape, holes of the shape included; holes made by an operation are not.
    pub outline: Outline,
    /// Whether it is all that a printer reaches of a sheet, printed to be cut up by hand: it has its sheet to itself, without marks and caption.
    pub fills_sheet: bool,
    /// How the outline is cut.
    pub cut_by: Maker,
    /// What holds it in its sheet until it is freed; only where a machine cuts the outline.
    pub nicks: Option<Nicks>,
    /// Panels between creases; a strip's are named `1`, `2`, ... in order.
    pub panels: Vec<Panel>,
    /// The stock it is made of, unless an edition swaps it.
    pub stock: usize,
    /// Which face of the stock is the piece's front.
    pub shows: StockSide,
    /// Wished direction of the fibres in the piece frame.
    pub grain: Option<Axis>,
    /// The piece's edge towards which the top of a patterned stock must point; `None` where the maker does not mind.
    pub pattern_up: Option<Edge>,
    /// Which turns the layout may use.
    pub turns: Turns,
    /// Whether it may lie front down, for its front and back are alike.
    pub may_mirror: bool,
    /// Operations, in file order, without the cut of the outline.
    pub operations: Vec<Operation>,
    /// Areas that are embossed, glued, stamped or left plain, in file order.
    pub treatments: Vec<Treatment>,
    /// How it gets its shape, where `outline` is only the rough one that is planned.
    pub finish: Option<Finish>,
    /// How many of it are there already, made before.
    pub have: u32,
    /// Artwork, in file order, painted first to last.
    pub artwork: Vec<Artwork>,
    /// What it is mounted on.
    pub mount: Option<Mount>,
    /// Where it is declared.
    pub origin: Origin,
}

impl Piece {
    /// The outline it has once a punch or a die has been over it, in the piece frame; its own where there is none of them.
    #[must_use]
    pub fn finished(&self) -> &Outline {
        let finish = self.finish.as_ref();
        finish.map_or(&self.outline, |finish| &finish.finished)
    }

    /// What the piece measures where it is embossed, at the thickest; `None` where it is not, or nothing was measured.
    #[must_use]
    pub fn embossed_caliper(&self) -> Option<Size> {
        let caliper = |treatment: &Treatment| match &treatment.kind {
            TreatmentKind::Embossed(embossing) => embossing.caliper,
            TreatmentKind::Glued { .. } | TreatmentKind::Stamped | TreatmentKind::Plain => None,
        };
        self.treatments.iter().filter_map(caliper).max()
    }
}

/// A part of a piece between creases.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Name, unique in its piece.
    pub name: String,
    /// Its box in the piece frame, in millimetres.
    pub bounds_mm: Rect,
    /// A point well inside it, in the piece frame: the panel is all that can be reached from there without crossing a crease.
    pub inside_mm: Point,
    /// How its upright is turned in the piece frame, clockwise as seen from the front: 0 where the piece's top is up in the finished
    /// object, 90 degrees where the right edge is. `None` where no way is up.
    pub up: Option<Angle>,
}

/// A direction on a sheet or piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Axis {
    /// Left to right.
    X,
    /// Top to bottom.
    Y,
}

/// Which turns the layout may use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turns {
    /// As drawn.
    None,
    /// As drawn or upside down.
    Half,
    /// By any quarter.
    Quarters,
    /// By any angle; by quarters where a trimmer cuts, grain or pattern bind it, or pieces stand in rows.
    Any,
}

/// Where a piece is mounted.
#[derive(Debug, Clone, PartialEq)]
pub struct Mount {
    /// The piece it lies on; its own mount, if any, comes first.
    pub on: usize,
    /// The panel of that piece, if one was named.
    pub panel: Option<String>,
    /// How its place was declared.
    pub place: MountPlace,
    /// This piece's frame to the frame of the piece it lies on.
    pub pose: Pose,
    /// Distance from the face below, as made by foam pads; 0 is glued flat.
    pub standoff: Length,
    /// How much larger it is cut on each side, to be trimmed flush once it is glued; its outline and pose count that in.
    pub oversize: Length,
}

/// How the place of a mounted piece was declared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MountPlace {
    /// By what shows of the piece below on each side; 0 is flush, negative hangs over. The piece's size follows.
    Reveal {
        /// What shows at the top, right, bottom and left.
        sides: super::Edges<Length>,
    },
    /// By an anchor and a shift; the piece has a shape of its own.
    Anchor,
}
