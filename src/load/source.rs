//! Where a piece comes from: a table of its own, or a part.

use super::code;
use super::mistakes::Mistakes;
use super::panel;
use super::shape::{Form, Shape};
use super::table::Table;
use super::value::LONGEST;
use crate::construct::Made;
use crate::diagnostic::Origin;
use crate::project::{Axis, Maker, Operation, OperationKind};

/// Where a piece comes from.
#[derive(Debug)]
pub(super) enum Source<'t> {
    /// A `[[piece]]` table.
    Own(Table<'t>),
    /// A part; its `[[part.piece]]` table, or an empty one, says what else is to be said.
    Part {
        /// That table.
        dress: Table<'t>,
        /// The stock it is made of, if that could be read.
        stock: Option<usize>,
        /// What the construction made; nothing if it could not be built.
        made: Option<Box<MadePiece>>,
    },
    /// Some pieces of a part of which nothing can be told.
    Unknown,
}

/// A piece that a construction made.
#[derive(Debug)]
pub(super) struct MadePiece {
    pub(super) name: String,
    pub(super) per_copy: u32,
    pub(super) shape: Shape,
    pub(super) grain: Option<Axis>,
}

impl MadePiece {
    /// Takes over a piece; nothing if it is larger than any length may be, which is reported.
    pub(super) fn new(
        made: Made,
        name: String,
        count: u32,
        by: Maker,
        origin: &Origin,
        mistakes: &Mistakes<'_>,
    ) -> Option<Self> {
        let bounds = made.outline.bounds();
        let longest_mm = bounds.width().max(bounds.height());
        if longest_mm > LONGEST.to_mm() {
            let message = format!(
                "its {} comes to {}, more than {}",
                made.name,
                mistakes.show_mm(longest_mm),
                mistakes.show(LONGEST)
            );
            let hint = "check the numbers and their units";
            return mistakes.fail(code::NUMBER_RANGE, origin, message, hint);
        }
        let operations = operations(&made, by, origin);
        let panels = panel::of_made(&made.panels, &made.outline, &operations);
        Some(Self {
            name,
            per_copy: made.per_copy * count,
            grain: made.grain,
            shape: Shape {
                form: Form::Other,
                fills_sheet: false,
                outline: made.outline,
                panels,
                operations,
            },
        })
    }
}

/// The creases, then the slits, then the holes.
fn operations(made: &Made, by: Maker, origin: &Origin) -> Vec<Operation> {
    let operation = |kind, path: &kurbo::BezPath, folds_to| Operation {
        kind,
        path: path.clone(),
        folds_to,
        by,
        origin: origin.clone(),
    };
    let creases = made.creases.iter().map(|crease| {
        let kind = OperationKind::Crease { fold: crease.fold };
        operation(kind, &crease.path, Some(crease.angle))
    });
    let slits = made
        .slits
        .iter()
        .map(|path| operation(OperationKind::Cut, path, None));
    let holes = made
        .holes
        .iter()
        .map(|path| operation(OperationKind::Hole, path, None));
    creases.chain(slits).chain(holes).collect()
}
