//! An object as it stands, folded and put together.

use kurbo::Point;

use crate::geometry::space::Rigid;

/// A whole assembly in space.
#[derive(Debug, Clone, PartialEq)]
pub struct Folded {
    /// Its members, in the assembly's order.
    pub members: Vec<FoldedMember>,
}

/// One folded piece.
#[derive(Debug, Clone, PartialEq)]
pub struct FoldedMember {
    /// Position of the piece in the project.
    pub piece: usize,
    /// Thickness of its paper in millimetres.
    pub caliper_mm: f64,
    /// Its panels; a bent panel has one entry for each flat facet, all under one name.
    pub panels: Vec<FoldedPanel>,
}

/// One flat panel, or facet of a bent one, where it lies in space.
#[derive(Debug, Clone, PartialEq)]
pub struct FoldedPanel {
    /// The panel's name.
    pub name: String,
    /// Its flat shape in the piece frame, in millimetres, flattened: the outer ring, then holes.
    pub rings_mm: Vec<Vec<Point>>,
    /// Piece frame (z away from whoever looks at the front, 0 in the middle of the paper) to the object's frame, with all layers lying
    /// on one another as thick as they are.
    pub place: Rigid,
}
