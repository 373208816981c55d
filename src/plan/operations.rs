//! The operations of one placed piece, in the sheet frame, in the order of cutting.

use kurbo::BezPath;

use super::{PlannedOperation, nick, perforation};
use crate::geometry::Pose;
use crate::project::{Maker, OperationKind, Piece};

/// Returns all operations of `piece` at `pose`, the cut of the outline and of its holes included, in cut order. `id` is the
/// placement's.
pub(super) fn operations(piece: &Piece, id: &str, pose: Pose) -> Vec<PlannedOperation> {
    let piece_to_sheet = pose.to_affine();
    let mut found: Vec<PlannedOperation> = Vec::new();
    for (operation, name) in piece.operations.iter().zip(names(piece)) {
        let path = match operation.kind {
            OperationKind::Perforation { cut, gap } => {
                perforation::cuts(&operation.path, cut.to_mm(), gap.to_mm())
            }
            OperationKind::Cut
            | OperationKind::Crease { .. }
            | OperationKind::PartialCut
            | OperationKind::Hole
            | OperationKind::Line => operation.path.clone(),
        };
        found.push(planned(
            format!("{id}.{name}"),
            as_seen(operation.kind, pose),
            operation.by,
            &(piece_to_sheet * path),
        ));
    }
    for (i, hole) in piece.outline.holes().iter().enumerate() {
        let path = piece_to_sheet * hole;
        found.push(planned(
            format!("{id}.inside-{}", i + 1),
            OperationKind::Cut,
            piece.cut_by,
            &path,
        ));
    }
    let ring = piece.outline.outer();
    let cut = piece
        .nicks
        .map_or_else(|| ring.clone(), |nicks| nick::held(ring, nicks));
    found.push(PlannedOperation {
        nicks: piece.nicks,
        ..planned(
            format!("{id}.outline"),
            OperationKind::Cut,
            piece.cut_by,
            &(piece_to_sheet * cut),
        )
    });
    // A stable sort: within one layer file order stays, and the outline, which was put last, remains the last cut.
    found.sort_by_key(|o| layer(o.kind));
    found
}

/// A crease as it is seen on the sheet: of a piece that lies front down, mountain and valley change places.
fn as_seen(kind: OperationKind, pose: Pose) -> OperationKind {
    match kind {
        OperationKind::Crease { fold } if pose.mirrored => OperationKind::Crease {
            fold: fold.from_behind(),
        },
        OperationKind::Crease { .. }
        | OperationKind::Cut
        | OperationKind::Perforation { .. }
        | OperationKind::PartialCut
        | OperationKind::Hole
        | OperationKind::Line => kind,
    }
}

/// Returns the name of each operation of a piece as ids use it: `crease-2` is the second crease in file order.
#[must_use]
pub fn names(piece: &Piece) -> Vec<String> {
    let kinds: Vec<&str> = piece.operations.iter().map(|o| o.kind.name()).collect();
    let number = |i: usize| kinds[..=i].iter().filter(|k| **k == kinds[i]).count();
    (0..kinds.len())
        .map(|i| format!("{}-{}", kinds[i], number(i)))
        .collect()
}

/// The place of an operation's layer in the order of cutting: what loosens the paper least comes first.
pub(super) const fn layer(kind: OperationKind) -> u8 {
    match kind {
        OperationKind::Line => 0,
        OperationKind::Crease { .. } => 1,
        OperationKind::Perforation { .. } => 2,
        OperationKind::PartialCut => 3,
        OperationKind::Hole => 4,
        OperationKind::Cut => 5,
    }
}

fn planned(id: String, kind: OperationKind, by: Maker, path: &BezPath) -> PlannedOperation {
    PlannedOperation {
        id,
        kind,
        by,
        path: path.clone(),
        nicks: None,
    }
}
