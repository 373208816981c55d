//! Pieces that come to lie with their longest fold across the fibres, without having said how the fibres should run.

use crate::diagnostic::Diagnostic;
use crate::fold::grain::{main_fold, name};
use crate::project::{Axis, Project};

use super::sheet::{Placement, Sheet};

/// How far a turn may be from a quarter, in degrees.
const ASKEW_DEG: f64 = 1.0;

/// Returns one warning for each piece that is laid across somewhere.
pub(super) fn warnings(project: &Project, sheets: &[Sheet]) -> Vec<Diagnostic> {
    let mut across: Vec<usize> = Vec::new();
    for sheet in sheets {
        let Some(grain) = project.stocks[sheet.stock].grain else {
            continue;
        };
        let placements = sheet.placements.iter();
        let laid_across = placements.filter(|p| lies_across(project, p, grain));
        across.extend(laid_across.map(|p| p.piece));
    }
    across.sort_unstable();
    across.dedup();
    across
        .into_iter()
        .filter_map(|piece| {
            let piece = &project.pieces[piece];
            let fold = name(main_fold(piece)?);
            let message = format!(
                "the longest fold of \"{}\" runs across the grain of its paper",
                piece.id
            );
            let hint =
                format!("write grain = \"{fold}\" to have it laid along, if the fold may crack");
            Some(
                Diagnostic::warning("fold.grain-across", message)
                    .at(&piece.origin)
                    .hint(hint),
            )
        })
        .collect()
}

fn lies_across(project: &Project, placement: &Placement, grain: Axis) -> bool {
    let piece = &project.pieces[placement.piece];
    let (None, Some(fold)) = (piece.grain, main_fold(piece)) else {
        return false;
    };
    let deg = placement.pose.turn.deg();
    let quarters = (deg / 90.0).round();
    if (deg - 90.0 * quarters).abs() > ASKEW_DEG {
        return false;
    }
    let is_on_its_side = (quarters % 2.0).abs() > 0.5;
    (fold == grain) == is_on_its_side
}
