//! The main fold of a piece, and whether it runs across the grain.

use kurbo::{Point, Vec2};

use super::code;
use super::leaf::flattened;
use crate::diagnostic::Diagnostic;
use crate::math::hypot;
use crate::project::{Assembly, Axis, OperationKind, Piece, Project};

/// Of two folds one counts as longer if it is longer by this part: in a nearly square piece either way is as good.
const AS_LONG: f64 = 0.1;

/// A fold is straight if no part of it is farther off the line between its ends, in millimetres.
const STRAIGHT_MM: f64 = 0.1;

/// Returns the axis that the longest straight fold of a piece runs along. `None` where no fold along one axis is longer than all along the
/// other; folds that run aslant and curved ones, which no grain suits, do not count.
#[must_use]
pub fn main_fold(piece: &Piece) -> Option<Axis> {
    let (mut along_x_mm, mut along_y_mm) = (0.0_f64, 0.0_f64);
    for operation in &piece.operations {
        let OperationKind::Crease { .. } = operation.kind else {
            continue;
        };
        let corners = flattened(&operation.path);
        let (Some(first), Some(last)) = (corners.first(), corners.last()) else {
            continue;
        };
        if !is_straight(&corners) {
            continue;
        }
        let Vec2 { x, y } = *last - *first;
        let length_mm = hypot(x, y);
        if x.abs() > 2.0 * y.abs() {
            along_x_mm = along_x_mm.max(length_mm);
        } else if y.abs() > 2.0 * x.abs() {
            along_y_mm = along_y_mm.max(length_mm);
        }
    }
    if along_x_mm > (1.0 + AS_LONG) * along_y_mm {
        Some(Axis::X)
    } else if along_y_mm > (1.0 + AS_LONG) * along_x_mm {
        Some(Axis::Y)
    } else {
        None
    }
}

/// Whether corners lie on the line from the first to the last.
fn is_straight(corners: &[Point]) -> bool {
    let (Some(first), Some(last)) = (corners.first(), corners.last()) else {
        return false;
    };
    let way = *last - *first;
    let off_mm = |p: &Point| (*p - *first).cross(way).abs() / hypot(way.x, way.y).max(STRAIGHT_MM);
    corners.iter().all(|p| off_mm(p) < STRAIGHT_MM)
}

/// Warns of pieces whose own wish lays the grain across their main fold.
pub(super) fn findings(project: &Project, assembly: &Assembly) -> Vec<Diagnostic> {
    let mut pieces: Vec<usize> = assembly.members.iter().map(|m| m.piece).collect();
    pieces.sort_unstable();
    pieces.dedup();
    pieces
        .into_iter()
        .filter_map(|piece| {
            let piece = &project.pieces[piece];
            let (wished, fold) = (piece.grain?, main_fold(piece)?);
            (wished != fold).then(|| {
                let message = format!(
                    "the longest fold of \"{}\" runs across the grain it wishes for, \"{}\"",
                    piece.id,
                    name(wished)
                );
                let hint = format!(
                    "write grain = \"{}\" for clean folds; leave it for a hinge or a body that must not bulge",
                    name(fold)
                );
                Diagnostic::warning(code::GRAIN_ACROSS, message)
                    .at(&piece.origin)
                    .hint(hint)
            })
        })
        .collect()
}

/// What the key `grain` calls an axis.
#[must_use]
pub const fn name(axis: Axis) -> &'static str {
    match axis {
        Axis::X => "x",
        Axis::Y => "y",
    }
}
