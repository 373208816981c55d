//! How many spares found room on sheets that are opened anyway.

use super::Spares;
use super::demand::{Group, count};
use super::draft::Drafts;
use crate::project::Project;

/// Returns the spares of every piece of which any are wished for, in the order of pieces.
pub(super) fn spares(project: &Project, groups: &[Group], drafts: &Drafts) -> Vec<Spares> {
    let mut spares: Vec<Spares> = (0..project.pieces.len())
        .map(|piece| Spares {
            piece,
            placed: 0,
            wished: 0,
        })
        .collect();
    for (group, placed) in groups.iter().zip(&drafts.spares) {
        for (kind, placed) in group.kinds.iter().zip(placed) {
            let of_piece = &mut spares[kind.piece];
            of_piece.placed += placed;
            of_piece.wished += count(&kind.spares);
        }
    }
    spares.retain(|s| s.wished > 0);
    spares
}
